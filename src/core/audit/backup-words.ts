import type { BackupStory, Counted, Facts, SpillOpening, StoryGap, StoryStep } from "../analysis/facts.js";
import type { Compiled } from "../graph/compiled.js";
import { EPSILON } from "../quantity/interval.js";
import type { Speaker } from "../quantity/speaker.js";
import type { BackupAnswer } from "./backup.js";

/** What is blocked, what follows, and who says so. */
export interface Told {
  /** null: nothing backs up */
  readonly story: BackupStory | null;
  readonly net: Compiled;
  readonly facts: Facts;
  readonly speak: Speaker;
  readonly kind: BackupAnswer["blocked"]["kind"];
  /** -1 where a node is blocked, and the other way round */
  readonly pipe: number;
  readonly node: number;
}

const blockedWords = ({ speak, kind, pipe, node }: Told): string => {
  if (kind === "pipe") return `${speak.pipe(pipe)} blocks`;
  const at = speak.node(node);
  switch (kind) {
    case "pan-outlet":
      return `the pan outlet of ${at} blocks`;
    case "trap":
      return `the trap ${at} blocks`;
    case "pump":
      return `the pump ${at} fails`;
    case "receptor":
      return `the receptor at ${at} no longer drains`;
    default:
      return `${at} blocks`;
  }
};

/** `after 11 to 14 min`; the soonest counts where only that is known. */
export const afterWords = ({ least, most }: Counted, { speak }: Pick<Told, "speak">): string => {
  const of = (seconds: number, toward?: "down" | "up") => speak.figure(seconds, "duration", toward);
  if (Number.isNaN(least) && Number.isNaN(most)) return "after a time that cannot be told";
  if (least === 0 && Number.isNaN(most)) return "perhaps at once";
  if (Number.isNaN(most)) return `after ${of(least, "down")} at the earliest`;
  if (Number.isNaN(least)) return `after ${of(most, "up")} at the latest`;
  const [soon, late] = [of(least, "down"), of(most)];
  if (most === 0) return "at once";
  return soon === of(most, "down") ? `after about ${late}` : `after ${soon} to ${of(most, "up")}`;
};

/** `at 0301 (0301-A) or 0302 (0302-A)`: of several, nobody knows which. */
const placeWords = (openings: readonly SpillOpening[], { net, speak }: Told): string => {
  const names = openings.slice(0, 4).map(({ node }) => {
    const { outlet, dwelling } = net.nodes[node];
    const below = outlet?.receptor?.dwelling ?? dwelling;
    return below === null ? speak.node(node) : `dwelling ${below} (${net.nodes[node].id})`;
  });
  const more = openings.length - names.length;
  if (more > 0) return `at ${names.join(", ")} or one of ${more} more`;
  return `at ${names.length < 2 ? names[0] : `${names.slice(0, -1).join(", ")} or ${names[names.length - 1]}`}`;
};

const coilWords = (coils: readonly number[], { net, speak, story }: Told): string =>
  coils.length > 6 && coils.length === story?.coils.length
    ? `all ${coils.length} coils above`
    : speak.list(
        coils.map((c) => net.nodes[net.coils[c]].id),
        6,
      );

/** `the coil F-1`, `the 24 coils above`. */
const countWords = (count: number): string => (count === 1 ? "one coil" : `${count} coils`);

const flowWords = (flow: number, { speak }: Told): string =>
  Number.isNaN(flow) ? "what nobody can tell" : speak.figure(flow, "flow");

/** One step as a sentence without its time. `before`: level until then. */
export const stepWords = (told: Told, step: StoryStep, before: number): string => {
  const words = happening(told, step, before);
  if (step.where === "either") return words;
  return `${words} So it is only if the branches whose air cannot leave ${step.where === "full" ? "fill" : "stay empty"}.`;
};

