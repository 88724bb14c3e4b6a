import type { LockedSpace } from "../../analysis/facts.js";
import { KIND } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
import { cappedVentsOf, openPocket, type Pocket, pipesAround } from "../locked-air.js";
import { defineRule, type Outcome, PASS } from "../rule.js";

interface Locked {
  readonly locked: LockedSpace;
  readonly reading: Reading;
  /** positions of the coils that it concerns */
  readonly coils: readonly number[];
  readonly outcome: "fail" | "undetermined";
}

const pocketOf = ({ locked: { space }, reading, coils }: Locked): Pocket => ({ space, reading, coils });

/**
 * A locked space stands for all coils whose way it bars; a coil with two seals and no locked space stands for itself.
 * Subjects below the number of coils are coils, the rest spaces in the order of `spaces` (on either side of one trap two
 * spaces without a node share their anchor: two subjects, one finding).
 */
const plan = indexed((c) => {
  const all = readings(c);
  const lockedIn = (reading: Reading): readonly LockedSpace[] => c.facts.lockedAir[reading].spaces;
  const lockedCoils = all.map((reading) => new Set(lockedIn(reading).flatMap((space) => space.coils)));
  const isCertain = (coil: number): boolean => lockedCoils.every((coils) => coils.has(coil));
  const spaces: Locked[] = [];
  const placed = new Set<number>();
  const place = (found: Locked): void => {
    spaces.push(found);
    placed.add(found.locked.anchor);
  };
  const told = new Set<number>();
  for (const locked of lockedIn("best")) {
    const coils = locked.coils.filter(isCertain);
    if (coils.length > 0) place({ locked, reading: "best", coils, outcome: "fail" });
  }
  for (const reading of all.length === 1 ? [] : (["closed", "best", "open"] as const)) {
    for (const locked of lockedIn(reading)) {
      const coils = locked.coils.filter((coil) => !isCertain(coil) && !told.has(coil));
      if (coils.length === 0 || placed.has(locked.anchor)) continue;
      for (const coil of coils) told.add(coil);
      place({ locked, reading, coils, outcome: "undetermined" });
    }
  }
  const free: number[] = [];
  for (let coil = 0; coil < c.net.coils.length; coil++)
    if (c.facts.seals.countOnPath[coil] >= 2 && !lockedCoils.some((coils) => coils.has(coil))) free.push(coil);
  return { spaces, free };
});

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly coils: readonly number[];
  readonly volume: number;
}

export const airTrapped = defineRule<Data>({
  id: "air.trapped",
  title: "Air locked between two seals",
  question: "Is air locked between two seals on a coil's way out?",
  why: "Two seals in line with no opening between them hold a captive pocket of air. Water must push that air through the second seal before it can leave; it backs up in the pan instead.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "pipes.insideDiameter", "nodes.sealDepth", "nodes.panStatic"],
  limits: [],
  notApplicable: "No coil's path crosses two seals.",
  remedy: "Open or add a vent between the two seals, or take the second seal out.",
  sources: ["common-practice", "air-in-pipes"],
  anchor: "node",
  *subjects(c) {
    const { spaces, free } = plan(c);
    yield* free;
    for (let i = 0; i < spaces.length; i++) yield c.net.coils.length + i;
  },
  judge(c, subject) {
    const { net, facts } = c;
    if (subject < net.coils.length) {
      if (!c.wantPasses) return PASS;
      const node = net.coils[subject];
      return {
        outcome: "pass",
        data: { outcome: "pass", node, coils: [node], volume: Number.NaN },
        anchor: node,
        subject: { fanCoils: [node] },
        evidence: [
          plainEvidence("sealsOnPath", "count", exact(facts.seals.countOnPath[subject]), [net.nodes[node].pointer]),
        ],
      };
    }
    const found = plan(c).spaces[subject - net.coils.length];
    const { locked, reading, outcome } = found;
    const space = partitionOf(c, reading).spaces[locked.space];
    const coils = found.coils.map((coil) => net.coils[coil]);
    const pocket = pocketOf(found);
    const outlets = new Set<number>();
    for (const seal of locked.seals) {
      const { pool } = facts.seals.list[seal];
      const weir = pool < 0 ? -1 : facts.water.pools[pool].weir;
      if (weir >= 0 && net.kind[weir] === KIND.outlet) outlets.add(weir);
    }
    return {
      outcome,
      ...(outcome === "undetermined" ? settleClosures(c, pipesAround(c, pocket)) : {}),
      data: { outcome, node: locked.anchor, coils, volume: space.volume },
      anchor: locked.anchor,
      subject: { fanCoils: coils, nodes: [locked.anchor], pipes: space.pipes },
      evidence: Number.isNaN(space.volume)
        ? []
        : [
            plainEvidence(
              "volume",
              "volume",
              exact(space.volume),
              space.pipes.map((pipe) => net.pipes[pipe].pointer),
            ),
          ],
      remedy: outcome === "fail" ? [openPocket(c, pocket)] : undefined,
      links: {
        seal: locked.seals,
        vent: cappedVentsOf(c, pocket),
        outlet: [...outlets],
        space: reading === "best" ? [locked.space] : [],
      },
    };
  },
  say: ({ outcome, node, coils, volume }, speak) => {
    const whose = speak.list(
      coils.map((coil) => speak.node(coil)),
      4,
    );
    const howMuch = Number.isNaN(volume) ? "air" : `${speak.figure(volume, "volume")} of air`;
    if (outcome === "pass") return `No air is locked between the seals on the way out of ${whose}.`;
    if (outcome === "fail")
      return `At ${speak.node(node)} ${howMuch} is locked between two seals with no opening to the atmosphere, on the way out of ${whose}: the water backs up behind it.`;
    return `At ${speak.node(node)} ${howMuch} may be locked between two seals, on the way out of ${whose}: whether the water there closes the bore cannot be told from what is known.`;
  },
});
