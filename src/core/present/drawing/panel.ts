import type { Audited } from "../../audit/run.js";
import { KIND } from "../../graph/compiled.js";
import { fromSi, toSi } from "../../quantity/units.js";
import { plain } from "../plain.js";
import { drawMarks, type Mark, marksWidth } from "./marks.js";
import { dipOf, type Panel, type PanelScene, pipeText, type Station, sizeText, ventsOf } from "./panel-scene.js";
import { drawTable, type Plot, type Table, tableOf, thinned } from "./panel-table.js";
import type { Reach } from "./reaches.js";
import { BLOCKED, COMES_OUT } from "./scene.js";
import { blockSymbol, dropSymbol } from "./signs.js";
import { spread, spreadBoxes } from "./spread.js";
import { element, escaped, rounded, told } from "./svg.js";
import { fitted, TEXT, wrap } from "./text-width.js";

const r = rounded;

type Point = readonly [x: number, y: number];

/** px: of the levels' names, of the pan with its own, of what a reach ends in, and of the height that is plotted */
interface Sizes {
  readonly axis: number;
  readonly pan: number;
  readonly drop: number;
  readonly plot: number;
}
const FULL: Sizes = { axis: 62, pan: 150, drop: 128, plot: 236 };
const BRIEF: Sizes = { axis: 50, pan: 118, drop: 96, plot: 172 };
const TRAP = 26;
const TRAP_HALF = 8;
const STRIP = 20;
/** px below the plotted levels that a drop takes */
const DROP_HEIGHT = 58;
/** m of a vent over its node that are drawn to scale */
const TALLEST_VENT = 1.2;
/** pipes that are drawn one by one */
const MOST_PIPES = 300;
/** exaggerations that a reader can think with */
const EXAGGERATIONS = [1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500];

/** A reach of a path, and where it is drawn. */
export interface Place {
  readonly reach: Reach;
  readonly first: boolean;
  readonly last: boolean;
  readonly left: number;
  readonly width: number;
}

/** Reaches of a path side by side, each to scale, with the tables of their nodes and pipes below them. */
export function panelsOf(scene: PanelScene, places: readonly Place[], top: number): Panel {
  const drawings = places.map(
    ({ reach, first, last, left, width }) => new PanelDrawing(scene, reach, first, last, left, top, width),
  );
  const tables = drawings.map((drawing) => tableOf(drawing.plot));
  const tall = new Map<string, number>();
  for (const { rows } of tables)
    for (const { name, height } of rows) tall.set(name, Math.max(height, tall.get(name) ?? 0));
  const panels = drawings.map((drawing, i) => drawing.draw(tables[i]!, tall));
  return {
    content: panels.map(({ content }) => content).join(""),
    height: Math.max(...panels.map(({ height }) => height)),
  };
}

class PanelDrawing {
  readonly #out: string[] = [];
  readonly #over: string[] = [];
  readonly #stations: Station[] = [];
  readonly #xFrom: number;
  readonly #plotTop: number;
  readonly #zTop: number;
  readonly #perMetre: number;
  readonly #upMetre: number;
  readonly #exaggeration: number;
  readonly #right: number;
  readonly #sizes: Sizes;

  constructor(
    readonly scene: PanelScene,
    readonly reach: Reach,
    readonly first: boolean,
    readonly last: boolean,
    readonly left: number,
    top: number,
    readonly width: number,
  ) {
    const { net } = scene.audited;
    const { pipes } = reach;
    this.#sizes = scene.brief ? BRIEF : FULL;
    const { axis, pan, drop, plot: tall } = this.#sizes;
    this.#plotTop = top + 18 + STRIP;
    this.#xFrom = left + axis + (first ? pan : 14);
    const traps = pipes.filter((p) => net.kind[net.to[p]] === KIND.trap).length;
    const ends = (last && reach.drop === null) || reach.drop !== null || reach.pump;
    const room = Math.max(60, width - (this.#xFrom - left) - traps * TRAP - (ends ? drop : 20));
    const run = pipes.reduce((sum, p) => sum + runOf(scene, p), 0);
    const [low, high] = this.#levels();
    const plot = tall - 16 - (reach.drop === null ? 0 : DROP_HEIGHT) - (last ? 16 : 0);
    let upMetre = plot / Math.max(high - low, 0.1);
    let perMetre = run < 1e-6 ? upMetre : room / run;
    let exaggeration = 1;
    for (const each of EXAGGERATIONS) if (each * perMetre <= upMetre) exaggeration = each;
    if (perMetre > upMetre) perMetre = upMetre;
    upMetre = perMetre * exaggeration;
    this.#perMetre = perMetre;
    this.#upMetre = upMetre;
    this.#exaggeration = exaggeration;
    const spare = plot - (high - low) * upMetre;
    this.#zTop = high + (8 + spare / 2) / upMetre;
    let at = 0;
    let x = this.#xFrom;
    this.#stations.push({
      node: reach.start,
      at,
      x,
      z: pipes.length > 0 ? net.fromInvert[pipes[0]!] : net.z[reach.start],
    });
    for (const p of pipes) {
      at += runOf(scene, p);
      x += runOf(scene, p) * perMetre;
      const node = net.to[p];
      const trap = net.kind[node] === KIND.trap;
      if (trap) x += TRAP / 2;
      this.#stations.push({ node, at, x, z: trap ? net.z[node] : net.toInvert[p] });
      if (trap) x += TRAP / 2;
    }
    this.#right = left + width;
  }

