import { naturalOrder } from "../quantity/natural-order.js";
import { type Draft, LEVEL } from "./draft.js";
import { FIGURES } from "./figures.js";
import type { NodeKind, PipeRole } from "./model.js";
import { boreOfPipe } from "./pipe-bore.js";
import { NODE_KIND_NAMES, type RawLevel, type RawPipe, ROLE_NAMES } from "./schema.js";

const kinds: ReadonlySet<unknown> = new Set(NODE_KIND_NAMES);
const roles: ReadonlySet<unknown> = new Set(ROLE_NAMES);

/** What can be read of an element that has a problem in its form. */
const fieldOf = (raw: unknown, field: string): unknown =>
  typeof raw === "object" && raw !== null && Object.hasOwn(raw, field)
    ? (raw as { readonly [key: string]: unknown })[field]
    : undefined;

/** Finished floors by id. */
export const indexFloors = (draft: Draft): void => {
  const seen = new Map<string, number>();
  for (let i = 0; i < draft.floors.length; i += 1) {
    draft.at("floors", i);
    const raw = draft.floors[i];
    if (draft.illFormed("floors", i)) {
      const id = fieldOf(raw, "id");
      if (typeof id === "string" && !draft.floorLevel.has(id)) draft.floorLevel.set(id, Number.NaN);
      continue;
    }
    draft.enter(seen, raw.id, i, "/id", "floor");
    const level = draft.figure(FIGURES.elevation, raw.elevation, "/elevation");
    if (!draft.floorLevel.has(raw.id)) draft.floorLevel.set(raw.id, level);
  }
};

/** Ids and kinds of all nodes, stubs after them. */
export const indexNodes = (draft: Draft): void => {
  const { nodes, nodeIndex } = draft;
  const kind: (NodeKind | null)[] = new Array(nodes.length);
  for (let i = 0; i < nodes.length; i += 1) {
    const raw = nodes[i];
    draft.at("nodes", i);
    if (draft.illFormed("nodes", i)) {
      const id = fieldOf(raw, "id");
      if (typeof id === "string") draft.enter(nodeIndex, id, i, "/id", "node");
      const stated = fieldOf(raw, "kind");
      kind[i] = kinds.has(stated) ? (stated as NodeKind) : null;
      continue;
    }
    draft.enter(nodeIndex, raw.id, i, "/id", "node");
    kind[i] = raw.kind;
    if (raw.kind === "vent") continue;
    if (raw.vent !== undefined) {
      draft.stubHost.push(i);
      draft.stubRole.push("vent");
    }
    if (raw.cleanout !== undefined) {
      draft.stubHost.push(i);
      draft.stubRole.push("access");
    }
  }
  for (let stub = 0; stub < draft.stubHost.length; stub += 1) {
    const node = nodes.length + stub;
    draft.atNode(node);
    draft.enter(nodeIndex, draft.nodeId(node), node, "", "node");
    kind.push(draft.stubRole[stub] === "vent" ? "vent" : "cleanout");
  }
  // a stub of an ill-formed node may still be referred to
  for (let i = 0; i < nodes.length; i += 1) {
    if (!draft.illFormed("nodes", i)) continue;
    const id = fieldOf(nodes[i], "id");
    if (typeof id !== "string") continue;
    for (const stub of ["vent", "cleanout"])
      if (fieldOf(nodes[i], stub) !== undefined && !nodeIndex.has(`${id}/${stub}`)) nodeIndex.set(`${id}/${stub}`, i);
  }
  const count = nodes.length + draft.stubHost.length;
  draft.nodeCount = count;
  draft.kind = kind;
  draft.z = new Float64Array(count).fill(Number.NaN);
  draft.state = new Uint8Array(count);
  draft.relativeTo = new Int32Array(count).fill(-1);
  draft.tolerance = new Float64Array(count);
};

const CARRIES_WATER: ReadonlySet<PipeRole | null> = new Set([null, "drain", "secondary", "auxiliary", "pressure"]);
export const carriesWater = (role: PipeRole | null): boolean => CARRIES_WATER.has(role);

