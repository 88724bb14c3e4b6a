import { exact } from "../../quantity/interval.js";
import { partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { endsInTheOpen, factOf, lackingAt, openGap, outletAt } from "../outlet-ends.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type Settle } from "../rule.js";

/** Over or in a receptor that is open to the room: the air that lies between. */
const isOpenEnd = (c: Case, node: number): boolean => {
  const outlet = outletAt(c, node);
  const { connection, discharge, receptor } = outlet;
  if (connection === "air-gap" || connection === "air-break" || endsInTheOpen(outlet)) return true;
  // The fixture itself is open between the pipe and its trap; wells and tanks have none unless somebody says so.
  if (discharge === "fixture-tailpiece") return true;
  return (discharge === "drywell" || discharge === "recovery-tank") && receptor?.trapped !== true;
};

/** Is the air before an outlet shut in between the seals above and a trap at the receptor? null: another end decides. */
const isShutIn = (c: Case, node: number, reading: Reading): boolean | null => {
  const partition = partitionOf(c, reading);
  const { openings, pans } = partition.spaces[partition.ofNode[node]];
  const others = openings.filter((each) => each !== node);
  if (pans.length > 0 || others.some((each) => c.net.nodes[each].outlet === null || isOpenEnd(c, each))) return false;
  return others.every((each) => outletAt(c, each).connection !== null) ? true : null;
};

/** Outlet → coils (nodes) whose water comes to it first. */
const coilsOf = indexed((c): ReadonlyMap<number, readonly number[]> => {
  const of = new Map<number, number[]>();
  for (const coil of c.net.coils) {
    const boundary = c.facts.topology.boundary[coil];
    const known = of.get(boundary);
    if (known === undefined) of.set(boundary, [coil]);
    else known.push(coil);
  }
  return of;
});

interface Data {
  readonly outcome: Outcome;
  readonly family: Family | null;
  readonly node: number;
  readonly coils: readonly number[];
  readonly trapped: boolean | null;
}

export const outletTrappedReceptor = defineRule<Data>({
  id: "outlet.trapped-receptor",
  title: "Second seal at the receptor",
  question: "Is a second seal met at the receptor without air between?",
  why: "A receptor's trap after the coil's own is a second seal in line. Without an opening between them the air there is locked in, and water stands in the pan before it can push that air out.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.connection", "nodes.receptor.trapped", "nodes.discharge", "traps.sealDepth", "traps.primed"],
  limits: [],
  notApplicable: "Every outlet to which coils drain ends over or in something that is open to the air.",
  remedy: "Let the pipe end over the receptor through an air gap, or open the air before it by a vent.",
  sources: ["ipc-1002", "common-practice"],
  anchor: "node",
  *subjects(c) {
    for (const { node, fed } of c.facts.outlets.list) if (fed && !isOpenEnd(c, node)) yield node;
  },
  judge(c, node) {
    const { connection, receptor } = outletAt(c, node);
    const trapped = receptor?.trapped ?? null;
    const { pointer } = c.net.nodes[node];
    const states = readings(c).map((reading) => isShutIn(c, node, reading));
    const coils = coilsOf(c).get(node)!;
    let outcome: Outcome = "pass";
    let family: Family | null = null;
    let settledBy: readonly Settle[] = [];
    if (trapped !== false && states.some((state) => state !== false)) {
      const missing = lackingAt(c, node, "connection");
      if (trapped === null) missing.push({ pointer: `${pointer}/receptor/trapped` });
      if (states.includes(null)) missing.push(...otherEnds(c, node));
      if (missing.length > 0) {
        outcome = "undetermined";
        family = "missing";
        settledBy = missing;
      } else if (states.every((state) => state === true)) outcome = "fail";
      else {
        outcome = "undetermined";
        ({ family, settledBy } = settleClosures(c, pipesTo(c, node)));
      }
    }
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(family === null ? {} : { family, settledBy }),
      data: {
        outcome,
        family,
        node,
        coils: outcome === "fail" ? coils : [],
        trapped: connection === null ? null : trapped,
      },
      anchor: node,
      subject: { nodes: [node], fanCoils: outcome === "fail" ? coils : [] },
      evidence:
        outcome === "fail"
          ? [
              evidenceOf(
                "openingsBetween",
                "count",
                judgeFigure(exact(0), 1, "at-least"),
                { name: "open air between two seals", source: "ipc-1002" },
                [`${pointer}/connection`, `${pointer}/receptor/trapped`],
              ),
            ]
          : [],
      remedy: outcome === "fail" ? openGap(c, node) : [],
    };
  },
  say: ({ outcome, family, node, coils, trapped }, speak) => {
    const name = speak.node(node);
    if (outcome === "fail")
      return `At ${name} the drain of ${speak.list(coils.map((coil) => speak.node(coil)))} is connected directly to a trapped receptor: a second seal, with no open air between it and the seal before.`;
    if (outcome === "pass")
      return trapped === false
        ? `What the drain is connected to at ${name} has no trap.`
        : `Open air lies between the last seal and the receptor at ${name}.`;
    if (family === "missing")
      return `Whether a second seal without air before it is met at ${name} is not known: how the drain is connected there, or whether there is a trap, is not given.`;
    return `Whether open air lies before the trapped receptor at ${name} cannot be told: it hangs on whether standing water closes the bore above.`;
  },
});

/** Ends beside this one whose connection nobody gave. */
const otherEnds = (c: Case, node: number): Settle[] => {
  const { spaces, ofNode } = partitionOf(c, "best");
  return spaces[ofNode[node]].openings
    .filter((each) => each !== node && c.net.nodes[each].outlet?.connection === null)
    .flatMap((each) => lackingAt(c, each, "connection"));
};

/** Drains above an outlet whose closing may part it from an opening; those of a few coils tell enough. */
function* pipesTo(c: Case, node: number): Generator<number> {
  yield* factOf(c, node).pipes;
  for (const coil of coilsOf(c).get(node)!.slice(0, 8)) yield* c.facts.topology.path(c.net.coilAt[coil]);
}
