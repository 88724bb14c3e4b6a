import type { SealFact } from "../../analysis/facts.js";
import { plain } from "../plain.js";
import { dipOf, type Panel, type PanelScene } from "./panel-scene.js";
import { short } from "./scene.js";
import { element, escaped, rounded } from "./svg.js";
import { wrap } from "./text-width.js";

const r = rounded;
const NOTHING: Panel = { content: "", height: 0 };
const DRAWN = 150;
const STATE = 112;
/** px across a leg, at most */
const WIDEST = 26;
const LABELS = 96;
const WORDS = 300;
const MOST_TRAPS = 4;

/** The water traps of a path, each with its fan off, starting and running, true to scale, with its margins. */
export function trapStates(scene: PanelScene, left: number, top: number, room: number): Panel {
  const { net, facts } = scene.audited;
  const seals = Array.from(facts.topology.traps(net.coilAt[scene.coil]))
    .filter((node) => net.nodes[node].trap!.sealType === "water")
    .slice(0, MOST_TRAPS)
    .map((node) => facts.seals.list[facts.seals.ofTrap[node]])
    .filter((seal) => seal !== undefined);
  if (seals.length === 0) return NOTHING;
  const wide = LABELS + 3 * STATE;
  const beside = room >= wide + WORDS;
  let content = "";
  let y = top;
  for (const seal of seals) {
    const picture = statesOf(scene, seal, left, y);
    const words = beside
      ? sealWords(scene, seal, left + wide + 16, y + 26, room - wide - 16)
      : sealWords(scene, seal, left, y + picture.height, room);
    content += element("g", { "data-node": net.nodes[seal.trap].id }, picture.content + words.content);
    y += beside ? Math.max(picture.height, words.height + 30) : picture.height + words.height + 8;
  }
  return { content, height: y - top };
}

interface State {
  readonly name: string;
  /** levels over the weir in the inlet and the outlet leg, m */
  readonly inlet: number;
  readonly outlet: number;
  readonly lost: boolean;
}

function statesOfWater({ head, sealDepth, sealToHold, staticPressure, sealed }: SealFact): State[] {
  const off: State = { name: "fan off", inlet: 0, outlet: 0, lost: !sealed };
  if (!sealed || Number.isNaN(head) || Number.isNaN(sealDepth) || Number.isNaN(sealToHold)) return [off];
  if (staticPressure > 0) {
    const blown = head >= sealDepth;
    const pressed = { inlet: -Math.min(head, sealDepth), outlet: 0, lost: blown };
    return [off, { name: "starting", ...pressed }, { name: "running", ...pressed }];
  }
  const fall = Math.min(sealToHold, sealDepth);
  const broken = sealToHold >= sealDepth;
  return [
    off,
    { name: "starting", inlet: head - fall, outlet: -fall, lost: broken },
    { name: "running", inlet: head, outlet: 0, lost: broken },
  ];
}

function statesOf(scene: PanelScene, seal: SealFact, left: number, top: number): Panel {
  const { audited, coil } = scene;
  const { net } = audited;
  const trap = net.nodes[seal.trap];
  const weir = net.z[seal.trap];
  const dip = dipOf(scene, seal.trap);
  const bore = weir - (trap.trap!.sealDepth ?? 0.05) - dip;
  const isFirst = audited.facts.topology.firstTrap[net.coilAt[coil]] === seal.trap;
  const rim = net.nodes[coil].coil!.pan.rimHeight;
  const outlet = isFirst ? net.z[coil] : Number.NaN;
  const inletInvert = weir + (Number.isNaN(seal.step) ? (trap.trap!.inletDrop ?? bore) : seal.step);
  const states = statesOfWater(seal);
  const highest = Math.max(
    inletInvert + bore,
    weir + Math.max(...states.map(({ inlet }) => inlet)),
    Number.isNaN(outlet) ? weir : outlet + (rim ?? 0),
  );
  const perMetre = Math.min(DRAWN / Math.max(highest - dip, 0.05), WIDEST / Math.max(bore, 0.005));
  const y = (z: number) => top + 34 + (highest - z) * perMetre;
  const wide = bore * perMetre;
  let content = element(
    "text",
    { class: "dw-head dw-start", x: left, y: top + 14 },
    escaped(`Trap ${plain(trap.id)}, true to scale`),
  );
  const right = left + LABELS + states.length * STATE;
  const levels: { readonly z: number; readonly name: string }[] = [
    { z: weir, name: "weir" },
    { z: weir - (trap.trap!.sealDepth ?? Number.NaN), name: "crown of the dip" },
    ...(Number.isNaN(outlet) ? [] : [{ z: outlet, name: "pan outlet" }]),
    ...(Number.isNaN(outlet) || rim === null ? [] : [{ z: outlet + rim, name: "pan rim" }]),
  ].filter(({ z }) => !Number.isNaN(z));
  let last = Number.NEGATIVE_INFINITY;
  for (const { z, name } of [...levels].sort((a, b) => b.z - a.z)) {
    const at = Math.max(y(z), last + 11);
    last = at;
    content +=
      element("path", { class: "dw-grid", d: `M${r(left + LABELS - 6)} ${r(y(z))}H${r(right)}` }) +
      element("path", {
        class: "dw-leader",
        d: `M${r(left + LABELS - 16)} ${r(at)}L${r(left + LABELS - 6)} ${r(y(z))}`,
      }) +
      element("text", { class: "dw-small dw-soft dw-end", x: left + LABELS - 18, y: at + 3 }, name);
  }
  for (const [i, state] of states.entries()) {
    const x = left + LABELS + i * STATE + STATE / 2 - 4;
    content += stateOf(state, { x, wide, weir, dip, inletInvert, bore, y });
    content += element("text", { class: "dw-small dw-strong", x, y: y(dip) + 16 }, state.name);
    if (state.lost)
      content += element("text", { class: "dw-small", x, y: y(dip) + 28 }, i === 0 ? "not primed" : "the seal is lost");
  }
  return { content, height: y(dip) - top + 36 };
}