const happening = (told: Told, step: StoryStep, before: number): string => {
  const { speak, net, facts } = told;
  const { kind, level, device, coils, openings, inflow, surge } = step;
  const at = Number.isNaN(level) ? "a level that cannot be told" : speak.elevation(level, levelNode(told, step));
  switch (kind) {
    case "joins":
      return facts.topology.firstTrap[coils[0]] < 0
        ? `The water reaches the pan of ${coilWords(coils, told)}, at ${at}.`
        : `The water passes the trap of ${coilWords(coils, told)}, at ${at}, and stands before its pan, which went on draining until now.`;
    case "trips": {
      const where = speak.node(net.nodeRank[net.model.devices[device].at]);
      const stopped = coils.length === 0 ? "stops none of the coils that feed it" : `stops ${coilWords(coils, told)}`;
      const rest = inflow === 0 ? "nothing more comes" : `${flowWords(inflow, told)} keep coming`;
      return `${speak.device(device)} at ${where} trips, the water at ${at}, and ${stopped}: ${rest}.`;
    }
    case "fans-stop": {
      const whose = coils.length === 1 ? "The fan of" : "The fans of";
      const stop = `${whose} ${coilWords(coils, told)} ${coils.length === 1 ? "stops" : "stop"}`;
      if (Number.isNaN(level)) return `${stop}: the water that suction held up runs back, how far cannot be told.`;
      const rose = level - before;
      return rose > EPSILON
        ? `${stop}: the water that suction held up runs back, and behind the traps it rises by ${speak.figure(rose, "dimension")} to ${at}.`
        : `${stop}.`;
    }
    case "spills": {
      const once = surge > 1e-6 ? `${speak.figure(surge, "volume")} at once, then ` : "";
      const rate = inflow === 0 ? "no more" : flowWords(inflow, told);
      return `Water comes out ${placeWords(openings, told)}, at ${at}: ${once}${rate}.`;
    }
    case "carried-off": {
      const rate = flowWords(inflow, told);
      return `The water leaves another way ${placeWords(openings, told)}, at ${at}: ${rate}.`;
    }
    case "stands":
      return `Nothing more comes: the water stands at ${at}.`;
    case "open":
      return openings.length === 0
        ? `No opening is known above ${at}: where the water would come out cannot be told.`
        : `From ${at} on it may come out ${placeWords(openings, told)}, whose height nobody gave.`;
  }
};

/** Levels are told from the floor where the thing happens. */
const levelNode = ({ net, pipe, node }: Told, { device, coils, openings }: StoryStep): number => {
  if (openings.length > 0) return openings[0].node;
  if (device >= 0) return net.nodeRank[net.model.devices[device].at];
  return coils.length > 0 ? net.coils[coils[0]] : pipe >= 0 ? net.from[pipe] : node;
};

