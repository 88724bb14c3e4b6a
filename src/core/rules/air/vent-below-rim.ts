import { within } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { settlePanStatic } from "../pan-pressure.js";
import { type Case, defineRule, type Outcome, PASS, type Settle } from "../rule.js";
import { nodeLevel, reMeasure } from "../settle.js";
import { branchOf } from "../vent-runs.js";

/** Open vents between the traps and the mains of coils, with the coils (by position) whose branch they vent. */
const branchVents = indexed((c) => {
  const coilsOf = new Map<number, number[]>();
  if (c.profile.ventRule === "spill-at-vent") return coilsOf;
  for (let coil = 0; coil < c.net.coils.length; coil++) {
    for (const tee of branchOf(c, coil)?.tees ?? []) {
      for (const vent of tee.run.open) {
        if (c.net.nodes[vent].spillHarmless) continue;
        const known = coilsOf.get(vent);
        if (known === undefined) coilsOf.set(vent, [coil]);
        else if (known.at(-1) !== coil) known.push(coil);
      }
    }
  }
  return coilsOf;
});

/** Switches at a coil's pan that stop it at a level nobody gave. */
const unknownTrips = (c: Case, node: number): Settle[] =>
  c.net.model.devices
    .filter(
      (device) =>
        c.net.nodeRank[device.at] === node &&
        device.tripLevel === null &&
        device.seat !== "auxiliary-pan" &&
        device.seat !== "main" &&
        device.state !== "jumpered" &&
        device.state !== "failed",
    )
    .map((device) => ({ pointer: `${device.pointer}/tripHeight` }));

/** What is missing to tell the level that a vent must pass. */
const settleLevel = (c: Case, coil: number): Settle[] => {
  const node = c.net.coils[coil];
  const { pointer, coil: fanCoil } = c.net.nodes[node];
  const isWatched = c.profile.ventRule === "trip" && !Number.isNaN(c.facts.seals.lowestTrip[coil]);
  const trips = c.profile.ventRule === "trip" ? unknownTrips(c, node) : [];
  const settles = fanCoil!.panStatic === null ? [settlePanStatic(c, coil), ...trips] : trips;
  if (!isWatched && trips.length === 0 && fanCoil!.pan.rimHeight === null)
    settles.push({ pointer: `${pointer}/pan/rimHeight` });
  return settles;
};

interface Data {
  readonly outcome: Outcome;
  readonly vent: number;
  readonly coil: number;
  readonly top: number;
  readonly least: number;
  readonly by: "switch" | "rim";
}

export const airVentBelowRim = defineRule<Data>({
  id: "air.vent-below-rim",
  title: "Vent lower than the pan's switch or rim",
  question:
    "Does a backup reach the pan's switch (or, without one, its rim) before it runs out of the vent, with the fan running and after it has stopped?",
  why: "Where the vent is the lower of the two, a blocked drain spills at the vent, above a ceiling where nobody looks, and the switch in the pan never sees the water.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "nodes.panStatic", "nodes.pan.rimHeight", "overflowDevices.tripHeight"],
  limits: ["vent.rule"],
  notApplicable:
    "No open vent stands between a trap and its main, or spilling at those vents does no harm, or the profile wants a backup to show at the vent.",
  remedy: "Raise the vent's open end above the level at which the pan's switch trips.",
  sources: ["common-practice"],
  anchor: "node",
  subjects: (c) => branchVents(c).keys(),
  judge(c, vent) {
    const { net, facts } = c;
    const coils = branchVents(c).get(vent)!;
    const judgedOf = (coil: number) => {
      const half = net.tolerance[vent] + net.tolerance[net.coils[coil]];
      return judgeFigure(within(net.z[vent], half), facts.seals.leastVentTop[coil], "at-least");
    };
    const rank: Record<Outcome, number> = { fail: 2, undetermined: 1, pass: 0 };
    let coil = coils[0];
    let judged = judgedOf(coil);
    for (const other of coils.slice(1)) {
      const next = judgedOf(other);
      const isWorse =
        rank[next.outcome] > rank[judged.outcome] || (next.outcome === judged.outcome && next.margin < judged.margin);
      if (isWorse) [coil, judged] = [other, next];
    }
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const by = Number.isNaN(facts.seals.lowestTrip[coil]) || c.profile.ventRule === "rim" ? "rim" : "switch";
    const topPointer = `${net.nodes[vent].pointer}${net.nodes[vent].pointer.endsWith("/vent") ? "/top" : "/elevation"}`;
    return {
      outcome,
      ...(outcome === "undetermined"
        ? judged.family === "missing"
          ? {
              family: "missing" as const,
              settledBy: coils
                .filter((other) => Number.isNaN(facts.seals.leastVentTop[other]))
                .flatMap((other) => settleLevel(c, other)),
            }
          : {
              family: "tolerance" as const,
              settledBy: reMeasure(net, [{ node: vent, pointer: topPointer }, nodeLevel(net, node)], judged.within),
            }
        : {}),
      data: { outcome, vent, coil: node, top: judged.best, least: judged.limit, by },
      anchor: vent,
      subject: { fanCoils: coils.map((other) => net.coils[other]), nodes: [vent] },
      evidence: Number.isNaN(judged.limit)
        ? []
        : [
            evidenceOf("ventTop", "elevation", judged, { name: "leastVentTop", source: "common-practice" }, [
              topPointer,
              net.nodes[node].pointer,
            ]),
          ],
      remedy:
        outcome === "fail"
          ? [{ action: "raise-vent", on: { node: vent }, amount: judged.limit - judged.low, kind: "dimension" }]
          : undefined,
    };
  },
  say: ({ outcome, vent, coil, top, least, by }, speak) => {
    const what = by === "switch" ? "its switch trips" : "its rim spills";
    const name = `The vent ${speak.node(vent)}`;
    if (Number.isNaN(least))
      return `Whether a backup reaches the pan of ${speak.node(coil)} before it runs out of the vent ${speak.node(vent)} cannot be told: the level that the vent must pass is not known.`;
    const levels = speak.against(top, least, "elevation");
    if (outcome === "pass")
      return `${name} ends at ${levels.figure}, not below ${levels.limit}, where the pan of ${speak.node(coil)} backs up until ${what}.`;
    if (outcome === "fail")
      return `${name} ends at ${levels.figure}, ${speak.figure(least - top, "dimension", "up")} below ${levels.limit}: if the drain backs up, water runs out of the vent before it stands so high at the pan of ${speak.node(coil)} that ${what}.`;
    return `${name} ends at ${levels.figure}, against ${levels.limit} where the pan of ${speak.node(coil)} backs up until ${what}: too close for the tolerance of the levels.`;
  },
});
