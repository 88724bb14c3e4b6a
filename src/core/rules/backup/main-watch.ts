import type { MainWatch } from "../../analysis/facts.js";
import { exact } from "../../quantity/interval.js";
import { settleLevels } from "../first-spill.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { settleOnce } from "../overflow-devices.js";
import { type Case, defineRule, type Outcome, PASS, type Settle } from "../rule.js";

/** So many drains say what they wait for: mostly it is the same. */
const MOST_ASKED = 64;

const watches = indexed(({ facts }): readonly MainWatch[] => facts.backups.mainWatches());

/** Of the main's switches the one that sees most speaks for all. */
const best = ({ net, facts }: Case, { devices }: MainWatch): number => {
  const sees = (device: number): number => {
    const count = facts.backups.watch(device).sees;
    return Number.isNaN(count) ? -1 : count;
  };
  return devices.reduce((a, b) => (sees(b) > sees(a) ? b : a), devices[0] ?? net.model.devices.length);
};

const settle = (c: Case, { devices, open }: MainWatch): Settle[] => {
  const { model } = c.net;
  const levels = devices.filter(
    (device) => c.facts.circuits.devices[device].works && model.devices[device].tripLevel === null,
  );
  return settleOnce([
    ...levels.map((device) => ({ pointer: `${model.devices[device].pointer}/tripHeight` })),
    ...open.slice(0, MOST_ASKED).flatMap((pipe) => settleLevels(c, c.facts.backups.ofPipe(pipe)!)),
  ]);
};

interface Data {
  readonly outcome: Outcome;
  readonly devices: readonly number[];
  readonly end: number;
  readonly common: number;
  readonly unseen: readonly number[];
  readonly open: readonly number[];
}

export const backupMainWatch = defineRule<Data>({
  id: "backup.main-watch",
  title: "Common drains that no switch of the main sees",
  question: "How many of the common drains can the main's own level switches see?",
  why: "A switch in the main sees a blockage only where the water rises to it before it comes out anywhere. Of a blockage further up it sees nothing.",
  severity: "advice",
  kind: "contingency",
  stage: "design",
  needs: [
    "overflowDevices.seat",
    "overflowDevices.at",
    "overflowDevices.tripElevation",
    "overflowDevices.state",
    "nodes.elevation",
    "nodes.pan.rimHeight",
  ],
  limits: [],
  notApplicable: "No level switch watches a common drain.",
  remedy: "Fit further level switches where the main's do not see a blockage.",
  sources: ["common-practice", "hydrostatics"],
  anchor: "device",
  subjects: (c) => watches(c).keys(),
  judge(c, subject) {
    const { net } = c;
    const found = watches(c)[subject];
    const { devices, end, common, unseen, open } = found;
    const outcome: Outcome = unseen.length > 0 ? "fail" : open.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const device = best(c, found);
    const judged = judgeFigure(exact(common - unseen.length), common, "at-least");
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing" as const, settledBy: settle(c, found) } : {}),
      data: { outcome, devices, end, common, unseen, open },
      anchor: device,
      subject: {
        nodes: [...new Set(devices.map((each) => net.nodeRank[net.model.devices[each].at]))],
        pipes: outcome === "fail" ? unseen : open,
      },
      evidence:
        outcome === "undetermined"
          ? []
          : [
              evidenceOf(
                "commonDrainsSeen",
                "count",
                judged,
                { name: "common drains", source: "common-practice" },
                devices.map((each) => net.model.devices[each].pointer),
              ),
            ],
      remedy:
        outcome === "fail"
          ? c.facts.backups.containing(unseen, true).map(({ node, level, stopsAbove, pipes }) => ({
              action: "watch-drain" as const,
              on: { node },
              amount: level,
              kind: "elevation" as const,
              what: net.pipes[stopsAbove].id,
              contains: { drains: pipes.length, of: unseen.length },
            }))
          : undefined,
    };
  },
  say: ({ outcome, devices, end, common, unseen, open }, speak) => {
    const names = speak.list(devices.map((device) => speak.device(device)));
    const drains = `common drain${common === 1 ? "" : "s"} that lead${common === 1 ? "s" : ""} to ${speak.node(end)}`;
    const whose =
      devices.length === 1 ? `The main's level switch ${names} sees` : `The main's level switches ${names} see`;
    const listed = (pipes: readonly number[]) => speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    if (outcome === "pass")
      return `${whose} a blockage of every ${drains.replace("drains that lead", "drain that leads")}.`;
    if (outcome === "undetermined")
      return `${whose} a blockage of ${common - open.length} of the ${common} ${drains}; of ${listed(open)} it cannot be told: a level is not known.`;
    return `${whose} a blockage of ${common - unseen.length - open.length} of the ${common} ${drains}. Behind ${listed(unseen)} water comes out before it reaches a switch of the main.`;
  },
});
