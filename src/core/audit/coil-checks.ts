import type { SecondLine } from "../analysis/facts.js";
import { hostOf } from "../analysis/trip-cover.js";
import { KIND, ROLE } from "../graph/compiled.js";
import { overflowNotWorking } from "../rules/overflow/not-working.js";
import { panPressure } from "../rules/pan-pressure.js";
import { panSideOpenings } from "../rules/pan-side.js";
import { sealPriming } from "../rules/seal/priming.js";
import type { SheetCheck } from "./commissioning-sheet.js";
import {
  checkId,
  expected,
  figureBox,
  type SheetCase,
  sayArrival,
  subjectIds,
  textBox,
  wholeSteps,
  whyNoArrival,
  yesNo,
} from "./sheet-case.js";

/** What is done at one fan coil (by position), in the order in which it is done. */
export function coilChecks(c: SheetCase, coil: number, own: CoilParts): SheetCheck[] {
  const { net } = c;
  const node = net.coils[coil];
  const { inService } = net.nodes[node].coil!;
  return [
    isolate(c, coil, own),
    ...trialAssembly(c, coil, own.drains),
    ...own.traps.map((trap) => primeCheck(c, trap)),
    pour(c, coil, "pour-fan-off"),
    ...(inService ? [pour(c, coil, "pour-fan-on")] : []),
    ...own.devices.map((device) => switchCheck(c, device)),
    ...own.secondLines.map((line) => secondLine(c, line)),
  ];
}

/** What belongs to one coil: drains and water traps that only its water passes, its devices, its second lines. */
export interface CoilParts {
  /** that are wired to stop it, whosever devices they have */
  readonly circuits: readonly number[];
  readonly drains: readonly number[];
  readonly traps: readonly number[];
  readonly devices: readonly number[];
  readonly secondLines: readonly SecondLine[];
}

/** Ids that are named in one sentence. */
const NAMED = 6;

/** `more` of them are only counted. */
const names = ({ speak, net }: SheetCase, nodes: readonly number[], more = 0): string => {
  const ids = nodes.map((node) => net.nodes[node].id);
  return more > 0 ? `${ids.join(", ")} and ${more} more` : speak.list(ids, NAMED);
};

function isolate(c: SheetCase, coil: number, own: CoilParts): SheetCheck {
  const { net, speak, facts } = c;
  const node = net.coils[coil];
  const valve = net.nodes[node].coil!.cooling === "chilled-water" ? " Shut its chilled-water valve." : "";
  // Whoever shares its switch circuit stands still as well while that is worked on.
  const also = own.circuits.map((circuit) => {
    const { coils } = facts.circuits.circuits[circuit];
    const some: number[] = [];
    for (let k = 0; k < coils.length && some.length < NAMED; k++) if (coils[k] !== coil) some.push(net.coils[coils[k]]);
    if (some.length === 0) return "";
    const rest = coils.length - 1 - some.length;
    const named = names(c, some, rest);
    return ` Its switch circuit ${net.model.circuits[circuit].id} stops ${named} as well: tell who uses them.`;
  });
  return {
    id: checkId("isolate", "f", net.nodes[node].id),
    kind: "isolate",
    rule: null,
    subject: subjectIds(c, { fanCoils: [node] }),
    text: `Stop ${speak.node(node)}, lock its supply off and prove it dead before its cabinet is opened or its switch circuit touched.${valve}${also.join("")}`,
    expected: [],
    boxes: [yesNo("isolated", "locked off and proved dead")],
  };
}

/** m of water that somebody sees in a pan. */
const SEEN = 0.5e-3;

const SOLVENT_WELDED = /^(pvc|cpvc|abs)-/;

/** Joints that are welded cannot be undone. Once the drain has been in use nobody remembers. */
function trialAssembly(c: SheetCase, coil: number, drains: readonly number[]): SheetCheck[] {
  const { net, speak } = c;
  const welded = drains.filter((p) => SOLVENT_WELDED.test(net.pipes[p].material ?? ""));
  if (net.model.stage === "in-service" || welded.length === 0) return [];
  const node = net.coils[coil];
  const pipes = speak.list(
    welded.map((p) => net.pipes[p].id),
    NAMED,
  );
  return [
    {
      id: checkId("trial-assembly", "f", net.nodes[node].id),
      kind: "trial-assembly",
      rule: null,
      subject: subjectIds(c, { fanCoils: [node], pipes: welded }),
      text: `The drain of ${speak.node(node)} was put together dry, and its fall and the filter's way out were tried, before the joints of ${pipes} were welded.`,
      expected: [],
      boxes: [yesNo("tried", "put together dry first")],
    },
  ];
}

