import { KIND } from "../graph/compiled.js";
import type { SheetCheck } from "./commissioning-sheet.js";
import { checkId, expected, figureBox, type SheetCase, sayArrival, subjectIds, textBox, yesNo } from "./sheet-case.js";

/** A line of drains that carries the water of several coils. */
export interface Main {
  /** its common drains, along the flow */
  readonly pipes: readonly number[];
  /** node that one can pour in at, and the node of the drains that it stands on; -1 none is known */
  readonly point: number;
  readonly host: number;
}

/** s for which water keeps coming out before a flow test ends. */
const WATCHED = 60;
/** m³ */
const STEP = 1e-3;

/** A main is flushed before any coil is tested, then a measured volume is run through it. */
export function mainChecks(c: SheetCase, { pipes, point, host }: Main): SheetCheck[] {
  const { net, facts, speak, run } = c;
  const last = pipes[pipes.length - 1];
  const top = net.from[pipes[0]];
  const from = host < 0 ? top : host;
  const { topology } = facts;
  const boundary = topology.intoCycle[from] === 1 ? -1 : topology.boundary[from];
  const rate = boundary < 0 ? Number.NaN : c.rateTo(boundary);
  const arrival = boundary < 0 ? Number.NaN : run.time[from];
  const volume = Math.ceil((rate * ((Number.isNaN(arrival) ? 0 : arrival) + WATCHED)) / STEP - 1e-9) * STEP;
  const inlet =
    point < 0
      ? `the pans above ${speak.node(top)}: no vent or cleanout is known there`
      : `${net.kind[point] === KIND.vent ? "the vent" : net.kind[point] === KIND.cleanout ? "the cleanout" : "the pipe opened at"} ${speak.node(point)}`;
  const end = boundary < 0 ? "its end" : speak.node(boundary);
  const most = Number.isNaN(rate) ? "" : `, at most ${speak.figure(rate, "flow", "down")}`;
  const id = net.pipes[last].id;
  const subject = subjectIds(c, {
    nodes: [point, boundary].filter((node) => node >= 0),
    pipes,
  });
  const peak = facts.loads.designFlow[last];
  const watch = facts.backups.ofPipe(last)?.openings.map(({ node }) => net.nodes[node].id) ?? [];
  const design = Number.isNaN(peak) ? "" : ` (the coils above make ${speak.figure(peak, "flow")} at their peak)`;
  const poured = Number.isNaN(rate)
    ? "Run water into"
    : `Run ${speak.figure(rate, "flow")}${design} for ${speak.figure(volume / rate, "duration")}, ${speak.figure(volume, "volume")} in all, into`;
  const look = watch.length === 0 ? "" : ` Watch ${speak.list(watch, 6)}: if it backs up, water shows there first.`;
  return [
    {
      id: checkId("flush", "p", id),
      kind: "flush",
      rule: null,
      subject,
      text: `With every coil above it off, flush the main with clean water through ${inlet}${most}, until it runs clear at ${end}.`,
      expected: [expected("greatestFlow", rate, "flow")],
      boxes: [yesNo("clear", "runs clear")],
    },
    {
      id: checkId("flow-test", "p", id),
      kind: "flow-test",
      rule: null,
      subject,
      text: `${poured} ${inlet}. ${sayArrival(c, run, from, boundary)} All of it leaves there, and none at a vent, a cleanout or a pan.${look}`,
      expected: [
        expected("flow", rate, "flow"),
        expected("volume", volume, "volume"),
        expected("arrival", arrival, "duration"),
        expected("designFlow", peak, "flow"),
      ],
      boxes: [
        figureBox("arrival", "duration", "arrived after"),
        figureBox("collected", "volume", "came out"),
        yesNo("elsewhere", "water showed elsewhere"),
      ],
    },
  ];
}

/** Pumps and ends of drains. */
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
      expected: [expected("startLevel", start ?? Number.NaN, "elevation")],
      boxes: [
        yesNo("starts", "starts, empties, stops"),
        figureBox("emptied", "duration", "emptied within"),
        yesNo("stopped", "equipment stopped before it spilled"),
      ],
    },
  ];
}

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
  return [
    {
      id: checkId("outlet", "n", net.nodes[node].id),
      kind: "outlet",
      rule: null,
      subject: subjectIds(c, { nodes: [node] }),
      text: `While the mains and coils are tested, stand at ${speak.node(node)}: the water comes out into ${into}${how}, and drains away from there as fast.`,
      expected: [expected("airGap", airGap ?? Number.NaN, "dimension")],
      boxes: [
        figureBox("airGap", "dimension", "air gap"),
        yesNo("drainsAway", "drains away as fast"),
        textBox("found", "what else was seen"),
      ],
    },
  ];
}
