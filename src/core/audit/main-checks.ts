import { KIND } from "../graph/compiled.js";
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

/** A line of drains that carries the water of several coils. */
export interface Main {
  /** its common drains, along the flow */
  readonly pipes: readonly number[];
  /** where a hose goes in: a cleanout, vent or opened joint on it; else the pan of a coil above; -1 nothing is known */
  readonly inlet: number;
  /** node of the drains at which that water comes in */
  readonly host: number;
}

/** s for which water keeps coming out before a flow test ends. */
const WATCHED = 60;

const INLET_WORDS: ReadonlyMap<number, string> = new Map([
  [KIND.coil, "the pan of"],
  [KIND.vent, "the vent"],
  [KIND.cleanout, "the cleanout"],
]);

/** A main is flushed before any coil is tested, then a measured volume is run through it. */
export function mainChecks(c: SheetCase, { pipes, inlet, host }: Main): SheetCheck[] {
  const { net, facts, speak, run, jug } = c;
  const { topology } = facts;
  const last = pipes[pipes.length - 1];
  const { id } = net.pipes[last];
  const boundary = topology.intoCycle[host] === 1 ? -1 : topology.boundary[host];
  const rate = boundary < 0 ? Number.NaN : c.rateTo(boundary);
  const arrival = boundary < 0 ? Number.NaN : run.time[host];
  const noRate = "as drawn it leads to no outlet";
  const volume = wholeSteps(rate * ((Number.isNaN(arrival) ? 0 : arrival) + WATCHED), jug.hoseStep);
  const through =
    inlet < 0
      ? `its upper end at ${speak.node(host)}, where no opening is known`
      : `${INLET_WORDS.get(net.kind[inlet]) ?? "the pipe opened at"} ${speak.node(inlet)}${net.kind[inlet] === KIND.coil ? ", since no vent or cleanout of the main is known" : ""}`;
  const coils = topology.coilsAbove[last];
  const end = boundary < 0 ? "its end" : speak.node(boundary);
  const most = Number.isNaN(rate) ? "" : `, at most ${speak.figure(rate, "flow", "down")}`;
  const subject = subjectIds(c, { nodes: [inlet, boundary].filter((node) => node >= 0), pipes });
  const peak = facts.loads.designFlow[last];
  const design = Number.isNaN(peak) ? "" : ` (the coils above make ${speak.figure(peak, "flow")} at their peak)`;
  const poured = Number.isNaN(rate)
    ? "Run water"
    : `Run ${speak.figure(rate, "flow")}${design} for ${speak.figure(volume / rate, "duration")}, ${speak.figure(volume, "volume")} in all,`;
  const watch = facts.backups.ofPipe(last)?.openings.map(({ node }) => net.nodes[node].id) ?? [];
  const look = watch.length === 0 ? "" : ` Watch ${speak.list(watch, 6)}: if it backs up, water shows there first.`;
  return [
    {
      id: checkId("flush", "p", id),
      kind: "flush",
      rule: null,
      subject,
      text: `With the ${speak.figure(coils, "count")} coils above it off, flush the main with clean water through ${through}${most}, until it runs clear at ${end}.`,
      expected: [expected(c, "greatestFlow", rate, "flow", noRate)],
      boxes: [yesNo("clear", "runs clear")],
    },
    {
      id: checkId("flow-test", "p", id),
      kind: "flow-test",
      rule: null,
      subject,
      text: `${poured} in through ${through}. ${sayArrival(c, run, host, boundary)} All of it leaves there, and none at a vent, a cleanout or a pan.${look}`,
      expected: [
        expected(c, "flow", rate, "flow", noRate),
        expected(c, "volume", volume, "volume", noRate),
        expected(c, "arrival", arrival, "duration", whyNoArrival(c, run, host, boundary)),
        expected(c, "designFlow", peak, "flow", "the condensate of a coil above is not known"),
      ],
      boxes: [
        figureBox(c, "arrival", "duration", "arrived after"),
        figureBox(c, "collected", "volume", "came out"),
        yesNo("elsewhere", "water showed elsewhere"),
      ],
    },
  ];
}

/** A pump starts, empties its sump and stops; stopped, it stops what feeds it. */
export function pumpChecks(c: SheetCase, node: number): SheetCheck[] {
  const { net, speak } = c;
  const { liftTo, interlocked, sump } = net.nodes[node].pump!;
  const start = sump?.startLevel ?? null;
  const level = start === null ? "" : ` at ${speak.elevation(start, node)}`;
  const lift = liftTo === null ? "" : ` up to ${speak.elevation(liftTo, node)}`;
  const stops =
    interlocked === false
      ? "As recorded nothing stops: write down where the water goes."
      : "The equipment above must stop before the sump spills.";
  return [
    {
      id: checkId("pump", "n", net.nodes[node].id),
      kind: "pump",
      rule: null,
      subject: subjectIds(c, { nodes: [node] }),
      text: `Fill the sump of ${speak.node(node)} until the pump starts${level}: it empties the sump${lift} and stops. Then with the pump stopped, fill on slowly. ${stops}`,
      expected: [
        expected(c, "startLevel", start ?? Number.NaN, "elevation", "the level at which it starts is not given"),
        expected(c, "liftTo", liftTo ?? Number.NaN, "elevation", "the level to which it lifts is not given"),
      ],
      boxes: [
        yesNo("starts", "starts, empties, stops"),
        figureBox(c, "emptied", "duration", "emptied within"),
        yesNo("stopped", "equipment stopped before it spilled"),
      ],
    },
  ];
}

/** What comes out goes where it may, and drains away from there. */
export function outletChecks(c: SheetCase, node: number): SheetCheck[] {
  const { net, speak } = c;
  const { connection, airGap, discharge } = net.nodes[node].outlet!;
  const into = discharge === null ? "what it drains into" : `the ${discharge.replaceAll("-", " ")}`;
  const how =
    connection === "air-gap"
      ? ` through an air gap${airGap === null ? "" : ` of ${speak.figure(airGap, "dimension")}`}`
      : connection === "air-break"
        ? " through an air break"
        : connection === "direct"
          ? " through a direct connection, whatever that may let back"
          : "";
  const gap = connection === "air-gap" || connection === null ? (airGap ?? Number.NaN) : Number.NaN;
  return [
    {
      id: checkId("outlet", "n", net.nodes[node].id),
      kind: "outlet",
      rule: null,
      subject: subjectIds(c, { nodes: [node] }),
      text: `While the mains and coils are tested, stand at ${speak.node(node)}: the water comes out into ${into}${how}, and drains away from there as fast.`,
      expected: [
        expected(
          c,
          "airGap",
          gap,
          "dimension",
          connection === "air-break" || connection === "direct"
            ? `there is none: its connection is ${connection}`
            : "its air gap is not given",
        ),
      ],
      boxes: [
        figureBox(c, "airGap", "dimension", "air gap"),
        yesNo("drainsAway", "drains away as fast"),
        textBox("found", "what else was seen"),
      ],
    },
  ];
}