/** A water trap is filled before the first start, through whatever opens before it. */
export function primeCheck(c: SheetCase, trap: number): SheetCheck {
  const { net, facts, speak } = c;
  const { primingVolume: volume, coils } = facts.seals.list[facts.seals.ofTrap[trap]];
  const cleanout =
    coils.length === 1 ? panSideOpenings(c, coils[0]).find((n) => net.kind[n] === KIND.cleanout) : undefined;
  const pans = coils.map((coil) => net.coils[coil]);
  const access =
    cleanout !== undefined
      ? `through the cleanout ${speak.node(cleanout)}, which is capped again`
      : pans.length === 0
        ? "from above"
        : `through the pan of ${names(c, pans)}`;
  const much = Number.isNaN(volume) ? "" : `${speak.figure(volume, "volume", "up")} or more, `;
  return {
    id: checkId("prime", "n", net.nodes[trap].id),
    kind: "prime",
    rule: sealPriming.id,
    subject: subjectIds(c, { fanCoils: pans, nodes: [trap] }),
    text: `Fill the trap ${speak.node(trap)} ${access}: ${much}until water runs over its weir.`,
    expected: [
      expected(c, "primingVolume", volume, "volume", "its seal depth, or the bore of one of its legs, is not known"),
    ],
    boxes: [figureBox(c, "poured", "volume", "poured in"), yesNo("runsOver", "runs over the weir")],
  };
}

function pour(c: SheetCase, coil: number, kind: "pour-fan-off" | "pour-fan-on"): SheetCheck {
  const { net, facts, speak, jug } = c;
  const node = net.coils[coil];
  const { topology } = facts;
  const isOn = kind === "pour-fan-on";
  const travel = isOn ? c.pouredAgain : c.poured;
  const boundary = topology.intoCycle[node] === 1 ? -1 : topology.boundary[node];
  const arrival = boundary < 0 ? Number.NaN : travel.time[node];
  const volume = wholeSteps((Number.isNaN(arrival) ? 0 : arrival) * jug.pourRate + jug.measured, jug.step);
  const levels = isOn ? levelsWithFan(c, coil) : levelsAtRest(c, coil);
  const rate = speak.figure(jug.pourRate, "flow");
  const water = `${speak.figure(volume, "volume")} into its pan at ${rate} (in ${speak.figure(volume / jug.pourRate, "duration")})`;
  const how = isOn
    ? `Close the cabinet of ${speak.node(node)} and take the lock off. With its fan at its highest speed and the filter as loaded as it may get, pour another ${water}.`
    : `With the fan of ${speak.node(node)} off, pour ${water}.`;
  return {
    id: checkId(kind, "f", net.nodes[node].id),
    kind,
    rule: null,
    subject: subjectIds(c, { fanCoils: [node], nodes: boundary < 0 ? [] : [boundary] }),
    text: `${how} ${sayArrival(c, travel, node, boundary)} All of it leaves. ${levels.text}${sayLockedAir(c, coil)}`,
    expected: [
      expected(c, "volume", volume, "volume", ""),
      expected(c, "flow", jug.pourRate, "flow", ""),
      expected(c, "arrival", arrival, "duration", whyNoArrival(c, travel, node, boundary)),
      ...levels.figures,
    ],
    boxes: [
      ...(isOn ? [figureBox(c, "panStatic", "gauge-pressure", "pressure at the pan")] : []),
      figureBox(c, "arrival", "duration", "arrived after"),
      yesNo("leaves", "all of it left"),
      figureBox(c, "leftInPan", "dimension", "left in the pan"),
    ],
  };
}

/** Whoever pours must know that the pan may not let the water go. */
function sayLockedAir({ facts, speak }: SheetCase, coil: number): string {
  const locked = facts.lockedAir.best.ofCoil.get(coil);
  switch (locked?.outcome) {
    case "drains-standing":
      return ` As drawn air is locked on the way and may hold ${speak.figure(locked.standing, "dimension", "up")} of water in the pan.`;
    case "trips":
      return " As drawn air is locked on the way and may hold the water up to the switch: pour slowly, and stop when it rises.";
    case "overflows":
      return " As drawn air is locked on the way and may hold the water up to the rim: pour slowly, and stop when it rises.";
    default:
      return "";
  }
}

interface Levels {
  readonly text: string;
  readonly figures: SheetCheck["expected"];
}