  /** Lowest and highest level that the panel must hold. */
  #levels(): [number, number] {
    const { audited, flood, coil } = this.scene;
    const { net, facts } = audited;
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    const hold = (z: number) => {
      if (!Number.isFinite(z)) return;
      low = Math.min(low, z);
      high = Math.max(high, z);
    };
    hold(net.z[this.reach.start]);
    for (const p of this.reach.pipes) {
      hold(net.fromInvert[p]);
      hold(net.toInvert[p]);
      hold(facts.water.fromCrown[p]);
      hold(facts.water.toCrown[p]);
      const seal = facts.seals.ofTrap[net.to[p]];
      if (seal >= 0) hold(dipOf(this.scene, net.to[p]));
    }
    for (const node of this.#nodes())
      for (const { top } of ventsOf(this.scene, node)) if (top - net.z[node] <= TALLEST_VENT) hold(top);
    if (this.first) {
      const { pan } = net.nodes[coil].coil!;
      if (pan.rimHeight !== null) hold(net.z[coil] + pan.rimHeight);
      for (const level of this.#switches().map(({ level }) => level)) hold(level);
      hold(facts.seals.leastVentTop[net.coilAt[coil]]);
    }
    if (flood !== null && this.#isFlooded() && flood.level < high + 0.4) hold(flood.level);
    return [low, Math.max(high, low + 0.05)];
  }

  /** Water behind a blockage stands in it. */
  #isFlooded(): boolean {
    const { flood } = this.scene;
    return flood !== null && (flood.nodes.has(this.reach.start) || this.reach.pipes.some((p) => flood.pipes.has(p)));
  }

  #nodes(): number[] {
    return [this.reach.start, ...this.reach.pipes.map((p) => this.scene.audited.net.to[p])];
  }

