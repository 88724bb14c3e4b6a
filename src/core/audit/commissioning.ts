import { analyse } from "../analysis/analyse.js";
import type { Facts, SecondLine } from "../analysis/facts.js";
import { travel } from "../analysis/travel.js";
import { hostOf } from "../analysis/trip-cover.js";
import { compile } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { Problem, Stage } from "../network/model.js";
import { readNetwork } from "../network/read.js";
import { kinematicViscosity } from "../physics/water.js";
import { resolveProfile } from "../profiles/resolve-profile.js";
import { naturalOrder } from "../quantity/natural-order.js";
import { SI_UNIT } from "../quantity/si-unit.js";
import type { QuantityKind } from "../quantity/speaker.js";
import { catalogue } from "../rules/catalogue.js";
import { overflowNotWorking } from "../rules/overflow/not-working.js";
import type { Rule } from "../rules/rule.js";
import { sealPriming } from "../rules/seal/priming.js";
import { cautionsFor } from "./cautions.js";
import { coilChecks, primeCheck, switchCheck } from "./coil-checks.js";
import type { CommissioningSheet, SheetCheck, SheetStop } from "./commissioning-sheet.js";
import { catalogueVersion, VERSION } from "./engine.js";
import { floorFinder } from "./floor-finder.js";
import { type Main, mainChecks, outletChecks, pumpChecks } from "./main-checks.js";
import { soleCoils } from "./places.js";
import { digest } from "./run.js";
import { checkId, JUGS, type SheetCase, subjectIds, textBox, yesNo } from "./sheet-case.js";
import { speakerFor } from "./speaker.js";

export type CommissioningResult =
  | { readonly ok: true; readonly sheet: CommissioningSheet }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** °C of the water that is poured in. An assumption. */
const TEST_WATER = 15;

/**
 * Makes the test sheet of a commissioning day from a network document (a parsed JSON value): what to do and to look at
 * from the roof down, with the figures to expect and boxes to fill. Pure. Its checks keep their ids in the next revision.
 * @returns the sheet, or every problem of the document with its JSON pointer (at most 100 listed, `total` counted)
 */
export function commissioning(document: unknown): CommissioningResult {
  const read = readNetwork(document);
  if (!read.ok) return read;
  const { model } = read;
  const resolved = resolveProfile(model.profile.base, model.profile.overrides, model.units);
  if (!resolved.ok) {
    const problems = resolved.problems.map((p) => ({
      ...p,
      pointer: p.pointer === "" ? "/profile" : `/profile/overrides${p.pointer}`,
    }));
    return { ok: false, problems, total: problems.length };
  }
  const { profile } = resolved;
  const net = compile(model);
  const facts = analyse(net, profile);
  const speak = speakerFor(net, profile);
  const jug = JUGS[model.units];
  const viscosity = kinematicViscosity(TEST_WATER);
  const mains = mainsOf(net, facts);
  const rateTo = hoseRates(net, facts, mains, jug.hoseRate);
  const { common } = facts.topology;
  const sheet: SheetCase = {
    net,
    facts,
    profile,
    wantPasses: false,
    speak,
    jug,
    poured: travel(
      net,
      facts,
      () => jug.pourRate,
      viscosity,
      (pipe) => common[pipe] === 1,
    ),
    pouredAgain: travel(
      net,
      facts,
      () => jug.pourRate,
      viscosity,
      () => true,
    ),
    run: travel(net, facts, rateTo, viscosity, () => true),
    rateTo,
  };
  const assumed = (name: string, value: number, kind: QuantityKind) =>
    ({ name, value, unit: SI_UNIT[kind], text: speak.figure(value, kind), source: "assumption" }) as const;
  return {
    ok: true,
    sheet: {
      format: 1,
      engine: { name: "drainward", version: VERSION, catalogue: catalogueVersion() },
      network: { id: model.id, name: model.name, digest: digest(document) },
      profile: { id: profile.id, edition: profile.edition },
      stage: model.stage,
      units: model.units,
      stops: stopsOf(sheet, mains),
      assumptions: [
        assumed("water poured in at a pan", jug.pourRate, "flow"),
        assumed("most that is run into a main", jug.hoseRate, "flow"),
        assumed("temperature of the test water", TEST_WATER, "temperature"),
        assumed("roughness of a drain that is new", 0, "dimension"),
        assumed("share of an upright pipe's wall that the water wets (a rivulet is faster)", 1, "ratio"),
      ],
      cautions: [...cautionsFor(net), ...TESTING],
    },
  };
}