/** Ids, ends, roles, lengths and grades of all pipes, stubs after them. */
export const indexPipes = (draft: Draft): void => {
  const { pipes } = draft;
  const count = pipes.length + draft.stubHost.length;
  draft.pipeCount = count;
  draft.role = new Array(count);
  draft.from = new Int32Array(count).fill(-1);
  draft.to = new Int32Array(count).fill(-1);
  draft.length = new Float64Array(count).fill(Number.NaN);
  draft.grade = new Float64Array(count).fill(Number.NaN);
  draft.endNode = new Int32Array(2 * count).fill(-1);
  draft.endHeight = new Float64Array(2 * count);
  draft.endOwn = new Uint8Array(2 * count);
  draft.leaving = new Int32Array(draft.nodeCount).fill(-1);
  draft.entering = new Int32Array(draft.nodeCount).fill(-1);
  const ids = new Map<string, number>();
  for (let i = 0; i < pipes.length; i += 1) {
    const raw = pipes[i];
    draft.at("pipes", i);
    if (draft.illFormed("pipes", i)) {
      const id = fieldOf(raw, "id");
      if (typeof id === "string") draft.enter(ids, id, i, "/id", "pipe");
      const role = fieldOf(raw, "role");
      draft.role[i] = roles.has(role) ? (role as PipeRole) : null;
      readEnds(draft, i, fieldOf(raw, "from"), fieldOf(raw, "to"));
      draft.endHeight[2 * i] = Number.NaN;
      draft.endHeight[2 * i + 1] = Number.NaN;
      continue;
    }
    draft.enter(ids, raw.id, i, "/id", "pipe");
    draft.role[i] = raw.role ?? "drain";
    readEnds(draft, i, raw.from, raw.to);
    draft.length[i] = draft.figure(FIGURES.length, raw.length, "/length");
    draft.grade[i] = draft.figure(FIGURES.grade, raw.grade, "/grade");
    noteDrain(draft, i);
    endLevels(draft, i, raw);
  }
  for (let stub = 0; stub < draft.stubHost.length; stub += 1) {
    const pipe = pipes.length + stub;
    const node = draft.nodes.length + stub;
    draft.atNode(node);
    draft.enter(ids, draft.pipeId(pipe), pipe, "", "pipe");
    draft.role[pipe] = draft.stubRole[stub];
    draft.from[pipe] = draft.stubHost[stub];
    draft.to[pipe] = node;
    draft.endNode[2 * pipe] = draft.stubHost[stub];
    draft.endNode[2 * pipe + 1] = node;
  }
};

const readEnds = (draft: Draft, pipe: number, from: unknown, to: unknown): void => {
  if (typeof from === "string") {
    const index = draft.nodeIndex.get(from);
    if (index === undefined) draft.unknown("/from", "node", from, draft.nodeIndex.keys());
    else draft.from[pipe] = index;
  }
  if (typeof to === "string") {
    const index = draft.nodeIndex.get(to);
    if (index === undefined) draft.unknown("/to", "node", to, draft.nodeIndex.keys());
    else draft.to[pipe] = index;
  }
};

/** Whether `pipe` is the better source of a stub's make than `other`: a drain before anything else, then natural order. */
const comesFirst = (draft: Draft, pipe: number, other: number): boolean => {
  const drain = draft.role[pipe] === "drain";
  if (drain !== (draft.role[other] === "drain")) return drain;
  return naturalOrder(draft.pipeId(pipe), draft.pipeId(other)) < 0;
};

const noteDrain = (draft: Draft, pipe: number): void => {
  if (!carriesWater(draft.role[pipe])) return;
  const { leaving, entering } = draft;
  const from = draft.from[pipe];
  const to = draft.to[pipe];
  if (from >= 0 && (leaving[from] < 0 || comesFirst(draft, pipe, leaving[from]))) leaving[from] = pipe;
  if (to >= 0 && (entering[to] < 0 || comesFirst(draft, pipe, entering[to]))) entering[to] = pipe;
};

/** The pipe whose size, material and bore a node's stub takes: the drain that leaves, else the first that enters; -1 none. */
export const pipeOfStub = (draft: Draft, host: number): number =>
  draft.leaving[host] >= 0 && (draft.role[draft.leaving[host]] === "drain" || draft.entering[host] < 0)
    ? draft.leaving[host]
    : draft.entering[host] >= 0 && (draft.role[draft.entering[host]] === "drain" || draft.leaving[host] < 0)
      ? draft.entering[host]
      : draft.leaving[host];

const ownLevel = (draft: Draft, end: number, raw: RawLevel, suffix: string): void => {
  draft.readLevel(raw, suffix);
  draft.endNode[end] = draft.levelNode;
  draft.endHeight[end] = draft.levelHeight;
  draft.endOwn[end] = 1;
};

