import type { Audited } from "../../audit/run.js";
import { speakerFor } from "../../audit/speaker.js";
import { plain } from "../plain.js";
import { stageWords } from "../words.js";
import { type Blocked, coilOf, floodOf } from "./emphasis.js";
import { indexOf, placeMarks } from "./marks.js";
import { panelsOf } from "./panel.js";
import type { PanelScene } from "./panel-scene.js";
import { panelSigns } from "./panel-signs.js";
import { reachesOf } from "./reaches.js";
import { lockedPipes } from "./scene.js";
import { drawingStyle } from "./style.js";
import { element, escaped, svgDocument } from "./svg.js";
import { fitted, wrap } from "./text-width.js";
import { marginsOf, trapStates } from "./trap-states.js";

export interface PathOptions {
  /** whose way out */
  readonly fanCoil: string;
  /** what is stopped: the water behind it is drawn up to where it first comes out */
  readonly blocked?: Blocked;
  /** px at which its text is meant to be read. Default 1200 */
  readonly width?: number;
}

const MARGIN = 18;
/** px; a narrower one would show no grade */
const NARROWEST = 620;
/** px; reaches stand side by side where each of them has so much */
const LEAST_PANEL = 540;
/** reaches that are drawn; a path with more of them is told to have more */
const MOST_REACHES = 16;

/**
 * The long section of one coil's way out as one SVG document: its sloping parts to scale, heights exaggerated as stated on
 * each, plumb drops cut short between them. Pure.
 * @throws RangeError on an id that the network does not have
 */
export const pathSection = (audited: Audited, { fanCoil, blocked, width: asked = 1200 }: PathOptions): string => {
  const width = Math.max(asked, NARROWEST);
  const { net, facts, profile, audit } = audited;
  const index = indexOf(net);
  const coil = coilOf(audited, index, fanCoil);
  const flood = blocked === undefined ? null : floodOf(audited, index, blocked);
  const speak = speakerFor(net, profile);
  const path = facts.topology.path(net.coilAt[coil]);
  const reaches = reachesOf(audited, coil, path);
  const scene: PanelScene = {
    audited,
    speak,
    marks: placeMarks(audited, index),
    flood,
    coil,
    locked: lockedPipes(audited),
  };

  const inner = width - 2 * MARGIN;
  const name = `Path of ${plain(speak.node(coil))}`;
  let content = element(
    "text",
    { class: "dw-title dw-start", x: MARGIN, y: 30 },
    escaped(fitted(name, 17, inner / 1.1)),
  );
  let y = 47;
  const building = net.model.name ?? net.model.id;
  const say = (sentence: string, style: string, size: number, step: number) => {
    for (const line of wrap(sentence, size, inner)) {
      content += element("text", { class: `${style} dw-start`, x: MARGIN, y }, escaped(line));
      y += step;
    }
  };
  say(
    `Long section · ${plain(building)} · ${stageWords[net.model.stage]} · judged by ${audit.profile.id} ${audit.profile.edition}`,
    "dw-subtitle",
    11,
    14,
  );
  if (flood !== null) say(flood.words, "dw-head", 11, 15);
  y += 4;

  const side = Math.max(1, Math.min(Math.floor(inner / LEAST_PANEL), reaches.length));
  const few = reaches.slice(0, MOST_REACHES);
  for (let i = 0; i < few.length; i += side) {
    const line = few.slice(i, i + side);
    const shares = widths(
      line.map(({ pipes }) => pipes.length),
      inner,
    );
    let x = MARGIN;
    const places = line.map((reach, k) => {
      const left = x;
      x += shares[k]!;
      return { reach, first: i + k === 0, last: i + k === reaches.length - 1, left, width: shares[k]! };
    });
    const panels = panelsOf(scene, places, y);
    content += panels.content;
    y += panels.height + 14;
  }
  if (reaches.length > few.length) say(`… and ${reaches.length - few.length} more stretches`, "dw-subtitle", 11, 15);

  const traps = trapStates(scene, MARGIN, y, inner);
  content += traps.content;
  y += traps.height;
  const margins = marginsOf(scene, MARGIN, y, inner);
  content += margins.content;
  y += margins.height;
  const signs = panelSigns(scene, MARGIN, y, inner);
  content += signs.content;
  y += signs.height;
  return svgDocument({
    width,
    height: y + MARGIN - 6,
    title: `${name}, ${plain(building)}`,
    description: describe(scene, reaches.length, path.length),
    style: drawingStyle,
    attributes: { "data-network": net.model.id, "data-fan-coil": net.nodes[coil].id },
    content,
  });
};

/** Room by the number of pipes, none less than its least. */
function widths(pipes: readonly number[], inner: number): number[] {
  const weights = pipes.map((count) => Math.sqrt(2 + count));
  const total = weights.reduce((a, b) => a + b, 0);
  const least = Math.min(LEAST_PANEL * 0.8, inner / pipes.length);
  const free = inner - least * pipes.length;
  return weights.map((weight) => least + (free * weight) / total);
}

const describe = (
  { audited: { net, facts }, coil, flood, speak }: PanelScene,
  reaches: number,
  pipes: number,
): string => {
  const outlet = facts.topology.outlet[coil];
  const own = facts.fall.coils[net.coilAt[coil]];
  const where = outlet < 0 ? "It reaches no outlet." : `It ends at ${plain(speak.node(outlet))}.`;
  const long = Number.isNaN(own.pathLength) ? "" : ` over ${speak.figure(own.pathLength, "length")}`;
  return `${pipes} pipes in ${reaches} stretches${long}. ${where}${flood === null ? "" : ` ${flood.words}`}`;
};
