import { defineRule, PASS } from "../rule.js";

interface Data {
  readonly node: number;
  readonly pipes: readonly number[];
  readonly main: number;
}

export const pathSplit = defineRule<Data>({
  id: "path.split",
  title: "No drain divides",
  question: "Does a drain divide?",
  why: "Where two drains leave one place nobody can say which of them carries the water, and the dry one fouls.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["pipes.from", "pipes.to", "pipes.role"],
  limits: [],
  notApplicable: "No drain leaves any node.",
  remedy: "Take out every drain but one, or give it the role that it has (vent, secondary, auxiliary).",
  sources: ["common-practice"],
  anchor: "node",
  *subjects({ net }) {
    const { start } = net.drainsOut;
    for (let node = 0; node < net.nodeCount; node++) if (start[node + 1] > start[node]) yield node;
  },
  judge: (c, node) => {
    const { start, list } = c.net.drainsOut;
    const many = start[node + 1] - start[node] > 1;
    if (!many && !c.wantPasses) return PASS;
    const pipes = [...list.subarray(start[node], start[node + 1])];
    const main = c.facts.topology.next[node];
    return {
      outcome: many ? "fail" : "pass",
      data: { node, pipes, main },
      anchor: node,
      subject: { nodes: [node], pipes },
      evidence: [],
      remedy: many
        ? pipes.filter((pipe) => pipe !== main).map((pipe) => ({ action: "remove-pipe", on: { pipe } }))
        : [],
    };
  },
  say: ({ node, pipes, main }, speak) =>
    pipes.length > 1
      ? `The drain divides at ${speak.node(node)}: ${speak.list(pipes.map((p) => speak.pipe(p)))} leave it${
          main >= 0 ? `; the way over the lowest weir is ${speak.pipe(main)}` : ""
        }.`
      : `One drain, ${speak.pipe(pipes[0])}, leaves ${speak.node(node)}.`,
});
