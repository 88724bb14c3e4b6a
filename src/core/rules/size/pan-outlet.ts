import { KIND, ROLE } from "../../graph/compiled.js";
import { drawnSize, isNominal, settleSize, sizeEvidence } from "../drawn-size.js";
import { indexed } from "../indexed.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type RemedyStep, type Settle } from "../rule.js";

/** Node → the smallest drain from it down to where its water leaves the fall; NaN where one of them is not known. */
const leastBelow = indexed((c) => {
  const { net, facts } = c;
  const least = new Float64Array(net.nodeCount).fill(Number.POSITIVE_INFINITY);
  for (const node of net.downstreamFirst) {
    const pipe = facts.topology.next[node];
    if (pipe < 0 || net.role[pipe] !== ROLE.drain || net.kind[node] === KIND.pump) continue;
    // Math.min hands NaN on.
    least[node] = Math.min(least[net.to[pipe]], drawnSize(c, pipe));
  }
  return least;
});

/** Drains of a coil's path down to its outlet or first pump. */
const drainsBelow = (c: Case, coil: number): number[] =>
  [...c.facts.topology.path(coil).subarray(0, c.facts.topology.toBoundary[coil])].filter(
    (pipe) => c.net.role[pipe] === ROLE.drain,
  );

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  /** the first pipe that is too small, or not known; -1 */
  readonly pipe: number;
  readonly drawn: number;
  /** m, where the pipe has no nominal size of its own */
  readonly bore: number;
  /** DN number of the pan's outlet, NaN not given */
  readonly outlet: number;
  readonly more: number;
}

export const sizePanOutlet = defineRule<Data>({
  id: "size.pan-outlet",
  title: "Pipe smaller than the pan's outlet",
  question: "Is any pipe smaller than the pan's own outlet?",
  why: "The drain of a coil may nowhere be smaller than the connection that its maker gave the pan: what comes out of the pan must pass.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.pan.outletSize", "pipes.size", "pipes.material", "pipes.insideDiameter"],
  limits: [],
  notApplicable: "Every coil pumps its water, or none has a drain.",
  remedy: "Enlarge the pipe to the size of the pan's outlet.",
  sources: ["imc-307.2.2", "upc-814.1"],
  anchor: "coil",
  *subjects(c) {
    const { net, facts } = c;
    for (let coil = 0; coil < net.coils.length; coil++)
      if (net.nodes[net.coils[coil]].coil!.internalPump === null && facts.topology.next[net.coils[coil]] >= 0)
        yield coil;
  },
  judge(c, coil) {
    const { net, facts } = c;
    const node = net.coils[coil];
    const outlet = net.nodes[node].coil!.pan.outletSize ?? Number.NaN;
    const least = facts.topology.intoCycle[node] === 1 ? Number.NaN : leastBelow(c)[node];
    if (least >= outlet && !c.wantPasses) return PASS;
    const drains = drainsBelow(c, coil);
    const sizes = drains.map((pipe) => drawnSize(c, pipe));
    const small = drains.filter((_, k) => sizes[k] < outlet);
    const unknown = drains.filter((_, k) => Number.isNaN(sizes[k]));
    const outcome: Outcome = Number.isNaN(outlet)
      ? "undetermined"
      : small.length > 0
        ? "fail"
        : unknown.length > 0
          ? "undetermined"
          : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const smallest = sizes.reduce((k, size, at) => (size < sizes[k] || Number.isNaN(sizes[k]) ? at : k), 0);
    const pipe =
      outcome === "fail" ? small[0] : outcome === "undetermined" ? (unknown[0] ?? -1) : (drains[smallest] ?? -1);
    const pointer = `${net.nodes[node].pointer}/pan/outletSize`;
    const shown = outcome === "fail" ? small : outcome === "pass" && pipe >= 0 ? [pipe] : [];
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : Number.isNaN(outlet)
          ? { family: "missing" as const, settledBy: [{ pointer }] }
          : settle(c, unknown)),
      data: {
        outcome,
        coil: node,
        pipe,
        drawn: pipe < 0 ? Number.NaN : drawnSize(c, pipe),
        bore: pipe < 0 || isNominal(c, pipe) ? Number.NaN : facts.capacity.bore[pipe],
        outlet,
        more: Math.max(0, small.length - 1),
      },
      anchor: coil,
      subject: { fanCoils: [node], pipes: small },
      evidence: shown.slice(0, 1).map((each) => {
        const evidence = sizeEvidence(c, each, outlet, { name: "pan.outletSize", source: "document" });
        return { ...evidence, from: [...evidence.from, pointer] };
      }),
      remedy:
        outcome === "fail"
          ? small.map(
              (each): RemedyStep => ({
                action: "enlarge-pipe",
                on: { pipe: each },
                amount: Math.max(outlet, facts.capacity.requiredSize[each]),
                kind: "size",
              }),
            )
          : undefined,
    };
  },
  say: ({ outcome, coil, pipe, drawn, bore, outlet, more }, speak) => {
    if (Number.isNaN(outlet))
      return `Whether the drain of ${speak.node(coil)} is as large as the pan's own outlet cannot be told: the size of the outlet is not given.`;
    if (outcome === "undetermined")
      return `Whether the drain of ${speak.node(coil)} is as large as the pan's outlet of ${speak.size(outlet)} cannot be told: the size of ${speak.pipe(pipe)} is not known.`;
    if (outcome === "pass")
      return `No pipe below ${speak.node(coil)} is smaller than the pan's outlet of ${speak.size(outlet)}.`;
    const others = more === 0 ? "" : more === 1 ? ", and so is one further pipe" : `, and so are ${more} further pipes`;
    const size = Number.isNaN(bore) ? speak.size(drawn) : `a bore of ${speak.figure(bore, "dimension", "down")}`;
    const is = `${speak.pipe(pipe)} (${size})`;
    return `${is} is smaller than the outlet of the pan of ${speak.node(coil)} (${speak.size(outlet)})${others}.`;
  },
});

function settle(c: Case, pipes: readonly number[]): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  const lacking = pipes.map((pipe) => settleSize(c, pipe));
  const missing = lacking.filter(({ family }) => family === "missing");
  const family: Family = missing.length > 0 ? "missing" : "method";
  return { family, settledBy: (missing.length > 0 ? missing : lacking).flatMap(({ settledBy }) => settledBy) };
}