/** Water with the fan off: at the trap's weir, and none in the pan. */
function levelsAtRest(c: SheetCase, coil: number): Levels {
  const { net, facts, speak } = c;
  const node = net.coils[coil];
  const trap = facts.topology.firstTrap[coil];
  const standing = facts.water.level[node] - net.z[node];
  const inPan = Math.max(0, standing);
  const pan = Number.isNaN(standing)
    ? "Whether any stays in the pan is not known: write it down."
    : inPan > SEEN
      ? `As drawn ${speak.figure(inPan, "dimension", "up")} stays in the pan, and should not.`
      : "None stays in the pan.";
  const figures = [expected(c, "panStanding", inPan, "dimension", "its way runs in a circle")];
  if (trap < 0) return { text: pan, figures };
  const drop = net.z[node] - net.z[trap];
  const where = `${speak.figure(Math.abs(drop), "dimension")} ${drop < 0 ? "above" : "below"} the pan's outlet`;
  const stands =
    net.nodes[trap].trap!.sealType === "water"
      ? `Then water stands at the weir of ${speak.node(trap)}, ${where}. `
      : `No water stands in ${speak.node(trap)}, ${where}, once it has drained. `;
  return { text: `${stands}${pan}`, figures: [expected(c, "drop", drop, "dimension", ""), ...figures] };
}

/** Water while the fan runs: under suction above the weir, under its pressure below. */
function levelsWithFan(c: SheetCase, coil: number): Levels {
  const { net, facts, speak } = c;
  const trap = facts.topology.firstTrap[coil];
  const { panStatic } = net.nodes[net.coils[coil]].coil!;
  const seal = trap < 0 ? null : facts.seals.list[facts.seals.ofTrap[trap]];
  const isWater = trap >= 0 && net.nodes[trap].trap!.sealType === "water";
  const alone = seal !== null && isWater && seal.coils.length === 1;
  const noLevel =
    trap < 0
      ? "there is no trap"
      : !isWater
        ? "its seal is not of water"
        : alone
          ? "the pressure at the pan is not given"
          : `several pans share the trap ${net.nodes[trap].id}`;
  const figures = [
    expected(c, "panStatic", panStatic ?? Number.NaN, "gauge-pressure", "it is not given"),
    expected(c, "head", alone ? seal.head : Number.NaN, "dimension", noLevel),
    expected(c, "panStanding", alone ? seal.panStanding : Number.NaN, "dimension", noLevel),
  ];
  const pressure = panPressure(c, coil);
  if (pressure === "unknown")
    return { text: "Measure the pressure at the pan first: it is not given, and the levels depend on it.", figures };
  const stated = `Measure the pressure at the pan (${speak.figure(panStatic ?? 0, "gauge-pressure")} as stated)`;
  if (pressure === "atmosphere") return { text: `${stated}: the fan moves no water. None stays in the pan.`, figures };
  if (trap < 0)
    return {
      text: `${stated}: as drawn no trap stands in the way of air, which is ${pressure === "suction" ? "drawn in through the drain and may hold the water back" : "blown out through the drain"}; write the level in the pan down.`,
      figures,
    };
  if (!alone || Number.isNaN(seal.head)) return { text: `${stated}, and write the levels down: ${noLevel}.`, figures };
  const head = speak.figure(seal.head, "dimension");
  if (pressure === "pressure")
    return {
      text: `${stated}: water stands ${head} below the weir on the pan's side, and no air comes through.`,
      figures,
    };
  const pan =
    seal.panStanding > 0
      ? `${speak.figure(seal.panStanding, "dimension", "up")} deep in the pan, and should not`
      : "and none in the pan";
  return { text: `${stated}: water stands ${head} above the weir on the pan's side, ${pan}.`, figures };
}

