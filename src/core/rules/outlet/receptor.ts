import type { Backup, SpillOpening } from "../../analysis/facts.js";
import {
  type Running,
  runningOn,
  type SpillPlaces,
  sayPlaces,
  sayRunning,
  settleLevels,
  spillEvidence,
  spillPlaces,
} from "../first-spill.js";
import { endsInTheOpen, factOf, outletAt } from "../outlet-ends.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep, type Settle } from "../rule.js";

const isIndoors = (c: Case, node: number): boolean => {
  const outlet = outletAt(c, node);
  if (endsInTheOpen(outlet) || outlet.discharge === "drywell") return false;
  return factOf(c, node).pipes.some((pipe) => c.net.pipes[pipe].space !== "outdoors");
};

/** Does what comes out there do harm? null: nobody says, and as far as is known it wets nobody's rooms. */
const doesHarm = (c: Case, node: number, { node: at, told, harmless }: SpillOpening): boolean | null => {
  if (told || harmless) return false;
  if (at !== node) return true;
  const { receptor } = outletAt(c, node);
  const below = receptor?.dwelling ?? c.net.nodes[node].dwelling;
  return receptor?.spillHarmless === false || below !== null ? true : null;
};

interface Data {
  readonly node: number;
  readonly accessible: boolean | null;
  readonly spill: Backup["outcome"];
  readonly places: SpillPlaces;
  readonly running: Running;
  /** null: nobody says whether the spill does harm */
  readonly harm: boolean | null;
}

export const outletReceptor = defineRule<Data>({
  id: "outlet.receptor",
  title: "Receptor within reach and sight",
  question: "Can the receptor be reached and seen, and where does it spill if its own drain stops?",
  why: "A receptor's own drain stops like any other. What nobody sees runs over for days, and what nobody reaches is not cleaned.",
  severity: "minor",
  kind: "contingency",
  stage: "design",
  needs: [
    "nodes.receptor.accessible",
    "nodes.receptor.rim",
    "nodes.receptor.spillHarmless",
    "nodes.receptor.dwelling",
    "nodes.connection",
    "nodes.discharge",
    "pipes.space",
  ],
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
    const { net } = c;
    const backup = c.facts.backups.ofNode(node)!;
    const accessible = outletAt(c, node).receptor?.accessible ?? null;
    const { pointer } = net.nodes[node];
    const settledBy: Settle[] = accessible === null ? [{ pointer: `${pointer}/receptor/accessible` }] : [];
    let harm: boolean | null = false;
    if (backup.outcome === "undetermined") settledBy.push(...settleLevels(c, backup));
    else if (backup.outcome === "uncontained") {
      harm = backup.openings.some((opening) => doesHarm(c, node, opening) === true) ? true : null;
      if (harm === null) settledBy.push({ pointer: `${pointer}/receptor/spillHarmless` });
    }
    const outcome: Outcome =
      accessible === false || harm === true ? "fail" : settledBy.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const spilling = backup.openings.map((opening) => opening.node);
    const remedy: RemedyStep[] = [];
    if (accessible === false) remedy.push({ action: "give-access", on: { node } });
    if (harm === true)
      remedy.push({
        action: "add-device",
        on: { node },
        amount: backup.firstSpill,
        kind: "elevation",
        what: "receptor",
      });
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing" as const, settledBy } : {}),
      data: {
        node,
        accessible,
        spill: backup.outcome,
        places: spillPlaces(c, backup),
        running: runningOn(backup),
        harm,
      },
      anchor: node,
      subject: {
        nodes: [node, ...spilling].filter((each) => net.coilAt[each] < 0),
        fanCoils: spilling.filter((each) => net.coilAt[each] >= 0),
      },
      evidence: spilling.length > 0 ? spillEvidence(c, backup, [pointer]) : [],
      remedy: outcome === "fail" ? remedy : [],
    };
  },
  say: ({ node, accessible, spill, places, running, harm }, speak) => {
    const name = `the receptor at ${speak.node(node)}`;
    const reach =
      accessible === null
        ? `Whether ${name} can be reached and seen is not known.`
        : accessible
          ? `T${name.slice(1)} can be reached and seen.`
          : `T${name.slice(1)} cannot be reached and seen.`;
    if (places.dwellings.length + places.nodes.length === 0)
      return `${reach} If its own drain stops, where water comes out first cannot be told: the level of an opening is not known.`;
    const spills = `If its own drain stops, water comes out first ${sayPlaces(places, speak)}`;
    if (harm === true) return `${reach} ${spills}: ${sayRunning(running, speak)}.`;
    if (harm === null) return `${reach} ${spills}, and nothing stops it in time; whether that does harm is not known.`;
    if (spill === "undetermined") return `${reach} ${spills}; whether a level switch stops it by then is not known.`;
    if (spill === "contained")
      return `${reach} If its own drain stops, level switches stop every coil above before water comes out ${sayPlaces(places, speak)}.`;
    return `${reach} ${spills}, where ${spill === "told" ? "it is seen and carried off" : "it does no harm"}.`;
  },
});
