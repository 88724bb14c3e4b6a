import { LATENT_HEAT, WATER_DENSITY } from "../physics/constants.js";
import { EPSILON } from "../quantity/interval.js";
import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import { carriesWater } from "./index-elements.js";
import { gradeFall } from "./levels.js";
import { quoted } from "./problems.js";

/** Levels and grades are written to the millimetre: half of one may be lost in rounding, m. */
const ROUNDING = 0.0005;
/** A length may fall short of the height that it spans by this much, m, or by one per cent. */
const SHORT = 0.005;

/** What cannot be, pipe by pipe and node by node; also finds the lengths that are not stated. */
export const checkPipework = (draft: Draft): void => {
  checkPipes(draft);
  checkNodes(draft);
};

const millimetres = (metres: number): string => `${Math.round(metres * 10_000) / 10} mm`;

const checkPipes = (draft: Draft): void => {
  const { from, to, kind, z } = draft;
  for (let p = 0; p < draft.pipeCount; p += 1) {
    const stub = p >= draft.pipes.length;
    if (stub) {
      draft.atNode(draft.nodes.length + p - draft.pipes.length);
      draft.length[p] = z[to[p]] - z[from[p]];
      if (draft.role[p] === "vent") ventTop(draft, p, "/top");
      continue;
    }
    draft.at("pipes", p);
    const a = from[p];
    const b = to[p];
    if (a >= 0 && a === b) {
      draft.fail(
        "/to",
        "self-loop",
        `the pipe leads from ${quoted(draft.nodeId(a))} to itself`,
        "name the node at its other end",
      );
      continue;
    }
    if (draft.illFormed("pipes", p)) continue;
    const role = draft.role[p];
    if (role === "drain" && a >= 0 && (kind[a] === "outlet" || kind[a] === "vent"))
      draft.fail(
        "/from",
        "drain-from-end",
        `a drain cannot leave ${kind[a] === "outlet" ? "an outlet" : "a vent"}`,
        kind[a] === "vent"
          ? "draw a vent pipe from the drain to its open end, with role vent"
          : "draw it the other way round",
      );
    if (a < 0 || b < 0) continue;
    const raw = draft.pipes[p];
    const top = draft.endLevel(2 * p);
    const bottom = draft.endLevel(2 * p + 1);
    if (raw.length === undefined) {
      const plan = draft.planDistance(p);
      if (Number.isNaN(plan)) {
        draft.fail(
          "/length",
          "missing-length",
          "the pipe has no length",
          "give its length along the pipe, or x and y of both its ends",
        );
        continue;
      }
      draft.length[p] = Math.hypot(plan, top - bottom);
    }
    const length = draft.length[p];
    const tolerance = draft.tolerance[a] + draft.tolerance[b];
    const height = Math.abs(top - bottom);
    if (length <= EPSILON)
      draft.fail(
        "/length",
        "no-length",
        "the pipe has no length",
        "give its length along the pipe; join nodes that are one place",
      );
    else if (height - length > Math.max(SHORT, 0.01 * height) + tolerance + EPSILON)
      draft.fail(
        "/length",
        "too-short",
        `a length of ${millimetres(length)} cannot span a height of ${millimetres(height)}`,
        "measure along the pipe; it is at least as long as the height between its ends",
      );
    const fall = gradeFall(draft, p);
    if (!Number.isNaN(fall) && Math.abs(top - bottom - fall) > tolerance + ROUNDING)
      draft.fail(
        "/grade",
        "grade-disagrees",
        `the stated grade makes a fall of ${millimetres(fall)}, the levels of its ends ${millimetres(top - bottom)}`,
        "leave out the elevation of one end, or correct one of them",
      );
    if (role === "vent") ventTop(draft, p, null);
    if (raw.toInvert !== undefined && kind[b] === "trap" && b < draft.nodes.length && !draft.illFormed("nodes", b)) {
      const trap = draft.nodes[b];
      const stated = trap.kind === "trap" ? draft.quietFigure(FIGURES.drop, trap.inletDrop) : Number.NaN;
      if (Math.abs(bottom - (z[b] + stated)) > ROUNDING)
        draft.fail(
          "/toInvert",
          "trap-inlet-disagrees",
          `the pipe ends ${millimetres(bottom - z[b])} above the trap's weir, its inletDrop says ${millimetres(stated)}`,
          "leave out one of them",
        );
    }
  }
};