/** The story in a few sentences. */
export const messageOf = (told: Told): string[] => {
  const { net, facts, speak, story } = told;
  if (story === null) return [nothingWords(told)];
  const { backup, start, at, coils, afterRun, containment, boreLeft } = story;
  const steps = story.steps.filter(({ where }) => where !== "empty");
  const whose = coils.length === 1 ? `of ${coilWords(coils, told)}` : `of ${coils.length} coils`;
  const sentences = [
    `If ${blockedWords(told)}, the water ${whose} (${flowWords(backup.inflow, told)} at design) backs up behind it, from ${speak.elevation(start, at)} upward.`,
  ];
  const trip = steps.find(({ kind }) => kind === "trips");
  const end = steps[steps.length - 1];
  const trips = steps.filter(({ kind }) => kind === "trips").length;
  if (trip !== undefined) {
    const stopped = coils.filter((c) => steps.some((each) => each.kind === "trips" && each.coils.includes(c)));
    const left = coils.length - stopped.length;
    sentences.push(
      `${speak.device(trip.device)} trips ${trips > 1 ? "first" : "alone"}, ${afterWords(trip.time, told)}; ${
        left === 0
          ? coils.length === 1
            ? "the coil stops"
            : `all ${coils.length} coils stop`
          : stopped.length === 0
            ? "none of the coils stops"
            : `${stopped.length === 1 ? "one coil stops" : `${stopped.length} coils stop`} and ${left === 1 ? "one goes on" : `${left} go on`}`
      }.`,
    );
  } else if (end.kind === "spills" || end.kind === "carried-off")
    sentences.push("No level switch trips before the water comes out.");
  const when = afterWords(end.time, told);
  switch (end.kind) {
    case "spills": {
      const goes = end.inflow === 0 ? "" : ` and ${flowWords(end.inflow, told)} from then on`;
      const surge =
        end.surge > 1e-6 ? `: ${speak.figure(end.surge, "volume")} at once${goes}` : goes.replace(" and", ":");
      sentences.push(`Water comes out first ${placeWords(end.openings, told)}, ${when}${surge}.`);
      break;
    }
    case "carried-off":
      sentences.push(
        `It leaves another way ${placeWords(end.openings, told)}, ${when}: ${flowWords(end.inflow, told)} run there until somebody sees it.`,
      );
      break;
    case "stands":
      sentences.push(standsWords(told, story, end));
      break;
    default:
      sentences.push(
        end.openings.length > 0
          ? `Where it comes out cannot be told: nobody gave the height of ${speak.list(end.openings.map(({ node }) => speak.node(node)))}.`
          : "No opening is known through which the water could come out.",
      );
  }
  const sooner = story.steps.find(({ kind, where }) => kind === "spills" && where === "empty");
  if (sooner !== undefined)
    sentences.push(
      `If the branches whose air cannot leave stay empty, it comes out ${placeWords(sooner.openings, told)}, ${afterWords(sooner.time, told)}.`,
    );
  const disagree = ending(end.kind, backup.outcome, story);
  if (disagree !== null) sentences.push(disagree);
  if (afterRun !== null) {
    const still = `${afterRun.coils === 1 ? "The stopped coil still makes" : "The stopped coils still make"} about ${speak.figure(afterRun.volume, "volume")}`;
    const room = Number.isNaN(afterRun.room.least) ? afterRun.room.most : afterRun.room.least;
    sentences.push(
      afterRun.fits === null
        ? `${still}; whether there is room for that below the first spill cannot be told.`
        : `${still}; there is room for ${speak.figure(room, "volume", "down")} below the first spill${afterRun.fits ? "" : ", so that it comes out all the same"}.`,
    );
  }
  if (containment !== null) {
    const { node, highestTrip, stops } = containment;
    const what = stops.length === 1 ? `stops ${coilWords(stops, told)}` : `stops all ${stops.length} coils`;
    sentences.push(
      Number.isNaN(highestTrip)
        ? `No level switch can contain it: below the first spill there is no room for what ${countWords(stops.length)} still make once stopped.`
        : `A level switch at ${speak.node(node)} that trips at or below ${speak.elevation(highestTrip, node)} and ${what} would contain it.`,
    );
    if (containment.devices.length > 0)
      sentences.push(
        `${speak.list(containment.devices.map(speak.device), 6)} ${containment.devices.length === 1 ? "trips" : "trip"} low enough: wired to stop all of them, ${containment.devices.length === 1 ? "it" : "any of these"} would do as well.`,
      );
  }
  if (!Number.isNaN(boreLeft))
    sentences.push(
      `${story.pipe === told.pipe ? "It" : speak.pipe(story.pipe)} need not close altogether: left with a bore of ${speak.figure(boreLeft, "dimension", "up")} out of ${speak.figure(facts.geometry.bore[story.pipe], "dimension")}, it only just carries what comes.`,
    );
  const blind = end.kind === "stands" ? [] : blindDevices(net, facts, story);
  if (blind.length > 0)
    sentences.push(
      `${speak.list(blind.map(speak.device), 6)} cannot see it: ${blind.length === 1 ? "it sits" : "they sit"} further down than the blockage, where nothing stands.`,
    );
  return sentences;
};

