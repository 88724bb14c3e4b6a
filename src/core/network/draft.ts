import type { UnitSystem } from "../quantity/unit-system.js";
import { parseQuantity, toSi } from "../quantity/units.js";
import { FIGURES, type Figure } from "./figures.js";
import type { Flaws } from "./flaws.js";
import type { NodeKind, PipeRole, Stage } from "./model.js";
import { type Origin, PARTS, type Part } from "./placements.js";
import { type ProblemList, quoted, step } from "./problems.js";
import type { RawCircuit, RawDevice, RawFloor, RawLevel, RawNode, RawPipe, RawQuantity, RawSite } from "./schema.js";
import { originOf, type Shorthand } from "./written-at.js";

/** Strings with units repeat; more different ones than this are parsed each time. */
const MAX_REMEMBERED = 4096;

/** How a node's level is known. */
export const LEVEL = {
  /** neither stated nor found yet */
  open: 0,
  /** relative to another node whose level is not known yet */
  waiting: 1,
  /** known; NaN where what it rests on is a problem already told */
  known: 2,
} as const;

/**
 * A document on its way to a model. Nodes and pipes have indices in document order, expanded stubs after them; element
 * `i` of the raw lists has a problem in its form where `bad…[i]` is 1. Levels and lengths in metres, NaN = unknown.
 */
export class Draft {
  readonly problems: ProblemList;
  readonly flaws: Flaws;
  /** null where the document does not say it: bare numbers then mean nothing */
  readonly system: UnitSystem | null;
  readonly stage: Stage | null;
  readonly site: RawSite | null;
  readonly floors: readonly RawFloor[];
  readonly nodes: readonly RawNode[];
  readonly pipes: readonly RawPipe[];
  readonly devices: readonly RawDevice[];
  readonly circuits: readonly RawCircuit[];
  /** where elements come from that placements made: they stand after the document's own */
  readonly origins: Readonly<Record<Part, readonly Origin[]>> | null;
  /** null where the document lists none: then any name will do */
  owners: ReadonlyMap<string, number> | null;

  /** floor id → finished level */
  readonly floorLevel = new Map<string, number>();
  /** site's half-width */
  surveyTolerance = 0;

  readonly nodeIndex = new Map<string, number>();
  /** nodes and stubs */
  nodeCount = 0;
  kind: (NodeKind | null)[] = [];
  z = new Float64Array(0);
  state = new Uint8Array(0);
  /** node whose level this one's is relative to, -1 none; then z holds the height above it until the level is known */
  relativeTo = new Int32Array(0);
  tolerance = new Float64Array(0);
  /** stubs in the order of their nodes: the node that carries it, and which stub */
  readonly stubHost: number[] = [];
  readonly stubRole: ("vent" | "access")[] = [];

  /** pipes and stubs */
  pipeCount = 0;
  role: (PipeRole | null)[] = [];
  from = new Int32Array(0);
  to = new Int32Array(0);
  length = new Float64Array(0);
  grade = new Float64Array(0);
  /** end 2p is the `from` end of pipe p, 2p + 1 its `to` end: level = endHeight, above node endNode unless that is -1 */
  endNode = new Int32Array(0);
  endHeight = new Float64Array(0);
  endOwn = new Uint8Array(0);
  /** node: the water-carrying pipe that leaves, enters; of several the first in natural order, -1 none */
  leaving = new Int32Array(0);
  entering = new Int32Array(0);

  #section = "";
  #index = 0;
  #stub = "";
  /** what is wrong is not told: it is told where the element itself is read */
  quiet = false;
  /** result of `readLevel` */
  levelNode = -1;
  levelHeight = Number.NaN;
  readonly #remembered = new Map<Figure, Map<string, number>>();

