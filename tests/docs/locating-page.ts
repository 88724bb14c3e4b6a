import { LIKE_METRES, WRONG } from "../../src/core/analysis/locating.js";
import { type Blockage, renderBlockage } from "../../src/core/index.js";

/** Between these stands what was measured; `npm run locating` writes it, a test of tests/properties reads it. */
const FIGURES = { from: "<!-- figures -->", to: "<!-- end of figures -->" } as const;

/** What stands between the marks of a page; none: nothing was measured yet. */
export const figuresOf = (page: string): string => {
  const [start, end] = [page.indexOf(FIGURES.from), page.indexOf(FIGURES.to)];
  return start < 0 || end < start ? "" : page.slice(start + FIGURES.from.length, end).trim();
};

/** How a blockage is located, an example, and how well it goes. */
export const locatingPage = (example: Blockage, figures: string): string => {
  const text = renderBlockage(example, { width: 100, color: false });
  return `# Where the blockage is

Made by \`npm run docs\` from the model's own figures and its answer to \`fixtures/examples/boathouse-observations.json\`, and by \`npm run locating\` from a measurement; do not edit it by hand.

Water shows where the lowest opening above a blockage is, and seldom at whoever made it. \`drainward locate\`, \`POST /v1/blockages\` and \`locateBlockage()\` turn that round: from who reports water, and whose pan drains, to which pipe is blocked, whose it is, where to look next, from where to work, and whom to stop meanwhile.

## The model

**One full blockage.** Every drain that carries a coil's water can be blocked, and every pan outlet, trap, pump and receptor. What a blockage makes wet is the first thing that the audit knows of it: the pool above it rises to its first spill, and every pan and opening above it is wet whose rim, top or switch lies no more than 10 mm higher. A coil that is known to be off makes no water, and can still be flooded.

**Before anything is seen**, a candidate is as likely as it is long, flat, narrow and old:

| factor | |
|---|---|
| length | its metres |
| fall | 1 at 2 % and more and where it stands upright, 2 from 1 % on, 3 below that, 5 where it is level or rises |
| standing water | twice, where it holds a pool |
| bore | 20 mm over its bore; 1 where that is not known |
| cleaning | 1 and the years since it was cleaned; 1 where nobody knows |

What is no pipe counts as so much 20 mm pipe at a good fall: a pan outlet as ${LIKE_METRES.panOutlet} m, a trap as ${LIKE_METRES.trap} m, a pump as ${LIKE_METRES.pump} m, a receptor as ${LIKE_METRES.receptor} m, each with the bore and the cleaning of the pipe at it. These are assumptions of the trade's kind (condensate that stands grows slime, and slime closes flat, small and long uncleaned pipes first), and no publication carries them.

**What is seen.** \`switch-trip\` and \`water-seen\` say that a place is wet, \`drains-freely\` that it is dry, and every other observation says nothing. Each is wrong one time in ${Math.round(1 / WRONG)}, whatever the others say. So a candidate's weight is its factors, times ${1 - WRONG} for each observation that it explains and ${WRONG} for each that it does not; the weights of all candidates make 1. Where the first spill of a candidate is not known, observations above it speak neither for it nor against it.

**What cannot be told apart** is one class, and its members' weights add: a branch and the trap in it wet the same pan. Members keep their own weights, by their factors.

## What is answered

- \`candidates\`: each with its weight, the observations that it leaves unexplained, whether it is private or common, and whose.
- \`nextCheck\`: the pan or opening, not yet looked at and within reach, after which the least uncertainty (entropy of the classes) is to be expected.
- \`work\`: for the likeliest class, the nearest point to work from above and below, and the isolation list: the coils to stop so that no water comes while the pipe is open. Points are those of [access.md](access.md).
- \`state\`: \`cannot-tell\` where the first two classes are within a factor of 1.5 of each other and nothing that is left to look at separates them; \`nothing-reported\` where nobody saw water, and the weights are what is likely beforehand.
- \`twoBlockages\`: pairs of classes, only where the best single one leaves two observations or more unexplained and the pair leaves fewer.
- \`sweating\`: one home alone reports water, no switch tripped, and its pan drains. Then a cold pipe or duct may drip there, and no drain need be opened.

A low weight at the head of a long list says that little is known yet, and a check is proposed; it does not say that the first name is the culprit.

## The boathouse

The club room's switch trips, its steward sees water, and the workshop's pan drains.

\`\`\`text
${text.slice(0, text.indexOf("\nCautions")).trimEnd()}
\`\`\`

## How well it goes

Random towers of one to four risers, three to ten floors and one or two coils on each; a blockage drawn by the factors above; six pans in ten are visited, and each visit tells the truth nine times in ten. The exact posterior is worked out beside it on plain trees, without the library. The obvious guess is the first pipe down the ways that all wet coils have in common, and after it those below. Visits are counted from one true report on until the blocked class leads; where it never does, they all count.

Nine visits in ten that are right cannot tell every class from its neighbors: what the exact posterior reaches is the most that anybody could. A test asks for at least 0.97 of it, and for 15 points more than the obvious guess, first and among three.

${FIGURES.from}
${figures}
${FIGURES.to}

\`npm run locating\` measures this anew. \`tests/core/audit/locate.test.ts\` works candidates, weights, checks and points out once more over the tower of the demonstration.
`;
};
