import { isHose } from "../materials/materials.js";
import { EPSILON } from "../quantity/interval.js";
import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import { carriesWater, pipeOfStub } from "./index-elements.js";
import { gradeFall } from "./levels.js";
import type { ModelPipe } from "./model.js";
import { sizeOfPipe } from "./pipe-bore.js";
import { quoted } from "./problems.js";
import { checkOwner } from "./read-nodes.js";

/** Levels written to the millimetre agree within half of one, whatever the survey's tolerance. */
const ROUNDING = 0.0005;

const orNull = (value: number): number | null => (Number.isNaN(value) ? null : value);

/** Pipes of the model: those of the document, then stubs. Ill-formed ones are left out; there is no model then. */
export const readPipes = (draft: Draft): ModelPipe[] => {
  const { pipes, endOwn } = draft;
  const made: ModelPipe[] = new Array(draft.pipeCount);
  for (let i = 0; i < pipes.length; i += 1) {
    const from = draft.from[i];
    const to = draft.to[i];
    const role = draft.role[i];
    draft.at("pipes", i);
    if (from >= 0 && from === to)
      draft.fail("/to", "self-loop", "a pipe from a node to itself", "name the node at its other end");
    if (from >= 0 && carriesWater(role) && (draft.kind[from] === "outlet" || draft.kind[from] === "vent"))
      draft.fail(
        "/from",
        "drain-leaves-end",
        `a ${role === null || role === "drain" ? "drain" : `${role} pipe`} that leaves ${draft.kind[from] === "outlet" ? "an outlet" : "a vent"}`,
        draft.kind[from] === "outlet"
          ? "water ends at an outlet: turn the pipe round, or make the node a point or junction"
          : 'a pipe to a vent has the role "vent" and is drawn from the drain to its open end',
      );
    if (draft.illFormed("pipes", i)) continue;
    const raw = pipes[i];
    const fromInvert = endLevel(draft, 2 * i, "/fromInvert");
    const toInvert = endLevel(draft, 2 * i + 1, "/toInvert");
    checkInletDrop(draft, i, toInvert);
    const length = lengthOf(draft, i, fromInvert, toInvert);
    checkGrade(draft, i, fromInvert, toInvert);
    checkOwner(draft, raw.owner);
    if (raw.lastCleaned !== undefined && !isDate(raw.lastCleaned))
      draft.fail(
        "/lastCleaned",
        "bad-date",
        `${quoted(raw.lastCleaned)} is no date of the calendar`,
        'write "2026-03-14"',
      );
    made[i] = {
      id: raw.id,
      pointer: draft.place,
      from,
      to,
      role: role ?? "drain",
      size: orNull(sizeOfPipe(draft, raw.size, raw.material, "/size")),
      material: raw.material ?? null,
      insideDiameter: draft.figureOrNull(FIGURES.bore, raw.insideDiameter, "/insideDiameter"),
      length,
      grade: orNull(draft.grade[i]),
      fromInvert,
      toInvert,
      fromInvertOwn: endOwn[2 * i] === 1,
      toInvertOwn: endOwn[2 * i + 1] === 1,
      supportSpacing: draft.figureOrNull(FIGURES.spacing, raw.supportSpacing, "/supportSpacing"),
      insulation:
        raw.insulation === undefined
          ? null
          : {
              thickness: draft.figureOrNull(FIGURES.thickness, raw.insulation.thickness, "/insulation/thickness"),
              conductivity: draft.figureOrNull(
                FIGURES.conductivity,
                raw.insulation.conductivity,
                "/insulation/conductivity",
              ),
              facing: raw.insulation.facing ?? null,
            },
      space: raw.space ?? "ceiling",
      zone: raw.zone ?? null,
      owner: raw.owner ?? null,
      flexible: raw.flexible ?? (raw.material !== undefined && isHose(raw.material)),
      heatTraced: raw.heatTraced ?? false,
      lastCleaned: raw.lastCleaned ?? null,
      notes: raw.notes ?? null,
      typical: raw.typical ?? null,
    };
  }
  for (let stub = 0; stub < draft.stubHost.length; stub += 1)
    made[pipes.length + stub] = stubPipe(draft, stub, made[pipeOfStub(draft, draft.stubHost[stub])]);
  return made;
};

