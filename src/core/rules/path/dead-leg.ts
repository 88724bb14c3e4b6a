import { KIND } from "../../graph/compiled.js";
import { indexed } from "../indexed.js";
import { defineRule, PASS } from "../rule.js";

interface Data {
  readonly pipe: number;
  readonly from: number;
  readonly fed: boolean;
}

const dead = indexed((c) => new Set(c.facts.topology.deadLegs));

/** Kinds of node at which a drain may rightly begin. */
const STARTS: ReadonlySet<number> = new Set([KIND.coil, KIND.pump, KIND.cleanout, KIND.vent]);

export const pathDeadLeg = defineRule<Data>({
  id: "path.dead-leg",
  title: "No drain without a source",
  question: "Is there a drain that nothing feeds?",
  why: "A leg that no water passes fouls and dries; it is an error of the drawing, or something that was taken away.",
  severity: "advice",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "nodes.future", "pipes.from", "pipes.to", "pipes.role"],
  limits: [],
  notApplicable: "Every drain begins at a coil, a pump, a cleanout, a vent or a stub for later.",
  remedy: "Take it out, cap it as a stub for later (`future`), or make it a cleanout.",
  sources: ["ipc-704"],
  anchor: "pipe",
  // Drains that begin at something else than a proper start, and every drain that nothing feeds.
  *subjects(c) {
    const { net } = c;
    const { start, list } = net.drainsOut;
    const legs = dead(c);
    for (let node = 0; node < net.nodeCount; node++) {
      const begins = net.drainsIn.start[node + 1] === net.drainsIn.start[node];
      const proper = STARTS.has(net.kind[node]) || net.nodes[node].future;
      for (let k = start[node]; k < start[node + 1]; k++) if ((begins && !proper) || legs.has(list[k])) yield list[k];
    }
  },
  judge: (c, pipe) => {
    const fed = !dead(c).has(pipe);
    if (fed && !c.wantPasses) return PASS;
    const from = c.net.from[pipe];
    return {
      outcome: fed ? "pass" : "fail",
      data: { pipe, from, fed },
      anchor: pipe,
      subject: { nodes: [from], pipes: [pipe] },
      evidence: [],
      remedy: fed ? [] : [{ action: "remove-pipe", on: { pipe } }],
    };
  },
  say: ({ pipe, from, fed }, speak) =>
    fed
      ? `${speak.pipe(pipe)} begins at ${speak.node(from)}, where a cleanout, vent or pump stands.`
      : `No coil drains through ${speak.pipe(pipe)}, and no cleanout, vent, pump or stub for later stands at or above ${speak.node(from)}.`,
});