  constructor(
    document: {
      readonly system: UnitSystem | null;
      readonly stage: Stage | null;
      readonly site: RawSite | null;
      readonly floors: readonly RawFloor[];
      readonly owners: ReadonlyMap<string, number> | null;
      readonly nodes: readonly RawNode[];
      readonly pipes: readonly RawPipe[];
      readonly devices: readonly RawDevice[];
      readonly circuits: readonly RawCircuit[];
      readonly origins: Readonly<Record<Part, readonly Origin[]>> | null;
    },
    flaws: Flaws,
    problems: ProblemList,
  ) {
    this.system = document.system;
    this.stage = document.stage;
    this.site = document.site;
    this.floors = document.floors;
    this.owners = document.owners;
    this.nodes = document.nodes;
    this.pipes = document.pipes;
    this.devices = document.devices;
    this.circuits = document.circuits;
    this.origins = document.origins;
    this.flaws = flaws;
    this.problems = problems;
  }

  /** From here on, problems are at this element. */
  at(section: string, index: number, stub = ""): void {
    this.#section = section;
    this.#index = index;
    this.#stub = stub;
  }

  /** From here on, problems are at this node or stub. */
  atNode(node: number): void {
    const stub = node - this.nodes.length;
    if (stub < 0) this.at("nodes", node);
    else this.at("nodes", this.stubHost[stub], this.stubRole[stub] === "vent" ? "/vent" : "/cleanout");
  }

  /** Where a node's level is stated, below its own pointer. */
  levelField(node: number): string {
    const stub = node - this.nodes.length;
    if (stub < 0) return "/elevation";
    return this.stubRole[stub] === "vent" ? "/top" : "/opening";
  }

  /** Where an element comes from that a placement made; null for the document's own. */
  origin(section: string, index: number): Origin | null {
    if (this.origins === null) return null;
    const part = PARTS.find((each) => each === section);
    if (part === undefined) return null;
    const made = this.origins[part];
    const first = this.#listOf(part).length - made.length;
    return index < first ? null : made[index - first];
  }

  get shorthand(): Shorthand | null {
    const { origins } = this;
    if (origins === null) return null;
    const first = (part: Part): number => this.#listOf(part).length - origins[part].length;
    return {
      first: {
        nodes: first("nodes"),
        pipes: first("pipes"),
        overflowDevices: first("overflowDevices"),
        circuits: first("circuits"),
      },
      origins,
    };
  }