const ventTop = (draft: Draft, p: number, stub: string | null): void => {
  const { from, to, z, kind } = draft;
  if (kind[to[p]] !== "vent" || !(z[to[p]] < z[from[p]] - EPSILON)) return;
  if (stub === null) draft.atNode(to[p]);
  draft.fail(
    stub ?? draft.levelField(to[p]),
    "vent-below-node",
    `the vent's top is ${millimetres(z[from[p]] - z[to[p]])} below the node that it vents`,
    "give the level of its open end; it stands above the drain",
  );
  if (stub === null) draft.at("pipes", p);
};

const checkNodes = (draft: Draft): void => {
  const { kind, nodes } = draft;
  const waterIn = new Int32Array(draft.nodeCount);
  const waterOut = new Int32Array(draft.nodeCount);
  for (let p = 0; p < draft.pipes.length; p += 1) {
    if (!carriesWater(draft.role[p])) continue;
    if (draft.from[p] >= 0) waterOut[draft.from[p]] += 1;
    if (draft.to[p] >= 0) waterIn[draft.to[p]] += 1;
  }
  let coils = 0;
  let outlets = 0;
  for (let i = 0; i < nodes.length; i += 1) {
    if (kind[i] === "fan-coil") coils += 1;
    if (kind[i] === "outlet") outlets += 1;
    draft.at("nodes", i);
    if (kind[i] === "pump" && (waterIn[i] !== 1 || waterOut[i] !== 1))
      draft.fail(
        "",
        "pump-pipes",
        `a pump has one pipe in and one out; this one has ${waterIn[i]} in and ${waterOut[i]} out`,
        "join its drains before it, and draw its discharge from it with role pressure",
      );
    if (kind[i] === "trap" && (waterIn[i] === 0 || waterOut[i] === 0))
      draft.fail(
        "",
        "trap-pipes",
        `a trap needs a drain in and a drain out; this one has ${waterIn[i]} in and ${waterOut[i]} out`,
        "draw the missing pipe",
      );
    if (draft.illFormed("nodes", i)) continue;
    const raw = nodes[i];
    if (raw.kind !== "fan-coil") continue;
    const pressure = draft.quietFigure(FIGURES.static, raw.panStatic);
    if (raw.fanPosition === "draw-through" && pressure > 0)
      draft.fail(
        "/panStatic",
        "static-sign",
        "a draw-through fan holds its pan under suction, but the static is positive",
        `write ${negated(raw.panStatic)} for a pan under suction, or correct fanPosition`,
      );
    if (raw.fanPosition === "blow-through" && pressure < 0)
      draft.fail(
        "/panStatic",
        "static-sign",
        "a blow-through fan holds its pan under pressure, but the static is negative",
        `write ${negated(raw.panStatic)} for a pan under pressure, or correct fanPosition`,
      );
    const rate = draft.quietFigure(FIGURES.flow, raw.condensateRate);
    const capacity = draft.quietFigure(FIGURES.capacity, raw.coolingCapacity);
    const greatest = capacity / LATENT_HEAT / WATER_DENSITY;
    if (rate > greatest * (1 + 1e-9))
      draft.fail(
        "/condensateRate",
        "impossible-rate",
        `more than the whole capacity could condense (${Math.round(greatest * 3.6e9) / 1000} L/h)`,
        "check the units of condensateRate and coolingCapacity; at most 1.4537 L/h per kW",
      );
  }
  // A list that could not be read at all is told once, where it is.
  if (draft.flaws.unusable.has("nodes")) return;
  if (coils === 0)
    draft.problems.add(
      "/nodes",
      "no-fan-coil",
      "the document has no fan coil",
      "add at least one node of kind fan-coil",
    );
  if (outlets === 0)
    draft.problems.add(
      "/nodes",
      "no-outlet",
      "the document has no outlet",
      "add the node of kind outlet where the water leaves",
    );
};

const negated = (raw: number | string | undefined): string => {
  if (typeof raw === "number") return String(-raw);
  const text = (raw ?? "").trim();
  return /^[-−]/.test(text) ? text.slice(1).trim() : `-${text.replace(/^\+/, "")}`;
};
