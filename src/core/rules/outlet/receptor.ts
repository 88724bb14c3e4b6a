import type { Backup, SpillOpening } from "../../analysis/facts.js";
import type { Discharge } from "../../profiles/outlets.js";
import { exact } from "../../quantity/interval.js";
import { plainEvidence } from "../judge-figure.js";
import { endsInTheOpen, factOf, outletAt } from "../outlet-ends.js";
import { type Case, defineRule, type Outcome, PASS, type Settle } from "../rule.js";
import { settleOpening } from "../spill-opening.js";

/** Nobody looks after a receptor there, and what it spills wets no room. */
const OUTDOORS: ReadonlySet<Discharge> = new Set(["drywell"]);

const isIndoors = (c: Case, node: number): boolean => {
  const outlet = outletAt(c, node);
  if (endsInTheOpen(outlet) || (outlet.discharge !== null && OUTDOORS.has(outlet.discharge))) return false;
  const { pipes } = factOf(c, node);
  return pipes.some((pipe) => c.net.pipes[pipe].space !== "outdoors");
};

const dwellingOf = ({ net }: Case, node: number): string | null =>
  net.nodes[node].outlet?.receptor?.dwelling ?? net.nodes[node].dwelling;

/** Does what comes out there do harm? null: nobody says of this receptor, and nobody lives under it as far as is known. */
const doesHarm = (c: Case, node: number, { node: at, told, harmless }: SpillOpening): boolean | null => {
  if (told || harmless) return false;
  if (at !== node) return true;
  const { receptor } = outletAt(c, node);
  return receptor?.spillHarmless === false || dwellingOf(c, node) !== null ? true : null;
};

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly accessible: boolean | null;
  readonly spill: Backup["outcome"];
  /** m; NaN where it cannot be told */
  readonly level: number;
  readonly openings: readonly number[];
  readonly dwellings: readonly string[];
  readonly inflow: number;
}

export const outletReceptor = defineRule<Data>({
  id: "outlet.receptor",
  title: "Receptor within reach and sight",
  question: "Can the receptor be reached and seen, and where does it spill if its own drain stops?",
  why: "A receptor's own drain stops like any other. What nobody sees runs over for days, and what nobody reaches is not cleaned.",
  severity: "minor",
  kind: "contingency",
  stage: "design",
  needs: ["nodes.receptor.accessible", "nodes.receptor.rim", "nodes.receptor.spillHarmless", "nodes.receptor.dwelling"],
  limits: [],
  notApplicable: "No coil drains to a receptor indoors.",
  remedy: "Make the receptor accessible, or lead the drain to one that is; watch it where its spilling does harm.",
  sources: ["ipc-802", "as-nzs-3500.2", "common-practice"],
  anchor: "node",
  *subjects(c) {
    for (const { node, fed } of c.facts.outlets.list)
      if (fed && isIndoors(c, node) && c.facts.backups.ofNode(node) !== null) yield node;
  },
  judge(c, node) {
    const backup = c.facts.backups.ofNode(node)!;
    const accessible = outletAt(c, node).receptor?.accessible ?? null;
    const { pointer } = c.net.nodes[node];
    const settledBy: Settle[] = accessible === null ? [{ pointer: `${pointer}/receptor/accessible` }] : [];
    let harm = false;
    if (backup.outcome === "undetermined") {
      settledBy.push(...backup.unknownSpills.map((each) => settleOpening(c, each)));
      for (const device of backup.unknownTrips)
        settledBy.push({ pointer: `${c.net.model.devices[device].pointer}/tripHeight` });
    } else if (backup.outcome === "uncontained") {
      const harms = backup.openings.map((opening) => doesHarm(c, node, opening));
      harm = harms.includes(true);
      if (!harm) settledBy.push({ pointer: `${pointer}/receptor/spillHarmless` });
    }
    const outcome: Outcome = accessible === false || harm ? "fail" : settledBy.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const openings = [...new Set(backup.openings.map((opening) => opening.node))];
    const dwellings = openings.map((each) => dwellingOf(c, each)).filter((each) => each !== null);
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy } : {}),
      data: {
        outcome,
        node,
        accessible,
        spill: backup.outcome,
        level: backup.firstSpill,
        openings,
        dwellings: [...new Set(dwellings)],
        inflow: backup.inflowAfterTrips,
      },
      anchor: node,
      subject: { nodes: [...new Set([node, ...openings])] },
      evidence: Number.isNaN(backup.firstSpill)
        ? []
        : [plainEvidence("firstSpill", "elevation", exact(backup.firstSpill), [pointer])],
      remedy:
        outcome === "fail"
          ? [
              ...(accessible === false ? [{ action: "give-access", on: { node } } as const] : []),
              ...(harm
                ? [
                    {
                      action: "add-device",
                      on: { node },
                      amount: backup.firstSpill,
                      kind: "elevation",
                      what: "receptor",
                    } as const,
                  ]
                : []),
            ]
          : [],
    };
  },
  say: ({ outcome, node, accessible, spill, level, openings, dwellings, inflow }, speak) => {
    const name = speak.node(node);
    const reach =
      accessible === null
        ? `Whether the receptor at ${name} can be reached and seen is not known.`
        : accessible
          ? `The receptor at ${name} can be reached and seen.`
          : `The receptor at ${name} can be neither reached nor seen.`;
    if (Number.isNaN(level))
      return `${reach} Where water comes out first if its own drain stops cannot be told from what is known.`;
    const where = openings.every((each) => each === node)
      ? "over its rim"
      : `at ${speak.list(openings.map((each) => speak.node(each)))}`;
    const whose = dwellings.length === 0 ? "" : ` (${speak.list(dwellings)})`;
    const first = `If its own drain stops, water comes out first ${where}${whose}, at ${speak.elevation(level, node)}`;
    const after = Number.isNaN(inflow) ? "" : `, up to ${speak.figure(inflow, "flow")}`;
    const then =
      spill === "contained"
        ? ": the coils have been stopped by then."
        : spill === "told"
          ? ", where it is told of."
          : spill === "harmless"
            ? ", where it does no harm."
            : outcome === "undetermined"
              ? `${after}, and nothing stops it: whether that does harm is not known.`
              : `${after}, and nothing stops it.`;
    return `${reach} ${first}${then}`;
  },
});
