import type { Backup } from "../../analysis/facts.js";
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
import { interlock, interlockPointer, isInterlocked, NO_PUMP, pumps } from "../pumps.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

const failed = ({ facts }: Case, node: number): Backup | null => facts.backups.ofNode(node);

/** A pump whose full sump stops everything spills nothing, wherever its rim lies. */
const outcomeOf = (stops: boolean | null, { outcome }: Backup): Outcome => {
  if (stops === true || (outcome !== "uncontained" && outcome !== "undetermined")) return "pass";
  return outcome === "uncontained" && stops === false ? "fail" : "undetermined";
};

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly stops: boolean | null;
  readonly backup: Backup["outcome"];
  readonly places: SpillPlaces;
  readonly running: Running;
}

export const pumpOverflow = defineRule<Data>({
  id: "pump.overflow",
  title: "What a failed pump spills",
  question: "If the pump fails, where does its sump spill, and what stops?",
  why: "Whatever drains to a pump stands still when it fails. It spills at the lowest opening, which may be the sump under a floor or a pan two dwellings away.",
  severity: "major",
  kind: "contingency",
  stage: "design",
  needs: [
    "nodes.interlocked",
    "nodes.internalPump.switch",
    "nodes.sump.rim",
    "nodes.sump.ventedTo",
    "nodes.spillHarmless",
    "nodes.pan.rimHeight",
  ],
  limits: [],
  notApplicable: NO_PUMP,
  remedy: "Wire the high-level contact of the sump so that it stops every coil that drains into it.",
  sources: ["imc-307.3", "irc-m1411.3", "derived"],
  anchor: "node",
  *subjects(c) {
    for (const node of pumps(c)) if (failed(c, node) !== null) yield node;
  },
  judge(c, node) {
    const { net } = c;
    const backup = failed(c, node)!;
    const stops = isInterlocked(c, node);
    const outcome = outcomeOf(stops, backup);
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const contact = interlockPointer(c, node);
    const isSpillKnown = backup.openings.length > 0;
    return {
      outcome,
      ...(outcome === "undetermined"
        ? {
            family: "missing" as const,
            settledBy: [...(stops === null ? [{ pointer: contact }] : []), ...settleLevels(c, backup)],
          }
        : {}),
      data: {
        outcome,
        node,
        stops,
        backup: backup.outcome,
        places: spillPlaces(c, backup),
        running: runningOn(backup),
      },
      anchor: node,
      subject: {
        nodes: [node, ...backup.openings.map((opening) => opening.node)].filter((each) => net.coilAt[each] < 0),
        fanCoils: [node, ...backup.openings.map((opening) => opening.node)].filter((each) => net.coilAt[each] >= 0),
      },
      evidence: isSpillKnown && stops !== true ? spillEvidence(c, backup, [net.nodes[node].pointer]) : [],
      remedy: outcome === "fail" ? [interlock(node)] : undefined,
    };
  },
  say: ({ outcome, node, stops, backup, places, running }, speak) => {
    const pump = `the pump at ${speak.node(node)}`;
    const isKnown = places.dwellings.length + places.nodes.length > 0;
    if (stops === true) return `If ${pump} fails, a full sump stops what drains into it.`;
    if (!isKnown)
      return `If ${pump} fails, where water comes out first cannot be told: the level of an opening is not known.`;
    const spills = `If ${pump} fails, water comes out first ${sayPlaces(places, speak)}`;
    if (outcome === "fail") return `${spills}: ${sayRunning(running, speak)}.`;
    if (outcome === "undetermined")
      return backup === "undetermined"
        ? `${spills}. Whether a level switch stops it by then is not known.`
        : `${spills}. Whether a full sump stops what drains into it is not known.`;
    return backup === "contained"
      ? `If ${pump} fails, level switches stop every coil above before water comes out ${sayPlaces(places, speak)}.`
      : `${spills}, where ${backup === "told" ? "it is seen and carried off" : "it does no harm"}.`;
  },
});