/** What can hurt on the day itself, besides. */
const TESTING = [
  "Test with cold drinking water, run until it is fresh: water that has stood in a hose, a tank or a bucket can carry legionella. Let it run in and do not spray it.",
  "Test water reaches no live part: cover what stands below, keep leads and tools out of the wet, and dry within a day what got wet.",
  "Open no cabinet while its fan can start; where a test needs it to run, close the cabinet first and keep hands and hoses out.",
  "Whoever stops an outlet with a plug, or an equipment by its switch, stays there until the plug is out and the equipment runs again.",
] as const;

/** The lines of drains that carry the water of several coils, by line, with where a hose goes in. */
function mainsOf(net: Compiled, { topology, access }: Facts): ReadonlyMap<number, Main> {
  const mains = new Map<number, Main>();
  const places = hosePlaces(net, access.points);
  // The first coil, in natural order, whose water passes a node.
  const coilAbove = new Int32Array(net.nodeCount).fill(-1);
  for (let i = net.nodeCount - 1; i >= 0; i--) {
    const node = net.downstreamFirst[i];
    if (net.coilAt[node] >= 0) coilAbove[node] = coilAbove[node] < 0 ? node : Math.min(node, coilAbove[node]);
    const p = topology.next[node];
    if (p < 0 || coilAbove[node] < 0 || net.role[p] !== ROLE.drain) continue;
    const end = net.to[p];
    coilAbove[end] = coilAbove[end] < 0 ? coilAbove[node] : Math.min(coilAbove[end], coilAbove[node]);
  }
  access.lines.forEach(({ pipes }, line) => {
    const common = pipes.filter((p) => topology.common[p] === 1);
    if (common.length === 0) return;
    // On the main itself, else as near above it as may be where one coil alone drains, else at a pan.
    const top = net.from[common[0]];
    const nodes = [...common.map((p) => net.from[p]), ...soleAbove(net, topology, top)];
    const pan = coilAbove[top];
    const place = places.find((inletAt) => nodes.some((node) => inletAt.has(node)));
    const host = place === undefined ? (pan < 0 ? top : pan) : nodes.find((node) => place.has(node))!;
    mains.set(line, { pipes: common, inlet: place === undefined ? pan : place.get(host)!, host });
  });
  return mains;
}

/** Nodes above a node from which one coil alone drains into it, the nearest along the pipes first. */
function soleAbove(net: Compiled, { next, common }: Facts["topology"], top: number): number[] {
  const far = new Map([[top, 0]]);
  for (const [node, length] of far)
    for (let k = net.drainsIn.start[node]; k < net.drainsIn.start[node + 1]; k++) {
      const p = net.drainsIn.list[k];
      const from = net.from[p];
      if (next[from] === p && common[p] === 0 && !far.has(from)) far.set(from, length + net.length[p]);
    }
  far.delete(top);
  return [...far].sort((a, b) => a[1] - b[1] || a[0] - b[0]).map(([node]) => node);
}

/**
 * What a hose can be put into, by the node of the drains that it stands on: cleanouts and vents that stand open, then
 * joints that can be undone.
 */
function hosePlaces(net: Compiled, points: Facts["access"]["points"]): readonly ReadonlyMap<number, number>[] {
  const openings = new Map<number, number>();
  const joints = new Map<number, number>();
  const add = (to: Map<number, number>, node: number): void => {
    const host = hostOf(net, node);
    if (!to.has(host)) to.set(host, node);
  };
  for (const { node, kind } of points) {
    if (kind === "cleanout") add(openings, node);
    if (kind === "removable") add(joints, node);
  }
  for (let node = 0; node < net.nodeCount; node++) {
    const { vent, accessible } = net.nodes[node];
    if (vent !== null && !vent.capped && vent.opening !== "admittance-valve" && accessible !== false)
      add(openings, node);
  }
  return [openings, joints];
}

/**
 * For each outlet or pump what may be run into the drains that lead to it, m³/s: no more than each common one of them
 * carries, nor what lies between a main and where the hose goes in. Round figures.
 */
function hoseRates(
  net: Compiled,
  { topology, capacity }: Facts,
  mains: ReadonlyMap<number, Main>,
  most: number,
): (boundary: number) => number {
  const rates = new Float64Array(net.nodeCount).fill(most);
  const limit = (p: number): void => {
    const boundary = topology.boundary[net.from[p]];
    // What is level carries nothing by its own fall, and is told as a fault.
    if (boundary >= 0 && net.role[p] === ROLE.drain && capacity.capacity[p] > 0)
      rates[boundary] = Math.min(rates[boundary], capacity.capacity[p]);
  };
  for (let p = 0; p < net.pipeCount; p++) if (topology.common[p] === 1) limit(p);
  for (const { host, pipes } of mains.values())
    for (
      let n = host;
      n !== net.from[pipes[0]] && topology.common[topology.next[n]] === 0;
      n = net.to[topology.next[n]]
    )
      limit(topology.next[n]);
  const step = most / 60;
  return (boundary) => Math.max(Math.floor(rates[boundary] / step + 1e-9), 1) * step;
}