/** A pipe that rises plumb from its node, made like the drain there. */
const stubPipe = (draft: Draft, stub: number, like: ModelPipe | undefined): ModelPipe => {
  const pipe = draft.pipes.length + stub;
  const host = draft.stubHost[stub];
  const node = draft.nodes.length + stub;
  const raw = draft.nodes[host];
  const isVent = draft.stubRole[stub] === "vent";
  draft.atNode(node);
  const statedSize = raw.kind === "vent" ? undefined : isVent ? raw.vent?.size : raw.cleanout?.size;
  const size =
    statedSize === undefined
      ? (like?.size ?? null)
      : orNull(sizeOfPipe(draft, statedSize, like?.material ?? undefined, "/size"));
  const rise = draft.z[node] - draft.z[host];
  if (isVent && rise < -EPSILON)
    draft.fail(
      "/top",
      "vent-below-node",
      "the vent's top is below the node that it vents",
      "a vent rises from its node",
    );
  return {
    id: draft.pipeId(pipe),
    pointer: draft.place,
    from: host,
    to: node,
    role: draft.stubRole[stub],
    size,
    material: like?.material ?? null,
    // a measured bore is that of the drain's own size
    insideDiameter: size === (like?.size ?? null) ? (like?.insideDiameter ?? null) : null,
    length: Math.max(0, rise),
    grade: null,
    fromInvert: draft.z[host],
    toInvert: draft.z[node],
    fromInvertOwn: false,
    toInvertOwn: false,
    supportSpacing: null,
    insulation: null,
    space: like?.space ?? "ceiling",
    zone: raw.zone ?? null,
    owner: raw.owner ?? null,
    flexible: false,
    heatTraced: false,
    lastCleaned: null,
    notes: null,
    typical: draft.typicalOfStub(node),
  };
};

const endLevel = (draft: Draft, end: number, suffix: string): number => {
  const level = draft.endLevel(end);
  if (draft.endOwn[end] === 1 && (level < FIGURES.elevation.min || level > FIGURES.elevation.max)) {
    draft.fail(suffix, "absurd-number", `comes to ${level} m`, FIGURES.elevation.bounds);
    return Number.NaN;
  }
  return level;
};

/** What the survey may hide between the two ends of a pipe, m. */
const slack = (draft: Draft, pipe: number): number =>
  draft.tolerance[draft.from[pipe]] + draft.tolerance[draft.to[pipe]];

const metres = (value: number): string => `${Number(value.toFixed(4))} m`;

const lengthOf = (draft: Draft, pipe: number, fromInvert: number, toInvert: number): number => {
  const height = Math.abs(fromInvert - toInvert);
  const stated = draft.length[pipe];
  if (draft.pipes[pipe].length === undefined) {
    const inPlan = draft.planDistance(pipe);
    if (!Number.isNaN(inPlan)) return Math.sqrt(inPlan * inPlan + height * height);
    if (!draft.hasPlan(draft.from[pipe]) || !draft.hasPlan(draft.to[pipe]))
      draft.fail(
        "/length",
        "missing-length",
        "a pipe without length",
        "give its length along the pipe, or x and y of both its nodes",
      );
    return Number.NaN;
  }
  if (height - stated > Math.max(0.005, 0.01 * height) + slack(draft, pipe) + EPSILON)
    draft.fail(
      "/length",
      "length-too-short",
      `${metres(stated)} long, but its ends are ${metres(height)} apart in height`,
      "check the length and the levels of both ends",
    );
  return stated;
};

/** With both ends given, a stated grade must agree with them. */
const checkGrade = (draft: Draft, pipe: number, fromInvert: number, toInvert: number): void => {
  if (Number.isNaN(draft.grade[pipe])) return;
  const fall = gradeFall(draft, pipe);
  const apart = Math.abs(fromInvert - toInvert - fall);
  if (apart > Math.max(slack(draft, pipe), ROUNDING) + EPSILON)
    draft.fail(
      "/grade",
      "grade-disagrees",
      `the stated grade makes a fall of ${metres(fall)}, the levels of its ends ${metres(fromInvert - toInvert)}`,
      "leave one of them out, or check which is wrong",
    );
};