/** Devices of mains further down on the way of the water: those that a blockage up here leaves dry. */
function blindDevices(net: Compiled, facts: Facts, { at, coils }: BackupStory): number[] {
  const below = new Set<number>();
  for (let node = at; ; ) {
    const p = facts.topology.next[node];
    if (p < 0 || below.has(net.to[p])) break;
    node = net.to[p];
    below.add(node);
  }
  return net.model.devices.flatMap((each, d) => {
    const { works, stops } = facts.circuits.devices[d];
    return works && below.has(net.nodeRank[each.at]) && coils.some((c) => stops.includes(c)) ? [d] : [];
  });
}

const standsWords = (told: Told, { backup, coils, at }: BackupStory, end: StoryStep): string => {
  const level = Number.isNaN(end.level) ? null : told.speak.elevation(end.level, at);
  if (backup.inflow === 0) return "No water comes that way: nothing rises.";
  const all = coils.length === 1 ? "The coil has stopped" : "Every coil above has stopped";
  if (level === null) return `${all}: how high the water then stands cannot be told.`;
  const left = backup.firstSpill - end.level;
  return left > EPSILON
    ? `${all}: the water stands at ${level}, ${told.speak.figure(left, left < 1 ? "dimension" : "length", "down")} below the first spill.`
    : `${all}: the water stands at ${level}.`;
};

/** Where the audit, which counts with fans that run on or stop as may be worse, and the story differ. */
const ending = (
  end: StoryStep["kind"],
  outcome: BackupStory["backup"]["outcome"],
  { backup }: BackupStory,
): string | null => {
  if (end === "stands" && outcome === "uncontained" && backup.inflow > 0)
    return "The audit does not count on that: should a fan stop late or at once, the same water stands higher at an open vent or cleanout and runs out there.";
  if (end === "spills" && outcome === "contained")
    return "The audit counts it as contained, by the level of each switch; here the water that a stopping fan lets go reaches an opening before the last switch trips.";
  return null;
};

const nothingWords = (told: Told): string => {
  const { net, facts, pipe, node } = told;
  const from = pipe >= 0 ? net.from[pipe] : node;
  return facts.topology.intoCycle[from] === 1
    ? `If ${blockedWords(told)}, nobody can tell what follows: the drains run in a circle there.`
    : `If ${blockedWords(told)}, nothing backs up: no coil's water comes that way.`;
};

export const gapWords = ({ net, speak }: Told, { kind, node, pipe, device }: StoryGap): string => {
  switch (kind) {
    case "way-out":
      return net.nodes[node].pump === null
        ? "Through which opening the water would come out: none is drawn above the blockage."
        : `How what ${speak.node(node)} lifts comes back through the pump.`;
    case "pan-area":
      return `How much the pan of ${speak.node(node)} holds: nobody gave its area; the soonest times leave it out.`;
    case "bore":
      return `How much ${speak.pipe(pipe)} holds: its bore is not known; the soonest times leave it out.`;
    case "sump":
      return `How much the sump of ${speak.node(node)} holds; the soonest times leave it out.`;
    case "receptor":
      return `How much the receptor at ${speak.node(node)} holds, which a document does not say; the soonest times leave it out.`;
    case "rate":
      return `How much water ${speak.node(node)} makes: without it no time can be told.`;
    case "opening":
      return `How high the opening of ${speak.node(node)} lies, which may be the first to spill.`;
    case "trip":
      return `At which level ${speak.device(device)} trips.`;
    case "wiring":
      return `What ${speak.device(device)} stops: its circuit does not say; it is counted as stopping nothing.`;
    case "fan":
      return `Whether the fan stops when ${speak.device(device)} trips; it is counted as running on.`;
    case "static":
      return `The pressure at the pan of ${net.nodes[node].id}: under suction it spills and trips sooner; it is counted as none.`;
  }
};
