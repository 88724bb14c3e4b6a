import { ROLE } from "../../graph/compiled.js";
import { deadEnds, pipesWithin } from "../dead-end.js";
import { indexed } from "../indexed.js";
import { defineRule, PASS, type RemedyStep } from "../rule.js";

interface Data {
  readonly node: number;
  readonly nodes: readonly number[];
  readonly coils: number;
}

/** First node of a loop → its place in net.cycles. */
const loopBeginningAt = indexed(({ net }) => new Map(net.cycles.map((nodes, place) => [nodes[0], place])));

export const pathCycle = defineRule<Data>({
  id: "path.cycle",
  title: "No loop of drains",
  question: "Is there a loop of drains?",
  why: "Water in a loop never leaves: at least one of its pipes is drawn against the flow, or does not belong there.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: ["pipes.from", "pipes.to", "pipes.role"],
  limits: [],
  notApplicable: "There are no drains.",
  remedy: "Turn round or take out the pipe that closes the loop.",
  sources: ["imc-307.2.1", "upc-814.1"],
  anchor: "node",
  // Nodes that a drain leaves; of the nodes of one loop only the first, so that a loop counts once.
  *subjects(c) {
    const { net } = c;
    const firstOfLoop = loopBeginningAt(c);
    for (let node = 0; node < net.nodeCount; node++) {
      if (firstOfLoop.has(node)) yield node;
      else if (net.onCycle[node] === 0 && net.drainsOut.start[node + 1] > net.drainsOut.start[node]) yield node;
    }
  },
  judge: (c, node) => {
    const { net, facts } = c;
    if (net.onCycle[node] === 0) {
      if (!c.wantPasses) return PASS;
      return {
        outcome: "pass",
        data: { node, nodes: [node], coils: 0 },
        anchor: node,
        subject: { nodes: [node] },
        evidence: [],
      };
    }
    const loop = loopBeginningAt(c).get(node) ?? -1;
    const nodes = net.cycles[loop];
    const pipes = pipesWithin(net, nodes);
    const fanCoils = deadEnds(c).coilsInto[loop];
    // The pipe that rises most is the likeliest to be drawn against the flow.
    const drains = pipes.filter((pipe) => net.role[pipe] === ROLE.drain);
    let steepest = drains[0];
    for (const pipe of drains) if (facts.geometry.fall[pipe] < facts.geometry.fall[steepest]) steepest = pipe;
    const action = nodes.length > 2 && facts.geometry.fall[steepest] < 0 ? "reverse-pipe" : "remove-pipe";
    const remedy: RemedyStep[] = steepest === undefined ? [] : [{ action, on: { pipe: steepest } }];
    return {
      outcome: "fail",
      data: { node, nodes, coils: fanCoils.length },
      anchor: node,
      subject: { fanCoils, nodes, pipes },
      evidence: [],
      remedy,
    };
  },
  say: ({ node, nodes, coils }, speak) => {
    if (nodes.length < 2) return `No loop of drains passes ${speak.node(node)}.`;
    const among = coils === 0 ? "" : ` The water of ${coils === 1 ? "one coil" : `${coils} coils`} runs into it.`;
    return `The drains between ${speak.list(nodes.map((n) => speak.node(n)))} form a loop: water in it reaches no outlet.${among}`;
  },
});