  #listOf(part: Part): readonly unknown[] {
    return part === "overflowDevices" ? this.devices : this[part];
  }

  /** Part of a typical that a stub is made from, as its node is. */
  typicalOfStub(node: number): string | null {
    const stub = node - this.nodes.length;
    const { typical } = this.nodes[this.stubHost[stub]];
    return typical === undefined ? null : `${typical}/${this.stubRole[stub] === "vent" ? "vent" : "cleanout"}`;
  }

  /** Pointer of an element in the document as posted: of a typical's part, in the typical. */
  home(section: string, index: number): string {
    const from = this.origin(section, index);
    return from === null ? `/${section}/${index}` : `/typicals${step(from.typical)}/${section}/${from.index}`;
  }

  /** Pointer of the element among all, those that placements made after the document's own. */
  get place(): string {
    return this.#section === "site" ? "/site" : `/${this.#section}/${this.#index}${this.#stub}`;
  }

  pointer(suffix: string): string {
    if (this.#section === "site") return `/site${suffix}`;
    return `${this.home(this.#section, this.#index)}${this.#stub}${suffix}`;
  }

  fail(suffix: string, code: string, detail: string, hint?: string): void {
    if (this.quiet) return;
    const from = this.origin(this.#section, this.#index);
    if (from === null) {
      this.problems.add(this.pointer(suffix), code, detail, hint);
      return;
    }
    // in the placement if what is wrong was said there; else at the placement, whose place makes it wrong
    const path = `${this.#stub}${suffix}`.split("/").slice(1);
    const written = originOf(from, this.#section as Part, path);
    const pointer = written.by === "placement" ? written.pointer : `/placements/${from.placement}`;
    this.problems.add(pointer, code, `${detail} (${quoted(from.id)}, by ${this.pointer(suffix)})`, hint);
  }

  /**
   * A figure in SI base units.
   * @returns NaN where it is absent or wrong; what is wrong has been told
   */
  figure(sort: Figure, raw: RawQuantity | undefined, suffix: string): number {
    if (raw === undefined) return Number.NaN;
    let value: number;
    if (typeof raw === "number") {
      if (this.system === null) return Number.NaN;
      value = toSi(sort.kind, raw, this.system);
      if (Number.isNaN(value)) return this.#parse(sort, raw, suffix);
    } else {
      const known = this.#remembered.get(sort)?.get(raw);
      if (known !== undefined) return known;
      value = this.#parse(sort, raw, suffix);
    }
    if (value < sort.min || value > sort.max) {
      this.fail(suffix, "absurd-number", `${typeof raw === "number" ? raw : quoted(raw)} cannot be`, sort.bounds);
      return Number.NaN;
    }
    if (typeof raw === "string" && !Number.isNaN(value)) {
      let texts = this.#remembered.get(sort);
      if (texts === undefined) {
        texts = new Map();
        this.#remembered.set(sort, texts);
      }
      if (texts.size < MAX_REMEMBERED) texts.set(raw, value);
    }
    return value;
  }

  /** As `figure`, null for NaN. */
  figureOrNull(sort: Figure, raw: RawQuantity | undefined, suffix: string): number | null {
    const value = this.figure(sort, raw, suffix);
    return Number.isNaN(value) ? null : value;
  }

  /** A figure of an element that tells its own problems elsewhere. */
  quietFigure(sort: Figure, raw: RawQuantity | undefined): number {
    const before = this.quiet;
    this.quiet = true;
    const value = this.figure(sort, raw, "");
    this.quiet = before;
    return value;
  }

  #parse(sort: Figure, raw: RawQuantity, suffix: string): number {
    const parsed = parseQuantity(sort.kind, raw, this.system ?? "si");
    if (parsed.ok) return parsed.value;
    this.fail(suffix, "bad-quantity", parsed.detail, parsed.hint);
    return Number.NaN;
  }

  /**
   * Reads one of the forms of a level into `levelNode` (-1: none) and `levelHeight` (above that node, else the level
   * itself; NaN where wrong).
   */
  readLevel(raw: RawLevel, suffix: string): void {
    this.levelNode = -1;
    if (typeof raw !== "object") {
      this.levelHeight = this.figure(FIGURES.elevation, raw, suffix);
      return;
    }
    const above = this.figure(FIGURES.elevation, raw.above, `${suffix}/above`);
    this.levelHeight = above;
    if ("floor" in raw) {
      const floor = this.floorLevel.get(raw.floor);
      if (floor === undefined) {
        this.unknown(`${suffix}/floor`, "floor", raw.floor, this.floorLevel.keys());
        this.levelHeight = Number.NaN;
      } else this.levelHeight = floor + above;
      return;
    }
    const node = this.nodeIndex.get(raw.node);
    if (node === undefined) {
      this.unknown(`${suffix}/node`, "node", raw.node, this.nodeIndex.keys());
      this.levelHeight = Number.NaN;
    } else this.levelNode = node;
  }

  /** A level in metres once all nodes have theirs; null where absent or wrong. */
  level(raw: RawLevel | undefined, suffix: string): number | null {
    if (raw === undefined) return null;
    this.readLevel(raw, suffix);
    const value = this.levelNode < 0 ? this.levelHeight : this.z[this.levelNode] + this.levelHeight;
    if (Number.isNaN(value)) return null;
    if (value < FIGURES.elevation.min || value > FIGURES.elevation.max) {
      this.fail(suffix, "absurd-number", `comes to ${value} m`, FIGURES.elevation.bounds);
      return null;
    }
    return value;
  }

  /** Tells a reference to nothing, with the nearest name that would be something. */
  unknown(suffix: string, what: string, id: string, known: Iterable<string>): void {
    if (this.quiet) return;
    if (!this.problems.listing) {
      this.problems.count(1);
      return;
    }
    const near = this.problems.nearest(id, known);
    this.fail(
      suffix,
      "unknown-reference",
      `there is no ${what} ${quoted(id)}`,
      near === undefined ? undefined : `did you mean ${quoted(near)}?`,
    );
  }

  /** Whether an element has a problem in its form, so that only its id, if that, can be used. */
  illFormed(section: "nodes" | "pipes" | "overflowDevices" | "circuits" | "floors", index: number): boolean {
    return this.flaws.illFormed(section)?.[index] === 1;
  }

  /** Remembers an id, or tells that it stands there already. */
  enter(index: Map<string, number>, id: string, position: number, suffix: string, what: string): void {
    const first = index.get(id);
    if (first === undefined) index.set(id, position);
    else
      this.fail(
        suffix,
        "duplicate-id",
        `the ${what} id ${quoted(id)} is taken`,
        `give each ${what} an id of its own; the first is at ${this.firstOf(what, first)}`,
      );
  }

  /** Pointer of the element that has an id first. */
  firstOf(what: string, position: number): string {
    if (what === "node" && position >= this.nodes.length) return this.stubPointer(position - this.nodes.length);
    if (what === "pipe" && position >= this.pipes.length) return this.stubPointer(position - this.pipes.length);
    const section = what === "device" ? "overflowDevices" : `${what}s`;
    return this.home(section, position);
  }

  stubPointer(stub: number): string {
    return `${this.home("nodes", this.stubHost[stub])}${step(this.stubRole[stub] === "vent" ? "vent" : "cleanout")}`;
  }

  /** Id of a node or stub; only of elements that have one. */
  nodeId(node: number): string {
    const stub = node - this.nodes.length;
    if (stub < 0) return this.nodes[node].id;
    return `${this.nodes[this.stubHost[stub]].id}/${this.stubRole[stub] === "vent" ? "vent" : "cleanout"}`;
  }

  /** Id for a sentence: an ill-formed node may have none. */
  nodeIdOr(node: number, otherwise: string): string {
    const id: unknown = node < this.nodes.length ? (this.nodes[node] as RawNode | null)?.id : this.nodeId(node);
    return typeof id === "string" ? id : otherwise;
  }

  /** Whether both plan coordinates are stated, right or wrong; true for what has told its own problem already. */
  hasPlan(node: number): boolean {
    if (node < 0) return false;
    const place = this.#place(node);
    if (this.illFormed("nodes", place)) return true;
    return this.nodes[place].x !== undefined && this.nodes[place].y !== undefined;
  }

  /** The node whose plan coordinates hold: a stub rises plumb from its own. */
  #place(node: number): number {
    return node < this.nodes.length ? node : this.stubHost[node - this.nodes.length];
  }

  pipeId(pipe: number): string {
    return pipe < this.pipes.length ? this.pipes[pipe].id : this.nodeId(this.nodes.length + pipe - this.pipes.length);
  }

  /** Distance of a pipe's ends in plan, m; NaN where a coordinate is missing. */
  planDistance(pipe: number): number {
    const from = this.from[pipe];
    const to = this.to[pipe];
    if (from < 0 || to < 0) return Number.NaN;
    const dx = this.#plan(to, "x") - this.#plan(from, "x");
    const dy = this.#plan(to, "y") - this.#plan(from, "y");
    return Math.sqrt(dx * dx + dy * dy);
  }

  /** A plan coordinate; what is wrong with it is told where the node is read. */
  #plan(node: number, axis: "x" | "y"): number {
    const place = this.#place(node);
    return this.illFormed("nodes", place) ? Number.NaN : this.quietFigure(FIGURES.plan, this.nodes[place][axis]);
  }

  /** Level of a pipe end, by `endNode` and `endHeight`. */
  endLevel(end: number): number {
    const node = this.endNode[end];
    return node < 0 ? this.endHeight[end] : this.z[node] + this.endHeight[end];
  }
}
