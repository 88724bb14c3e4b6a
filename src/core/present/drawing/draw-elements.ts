import { CLOSURE } from "../../analysis/facts.js";
import { hostOf } from "../../analysis/trip-cover.js";
import { KIND, ROLE } from "../../graph/compiled.js";
import { plain } from "../plain.js";
import { cut, type Line, lineThrough, middleOf } from "./lines.js";
import { drawMarks, type Mark, marksWidth } from "./marks.js";
import {
  BLOCK_LIFT,
  BLOCKED,
  besideOf,
  COMES_OUT,
  columnsOf,
  DEVICE_HEIGHT,
  endWords,
  isPlumb,
  nodeMarks,
  pipeLabel,
  type Scene,
  short,
  TAIL_STEP,
  tailLength,
  tailMarksOf,
} from "./scene.js";
import { blockSymbol, dropSymbol, letters, riserTag, type Sign } from "./signs.js";
import { element, escaped, rounded, told } from "./svg.js";
import { textWidth } from "./text-width.js";

const r = rounded;

/** Where an element is drawn: y down the page. */
export interface At {
  readonly x: number;
  readonly y: number;
  /** 1 where the line flows to the right, -1 to the left */
  readonly flow: number;
}

/** What a picture is put together from, from what lies lowest. */
export interface Layers {
  /** what stands out, and floods */
  readonly under: string[];
  readonly pipes: string[];
  readonly symbols: string[];
  readonly texts: string[];
  readonly marks: string[];
}

export const newLayers = (): Layers => ({ under: [], pipes: [], symbols: [], texts: [], marks: [] });

export const joined = ({ under, pipes, symbols, texts, marks }: Layers): string =>
  [...under, ...pipes, ...symbols, ...texts, ...marks].join("");

/** Draws the parts of a scene, and remembers which signs it has used. */
export class Pen {
  readonly used = new Set<Sign>();

  constructor(
    readonly scene: Scene,
    readonly layers: Layers,
    readonly entered: Uint8Array,
    readonly devices: ReadonlyMap<number, readonly number[]>,
    /** pipe → in a space of locked air */
    readonly locked: (pipe: number) => boolean,
  ) {}