/** Stops by what they are about: the node of a fan coil, pump or outlet; past those, mains by their line; -1 the building. */
type StopKey = number;
const BUILDING: StopKey = -1;

/** Which stop a node or pipe is looked at from: its one coil's, its main's, else the building's. */
interface Stops {
  readonly mains: ReadonlyMap<StopKey, Main>;
  readonly ofNode: (node: number) => StopKey;
  readonly ofPipe: (pipe: number) => StopKey;
}

function stopsBy({ net, facts }: SheetCase, byLine: ReadonlyMap<number, Main>, sole: Int32Array): Stops {
  const { topology, access } = facts;
  const mains = new Map(Array.from(byLine, ([line, main]) => [net.nodeCount + line, main]));
  const isPlace = (node: number) =>
    net.kind[node] === KIND.coil || net.kind[node] === KIND.pump || net.kind[node] === KIND.outlet;
  const ofDrain = (p: number): StopKey => {
    if (p < 0) return BUILDING;
    if (sole[p] >= 0) return sole[p];
    const main = net.nodeCount + access.lineOf[p];
    return mains.has(main) ? main : BUILDING;
  };
  const ofNode = (node: number): StopKey => {
    if (isPlace(node)) return node;
    const host = hostOf(net, node);
    return isPlace(host) ? host : ofDrain(topology.next[host]);
  };
  const ofPipe = (p: number): StopKey => (access.lineOf[p] >= 0 || sole[p] >= 0 ? ofDrain(p) : ofNode(net.from[p]));
  return { mains, ofNode, ofPipe };
}

const ORDER: readonly SheetStop["kind"][] = ["main", "fan-coil", "pump", "outlet", "building"];

/** From the roof down; on a floor the mains first, then the coils, the pumps and the outlets; the building last. */
function stopsOf(c: SheetCase, mains: ReadonlyMap<number, Main>): SheetStop[] {
  const { net, facts, speak } = c;
  const sole = soleCoils(net, facts);
  const stops = stopsBy(c, mains, sole);
  const drains = new Groups<number>();
  for (let p = 0; p < net.pipeCount; p++) if (net.role[p] === ROLE.drain) drains.add(sole[p], p);
  const traps = new Groups<number>();
  for (let n = 0; n < net.nodeCount; n++) if (net.nodes[n].trap?.sealType === "water") traps.add(stops.ofNode(n), n);
  const devices = new Groups<number>();
  for (const [device, { at }] of net.model.devices.entries()) devices.add(stops.ofNode(net.nodeRank[at]), device);
  const lines = new Groups<SecondLine>();
  for (const line of facts.secondLines) lines.add(net.coils[line.coil], line);
  const circuits = new Groups<number>();
  for (const [circuit, { coils }] of facts.circuits.circuits.entries())
    for (const coil of coils) circuits.add(coil, circuit);
  const questions = questionsOf(c, stops);

  const floorAt = floorFinder(net);
  const floorRank = new Map([...net.model.floors].sort((a, b) => naturalOrder(a.id, b.id)).map(({ id }, i) => [id, i]));
  const placed: { readonly stop: SheetStop; readonly level: number; readonly floor: number }[] = [];
  const add = (
    key: StopKey,
    kind: SheetStop["kind"],
    at: number,
    title: string,
    checks: readonly SheetCheck[],
  ): void => {
    const floor = at < 0 ? null : floorAt(at);
    const dwelling = kind === "fan-coil" ? (net.nodes[at].coil!.serves ?? net.nodes[at].dwelling) : null;
    const all = [...checks, ...questions.of(key)];
    if (all.length > 0)
      placed.push({
        stop: { title, kind, floor: floor?.id ?? null, dwelling, checks: all },
        level: at < 0 ? Number.NEGATIVE_INFINITY : (floor?.elevation ?? net.z[at]),
        floor: floorRank.get(floor?.id ?? "") ?? floorRank.size,
      });
  };
  const parts = (key: StopKey) => [
    ...traps.of(key).map((trap) => primeCheck(c, trap)),
    ...devices.of(key).map((device) => switchCheck(c, device)),
  ];
  for (const [key, main] of stops.mains) {
    const [first, last] = [main.pipes[0], main.pipes[main.pipes.length - 1]];
    const title = `Main from ${speak.node(net.from[first])} to ${speak.node(net.to[last])}`;
    const at = main.inlet < 0 || net.kind[main.inlet] === KIND.coil ? net.from[first] : main.host;
    add(key, "main", at, title, [...mainChecks(c, main), ...parts(key)]);
  }
  for (const [coil, node] of net.coils.entries()) {
    const own = {
      circuits: circuits.of(coil),
      drains: drains.of(node),
      traps: traps.of(node),
      devices: devices.of(node),
      secondLines: lines.of(node),
    };
    add(node, "fan-coil", node, `Fan coil ${speak.node(node)}`, coilChecks(c, coil, own));
  }
  for (let node = 0; node < net.nodeCount; node++) {
    if (net.kind[node] === KIND.pump)
      add(node, "pump", node, `Pump ${speak.node(node)}`, [...pumpChecks(c, node), ...parts(node)]);
    if (net.kind[node] === KIND.outlet)
      add(node, "outlet", node, `Outlet ${speak.node(node)}`, [...outletChecks(c, node), ...parts(node)]);
  }
  add(BUILDING, "building", -1, "The whole building", parts(BUILDING));
  return placed
    .sort(
      (a, b) =>
        (b.level === a.level ? 0 : b.level - a.level) ||
        a.floor - b.floor ||
        ORDER.indexOf(a.stop.kind) - ORDER.indexOf(b.stop.kind),
    )
    .map(({ stop }) => stop);
}