interface Shape {
  readonly x: number;
  /** px of the bore */
  readonly wide: number;
  readonly weir: number;
  readonly dip: number;
  readonly inletInvert: number;
  readonly bore: number;
  readonly y: (z: number) => number;
}

function stateOf({ inlet, outlet, lost }: State, { x, wide, weir, dip, inletInvert, bore, y }: Shape): string {
  const leg = Math.max(wide * 0.9, 13);
  const [xi, xo] = [x - leg, x + leg];
  const half = wide / 2;
  const end = STATE / 2 - 8;
  const middle = bore / 2;
  const axis = `M${r(x - end)} ${r(y(inletInvert + middle))}H${r(xi)}V${r(y(dip + middle))}H${r(xo)}V${r(y(weir + middle))}H${r(x + end)}`;
  const tube =
    element("path", { class: "dw-tube", d: axis, style: `stroke-width:${r(wide + 2)}` }) +
    element("path", { class: "dw-tube-in", d: axis, style: `stroke-width:${r(wide)}` });
  if (lost) {
    const level = dip + bore * 0.8;
    return (
      tube +
      element("rect", {
        class: "dw-water",
        x: xi - half,
        y: y(level),
        width: 2 * leg + wide,
        height: y(dip) - y(level),
      })
    );
  }
  const [zi, zo] = [weir + inlet, weir + outlet];
  const column = (at: number, z: number) =>
    element("rect", { class: "dw-water", x: at - half, y: y(z), width: wide, height: y(dip) - y(z) });
  const surface = (at: number, z: number) =>
    element("path", { class: "dw-surface", d: `M${r(at - half)} ${r(y(z))}h${r(wide)}` });
  const inLeg = Math.min(zi, inletInvert + bore);
  const piece =
    zi > inletInvert
      ? element("rect", {
          class: "dw-water",
          x: x - end,
          y: y(Math.min(zi, inletInvert + bore)),
          width: end - leg,
          height: y(inletInvert) - y(Math.min(zi, inletInvert + bore)),
        })
      : "";
  return (
    tube +
    column(xi, inLeg) +
    column(xo, zo) +
    element("rect", { class: "dw-water", x: xi, y: y(dip + bore), width: 2 * leg, height: y(dip) - y(dip + bore) }) +
    piece +
    surface(xi, inLeg) +
    surface(xo, zo)
  );
}

