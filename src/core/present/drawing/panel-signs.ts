import type { Panel, PanelScene } from "./panel-scene.js";
import { blockSymbol, dropSymbol } from "./signs.js";
import { element, escaped, rounded } from "./svg.js";
import { TEXT, textWidth } from "./text-width.js";

const r = rounded;

type Sign = [words: string, draw: (x: number, y: number) => string];

const lockedOnWay = ({ audited: { net, facts }, coil, locked }: PanelScene): boolean =>
  Array.from(facts.topology.path(net.coilAt[coil])).some(locked);

/** What the signs of a long section mean. */
export function panelSigns(scene: PanelScene, left: number, top: number, room: number): Panel {
  const { flood } = scene;
  const signs: Sign[] = [
    [
      "pipe from invert to crown",
      (x, y) =>
        `<path class="dw-body" d="M${r(x)} ${r(y - 3)}h24v6h-24z"/><path class="dw-crown" d="M${r(x)} ${r(y - 3)}h24"/><path class="dw-invert" d="M${r(x)} ${r(y + 3)}h24"/>`,
    ],
    [
      "standing water",
      (x, y) =>
        `<path class="dw-water" d="M${r(x)} ${r(y - 1)}h24v4h-24z"/><path class="dw-invert" d="M${r(x)} ${r(y + 3)}h24"/>`,
    ],
    ...(lockedOnWay(scene)
      ? ([
          [
            "locked air",
            (x, y) =>
              `<path class="dw-body" d="M${r(x)} ${r(y - 3)}h24v6h-24z"/><path class="dw-air" d="M${r(x + 3)} ${r(y)}h20"/>`,
          ],
        ] as Sign[])
      : []),
    [
      "vent",
      (x, y) =>
        `<path class="dw-pipe dw-vent" d="M${r(x + 12)} ${r(y + 6)}v-10"/><path class="dw-line" d="M${r(x + 8.5)} ${r(y - 7)}l3.5 3 3.5 -3"/>`,
    ],
    ["others join", (x, y) => `<path class="dw-solid" d="M${r(x + 8.5)} ${r(y - 3)}h7l-3.5 7z"/>`],
    ["drop cut short", (x, y) => `<path class="dw-line" d="M${r(x + 6)} ${r(y + 1)}l12 -5m-12 9l12 -5"/>`],
    ...(flood === null
      ? []
      : ([
          ["blocked", (x, y) => blockSymbol(x + 12, y)],
          ["filled behind it", (x, y) => `<path class="dw-water dw-flooded" d="M${r(x)} ${r(y - 3)}h24v6h-24z"/>`],
          ["comes out first", (x, y) => dropSymbol(x + 12, y + 1)],
        ] as Sign[])),
  ];
  let x = left;
  let y = top + 14;
  let content = "";
  for (const [words, draw] of signs) {
    const wide = 30 + textWidth(words, TEXT) + 16;
    if (x > left && x + wide > left + room) {
      x = left;
      y += 18;
    }
    content +=
      draw(x, y) + element("text", { class: "dw-small dw-start dw-soft", x: x + 30, y: y + 3 }, escaped(words));
    x += wide;
  }
  return { content, height: y - top + 16 };
}