  #use(sign: Sign): void {
    this.used.add(sign);
  }

  #class(name: string, standsOut: boolean): string {
    return this.scene.emphasis === null || standsOut ? name : `${name} dw-dim`;
  }

  #nodeClass(name: string, node: number): string {
    return this.#class(name, this.scene.emphasis?.nodes.has(node) === true || this.#spills(node));
  }

  #spills(node: number): boolean {
    return this.scene.emphasis?.flood?.spills.has(node) === true;
  }

  /** Findings at one place, as loud as what they are about. */
  #marks(marks: readonly Mark[], standsOut: boolean, left: number, middle: number): void {
    const drawn = drawMarks(marks, left, middle);
    this.layers.marks.push(this.scene.emphasis === null || standsOut ? drawn : `<g class="dw-dim">${drawn}</g>`);
  }

  #nodeMarks(node: number, marks: readonly Mark[], left: number, middle: number): void {
    this.#marks(marks, this.scene.emphasis?.nodes.has(node) === true || this.#spills(node), left, middle);
  }

  /** A pipe between two points, by way of `points`. */
  pipe(p: number, points: Line, label: { readonly x: number; readonly y: number } | null): void {
    const { audited, emphasis, marks } = this.scene;
    const { net, facts } = audited;
    const path = lineThrough(points);
    const role = net.role[p];
    const standsOut = emphasis?.pipes.has(p) === true || emphasis?.flood?.blockedPipe === p;
    if (emphasis?.pipes.has(p)) {
      const sign = emphasis.flood === null ? "way" : "flood";
      this.#use(sign);
      const part = emphasis.flood === null ? points : floodedPart(net, p, emphasis.flood.level, points);
      this.layers.under.push(element("path", { class: `dw-${sign}`, d: lineThrough(part) }));
    }
    this.#water(p, points, standsOut);
    const kind = (
      {
        [ROLE.vent]: "vent",
        [ROLE.access]: "access",
        [ROLE.secondary]: "second",
        [ROLE.auxiliary]: "second",
        [ROLE.pressure]: "pressure",
      } as Readonly<Record<number, Sign>>
    )[role];
    if (kind !== undefined) this.#use(kind);
    const isCommon = facts.topology.common[p] === 1;
    this.#use(isCommon ? "common" : "drain");
    const name = `dw-pipe${kind === undefined ? "" : ` dw-${kind}`}${isCommon ? " dw-common" : ""}`;
    this.layers.pipes.push(
      element(
        "path",
        { class: this.#class(name, standsOut), d: path, "data-pipe": net.pipes[p].id },
        told(this.#pipeWords(p)),
      ),
    );
    if (this.locked(p)) {
      this.#use("air");
      this.layers.pipes.push(element("path", { class: this.#class("dw-air", standsOut), d: path }));
    }
    if (emphasis?.flood?.blockedPipe === p) this.#block(p, points);
    if (label === null) return;
    const text = pipeLabel(this.scene, p);
    const own = marks.ofPipe(p);
    const { x, y } = label;
    if (text !== "") {
      const isBlocked = emphasis?.flood?.blockedPipe === p;
      const name = isBlocked ? "dw-small dw-strong" : "dw-small";
      this.layers.texts.push(
        element(
          "text",
          { class: this.#class(name, standsOut), x, y: y - (isBlocked ? 5 + BLOCK_LIFT : 5) },
          escaped(text),
        ),
      );
    }
    if (own.length > 0) this.#marks(own, standsOut, x - marksWidth(own) / 2, y - (text === "" ? 5 : 16) - 6.5);
  }

  /** An arrow head in the middle of a stretch that lies level in the picture. */
  arrow(from: number, to: number, y: number, p: number): void {
    const middle = (from + to) / 2;
    const tip = to > from ? 4 : -4;
    const { emphasis } = this.scene;
    this.layers.pipes.push(
      element("path", {
        class: this.#class("dw-solid", emphasis?.pipes.has(p) === true),
        d: `M${r(middle - tip)} ${r(y - 3)}L${r(middle + tip)} ${r(y)}L${r(middle - tip)} ${r(y + 3)}Z`,
      }),
    );
  }

  #pipeWords(p: number): string {
    const { audited, speak } = this.scene;
    const { net, facts } = audited;
    const { grade, vertical } = facts.fall;
    const coils = facts.topology.coilsAbove[p];
    const parts = [`${plain(net.pipes[p].id)}: ${speak.figure(net.length[p], "length")}`];
    if (net.role[p] === ROLE.drain) {
      if (vertical[p] === 1) parts.push("plumb or steep");
      else if (!Number.isNaN(grade[p])) parts.push(`grade ${short(speak, grade[p], "grade")}`);
      parts.push(coils === 1 ? "one coil above" : `${coils} coils above`);
    } else parts.push(net.pipes[p].role);
    return parts.join(", ");
  }

  /** Standing water at both ends of a pipe, as far as it reaches into it. */
  #water(p: number, points: Line, standsOut: boolean): void {
    const { net, facts } = this.scene.audited;
    const { fromDepth, toDepth, fromClosure, toClosure, poolOfEnd } = facts.water;
    const closed = (bits: number) => (bits & CLOSURE.best) !== 0;
    const fall = Math.abs(net.fromInvert[p] - net.toInvert[p]);
    const reach = (depth: number, end: number): number =>
      poolOfEnd[end] >= 0 ? Math.min(1, Math.max(0.25, depth / (fall + 1e-9))) : 0;
    let upper = reach(fromDepth[p], 2 * p);
    let lower = reach(toDepth[p], 2 * p + 1);
    if (upper + lower >= 1) [upper, lower] = [1, 0];
    const shut = closed(fromClosure[p]) || closed(toClosure[p]);
    for (const [share, fromEnd] of [
      [upper, false],
      [lower, true],
    ] as const) {
      if (share === 0) continue;
      this.#use(shut ? "sealed" : "wet");
      const part = cut(fromEnd ? [...points].reverse() : points, share);
      const dy = shut ? 0 : 2.6;
      const path = `M${part.map(([x, y]) => `${r(x)} ${r(y + dy)}`).join("L")}`;
      this.layers.under.push(
        element("path", { class: this.#class(shut ? "dw-sealed" : "dw-wet", standsOut), d: path }),
      );
    }
  }

  /** What stands plumb is stopped near its top, where the word for it stands. */
  #block(p: number, points: Line): void {
    const [x, y] = middleOf(points);
    const top = points[0]![1];
    this.#blockAt(x, isPlumb(this.scene.audited, p) ? Math.min(y, top + 10) : y);
  }

  #blockAt(x: number, y: number): void {
    this.#use("blocked");
    this.layers.symbols.push(blockSymbol(x, y));
  }

  #words(words: string, x: number, y: number, anchor: "dw-start" | "dw-end" | ""): void {
    this.layers.texts.push(element("text", { class: `dw-small dw-strong ${anchor}`.trim(), x, y }, words));
  }

  /** A node with everything that hangs on it. */
  node(node: number, at: At): void {
    const { net } = this.scene.audited;
    switch (net.kind[node]) {
      case KIND.coil:
        this.#coil(node, at);
        break;
      case KIND.trap:
        this.#trap(node, at);
        break;
      case KIND.outlet:
        this.#outlet(node, at);
        break;
      case KIND.pump:
        this.#pump(node, at);
        break;
      default:
        this.#joint(node, at);
    }
    this.#columns(node, at);
    if (this.scene.emphasis?.flood?.blockedNode === node) {
      this.#blockAt(at.x, at.y);
      if (net.kind[node] === KIND.trap) this.#words(BLOCKED, at.x, at.y + this.scene.detail.trapDepth + 9, "");
      else if (net.kind[node] === KIND.coil) this.#words(BLOCKED, at.x, at.y + 15, "");
    }
    if (this.#spills(node)) {
      this.#use("spill");
      const isCoil = net.kind[node] === KIND.coil;
      const lift = isCoil ? this.scene.detail.coilHeight / 2 : 0;
      this.layers.marks.push(dropSymbol(at.x + at.flow * 4, at.y - lift));
      if (isCoil) {
        const out = at.x - at.flow * (this.scene.labels.coilWidth + tailLength(this.scene, node) + 5);
        this.#words(COMES_OUT, out, at.y - lift + 3, at.flow > 0 ? "dw-end" : "dw-start");
      }
    }
  }

  #symbol(node: number, sign: Sign, content: string): void {
    this.#use(sign);
    const { net } = this.scene.audited;
    this.layers.symbols.push(
      element(
        "g",
        { class: this.#nodeClass("dw-node", node), "data-node": net.nodes[node].id },
        `${told(`${plain(this.scene.speak.node(node))}: ${net.nodes[node].kind.replace("-", " ")}`)}${content}`,
      ),
    );
  }

  #coil(node: number, at: At): void {
    const { audited, detail, labels } = this.scene;
    const { facts } = audited;
    const { coilHeight: height } = detail;
    const width = labels.coilWidth;
    const { x, y, flow } = at;
    const left = flow > 0 ? x - width : x;
    const inPan = facts.water.poolOfNode[node] >= 0;
    const name = labels.coil(node);
    // the pan is the lower edge with its rim turned up
    const content =
      element("rect", { class: "dw-symbol", x: left, y: y - height, width, height: height - 1 }) +
      (inPan ? element("rect", { class: "dw-water", x: left + 1, y: y - 4, width: width - 2, height: 3 }) : "") +
      element("path", {
        class: "dw-line dw-pan",
        d: `M${r(left - 1.5)} ${r(y - 4)}V${r(y)}H${r(left + width + 1.5)}V${r(y - 4)}`,
      }) +
      (name === ""
        ? ""
        : element("text", { class: "dw-small", x: left + width / 2, y: y - height / 2 + 2.6 }, escaped(name)));
    this.#symbol(node, "coil", content);
    let top = height;
    for (const [i, device] of (this.devices.get(node) ?? []).slice(0, 3).entries()) {
      top = height + DEVICE_HEIGHT;
      this.#device(device, (flow > 0 ? left + 6 : left + width - 6) + flow * i * 9, y - height, 3.5);
    }
    const own = nodeMarks(this.scene, node);
    if (own.length > 0) {
      const room = marksWidth(own);
      this.#nodeMarks(node, own, flow > 0 ? x - room : x, y - top - 2 - 6.5);
    }
    this.#tail(node, { x: flow > 0 ? left : left + width, y: y - Math.round(height * 0.55), flow });
    this.#links(node, flow > 0 ? left : left + width - LINK * this.scene.linksOf(node).length, y + 5);
  }

  /** A coil's own second line runs away from its primary drain. */
  #tail(coil: number, { x, y, flow }: At): void {
    const tail = this.scene.trees.tails.get(coil);
    if (tail === undefined) return;
    const { net } = this.scene.audited;
    let end = x;
    for (const [i, p] of tail.pipes.entries()) {
      const next = end - flow * TAIL_STEP;
      this.pipe(
        p,
        [
          [end, y],
          [next, y],
        ],
        null,
      );
      end = next;
      const node = tail.nodes[i];
      if (net.kind[node] === KIND.outlet) {
        this.#symbol(
          node,
          "outlet",
          `<path class="dw-line" d="M${r(end)} ${r(y)}v3"/><path class="dw-symbol" d="M${r(end - 5)} ${r(y + 6)}h10l-3.5 5h-3z"/>`,
        );
      } else this.#dot(node, end, y);
      if (this.#spills(node)) {
        this.#use("spill");
        this.layers.marks.push(dropSymbol(end, y));
      }
    }
    const own = tailMarksOf(this.scene, coil);
    if (own.length > 0) {
      const room = marksWidth(own);
      const beyond = Math.max(0, marksWidth(nodeMarks(this.scene, coil)) + 2 - this.scene.labels.coilWidth) + 6;
      this.#nodeMarks(coil, own, flow > 0 ? x - beyond - room : x + beyond, y - 4 - 6.5);
    }
  }

  #trap(node: number, { x, y, flow }: At): void {
    const { audited, detail } = this.scene;
    const { net, facts } = audited;
    const { trapWidth: width, trapDepth: depth } = detail;
    const own = nodeMarks(this.scene, node);
    const half = width / 2;
    const { sealType } = net.nodes[node].trap!;
    const seal = facts.seals.ofTrap[node];
    const holds = seal >= 0 && facts.seals.list[seal].sealed;
    const u = `M${r(x - half)} ${r(y)}V${r(y + depth - half)}A${r(half)} ${r(half)} 0 0 0 ${r(x + half)} ${r(y + depth - half)}V${r(y)}`;
    if (sealType === "water") {
      const water = holds
        ? element("path", {
            class: "dw-seal",
            d: `M${r(x - half)} ${r(y + 2)}V${r(y + depth - half)}A${r(half)} ${r(half)} 0 0 0 ${r(x + half)} ${r(y + depth - half)}V${r(y + 2)}`,
          })
        : "";
      this.#symbol(node, holds ? "trap" : "dry-trap", water + element("path", { class: "dw-line", d: u }));
    } else {
      // a flap in a box, or a flap and its seat
      const flap =
        sealType === "check-valve"
          ? `M${r(x - half)} ${r(y - 4)}V${r(y + 4)}L${r(x + half)} ${r(y)}Z`
          : `M${r(x - half)} ${r(y - 4)}H${r(x + half)}V${r(y + 4)}H${r(x - half)}ZM${r(x - half)} ${r(y - 4)}L${r(x + half)} ${r(y + 4)}`;
      this.#symbol(node, sealType, element("path", { class: "dw-symbol", d: flap }));
    }
    const columns = columnsOf(this.scene, node, false).width;
    const room = marksWidth(own);
    const left = columns === 0 ? x - room / 2 : flow > 0 ? x + columns + 2 : x - columns - 2 - room;
    if (own.length > 0) this.#nodeMarks(node, own, left, y - 4 - 6.5);
    this.#links(node, x - (LINK * this.scene.linksOf(node).length) / 2, y + depth + 2);
  }

  #outlet(node: number, { x, y, flow }: At): void {
    const { audited } = this.scene;
    const { connection } = audited.net.nodes[node].outlet!;
    // the pipe ends over the receptor, in it, or is one with it
    const gap = connection === "direct" ? 0 : connection === "air-break" ? 1 : 4;
    const dip = connection === "air-break" ? 4 : 0;
    const top = y + 2 + gap - dip;
    const content =
      element("path", {
        class: "dw-symbol",
        d: `M${r(x - 8)} ${r(top)}H${r(x + 8)}L${r(x + 3)} ${r(top + 9)}V${r(top + 13)}H${r(x - 3)}V${r(top + 9)}Z`,
      }) +
      element("path", {
        class: "dw-line",
        d: `M${r(x)} ${r(y)}V${r(y + 2 + (connection === "direct" ? 9 : 0))}`,
      });
    this.#symbol(node, "outlet", content);
    this.#endText(node, { x, y: y + 10, flow }, 11);
  }

  #pump(node: number, { x, y, flow }: At): void {
    const [cx, cy] = [x + flow * 7, y];
    const content =
      element("circle", { class: "dw-symbol", cx, cy, r: 7 }) +
      element("path", {
        class: "dw-solid",
        d: `M${r(cx - flow * 3)} ${r(cy - 4.5)}L${r(cx + flow * 5)} ${r(cy)}L${r(cx - flow * 3)} ${r(cy + 4.5)}Z`,
      });
    this.#symbol(node, "pump", content);
    this.#endText(node, { x: x + flow * 4, y: y + 12, flow }, 11);
  }

  #endText(node: number, { x, y, flow }: At, away: number): void {
    const { labels, marks } = this.scene;
    const anchor = flow > 0 ? "dw-start" : "dw-end";
    const { names, kinds } = labels.end(node);
    const lines = [
      ...names.map((text) => ({ text, name: "dw-strong" })),
      ...kinds.map((text) => ({ text, name: "dw-small dw-soft" })),
      ...endWords(this.scene, node).map((text) => ({ text, name: "dw-small dw-strong" })),
    ];
    for (const [i, { text, name }] of lines.entries())
      this.layers.texts.push(
        element(
          "text",
          { class: this.#nodeClass(`${anchor} ${name}`, node), x: x + flow * away, y: y + i * 11 },
          escaped(text),
        ),
      );
    const own = marks.ofNode(node);
    if (own.length > 0) {
      const left = flow > 0 ? x + away : x - away - marksWidth(own);
      this.#nodeMarks(node, own, left, y - 18);
    }
    this.#links(node, x - (LINK * this.scene.linksOf(node).length) / 2, y + 17);
  }

  #dot(node: number, x: number, y: number): void {
    const { net, facts } = this.scene.audited;
    const joins = net.drainsIn.start[node + 1] - net.drainsIn.start[node] > 1;
    const isEnd = facts.topology.next[node] < 0 && !leads(net, node);
    const form = net.nodes[node].form;
    const content = isEnd
      ? element("circle", { class: "dw-symbol", cx: x, cy: y, r: 3 })
      : form !== null
        ? element("path", {
            class: "dw-symbol",
            d: `M${r(x - 4)} ${r(y - 3)}L${r(x + 4)} ${r(y - 1.5)}V${r(y + 1.5)}L${r(x - 4)} ${r(y + 3)}Z`,
          })
        : element("circle", { class: "dw-dot", cx: x, cy: y, r: joins ? 2.2 : 1.1 });
    this.#symbol(node, isEnd ? "open-end" : form !== null ? "reducer" : "joint", content);
  }

  #joint(node: number, { x, y, flow }: At): void {
    const { riserHead, trees } = this.scene;
    this.#dot(node, x, y);
    const own = nodeMarks(this.scene, node);
    const onRiser = this.entered[node] === 1 || (trees.via[node] >= 0 && isPlumb(this.scene.audited, trees.via[node]));
    const columns = columnsOf(this.scene, node, this.entered[node] === 1);
    if (!onRiser) {
      const width = marksWidth(own);
      const left =
        columns.width > 0 ? (flow > 0 ? x + columns.width + 2 : x - columns.width - 2 - width) : x - width / 2;
      if (own.length > 0) this.#nodeMarks(node, own, left, y - 5 - 6.5);
      this.#links(node, x - (LINK * this.scene.linksOf(node).length) / 2, y + 4);
    } else this.#beside(node, { x, y, flow });
    const number = riserHead.get(node);
    if (number !== undefined) {
      const up = (columns.width > 0 ? this.scene.detail.stub + 5 : 3) + 9;
      this.layers.texts.push(riserTag(number, x, y - up));
    }
  }

  #beside(node: number, { x, y, flow }: At): void {
    const beside = besideOf(this.scene, node);
    let from = 6;
    const place = (width: number, draw: (left: number) => void) => {
      draw(flow > 0 ? x + from : x - from - width);
      from += width + 4;
    };
    if (beside.size !== "")
      place(textWidth(beside.size, 9), (left) => {
        this.layers.texts.push(
          element(
            "text",
            { class: this.#nodeClass("dw-small dw-start dw-soft", node), x: left, y: y + 13 },
            escaped(beside.size),
          ),
        );
      });
    if (beside.blocked) place(textWidth(BLOCKED, 9) + 4, (left) => this.#words(BLOCKED, left + 4, y + 13, "dw-start"));
    if (beside.marks.length > 0)
      place(marksWidth(beside.marks), (left) => this.#nodeMarks(node, beside.marks, left, y + 10));
    if (beside.links.length > 0) place(LINK * beside.links.length, (left) => this.#links(node, left, y + 3));
  }

  /** Both ends of a pipe that is no line of the picture carry its number; the arrow tells out from in. */
  #links(node: number, left: number, top: number): void {
    const { net } = this.scene.audited;
    for (const [i, { pipe, number }] of this.scene.linksOf(node).entries()) {
      this.#use("link");
      const x = left + i * LINK;
      const out = net.from[pipe] === node;
      const words = `${plain(net.pipes[pipe].id)} from ${plain(net.nodes[net.from[pipe]].id)} to ${plain(net.nodes[net.to[pipe]].id)}`;
      const body = out ? `M${r(x)} ${r(top)}h9l4 6-4 6h-9z` : `M${r(x)} ${r(top)}h13v12h-13l4 -6z`;
      this.layers.symbols.push(
        element(
          "g",
          {
            class: this.#class("dw-link", this.scene.emphasis?.pipes.has(pipe) === true),
            "data-pipe": net.pipes[pipe].id,
          },
          told(words) +
            element("path", { class: "dw-symbol", d: body }) +
            element("text", { class: "dw-tiny", x: x + (out ? 5.5 : 8), y: top + 9 }, letters(number)),
        ),
      );
    }
  }

  #columns(node: number, { x, y, flow }: At): void {
    const columns = columnsOf(this.scene, node, this.entered[node] === 1);
    const up = this.scene.detail.stub;
    for (const { stub, x: away } of columns.stubs) {
      const top = y - up;
      const foot: [number, number][] =
        away === 0
          ? [[x, y]]
          : [
              [x, y],
              [x + flow * away, y - Math.min(6, away)],
            ];
      const column = x + flow * away;
      if (stub.device >= 0) {
        this.layers.pipes.push(
          element("path", {
            class: this.#nodeClass("dw-line", node),
            d: `M${foot.map((each) => each.map(r).join(" ")).join("L")}V${r(top + 5)}`,
          }),
        );
        this.#device(stub.device, column, top + 5, 0);
        continue;
      }
      const { pipes, end } = stub;
      for (const [i, p] of pipes.entries()) {
        const low = y - (up * i) / pipes.length;
        const high = y - (up * (i + 1)) / pipes.length;
        this.pipe(
          p,
          i === 0
            ? [...foot, [column, high]]
            : [
                [column, low],
                [column, high],
              ],
          null,
        );
        if (i < pipes.length - 1) this.#dot(this.scene.audited.net.to[p], column, high);
      }
      this.#stubEnd(end, column, top);
    }
    if (columns.more > 0) {
      const last = columns.stubs[columns.stubs.length - 1]!;
      this.layers.texts.push(
        element(
          "text",
          { class: flow > 0 ? "dw-small dw-start" : "dw-small dw-end", x: x + flow * (last.x + 6), y: y - up + 3 },
          `+${columns.more}`,
        ),
      );
    }
    if (columns.spill !== null)
      this.#words(COMES_OUT, x + flow * columns.spill, y - up + 6, flow > 0 ? "dw-start" : "dw-end");
    if (columns.offSheet !== null) {
      const column = x + flow * columns.offSheet.x;
      this.#use("off-sheet");
      this.layers.pipes.push(
        element("path", {
          class: this.#nodeClass("dw-line", node),
          d: `M${r(column)} ${r(y - up)}V${r(y - 5)}L${r(x + flow * Math.min(2, columns.offSheet.x))} ${r(y - 1)}`,
        }),
      );
      this.layers.pipes.push(
        element("path", {
          class: this.#nodeClass("dw-solid", node),
          d: `M${r(column - 3)} ${r(y - up + 5)}h6l-3 6z`,
        }),
      );
      this.layers.texts.push(
        element(
          "text",
          {
            class: flow > 0 ? "dw-small dw-soft dw-start" : "dw-small dw-soft dw-end",
            x: column + flow * 5,
            y: y - up + 6,
          },
          escaped(columns.offSheet.text),
        ),
      );
    }
  }

  #stubEnd(node: number, x: number, top: number): void {
    const { net } = this.scene.audited;
    const { vent, cleanout } = net.nodes[node];
    if (vent !== null) {
      // open to the air above; screened; capped; lets air in only
      const one = vent.opening === "admittance-valve";
      const mouth = vent.capped
        ? element("path", { class: "dw-line dw-cap", d: `M${r(x - 4)} ${r(top)}H${r(x + 4)}` })
        : one
          ? element("path", { class: "dw-symbol", d: `M${r(x - 4)} ${r(top)}H${r(x + 4)}L${r(x)} ${r(top + 5)}Z` })
          : element("path", {
              class: "dw-line",
              d: `M${r(x - 3.5)} ${r(top - 3)}L${r(x)} ${r(top)}L${r(x + 3.5)} ${r(top - 3)}`,
            });
      this.#symbol(node, vent.capped ? "capped-vent" : one ? "admittance" : "open-vent", mouth);
    } else if (cleanout !== null) {
      const cap = cleanout.capped
        ? element("rect", { class: "dw-solid", x: x - 3.5, y: top, width: 7, height: 3.5 })
        : element("path", {
            class: "dw-line",
            d: `M${r(x - 3.5)} ${r(top)}V${r(top + 3)}M${r(x + 3.5)} ${r(top)}V${r(top + 3)}`,
          });
      this.#symbol(node, cleanout.capped ? "cleanout" : "open-cleanout", cap);
    } else this.#dot(node, x, top);
    if (this.#spills(node)) {
      this.#use("spill");
      this.layers.marks.push(dropSymbol(x, top));
    }
  }

  /** A float on its stalk; crossed where it does not work. */
  #device(device: number, x: number, y: number, stalk: number): void {
    const { audited, emphasis, speak } = this.scene;
    const { id, type, state, at } = audited.net.model.devices[device];
    const { net } = audited;
    const host = net.nodeRank[at];
    const isMarked = emphasis?.nodes.has(host) === true || emphasis?.nodes.has(hostOf(net, host)) === true;
    const works = audited.facts.circuits.devices[device].works;
    const trips = emphasis?.flood?.trips.has(device) === true;
    this.#use(trips ? "trips" : works ? "switch" : "dead-switch");
    const cy = y - stalk - 3;
    const body =
      (stalk > 0 ? element("path", { class: "dw-line", d: `M${r(x)} ${r(y)}V${r(cy)}` }) : "") +
      element("circle", { class: trips ? "dw-symbol dw-tripped" : "dw-symbol", cx: x, cy, r: 3.2 }) +
      (works
        ? ""
        : element("path", {
            class: "dw-line",
            d: `M${r(x - 4)} ${r(cy - 4)}L${r(x + 4)} ${r(cy + 4)}M${r(x + 4)} ${r(cy - 4)}L${r(x - 4)} ${r(cy + 4)}`,
          }));
    this.layers.symbols.push(
      element(
        "g",
        { class: this.#class("dw-device", trips || isMarked), "data-device": id },
        `${told(`${plain(speak.device(device))}: ${type.replace("-", " ")}, ${state ?? "state not known"}`)}${body}`,
      ),
    );
  }
}

/** A pipe starts at it. */
const leads = ({ ends }: Scene["audited"]["net"], node: number): boolean => {
  for (let k = ends.start[node]; k < ends.start[node + 1]; k++) if ((ends.list[k] & 1) === 0) return true;
  return false;
};

const LINK = 15;

/** Of a pipe that a pool fills in part, the part from its lower end. */
function floodedPart({ fromInvert, toInvert }: Scene["audited"]["net"], p: number, level: number, points: Line): Line {
  const low = Math.min(fromInvert[p], toInvert[p]);
  const rise = Math.abs(fromInvert[p] - toInvert[p]);
  if (!(level < low + rise)) return points;
  const lowIsFrom = fromInvert[p] < toInvert[p];
  return cut(lowIsFrom ? points : [...points].reverse(), Math.max(0.12, (level - low) / rise));
}
