import { resolveProfile } from "../profiles/resolve-profile.js";
import { accepts, compiledPays } from "./accept.js";
import { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import { type Flaws, findFlaws, type LooseDocument, NO_FLAWS } from "./flaws.js";
import { indexFloors, indexNodes, indexPipes, statedLevels } from "./index-elements.js";
import { resolveLevels } from "./levels.js";
import type { Model, Problem, Site } from "./model.js";
import { PARTS, type Part, type Placed, place } from "./placements.js";
import { ProblemList } from "./problems.js";
import { readAir, readNodes } from "./read-nodes.js";
import { inNaturalOrder, readOverflow } from "./read-overflow.js";
import { checkConnections, readPipes } from "./read-pipes.js";
import type { RawCircuit, RawDevice, RawDocument, RawFloor, RawNode, RawPipe, RawSite, SectionName } from "./schema.js";

export type ReadResult =
  | { readonly ok: true; readonly model: Model }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** Half-width of a surveyed level where the document states none, m. */
const SURVEYED = 0.003;

/**
 * Reads a network document: a parsed JSON value of any shape to a model, or to everything that is wrong with it, each
 * with its JSON pointer (at most 100 listed, all counted). Elements that are well-formed are checked for what they say
 * together even where others are not. Never throws, and keeps nothing of the document between calls.
 */
export const readNetwork = (document: unknown): ReadResult => readDraft(document).result;

/** As `readNetwork`, with the draft that the model was made from; null where the document is no object. */
export const readDraft = (document: unknown): { readonly result: ReadResult; readonly draft: Draft | null } => {
  const problems = new ProblemList();
  const compiled = compiledPays(document);
  if (accepts(document, compiled)) return readLoose(document as RawDocument, NO_FLAWS, problems);
  const found = findFlaws(document, problems, compiled);
  if (found === null) return { result: { ok: false, problems: problems.listed, total: problems.total }, draft: null };
  return readLoose(found.document, found.flaws, problems);
};

/** A list of the document, empty where it has none that can be used. */
const listOf = <T>(document: LooseDocument, section: keyof RawDocument, flaws: Flaws): readonly T[] => {
  const value = document[section];
  return Array.isArray(value) && !flaws.unusable.has(section) ? (value as readonly T[]) : [];
};

const oneOf = <T>(value: unknown, words: readonly T[]): T | null => words.find((word) => word === value) ?? null;

const readLoose = (
  document: LooseDocument,
  flaws: Flaws,
  problems: ProblemList,
): { readonly result: ReadResult; readonly draft: Draft } => {
  const draft = draftOf(document, flaws, problems);
  const { stage } = draft;
  const site = readSite(draft);
  draft.surveyTolerance = site.surveyTolerance;
  const profile = readProfile(document, draft.flaws, draft, problems);
  indexFloors(draft);
  indexNodes(draft);
  indexPipes(draft);
  statedLevels(draft);
  resolveLevels(draft);
  const nodes = readNodes(draft);
  const pipes = readPipes(draft);
  checkConnections(draft);
  const { devices, circuits } = readOverflow(draft);
  if (!flaws.unusable.has("nodes")) {
    const unsure = draft.kind.includes(null);
    if (!unsure && !draft.kind.includes("fan-coil"))
      problems.add("/nodes", "no-fan-coil", "a network without a fan coil", 'add a node of kind "fan-coil"');
    if (!unsure && !draft.kind.includes("outlet"))
      problems.add("/nodes", "no-outlet", "a network without an outlet", 'add a node of kind "outlet"');
  }
  if (problems.total > 0 || draft.system === null || stage === null || profile === null)
    return { draft, result: { ok: false, problems: problems.listed, total: problems.total } };
  const result: ReadResult = {
    ok: true,
    model: {
      id: document.id as string,
      name: (document.name as string | undefined) ?? null,
      units: draft.system,
      stage,
      profile,
      floors: draft.floors.map(({ id, name }) => ({
        id,
        name: name ?? null,
        elevation: draft.floorLevel.get(id) ?? Number.NaN,
      })),
      owners: listOf<{ readonly id: string }>(document, "owners", flaws).map(({ id }) => id),
      site,
      nodes,
      pipes,
      ...inNaturalOrder(devices, circuits),
      shorthand: draft.shorthand,
    },
  };
  return { draft, result };
};

const isUsed = (value: unknown): boolean =>
  value !== undefined && (typeof value !== "object" || value === null || Object.keys(value).length > 0);

const SECTION_OF = { nodes: "nodes", pipes: "pipes", devices: "overflowDevices", circuits: "circuits" } as const;

/** The document's elements, those that its placements make after its own. */
const draftOf = (document: LooseDocument, flaws: Flaws, problems: ProblemList): Draft => {
  const system = oneOf(document.units, ["si", "us"] as const);
  const floors = listOf<RawFloor>(document, "floors", flaws);
  const own = {
    nodes: listOf<RawNode>(document, SECTION_OF.nodes, flaws),
    pipes: listOf<RawPipe>(document, SECTION_OF.pipes, flaws),
    devices: listOf<RawDevice>(document, SECTION_OF.devices, flaws),
    circuits: listOf<RawCircuit>(document, SECTION_OF.circuits, flaws),
  };
  const head = {
    system,
    stage: oneOf(document.stage, ["design", "as-built", "in-service"] as const),
    site: document.site === undefined || flaws.unusable.has("site") ? null : (document.site as RawSite),
    floors,
    owners: null,
  };
  let draft: Draft;
  if (isUsed(document.typicals) || isUsed(document.placements)) {
    const placed = place(document, flaws, floorIds(floors), system ?? "si", problems);
    draft = new Draft(
      {
        ...head,
        nodes: own.nodes.concat(placed.nodes),
        pipes: own.pipes.concat(placed.pipes),
        devices: own.devices.concat(placed.overflowDevices),
        circuits: own.circuits.concat(placed.circuits),
        origins: placed.origins,
      },
      withPlaced(flaws, placed, {
        nodes: own.nodes.length,
        pipes: own.pipes.length,
        overflowDevices: own.devices.length,
        circuits: own.circuits.length,
      }),
      problems,
    );
  } else draft = new Draft({ ...head, ...own, origins: null }, flaws, problems);
  if (document.owners !== undefined) draft.owners = indexOwners(draft, listOf(document, "owners", flaws));
  return draft;
};

const floorIds = (floors: readonly RawFloor[]): ReadonlySet<string> => {
  const ids = new Set<string>();
  for (const floor of floors) {
    const id: unknown = (floor as RawFloor | null)?.id;
    if (typeof id === "string") ids.add(id);
  }
  return ids;
};

/** Marks of ill-formed elements, those of placements after the document's own. */
const withPlaced = (flaws: Flaws, placed: Placed, own: Readonly<Record<Part, number>>): Flaws => {
  const marks = new Map<SectionName, Uint8Array>();
  for (const part of PARTS) {
    const all = new Uint8Array(own[part] + placed.illFormed[part].length);
    const stated = flaws.illFormed(part);
    if (stated !== null) all.set(stated);
    all.set(placed.illFormed[part], own[part]);
    marks.set(part, all);
  }
  return { unusable: flaws.unusable, illFormed: (section) => marks.get(section) ?? flaws.illFormed(section) };
};

const indexOwners = (draft: Draft, owners: readonly { readonly id?: unknown }[]): ReadonlyMap<string, number> => {
  const index = new Map<string, number>();
  for (let i = 0; i < owners.length; i += 1) {
    const id: unknown = (owners[i] as { readonly id?: unknown } | null)?.id;
    draft.at("owners", i);
    if (typeof id === "string") draft.enter(index, id, i, "/id", "owner");
  }
  return index;
};

const readSite = (draft: Draft): Site => {
  const raw = draft.site;
  draft.at("site", 0);
  const stated = draft.figureOrNull(FIGURES.tolerance, raw?.surveyTolerance, "/surveyTolerance");
  return {
    humid: raw?.humid ?? null,
    freezes: raw?.freezes ?? null,
    idleDays: raw?.idleDays ?? null,
    indoorAir: readAir(draft, raw?.indoorAir, "/indoorAir"),
    ceilingAir: readAir(draft, raw?.ceilingAir, "/ceilingAir"),
    shaftAir: readAir(draft, raw?.shaftAir, "/shaftAir"),
    pressure: draft.figureOrNull(FIGURES.atmosphere, raw?.pressure, "/pressure"),
    surveyTolerance: stated ?? (draft.stage === "design" ? 0 : SURVEYED),
    surveyToleranceStated: raw?.surveyTolerance !== undefined,
  };
};

/** The profile and the firm's own figures over it; what is wrong with these is told. */
const readProfile = (
  document: LooseDocument,
  flaws: Flaws,
  draft: Draft,
  problems: ProblemList,
): Model["profile"] | null => {
  if (flaws.unusable.has("profile") || document.profile === undefined) return null;
  const raw = document.profile as RawDocument["profile"];
  if (typeof raw === "string") return { base: raw, overrides: {} };
  const overrides = raw.overrides ?? {};
  const resolved = resolveProfile(raw.base, overrides, draft.system ?? "si");
  if (!resolved.ok)
    for (const { pointer, code, detail, hint } of resolved.problems)
      problems.add(
        pointer === "" ? "/profile/base" : `/profile/overrides${pointer}`,
        code === "bad-unit" || code === "bad-value" ? "bad-quantity" : code,
        detail,
        hint,
      );
  return { base: raw.base, overrides };
};