/** Lists by key. */
class Groups<T> {
  readonly #lists = new Map<number, T[]>();

  add(key: number, item: T): void {
    const list = this.#lists.get(key);
    if (list === undefined) this.#lists.set(key, [item]);
    else list.push(item);
  }

  of(key: number): readonly T[] {
    return this.#lists.get(key) ?? [];
  }
}

const STAGES: readonly Stage[] = ["design", "as-built", "in-service"];
/** Rules whose question other lines of the sheet ask, for each of their subjects. */
const ASKED_ELSEWHERE: ReadonlySet<string> = new Set([sealPriming.id, overflowNotWorking.id]);

/** What the rules ask that judge only in a later stage: one question of each rule at each stop that it concerns. */
function questionsOf(c: SheetCase, stops: Stops): Groups<SheetCheck> {
  const { net, profile } = c;
  const questions = new Groups<SheetCheck>();
  for (const rule of catalogue) {
    const isLater = STAGES.indexOf(rule.stage) > STAGES.indexOf(net.model.stage);
    if (!isLater || ASKED_ELSEWHERE.has(rule.id) || profile.severities.get(rule.id) === "off") continue;
    const asked = new Map<StopKey, number[]>();
    for (const subject of rule.subjects(c)) {
      const key = stopOfSubject(c, stops, rule, subject);
      const known = asked.get(key);
      if (known === undefined) asked.set(key, [subject]);
      else known.push(subject);
    }
    for (const [key, subjects] of asked) questions.add(key, question(c, stops, rule, key, subjects));
  }
  return questions;
}

function stopOfSubject({ net }: SheetCase, stops: Stops, rule: Rule, subject: number): StopKey {
  switch (rule.anchor) {
    case "node":
      return stops.ofNode(subject);
    case "pipe":
      return stops.ofPipe(subject);
    case "coil":
      return net.coils[subject];
    case "device":
      return stops.ofNode(net.nodeRank[net.model.devices[subject].at]);
    default:
      return BUILDING;
  }
}

function question(c: SheetCase, { mains }: Stops, rule: Rule, key: StopKey, subjects: readonly number[]): SheetCheck {
  const { net, speak } = c;
  const about = {
    fanCoils: rule.anchor === "coil" ? subjects.map((coil) => net.coils[coil]) : [],
    nodes: rule.anchor === "node" ? subjects : [],
    pipes: rule.anchor === "pipe" ? subjects : [],
    devices: rule.anchor === "device" ? subjects : [],
  };
  const ids = subjectIds(c, about);
  const where = [...ids.fanCoils, ...ids.nodes, ...ids.pipes, ...ids.devices];
  const main = mains.get(key);
  const id =
    main !== undefined
      ? checkId(`question.${rule.id}`, "p", net.pipes[main.pipes[main.pipes.length - 1]].id)
      : key === BUILDING
        ? checkId(`question.${rule.id}`, "b", net.model.id)
        : checkId(`question.${rule.id}`, net.kind[key] === KIND.coil ? "f" : "n", net.nodes[key].id);
  return {
    id,
    kind: "question",
    rule: rule.id,
    subject: ids,
    text: where.length === 0 ? rule.question : `${rule.question} Look at ${speak.list(where, 6)}.`,
    expected: [],
    boxes: [yesNo("answer", "yes or no"), textBox("where", "where, and what was seen")],
  };
}