/** What a trap has, what it needs, and what is left. */
function sealWords({ speak }: PanelScene, seal: SealFact, left: number, top: number, room: number): Panel {
  const size = (si: number) => speak.figure(si, "dimension");
  const lines: string[] = [];
  const have = (name: string, figure: number, needed: number) => {
    if (Number.isNaN(figure)) return;
    lines.push(`${name}: ${size(figure)}${Number.isNaN(needed) ? "" : `, needed ${size(needed)}`}`);
  };
  have("drop from pan outlet to weir", seal.drop, seal.dropNeeded);
  have("seal", seal.sealDepth, seal.sealNeeded);
  if (Number.isNaN(seal.head)) lines.push("pressure at the pan not known: what the fan does cannot be drawn");
  else {
    const pull = seal.staticPressure > 0 ? "pressure" : "suction";
    lines.push(
      `${pull} of the fan: ${size(seal.head)} of water (${speak.figure(Math.abs(seal.staticPressure), "gauge-pressure")})`,
    );
    if (!Number.isNaN(seal.sealMarginStart))
      lines.push(`left of the seal as the fan starts: ${size(seal.sealMarginStart)}`);
    if (!Number.isNaN(seal.dropMargin)) lines.push(`left of the drop as it runs: ${size(seal.dropMargin)}`);
    if (seal.panStanding > 0) lines.push(`water held in the pan as it runs: ${size(seal.panStanding)}`);
  }
  if (!Number.isNaN(seal.primingVolume))
    lines.push(`to fill it: at least ${speak.figure(seal.primingVolume, "volume")}`);
  if (seal.daysToOpen !== null)
    lines.push(
      `without water it opens in ${Math.round(seal.daysToOpen.low)} to ${Math.round(seal.daysToOpen.high)} days`,
    );
  return list(lines, left, top, room);
}

function list(lines: readonly string[], left: number, top: number, room: number): Panel {
  let y = top + 4;
  let content = "";
  for (const line of lines)
    for (const [i, part] of wrap(line, 10, room).entries()) {
      content += element("text", { class: "dw-start", x: left + (i === 0 ? 0 : 10), y }, escaped(part));
      y += 15;
    }
  return { content, height: y - top };
}

/** What the path as a whole has and needs. */
export function marginsOf({ audited, coil, speak }: PanelScene, left: number, top: number, room: number): Panel {
  const { net, facts } = audited;
  const c = net.coilAt[coil];
  const own = facts.fall.coils[c];
  const length = (si: number) => speak.figure(si, "length");
  const lines: string[] = [];
  if (!Number.isNaN(own.fall)) {
    const mean = Number.isNaN(own.meanGrade)
      ? ""
      : `, sloping parts ${short(speak, own.meanGrade, "grade")} on the whole`;
    lines.push(`falls ${length(own.fall)} on ${length(own.pathLength)}${mean}`);
  }
  if (!Number.isNaN(own.fallBudget))
    lines.push(
      own.fallBudget < 0
        ? `${length(-own.fallBudget)} of fall are wanting: no re-hanging makes it fall as it must`
        : `fall to spare where every pipe falls at its least grade: ${length(own.fallBudget)}`,
    );
  if (own.shortfall > 0)
    lines.push(
      `as drawn ${speak.figure(own.shortfall, "dimension")} are wanting from ${plain(net.nodes[own.shortfallFrom].id)} to ${plain(net.nodes[own.shortfallTo].id)}`,
    );
  let least = -1;
  let most = -1;
  for (const p of facts.topology.path(c)) {
    const margin = facts.fall.grade[p] - facts.fall.gradeMinimum[p];
    const before = least < 0 ? Number.POSITIVE_INFINITY : facts.fall.grade[least] - facts.fall.gradeMinimum[least];
    if (facts.fall.vertical[p] !== 1 && margin < before) least = p;
    const used = facts.capacity.utilisation[p];
    if (!Number.isNaN(used) && (most < 0 || used > facts.capacity.utilisation[most])) most = p;
  }
  if (least >= 0)
    lines.push(
      `closest to its least grade: ${plain(net.pipes[least].id)}, ${short(speak, facts.fall.grade[least], "grade")} against ${short(speak, facts.fall.gradeMinimum[least], "grade")}`,
    );
  if (most >= 0)
    lines.push(
      `fullest: ${plain(net.pipes[most].id)}, ${speak.figure(facts.capacity.utilisation[most] * 100, "ratio")} % of what it carries`,
    );
  const locked = facts.lockedAir.best.ofCoil.get(c);
  if (locked !== undefined && !Number.isNaN(locked.needed.best))
    lines.push(
      `locked air: ${speak.figure(locked.needed.best, "dimension")} of water must stand over the first weir; up to the pan outlet there are ${speak.figure(locked.toOutlet, "dimension")}`,
    );
  if (lines.length === 0) return NOTHING;
  const title = element("text", { class: "dw-head dw-start", x: left, y: top + 12 }, "The path as a whole");
  const body = list(lines, left, top + 26, room);
  return { content: title + body.content, height: body.height + 32 };
}
