import { CHECK_KINDS, type CheckKind } from "../../src/core/audit/commissioning-sheet.js";
import { JUGS } from "../../src/core/audit/sheet-case.js";
import { type CommissioningSheet, renderCommissioning } from "../../src/core/index.js";
import { formatQuantity } from "../../src/core/quantity/format.js";

/** What each kind of check asks, and what it expects. */
const KINDS: Readonly<Record<CheckKind, readonly [what: string, figures: string]>> = {
  isolate: [
    "Stop the coil, lock its supply off and prove it dead; shut its chilled-water valve; tell whoever hangs on the same switch circuit.",
    "",
  ],
  "trial-assembly": [
    "Before joints were welded, the drain was put together dry and its fall and the filter's way out were tried. Asked until the drain is in use.",
    "",
  ],
  prime: ["Fill each water trap through whatever opens before it, until water runs over its weir.", "the least volume"],
  "pour-fan-off": [
    "Pour a measured volume into the pan: when it arrives, that all of it leaves, and where water then stands.",
    "volume, rate, arrival, drop to the weir, what stays in the pan",
  ],
  "pour-fan-on": [
    "The same with the fan at its highest speed, the cabinet closed and the filter loaded: the pressure at the pan is measured first.",
    "volume, rate, arrival, stated pressure, head above or below the weir, what stays in the pan",
  ],
  switch: [
    "Each switch trips by itself while its coils cool: at which level, which equipment stops, whether it starts again by itself.",
    "height at which it trips, water in the pan there",
  ],
  "second-line": ["Water poured past the primary outlet shows where the second line ends, and somebody sees it.", ""],
  flush: [
    "With every coil above off, each main is flushed until it runs clear, before any coil is tested.",
    "most that may be run in",
  ],
  "flow-test": [
    "A measured volume is run through each main: when it arrives, that all of it comes out and none elsewhere, and where a backup would show first.",
    "rate, volume, arrival, the coils' own peak",
  ],
  pump: [
    "The pump starts, empties its sump and stops; with the pump stopped, the equipment above stops before the sump spills.",
    "start level, lift",
  ],
  outlet: ["The water comes out where it may, through its air gap, and drains away as fast.", "air gap"],
  question: [
    "What a rule asks that cannot judge in this stage of the building: whether a vent is capped, a joint cemented.",
    "",
  ],
};

const figures = (system: "si" | "us"): string => {
  const { pourRate, hoseRate, step, measured } = JUGS[system];
  const say = (si: number, kind: "flow" | "volume") => formatQuantity(si, kind, system);
  return `${say(pourRate, "flow")} into a pan, in whole multiples of ${say(step, "volume")} and with ${say(measured, "volume")} left to measure; at most ${say(hoseRate, "flow")} into a main`;
};

/** What the sheet asks, how its times are reckoned, and a whole one. */
export const commissioningPage = (sheet: CommissioningSheet): string => `# The commissioning sheet

Made by \`npm run docs\` from the kinds of checks, the figures that they assume and the sheet of \`fixtures/buildings/three-coils.json\`; do not edit it by hand.

\`drainward commission tower.json\`, \`POST /v1/commissioning\` and \`commissioning()\` make the test sheet of the day on which drains are first used. It goes through the building from the roof down. On each floor come the mains, then the coils, the pumps and the outlets. Each check has its figures, boxes to fill and an id that stays the same in the next revision, so that what was written can be kept beside it.

| check | what is done and looked at | figures |
|---|---|---|
${CHECK_KINDS.map((kind) => `| \`${kind}\` | ${KINDS[kind][0]} | ${KINDS[kind][1]} |`).join("\n")}

As data each figure has its \`value\` in SI base units, its \`text\` in the document's units, and where it cannot be told \`null\` with the \`reason\`. A box says the SI unit of what is written into it and the unit in which people write it.

## What is poured, and when it arrives

What is measured with is an assumption, printed on every sheet: in SI documents ${figures("si")}; in US documents ${figures("us")}. Where a drain of the main, or the branch through which it is filled, carries less than the hose gives, that is the most that is asked for, in round figures.

The front of water that is poured in at a steady rate goes at the mean velocity of the steady flow behind it.

- In a sloping pipe this is the velocity of friction in a smooth bore with water of 15 °C. Half a liter a minute is laminar there, at some 20 cm a second where 20 mm fall by 1 %; what a coil makes by itself, a liter or so an hour, goes at 3, and is on its way for many minutes.
- In an upright pipe it is the velocity of a laminar film over the whole wall, V = (g Γ²/3ν)^(1/3) with Γ = Q/(πd); a rivulet that keeps to one side is faster. A hose makes the film so thick that this no longer holds: then the terminal velocity of annular flow is the slower of the two, and is taken.
- Traps are full. A low point that holds water is filled on the way, once: that of a branch by the first pour into it, that of a main by the flush.
- As much is poured as runs in until the water arrives, and some more that is collected and measured.

Where a bore or a fall on the way is not known, nobody can tell when water arrives: the sheet says which pipe it is, and asks to write the time down.

A second, plain reckoning of these times stands in \`tests/core/analysis/trickle.ts\`, and every figure of the sheet is worked by hand in \`tests/core/audit/commissioning.test.ts\`.

## The sheet of the boathouse

\`\`\`text
${renderCommissioning(sheet, { width: 100, color: false }).trimEnd()}
\`\`\`
`;
