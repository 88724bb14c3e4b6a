import { ROLE } from "../../graph/compiled.js";
import { materials, pipeSize } from "../../materials/materials.js";
import type { MaterialList } from "../../profiles/material-lists.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { type Case, defineRule, type Outcome, PASS, type Settle, TOLD } from "../rule.js";
import { ruledOut } from "../ruled-out.js";

/** Carries condensate: vents and stubs do not. */
const CARRIES: ReadonlySet<number> = new Set([ROLE.drain, ROLE.secondary, ROLE.auxiliary, ROLE.pressure]);

function* pipesWithWater(c: Case): Generator<number> {
  if (c.profile.materialLists.length === 0) return;
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++) if (CARRIES.has(c.net.role[pipe])) yield pipe;
}

const ask = (c: Case, pipe: number): readonly Settle[] => [{ pointer: `${c.net.pipes[pipe].pointer}/material` }];
const waiting = waitingFor(pipesWithWater, (c, pipe) => (c.net.pipes[pipe].material === null ? "missing" : null));

/** A listed material to lay instead: that of a pipe that it meets, else the first that comes in its size. */
const instead = (c: Case, pipe: number, { materials: listed }: MaterialList): string => {
  const { net } = c;
  const { size } = net.pipes[pipe];
  const comes = (id: string): boolean => size === null || pipeSize(id, size) !== undefined;
  for (const node of [net.to[pipe], net.from[pipe]])
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const { material } = net.pipes[net.ends.list[k] >> 1];
      if (material !== null && listed.includes(material) && comes(material)) return material;
    }
  const known = materials.filter(({ id }) => listed.includes(id));
  return (known.find(({ id }) => comes(id)) ?? known[0]).id;
};

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly material: string | null;
  readonly edition: string;
}

export const installMaterial = defineRule<Data>({
  id: "install.material",
  title: "Material that the code does not list",
  question: "Is the material of each drain allowed by the profile?",
  why: "A drain carries water that takes up metals and grows slime, for as long as the building stands: codes list what has lasted.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["pipes.material"],
  limits: ["install.materials"],
  notApplicable: "The profile lists no materials.",
  remedy: "Replace the pipe by one of a listed material.",
  sources: ["imc-307.2.2-2021", "imc-307.2.2", "imc-2003"],
  anchor: "pipe",
  subjects: pipesWithWater,
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined && group.first !== pipe) return TOLD;
    const [list] = c.profile.materialLists;
    const { material, pointer } = c.net.pipes[pipe];
    const outcome: Outcome = material === null ? "undetermined" : list.materials.includes(material) ? "pass" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const pipes = group?.all ?? [pipe];
    return {
      outcome,
      ...(group === undefined ? {} : { family: "missing", settledBy: settleAll(c, group, ask) }),
      data: { outcome, pipes, material, edition: list.edition },
      anchor: pipe,
      subject: { pipes },
      evidence:
        outcome === "fail" ? ruledOut("unlistedPipes", "install.materials", list.source, [`${pointer}/material`]) : [],
      remedy: outcome === "fail" ? [{ action: "replace-pipe", on: { pipe }, what: instead(c, pipe, list) }] : [],
    };
  },
  say: ({ outcome, pipes, material, edition }, speak) => {
    const name = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    if (outcome === "undetermined") return `What ${name} ${pipes.length === 1 ? "is" : "are"} made of is not given.`;
    const list = /^\d{4}$/.test(edition) ? `the profile's list of ${edition}` : `the profile's list (${edition})`;
    if (outcome === "pass") return `${name} is of ${material}, which ${list} has.`;
    return `${name} is of ${material}, which ${list} does not have.`;
  },
});