/** Where the levels of a pipe's ends come from: their own, else what the node's kind or the pipe's role says, else the node. */
const endLevels = (draft: Draft, pipe: number, raw: RawPipe): void => {
  const from = draft.from[pipe];
  const to = draft.to[pipe];
  const start = 2 * pipe;
  if (raw.fromInvert !== undefined) ownLevel(draft, start, raw.fromInvert, "/fromInvert");
  else {
    draft.endNode[start] = from;
    if (from < 0) draft.endHeight[start] = Number.NaN;
    else if (from < draft.nodes.length && (raw.role === "secondary" || raw.role === "auxiliary"))
      portLevel(draft, start, from, raw.role);
  }
  const end = start + 1;
  if (raw.toInvert !== undefined) ownLevel(draft, end, raw.toInvert, "/toInvert");
  else {
    draft.endNode[end] = to;
    if (to < 0) draft.endHeight[end] = Number.NaN;
    else if (draft.kind[to] === "trap") draft.endHeight[end] = inletDrop(draft, to);
  }
};

const portLevel = (draft: Draft, end: number, coil: number, role: "secondary" | "auxiliary"): void => {
  const raw = draft.nodes[coil];
  if (draft.illFormed("nodes", coil) || raw.kind !== "fan-coil") return;
  if (role === "secondary") {
    const height = raw.pan?.secondary?.height;
    if (height === undefined) return;
    draft.endHeight[end] = draft.quietFigure(FIGURES.height, height);
    draft.endOwn[end] = 1;
    return;
  }
  const floor = raw.auxiliaryPan?.floor;
  if (floor === undefined) return;
  draft.quiet = true;
  ownLevel(draft, end, floor, "");
  draft.quiet = false;
};

/** Height of a trap's inlet over its weir, 0 where unknown. */
const inletDrop = (draft: Draft, trap: number): number => {
  const raw = draft.nodes[trap];
  if (draft.illFormed("nodes", trap) || raw.kind !== "trap" || raw.inletDrop === undefined) return 0;
  return draft.quietFigure(FIGURES.drop, raw.inletDrop);
};

/** Where the levels of nodes come from, as far as they are stated, and their tolerances. */
export const statedLevels = (draft: Draft): void => {
  const { z, state, relativeTo, tolerance, nodes } = draft;
  for (let i = 0; i < nodes.length; i += 1) {
    if (draft.illFormed("nodes", i)) {
      state[i] = LEVEL.known;
      tolerance[i] = draft.surveyTolerance;
      continue;
    }
    const raw = nodes[i];
    draft.at("nodes", i);
    tolerance[i] = toleranceOf(draft, raw.tolerance);
    if (raw.elevation === undefined) continue;
    draft.readLevel(raw.elevation, "/elevation");
    z[i] = draft.levelHeight;
    relativeTo[i] = draft.levelNode;
    state[i] = draft.levelNode < 0 ? LEVEL.known : LEVEL.waiting;
  }
  for (let stub = 0; stub < draft.stubHost.length; stub += 1) {
    const host = draft.stubHost[stub];
    const node = nodes.length + stub;
    const raw = nodes[host];
    draft.atNode(node);
    if (raw.kind === "vent") continue;
    if (draft.stubRole[stub] === "vent" && raw.vent !== undefined) {
      draft.readLevel(raw.vent.top, "/top");
      z[node] = draft.levelHeight;
      relativeTo[node] = draft.levelNode;
      tolerance[node] = draft.surveyTolerance;
    } else if (raw.cleanout !== undefined) {
      const stated = raw.cleanout.opening;
      const height =
        stated === undefined
          ? boreOfPipe(draft, pipeOfStub(draft, host))
          : draft.figure(FIGURES.opening, stated, "/opening");
      z[node] = Number.isNaN(height) && stated === undefined ? 0 : height;
      relativeTo[node] = host;
      tolerance[node] = tolerance[host];
    }
    state[node] = relativeTo[node] < 0 ? LEVEL.known : LEVEL.waiting;
  }
};

const toleranceOf = (draft: Draft, raw: number | string | undefined): number => {
  if (raw === undefined) return draft.surveyTolerance;
  if (raw === "derived") return 0;
  const value = draft.figure(FIGURES.tolerance, raw, "/tolerance");
  return Number.isNaN(value) ? draft.surveyTolerance : value;
};