  #switches(): { readonly device: number; readonly level: number; readonly works: boolean }[] {
    const { net, facts } = this.scene.audited;
    return net.model.devices.flatMap(({ at, tripLevel }, device) =>
      net.nodeRank[at] === this.scene.coil && tripLevel !== null
        ? [{ device, level: tripLevel, works: facts.circuits.devices[device].works }]
        : [],
    );
  }

  get plot(): Plot {
    return {
      scene: this.scene,
      reach: this.reach,
      stations: this.#stations,
      left: this.left,
      right: this.#right,
      xFrom: this.#xFrom,
      bottom: this.#plotTop + this.#sizes.plot,
      y: (z) => this.#y(z),
    };
  }

  #y(z: number): number {
    return this.#plotTop + (this.#zTop - z) * this.#upMetre;
  }

  /** px from the invert of a station up to its crown. */
  #crownUp(i: number): number {
    const { net, facts } = this.scene.audited;
    const { fromCrown, toCrown } = facts.water;
    const before = this.reach.pipes[i - 1];
    const after = this.reach.pipes[i];
    for (const [p, crown, invert] of [
      [before, toCrown, net.toInvert],
      [after, fromCrown, net.fromInvert],
    ] as const)
      if (p !== undefined && facts.fall.vertical[p] !== 1 && !Number.isNaN(crown[p]))
        return (crown[p] - invert[p]) * this.#upMetre;
    return 0;
  }

  draw(table: Table, tall: ReadonlyMap<string, number>): Panel {
    this.#head();
    this.#grid();
    if (this.first) this.#pan();
    this.#levelLines();
    this.#pipes();
    const drawn = thinned(this.#stations, this.scene.audited.net.kind, MOST_PIPES);
    for (const i of drawn) this.#node(this.#stations[i]!, i);
    this.#end();
    this.#findings();
    const below = drawTable(this.plot, table, tall);
    return {
      content: `<g class="dw-reach">${this.#out.join("")}${below.content}${this.#over.join("")}</g>`,
      height: 18 + STRIP + this.#sizes.plot + below.height,
    };
  }

  #text(x: number, y: number, text: string, style = "dw-small dw-start"): string {
    return element("text", { class: style, x, y }, escaped(text));
  }

  #head(): void {
    const { net } = this.scene.audited;
    const from = plain(net.nodes[this.reach.start].id);
    const end = this.reach.pipes[this.reach.pipes.length - 1];
    const to = end === undefined ? "" : ` to ${plain(net.nodes[net.to[end]].id)}`;
    const scale = this.#exaggeration === 1 ? "heights as lengths" : `heights × ${this.#exaggeration}`;
    const words = `${scale} · ${from}${to}`;
    this.#out.push(
      this.#text(this.left, this.#plotTop - STRIP - 4, fitted(words, 11, this.width - 20), "dw-head dw-start"),
    );
  }

  /** Levels of round height in the document's units. */
  #grid(): void {
    const { speak, audited } = this.scene;
    const { units } = audited.net.model;
    const high = fromSi("length", this.#zTop, units);
    const low = fromSi("length", this.#zTop - this.#sizes.plot / this.#upMetre, units);
    const rough = (high - low) / 6;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((n) => n * power).find((n) => n >= rough)!;
    const end = this.#right - 8;
    for (let n = Math.ceil(low / step); n * step <= high; n++) {
      const z = toSi("length", n * step, units);
      const y = this.#y(z);
      if (y < this.#plotTop + 2 || y > this.#plotTop + this.#sizes.plot - 2) continue;
      this.#out.push(
        element("path", { class: "dw-grid", d: `M${r(this.left + this.#sizes.axis - 4)} ${r(y)}H${r(end)}` }),
      );
      this.#out.push(
        this.#text(this.left + this.#sizes.axis - 8, y + 3, speak.figure(z, "elevation"), "dw-small dw-soft dw-end"),
      );
    }
  }

  /** The pan with its rim, what trips in it, and the water in it. */
  #pan(): void {
    const { audited, coil, speak, flood } = this.scene;
    const { net, facts } = audited;
    const node = net.nodes[coil];
    const { pan } = node.coil!;
    const z = net.z[coil];
    const x = this.#xFrom;
    const leftEdge = x - 46;
    const bottom = this.#y(z);
    const rim = pan.rimHeight === null ? bottom - 22 : this.#y(z + pan.rimHeight);
    const surfaces: string[] = [];
    const standing = facts.water.poolOfNode[coil] >= 0 ? facts.water.level[coil] : Number.NaN;
    const level = flood?.nodes.has(coil) ? flood.level : standing;
    if (level > z) {
      const surface = Math.max(rim, this.#y(level));
      surfaces.push(
        element("rect", { class: "dw-water", x: leftEdge, y: surface, width: 46, height: bottom - surface }),
      );
    }
    surfaces.push(
      element("path", {
        class: pan.rimHeight === null ? "dw-line dw-unknown" : "dw-line",
        d: `M${r(leftEdge)} ${r(rim)}V${r(bottom)}H${r(x)}M${r(x)} ${r(rim)}V${r(bottom - 5)}`,
      }),
    );
    const lines: { y: number; text: string; attributes: Record<string, string>; style: string }[] = [
      { y: bottom, text: "outlet", attributes: {}, style: "" },
      pan.rimHeight === null
        ? { y: rim, text: "rim not known", attributes: {}, style: "" }
        : { y: rim, text: `rim ${speak.figure(pan.rimHeight, "dimension")}`, attributes: {}, style: "" },
    ];
    for (const { device, level: trip, works } of this.#switches().slice(0, 3)) {
      const { id } = net.model.devices[device];
      const name = works ? "switch" : "dead switch";
      lines.push({
        y: this.#y(trip),
        text: `${name} ${speak.figure(trip - z, "dimension")}`,
        attributes: { "data-device": id },
        style: flood?.trips.has(device) ? "dw-tripped" : "",
      });
    }
    this.#out.push(element("g", { "data-node": node.id }, told(plain(speak.node(coil))) + surfaces.join("")));
    const labels = spread(
      lines.map(({ y }) => y),
      11,
    );
    for (const [i, { y, text, attributes, style }] of lines.entries()) {
      const device = attributes["data-device"] !== undefined;
      this.#out.push(
        element(
          "g",
          attributes,
          element("path", {
            class: "dw-leader",
            d: `M${r(leftEdge - 2)} ${r(y)}L${r(leftEdge - 8)} ${r(labels[i]!)}`,
          }) +
            (device
              ? element("circle", { class: `dw-symbol ${style}`, cx: x - 23, cy: y, r: 3.2 }) +
                element("path", { class: "dw-leader", d: `M${r(leftEdge)} ${r(y)}H${r(x)}` })
              : "") +
            this.#text(leftEdge - 10, labels[i]! + 3, text, "dw-small dw-end"),
        ),
      );
    }
    if (flood?.spills.has(coil))
      this.#over.push(dropSymbol(leftEdge, rim), this.#words(COMES_OUT, leftEdge + 10, rim - 6, "dw-start"));
  }

  /** Levels that tell across the whole panel: what a vent must rise over, and how high the water behind a blockage stands. */
  #levelLines(): void {
    const { audited, coil, speak, flood } = this.scene;
    const { net, facts } = audited;
    const lines: { readonly z: number; readonly words: string; readonly style: string }[] = [];
    const needed = this.first ? facts.seals.leastVentTop[net.coilAt[coil]] : Number.NaN;
    lines.push({ z: needed, words: `a vent must rise over ${speak.figure(needed, "elevation")}`, style: "dw-needed" });
    if (flood !== null && this.#isFlooded())
      lines.push({
        z: flood.level,
        words: `water up to ${speak.figure(flood.level, "elevation")}`,
        style: "dw-surface",
      });
    const shown = lines.filter(
      ({ z }) => this.#y(z) > this.#plotTop + 8 && this.#y(z) < this.#plotTop + this.#sizes.plot,
    );
    const close = shown.length > 1 && Math.abs(this.#y(shown[0]!.z) - this.#y(shown[1]!.z)) < 14;
    const upper = shown.reduce((most, { z }) => Math.max(most, z), Number.NEGATIVE_INFINITY);
    for (const { z, words, style } of shown) {
      const y = this.#y(z);
      this.#out.push(element("path", { class: style, d: `M${r(this.#xFrom - 46)} ${r(y)}H${r(this.#right - 8)}` }));
      const under = close && z < upper;
      this.#over.push(this.#text(this.#right - 10, under ? y + 10 : y - 3, words, "dw-small dw-soft dw-end dw-halo"));
    }
  }

  #pipes(): void {
    const { pipes } = this.reach;
    const each = Math.ceil(pipes.length / MOST_PIPES);
    for (let i = 0; i < pipes.length; i += each) this.#body(i, Math.min(pipes.length, i + each));
  }

  /** Pipes between two stations as a body between invert and crown, with the water in it. */
  #body(from: number, to: number): void {
    const { audited, flood } = this.scene;
    const { net, facts } = audited;
    const { water } = facts;
    const invert: Point[] = [];
    const crown: Point[] = [];
    const wet: string[] = [];
    const filled: string[] = [];
    for (let i = from; i < to; i++) {
      const p = this.reach.pipes[i]!;
      const a = this.#stations[i]!;
      const b = this.#stations[i + 1]!;
      const x0 = net.kind[a.node] === KIND.trap ? a.x + TRAP_HALF : a.x;
      const x1 = net.kind[b.node] === KIND.trap ? b.x - TRAP_HALF : b.x;
      const [z0, z1] = [net.fromInvert[p], net.toInvert[p]];
      const [c0, c1] = [water.fromCrown[p], water.toCrown[p]];
      const plumb = facts.fall.vertical[p] === 1;
      const bore = facts.geometry.bore[p];
      const half = plumb ? Math.max(2.5, Number.isNaN(bore) ? 0 : (bore * this.#perMetre) / 2) : 0;
      const body: Point[] = plumb
        ? [
            [x0 - half, z0],
            [x1 - half, z1],
            [x1 + half, z1],
            [x0 + half, z0],
          ]
        : [
            [x0, z0],
            [x1, z1],
            [x1, Number.isNaN(c1) ? z1 : c1],
            [x0, Number.isNaN(c0) ? z0 : c0],
          ];
      invert.push(body[0]!, body[1]!);
      crown.push(body[3]!, body[2]!);
      const standing = [
        water.poolOfEnd[2 * p] >= 0 ? water.fromLevel[p] : Number.NaN,
        water.poolOfEnd[2 * p + 1] >= 0 ? water.toLevel[p] : Number.NaN,
      ].filter((level) => !Number.isNaN(level));
      if (standing.length > 0) wet.push(this.#clipped(body, Math.min(...standing)));
      if (flood?.pipes.has(p)) filled.push(this.#clipped(body, flood.level));
    }
    const id = net.pipes[this.reach.pipes[from]!].id;
    const locked: string[] = [];
    for (let i = from; i < to; i++)
      if (this.scene.locked(this.reach.pipes[i]!)) {
        locked.push(
          this.#beads(
            invert[2 * (i - from)]!,
            invert[2 * (i - from) + 1]!,
            crown[2 * (i - from)]!,
            crown[2 * (i - from) + 1]!,
          ),
        );
      }
    const line = (points: readonly Point[]) => points.map(([x, z]) => `${r(x)} ${r(this.#y(z))}`).join("L");
    const outline = `M${line(invert)}L${line([...crown].reverse())}Z`;
    const water_ = [
      ...wet.map((d) => element("path", { class: "dw-water", d })),
      ...filled.map((d) => element("path", { class: "dw-water dw-flooded", d })),
    ].join("");
    this.#out.push(
      element(
        "g",
        to - from === 1 ? { "data-pipe": id } : {},
        `${to - from === 1 ? told(this.#pipeWords(this.reach.pipes[from]!)) : ""}${element("path", { class: "dw-body", d: outline })}${water_}${element("path", { class: "dw-crown", d: `M${line(crown)}` })}${element("path", { class: "dw-invert", d: `M${line(invert)}` })}${locked.join("")}`,
      ),
    );
    if (flood !== null && flood.blockedPipe >= 0)
      for (let i = from; i < to; i++)
        if (this.reach.pipes[i] === flood.blockedPipe) {
          const [a, b] = [this.#stations[i]!, this.#stations[i + 1]!];
          const p = flood.blockedPipe;
          const middle = (net.fromInvert[p] + net.toInvert[p]) / 2;
          const up = Number.isNaN(facts.geometry.bore[p]) ? 0 : facts.geometry.bore[p] / 2;
          this.#block((a.x + b.x) / 2, this.#y(middle + (facts.fall.vertical[p] === 1 ? 0 : up)));
        }
  }

  #block(x: number, y: number): void {
    this.#over.push(blockSymbol(x, y), this.#words(BLOCKED, x, y + 17, ""));
  }

  #words(words: string, x: number, y: number, anchor: string): string {
    return this.#text(x, y, words, `dw-small dw-strong dw-halo ${anchor}`.trim());
  }

  /** Locked air: beads along the upper part of a pipe. */
  #beads(a: Point, b: Point, c: Point, d: Point): string {
    const high = (invert: Point, crown: Point) =>
      this.#y(invert[1] + 0.7 * (crown[1] - invert[1])) - (crown[1] === invert[1] ? 3 : 0);
    return element("path", { class: "dw-air", d: `M${r(a[0] + 5)} ${r(high(a, c))}L${r(b[0] - 3)} ${r(high(b, d))}` });
  }

  #pipeWords(p: number): string {
    const { speak, audited } = this.scene;
    return `${plain(audited.net.pipes[p].id)}: ${pipeText(this.scene, p)}, ${speak.figure(audited.net.length[p], "length")}`;
  }

  /** The part of a body below a level, as a path. */
  #clipped(body: readonly Point[], level: number): string {
    const kept: Point[] = [];
    for (const [i, [x, z]] of body.entries()) {
      const [x1, z1] = body[(i + 1) % body.length]!;
      if (z <= level) kept.push([x, z]);
      if (z < level !== z1 < level && z !== z1) {
        const t = (level - z) / (z1 - z);
        kept.push([x + (x1 - x) * t, level]);
      }
    }
    return kept.length < 3 ? "" : `M${kept.map(([x, z]) => `${r(x)} ${r(this.#y(z))}`).join("L")}Z`;
  }

  #node(station: Station, i: number): void {
    const { audited, flood, speak } = this.scene;
    const { net } = audited;
    const { node, x, z } = station;
    const kind = net.kind[node];
    const y = this.#y(z);
    let drawn = "";
    if (kind === KIND.trap) drawn += this.#trap(node, x, i);
    else if (kind !== KIND.coil || i > 0) drawn += element("circle", { class: "dw-dot", cx: x, cy: y, r: 1.6 });
    const joins = net.drainsIn.start[node + 1] - net.drainsIn.start[node];
    if (i > 0 && joins > 1)
      drawn += element("path", { class: "dw-solid", d: `M${r(x - 3.5)} ${r(y - this.#crownUp(i) - 10)}h7l-3.5 7z` });
    if (flood?.blockedNode === node) this.#block(x, y);
    this.#out.push(element("g", { "data-node": net.nodes[node].id }, told(plain(speak.node(node))) + drawn));
    for (const vent of ventsOf(this.scene, node)) this.#vent(station, this.#crownUp(i), vent);
  }

  #vent(
    { x, z, node }: Station,
    crownUp: number,
    {
      end,
      pipe,
      top,
      isVent,
    }: { readonly end: number; readonly pipe: number; readonly top: number; readonly isVent: boolean },
  ): void {
    const { audited, flood } = this.scene;
    const { net, facts } = audited;
    const low = this.#y(z) - crownUp;
    const scaled = top - net.z[node] <= TALLEST_VENT;
    const high = scaled ? this.#y(top) : this.#plotTop + 6;
    const at = isVent ? x : x + 5;
    const { vent, cleanout } = net.nodes[end];
    let drawn = element("path", {
      class: isVent ? "dw-pipe dw-vent" : "dw-pipe dw-access",
      d: `M${r(at)} ${r(low)}V${r(high)}`,
      "data-pipe": net.pipes[pipe].id,
    });
    if (flood?.pipes.has(pipe)) {
      const surface = Math.max(high, this.#y(flood.level));
      if (surface < low)
        drawn = element("path", { class: "dw-flood dw-thin", d: `M${r(at)} ${r(low)}V${r(surface)}` }) + drawn;
    }
    const level = facts.water.fromLevel[pipe];
    if (facts.water.poolOfEnd[2 * pipe] >= 0 && level > z) {
      const surface = Math.max(high, this.#y(level));
      if (surface < low)
        drawn = element("path", { class: "dw-sealed", d: `M${r(at)} ${r(low)}V${r(surface)}` }) + drawn;
    }
    const capped = vent?.capped ?? cleanout?.capped ?? true;
    drawn += capped
      ? element("path", { class: "dw-line", d: `M${r(at - 4)} ${r(high)}H${r(at + 4)}` })
      : element("path", {
          class: "dw-line",
          d: `M${r(at - 3.5)} ${r(high - 3)}L${r(at)} ${r(high)}L${r(at + 3.5)} ${r(high - 3)}`,
        });
    if (!scaled) drawn += element("path", { class: "dw-line", d: `M${r(at - 4)} ${r(high + 16)}l8 -4m-8 8l8 -4` });
    this.#out.push(
      element(
        "g",
        { "data-node": net.nodes[end].id },
        told(`${plain(net.nodes[end].id)}: ${isVent ? "vent" : "cleanout"}`) + drawn,
      ),
    );
    if (flood?.spills.has(end))
      this.#over.push(dropSymbol(at, high), this.#words(COMES_OUT, at + 10, high - 4, "dw-start"));
  }

  /** A trap in its fan-off state: legs as drawn, dip to scale. */
  #trap(node: number, x: number, i: number): string {
    const { audited, flood } = this.scene;
    const { net, facts } = audited;
    const { trap } = net.nodes[node];
    const weir = this.#y(net.z[node]);
    const inlet = this.#y(i > 0 ? net.toInvert[this.reach.pipes[i - 1]!] : net.z[node]);
    if (trap!.sealType !== "water") {
      return element("path", {
        class: "dw-symbol",
        d: `M${r(x - TRAP_HALF)} ${r(inlet - 5)}H${r(x + TRAP_HALF)}V${r(Math.max(weir, inlet) + 5)}H${r(x - TRAP_HALF)}ZM${r(x - TRAP_HALF)} ${r(inlet - 5)}L${r(x + TRAP_HALF)} ${r(Math.max(weir, inlet) + 5)}`,
      });
    }
    const dip = Math.max(this.#y(dipOf(this.scene, node)), weir + 12);
    const half = TRAP_HALF - 2;
    const u = (from: number) =>
      `M${r(x - half)} ${r(from)}V${r(dip - half)}A${r(half)} ${r(half)} 0 0 0 ${r(x + half)} ${r(dip - half)}V${r(weir)}`;
    const known = trap!.sealDepth !== null;
    const seal = facts.seals.ofTrap[node];
    const holds = seal >= 0 && facts.seals.list[seal].sealed;
    const over = flood?.nodes.has(node) ? Math.max(inlet, this.#y(flood.level)) : weir;
    return (
      element("path", { class: known ? "dw-tube" : "dw-tube dw-unknown", d: u(inlet) }) +
      element("path", { class: "dw-tube-in", d: u(inlet) }) +
      (holds ? element("path", { class: "dw-tube-water", d: u(Math.max(Math.min(weir, over), inlet)) }) : "")
    );
  }

  /** Where the reach ends: a drop, a pump, an outlet, or nowhere. */
  #end(): void {
    const { audited, speak } = this.scene;
    const { net } = audited;
    const { drop, pump } = this.reach;
    const station = this.#stations[this.#stations.length - 1]!;
    const { x, node } = station;
    const y = this.#y(station.z);
    const bottom = this.#plotTop + this.#sizes.plot - 4;
    const room = this.#right - x - 16;
    const lines: string[] = [];
    if (drop !== null) {
      this.#out.push(
        this.#column(drop.pipes, x, y, bottom - 18) +
          element("path", { class: "dw-line", d: `M${r(x - 6)} ${r(bottom - 14)}l12 -5m-12 9l12 -5` }),
      );
      lines.push(`falls ${speak.figure(drop.fall, "length")}`);
      if (drop.joining > 0) lines.push(drop.joining === 1 ? "one coil joins" : `${drop.joining} coils join`);
      const size = sizeText(this.scene, drop.pipes[drop.pipes.length - 1]!);
      if (size !== "") lines.push(size);
      const end = net.to[drop.pipes[drop.pipes.length - 1]!];
      if (this.last && net.kind[end] === KIND.outlet) {
        this.#outlet(end, x, bottom - 12);
        lines.push(...outletLines(net.nodes[end]));
      } else lines.push(`to ${plain(net.nodes[end].id)}`);
    } else if (pump) {
      this.#out.push(
        element(
          "g",
          { "data-node": net.nodes[node].id },
          element("circle", { class: "dw-symbol", cx: x + 8, cy: y, r: 8 }) +
            element("path", {
              class: "dw-solid",
              d: `M${r(x + 4)} ${r(y + 4)}L${r(x + 8)} ${r(y - 6)}L${r(x + 12)} ${r(y + 4)}Z`,
            }),
        ),
      );
      const { liftTo } = net.nodes[node].pump!;
      lines.push(liftTo === null ? "pumped on" : `pumped up to ${speak.figure(liftTo, "elevation")}`);
    } else if (net.kind[node] === KIND.outlet) {
      this.#outlet(node, x, y);
      lines.push(...outletLines(net.nodes[node]));
    } else {
      this.#out.push(element("circle", { class: "dw-symbol", cx: x + 4, cy: y, r: 3.5 }));
      lines.push("leads no further");
    }
    const wrapped = lines.flatMap((line) => wrap(line, TEXT, Math.max(40, room)));
    let textY = Math.min(y + (drop === null ? 24 : 16), this.#plotTop + this.#sizes.plot + 6 - wrapped.length * 11);
    for (const line of wrapped) {
      this.#over.push(this.#text(x + 16, textY, line, "dw-small dw-start dw-halo"));
      textY += 11;
    }
  }

  /** Plumb pipes one on the other, each with an equal share of the height. */
  #column(pipes: readonly number[], x: number, top: number, bottom: number): string {
    const { flood, audited } = this.scene;
    const { net } = audited;
    const each = Math.ceil(pipes.length / MOST_PIPES);
    const at = (k: number) => top + ((bottom - top) * Math.min(k, pipes.length)) / pipes.length;
    const water: string[] = [];
    const pieces: string[] = [];
    for (const [i, p] of pipes.entries()) {
      if (flood?.pipes.has(p)) {
        const full = (flood.level - net.toInvert[p]) / (net.fromInvert[p] - net.toInvert[p]);
        const surface = at(i + 1) - Math.min(1, Math.max(0.1, full)) * (at(1) - at(0));
        water.push(element("path", { class: "dw-flood dw-flat", d: `M${r(x)} ${r(surface)}V${r(at(i + 1))}` }));
      }
      if (flood?.blockedPipe === p) {
        this.#over.push(blockSymbol(x, (at(i) + at(i + 1)) / 2));
        this.#over.push(this.#words(BLOCKED, x - 10, (at(i) + at(i + 1)) / 2 + 3, "dw-end"));
      }
    }
    for (let i = 0; i < pipes.length; i += each) {
      const p = pipes[i]!;
      pieces.push(
        element(
          "path",
          {
            class: "dw-pipe dw-common",
            d: `M${r(x)} ${r(at(i))}V${r(at(i + each))}`,
            ...(each === 1 && { "data-pipe": net.pipes[p].id }),
          },
          each === 1 ? told(this.#pipeWords(p)) : "",
        ),
      );
    }
    return water.join("") + pieces.join("");
  }

  #outlet(node: number, x: number, y: number): void {
    const { audited } = this.scene;
    const { outlet, id } = audited.net.nodes[node];
    const gap = outlet!.connection === "direct" ? 0 : outlet!.connection === "air-break" ? -2 : 5;
    const { waterLevel } = outlet!;
    const water =
      waterLevel === null
        ? ""
        : element("path", { class: "dw-surface", d: `M${r(x - 12)} ${r(this.#clampY(waterLevel))}h24` });
    this.#out.push(
      element(
        "g",
        { "data-node": id },
        `${element("path", { class: "dw-symbol", d: `M${r(x - 9)} ${r(y + gap)}H${r(x + 9)}L${r(x + 3)} ${r(y + gap + 10)}V${r(y + gap + 14)}H${r(x - 3)}V${r(y + gap + 10)}Z` })}${water}`,
      ),
    );
  }

  #clampY(z: number): number {
    return Math.max(this.#plotTop, Math.min(this.#plotTop + this.#sizes.plot, this.#y(z)));
  }

  /** Findings over the plot, each with a line to what it is about; those of neighbors together where they crowd. */
  #findings(): void {
    const { marks, coil, audited } = this.scene;
    const { net } = audited;
    let groups: { readonly x: number; readonly y: number; readonly marks: readonly Mark[] }[] = [];
    const add = (x: number, y: number, own: readonly Mark[]) => {
      if (own.length > 0) groups.push({ x, y, marks: own });
    };
    for (const [i, { node, x, z }] of this.#stations.entries()) {
      const stubs = ventsOf(this.scene, node).flatMap(({ end, pipe }) => [...marks.ofNode(end), ...marks.ofPipe(pipe)]);
      const own = i === 0 && this.first ? marks.ofNode(coil) : marks.ofNode(node);
      add(i === 0 && this.first ? x - 23 : x, this.#y(z), [...new Set([...own, ...stubs])]);
      const p = this.reach.pipes[i];
      if (p === undefined) continue;
      const next = this.#stations[i + 1]!;
      add((x + next.x) / 2, this.#y((z + next.z) / 2), marks.ofPipe(p));
    }
    if (this.reach.drop !== null) {
      const all = this.reach.drop.pipes.flatMap((p) => [...marks.ofPipe(p), ...marks.ofNode(net.to[p])]);
      const end = this.#stations[this.#stations.length - 1]!;
      add(end.x, this.#y(end.z) + 10, [...new Set(all)]);
    }
    const room = this.#right - 4 - this.left - this.#sizes.axis;
    const widths = () => groups.map(({ marks: own }) => marksWidth(own));
    groups.sort((a, b) => a.x - b.x);
    while (groups.length > 1 && widths().reduce((sum, width) => sum + width + 4, -4) > room)
      groups = groups.flatMap((group, i) => {
        const next = groups[i + 1];
        if (i % 2 === 1) return [];
        if (next === undefined) return [group];
        const both = [...new Set([...group.marks, ...next.marks])].sort((a, b) => a.number - b.number);
        return [{ x: (group.x + next.x) / 2, y: Math.min(group.y, next.y), marks: both }];
      });
    const needs = widths();
    const places = spreadBoxes(
      groups.map(({ x }, i) => x - needs[i]! / 2),
      needs,
      4,
      this.left + this.#sizes.axis,
      this.#right - 4,
    );
    for (const [i, { x, y, marks: own }] of groups.entries()) {
      const middle = this.#plotTop - STRIP / 2 - 1;
      this.#out.push(
        element("path", {
          class: "dw-leader",
          d: `M${r(places[i]! + needs[i]! / 2)} ${r(middle + 7)}L${r(x)} ${r(this.#plotTop + 5)}V${r(Math.max(this.#plotTop + 5, y - 3))}`,
        }),
      );
      this.#over.push(drawMarks(own, places[i]!, middle));
    }
  }
}

/** m of horizontal length that a pipe takes in the picture */
const runOf = ({ audited }: PanelScene, p: number): number => {
  const run = audited.facts.fall.run[p];
  return Number.isNaN(run) ? 0 : run;
};

const outletLines = ({ id, name, outlet }: Audited["net"]["nodes"][number]): string[] => [
  plain(name ?? id),
  [outlet!.discharge?.replaceAll("-", " "), outlet!.connection?.replaceAll("-", " ")].filter(Boolean).join(", "),
];