/** A trap's `inletDrop` and the stated level of the pipe that enters it must be the same. */
const checkInletDrop = (draft: Draft, pipe: number, toInvert: number): void => {
  const to = draft.to[pipe];
  if (draft.endOwn[2 * pipe + 1] !== 1 || to < 0 || draft.kind[to] !== "trap" || draft.illFormed("nodes", to)) return;
  const raw = draft.nodes[to];
  if (raw.kind !== "trap" || raw.inletDrop === undefined) return;
  const inlet = draft.z[to] + draft.quietFigure(FIGURES.drop, raw.inletDrop);
  if (Math.abs(toInvert - inlet) > ROUNDING + EPSILON)
    draft.fail(
      "/toInvert",
      "inlet-drop-disagrees",
      `ends at ${metres(toInvert)}, but the trap's elevation and inletDrop make ${metres(inlet)}`,
      "leave toInvert out, or correct the trap's inletDrop",
    );
};

const DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] as const;

/** Whether an RFC 3339 date, alone or with a time, is in the calendar. */
const isDate = (text: string): boolean => {
  const year = Number(text.slice(0, 4));
  const month = Number(text.slice(5, 7));
  const day = Number(text.slice(8, 10));
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  if (month < 1 || month > 12 || day < 1 || day > DAYS[month - 1] + (month === 2 && leap ? 1 : 0)) return false;
  const time = /T(\d{2}):(\d{2})(?::(\d{2}))?.*?(?:Z|[+-](\d{2}):(\d{2}))$/.exec(text);
  if (time === null) return true;
  return (
    Number(time[1]) < 24 &&
    Number(time[2]) < 60 &&
    Number(time[3] ?? 0) < 61 &&
    Number(time[4] ?? 0) < 24 &&
    Number(time[5] ?? 0) < 60
  );
};

/** What pipes and nodes ask of one another: pumps, traps, vents. */
export const checkConnections = (draft: Draft): void => {
  const { nodeCount, pipeCount, kind, from, to, role } = draft;
  const enters = new Int32Array(nodeCount);
  const leaves = new Int32Array(nodeCount);
  let vents = false;
  for (let pipe = 0; pipe < pipeCount; pipe += 1) {
    if (role[pipe] === "vent") vents = true;
    if (!carriesWater(role[pipe])) continue;
    if (to[pipe] >= 0) enters[to[pipe]] += 1;
    if (from[pipe] >= 0) leaves[from[pipe]] += 1;
  }
  for (let node = 0; node < draft.nodes.length; node += 1) {
    if (kind[node] === "pump" && (enters[node] !== 1 || leaves[node] !== 1)) {
      draft.at("nodes", node);
      draft.fail(
        "",
        "pump-connections",
        `a pump has one pipe in and one out, this one ${enters[node]} in and ${leaves[node]} out`,
        "join the drains at a junction before the pump; split nothing behind it",
      );
    } else if (kind[node] === "trap" && (enters[node] === 0 || leaves[node] === 0)) {
      draft.at("nodes", node);
      draft.fail(
        "",
        "trap-connections",
        enters[node] === 0
          ? leaves[node] === 0
            ? "a trap without a drain in or out"
            : "a trap without a drain in"
          : "a trap without a drain out",
        "connect a drain on each side of it",
      );
    }
  }
  if (vents) checkVentTops(draft);
};

/** An open end must not be lower than the node at which its vent pipes leave the drain. */
const checkVentTops = (draft: Draft): void => {
  const { nodeCount, pipes, kind, from, to, role, z } = draft;
  const ventInto = new Int32Array(nodeCount).fill(-1);
  for (let pipe = 0; pipe < pipes.length; pipe += 1)
    if (role[pipe] === "vent" && from[pipe] >= 0 && to[pipe] >= 0 && ventInto[to[pipe]] < 0) ventInto[to[pipe]] = pipe;
  // node → the node where its vent run begins; -2 while it is being sought (a loop of vents begins nowhere)
  const foot = new Int32Array(nodeCount).fill(-1);
  for (let vent = 0; vent < draft.nodes.length; vent += 1) {
    if (kind[vent] !== "vent" || ventInto[vent] < 0) continue;
    const walked: number[] = [];
    let node = vent;
    while (foot[node] === -1 && ventInto[node] >= 0) {
      foot[node] = -2;
      walked.push(node);
      node = from[ventInto[node]];
    }
    const found = foot[node] === -1 ? node : foot[node];
    for (const each of walked) foot[each] = found;
    if (found >= 0 && z[vent] < z[found] - EPSILON) {
      draft.at("nodes", vent);
      draft.fail(
        "/elevation",
        "vent-below-node",
        `the vent's top is below ${quoted(draft.nodeIdOr(found, "the node"))}, which it vents`,
        "a vent rises from its node",
      );
    }
  }
};