/** One overflow device, tripped by itself. */
export function switchCheck(c: SheetCase, device: number): SheetCheck {
  const { net, facts, speak } = c;
  const { id, at, type, seat, tripLevel, circuit, latches } = net.model.devices[device];
  const node = net.nodeRank[at];
  const wired = circuit === null ? null : facts.circuits.circuits[circuit];
  const coils = wired === null ? [] : Array.from(wired.coils, (coil) => net.coils[coil]);
  const height = tripLevel === null ? Number.NaN : tripLevel - net.z[node];
  const pan = net.nodes[node].coil?.pan;
  const inPan = pan !== undefined && seat !== "auxiliary-pan" && seat !== "drain-line" && seat !== "main";
  const fill = inPan && pan.area !== null ? pan.area * Math.max(0, height) : Number.NaN;
  const above = pan === undefined ? "the invert there" : "the pan's outlet";
  const level = Number.isNaN(height) ? "" : ` It trips ${speak.figure(height, "dimension")} above ${above}.`;
  const cooling = coils.length === 0 ? "" : `While ${coils.length === 1 ? "it cools" : "they cool"}, `;
  // In a drain the pool that lifts its float rises toward other pans, so that somebody watches the lowest.
  const inDrain = !inPan && seat !== "auxiliary-pan" && net.kind[node] !== KIND.pump;
  const plug = inPan
    ? "stop the pan's outlet with a plug and "
    : inDrain
      ? "stop the drain below it with a plug and "
      : net.kind[node] === KIND.pump
        ? "with the pump stopped, "
        : "";
  const below = facts.topology.next[hostOf(net, node)];
  const first = inDrain && below >= 0 ? facts.backups.ofPipe(below) : null;
  const watch = first === null || first.openings.length === 0 ? [] : first.openings.map(({ node: each }) => each);
  const look = watch.length === 0 ? "" : ` Watch ${names(c, watch)} meanwhile: above it water would spill there first.`;
  const much = Number.isNaN(fill) ? "" : ` (about ${speak.figure(fill, "volume")} in the pan)`;
  const trip =
    type === "water-sensor"
      ? `wet ${id} at ${speak.node(node)} until it trips.`
      : `${plug}raise the water slowly at ${id} at ${speak.node(node)} until its float lifts and it trips${much}; lift the float by hand only where no water may be let in.`;
  const act = `${cooling}${trip}`;
  const isPlugged = type !== "water-sensor" && (inPan || inDrain);
  return {
    id: checkId("switch", "d", id),
    kind: "switch",
    rule: overflowNotWorking.id,
    subject: subjectIds(c, { fanCoils: coils, nodes: [node], devices: [device] }),
    text: `${act[0].toUpperCase()}${act.slice(1)}${level}${type === "water-sensor" ? "" : look} ${sayStops(c, device, coils)}${sayReset(latches, isPlugged)}`,
    expected: [
      expected(c, "tripHeight", height, "dimension", "the level at which it trips is not given"),
      expected(
        c,
        "fillVolume",
        fill,
        "volume",
        inPan ? "the pan's area, or the level at which it trips, is not given" : "it stands in no pan of a coil",
      ),
    ],
    boxes: [
      figureBox(c, "trippedAt", "dimension", `tripped, above ${above}`),
      yesNo("stopped", "everything named stopped"),
      textBox("alsoStopped", "what else stopped, or did not"),
    ],
  };
}

function sayStops(c: SheetCase, device: number, coils: readonly number[]): string {
  const { net, facts } = c;
  const { circuit, state } = net.model.devices[device];
  if (circuit === null) return "It is wired to nothing: write down what it does.";
  const { stopsWater, stopsFan } = facts.circuits.circuits[circuit];
  if (coils.length === 0 || stopsWater === null) return "What it stops is not known: write it down.";
  if (!stopsWater) return `It tells of ${names(c, coils)} and stops nothing: write down who is told.`;
  const many = coils.length > 1;
  const fans = many ? "their fans" : "its fan";
  const fan =
    stopsFan === null ? "" : stopsFan ? `, and ${fans} with ${many ? "them" : "it"}` : `, while ${fans} may run on`;
  const alone =
    facts.circuits.devices[device].stops.length > 0
      ? ""
      : state === "jumpered" || state === "failed"
        ? ` It is recorded as ${state}.`
        : " As wired it stops nothing by itself.";
  return `${names(c, coils)} must stop making water${fan}.${alone}`;
}

const sayReset = (latches: boolean | null, isPlugged: boolean): string => {
  const then = isPlugged ? "Then take the plug out" : "Then let the water go";
  if (latches === null) return ` ${then}, and write down whether the equipment starts again by itself.`;
  return latches
    ? ` ${then}: the equipment stays off until it is reset.`
    : ` ${then}: the equipment starts again by itself.`;
};

function secondLine(c: SheetCase, line: SecondLine): SheetCheck {
  const { net, speak } = c;
  const node = net.coils[line.coil];
  const { id } = net.pipes[line.pipe];
  const into = net.role[line.pipe] === ROLE.auxiliary ? "the auxiliary pan under" : "the pan of";
  const port = net.role[line.pipe] === ROLE.auxiliary ? "" : " With the primary outlet stopped by a plug,";
  const where =
    line.outlet >= 0
      ? `it shows at ${speak.node(line.outlet)}, where somebody sees it`
      : "write down where it comes out: as drawn the line leads to no outlet";
  const verb = port === "" ? " Pour" : " pour";
  return {
    id: checkId("second-line", "p", id),
    kind: "second-line",
    rule: null,
    subject: subjectIds(c, {
      fanCoils: [node],
      nodes: line.outlet < 0 ? [] : [line.outlet],
      pipes: [line.pipe],
    }),
    text: `${port}${verb} water into ${into} ${speak.node(node)} until it runs into ${id}: ${where}.${port === "" ? "" : " Take the plug out again."}`.trim(),
    expected: [],
    boxes: [yesNo("shows", "shows there"), textBox("shownAt", "where it came out")],
  };
}
