import { acceptors } from "./accept.js";
import { buildModel } from "./build-model.js";
import { checkPipework } from "./check-pipework.js";
import { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import { type Flaws, findFlaws, type LooseDocument, NO_FLAWS } from "./flaws.js";
import { indexFloors, indexNodes, indexPipes, statedLevels } from "./index-elements.js";
import { resolveLevels } from "./levels.js";
import type { Model, Problem, Stage, UnitSystem } from "./model.js";
import { ProblemList } from "./problems.js";
import type { RawCircuit, RawDevice, RawFloor, RawNode, RawPipe, RawSite } from "./schema.js";

export type ReadNetwork =
  | { readonly ok: true; readonly model: Model }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** Half-width of a surveyed level where the document states none, m. */
const SURVEYED = 0.003;

/**
 * Reads a network document (a parsed JSON value) into a model, every quantity in SI base units.
 * @returns the model, or all that is wrong with the document: up to 100 problems with JSON pointers, and their total.
 *   Never throws on any JSON value.
 */
export const readNetwork = (document: unknown): ReadNetwork => {
  const problems = new ProblemList();
  const refused = () => ({ ok: false, problems: problems.listed, total: problems.total }) as const;
  let flaws: Flaws = NO_FLAWS;
  let loose: LooseDocument;
  if (acceptors().whole(document)) loose = document as LooseDocument;
  else {
    const found = findFlaws(document, problems);
    if (found === null) return refused();
    ({ document: loose, flaws } = found);
  }
  for (const field of ["typicals", "placements"] as const)
    if (loose[field] !== undefined)
      problems.add(`/${field}`, "not-readable", `${field} are not read`, "write the nodes and pipes out");

  const draft = draftOf(loose, flaws, problems);
  indexFloors(draft);
  if (draft.site !== null) {
    draft.at("site", 0);
    const stated = draft.figure(FIGURES.tolerance, draft.site.surveyTolerance, "/surveyTolerance");
    draft.surveyTolerance = Number.isNaN(stated) ? defaultTolerance(draft.stage) : stated;
  } else draft.surveyTolerance = defaultTolerance(draft.stage);
  indexNodes(draft);
  indexPipes(draft);
  statedLevels(draft);
  resolveLevels(draft);
  checkPipework(draft);
  const model = buildModel(draft, loose);
  return problems.total > 0 ? refused() : { ok: true, model };
};

const defaultTolerance = (stage: Stage | null): number => (stage === "design" || stage === null ? 0 : SURVEYED);

function draftOf(document: LooseDocument, flaws: Flaws, problems: ProblemList): Draft {
  const usable = (field: string) => !flaws.unusable.has(field);
  const list = <T>(field: keyof LooseDocument): readonly T[] => {
    const value = document[field];
    return Array.isArray(value) && usable(field) ? (value as readonly T[]) : [];
  };
  const units = document.units;
  const stage = document.stage;
  const site = document.site;
  const owners = list<{ readonly id: string }>("owners");
  let ownerIndex: Map<string, number> | null = null;
  if (document.owners !== undefined) {
    ownerIndex = new Map();
    for (let i = 0; i < owners.length; i += 1) {
      if (flaws.illFormed("owners")?.[i] === 1) continue;
      const { id } = owners[i];
      if (ownerIndex.has(id))
        problems.add(
          `/owners/${i}/id`,
          "duplicate-id",
          `the owner id "${id}" is taken`,
          "give each owner an id of its own",
        );
      else ownerIndex.set(id, i);
    }
  }
  return new Draft(
    {
      system: units === "si" || units === "us" ? (units as UnitSystem) : null,
      stage: stage === "design" || stage === "as-built" || stage === "in-service" ? (stage as Stage) : null,
      site: site !== undefined && usable("site") ? (site as RawSite) : null,
      floors: list<RawFloor>("floors"),
      owners: ownerIndex,
      nodes: list<RawNode>("nodes"),
      pipes: list<RawPipe>("pipes"),
      devices: list<RawDevice>("overflowDevices"),
      circuits: list<RawCircuit>("circuits"),
    },
    flaws,
    problems,
  );
}
