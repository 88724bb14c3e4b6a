import type { AccessPoint, Reach } from "../../src/core/analysis/facts.js";
import { type Compiled, ROLE } from "../../src/core/graph/compiled.js";
import type { Profile } from "../../src/core/profiles/profile.js";
import { limitOf } from "../../src/core/profiles/profile.js";
import { formatQuantity } from "../../src/core/quantity/format.js";

const POINTS: Readonly<Record<AccessPoint["kind"], string>> = {
  cleanout: "a cleanout: in both directions, at the end of a stub into the drain at its foot",
  vent: "a vent as wide as the drain that it stands on, all the way up",
  removable: "a trap or joint that can be undone (`removable`): in both directions",
  "pan-outlet": "the outlet of a pan: down only",
  "free-end": "the free end of a drain above an air gap: up only, where its receptor can be reached",
};

const TURNS: readonly (readonly [where: string, degrees: string])[] = [
  ["a bend", "its angle; where nobody gave it, what the plan coordinates tell, else unknown"],
  ["between an upright pipe and a sloping one", "90°"],
  ["from a wye's branch down its run; up it", "45°; 135°"],
  ["from the branch of any other fitting", "90°"],
  ["straight through a fitting (the drain that leaves and the widest that enters)", "nothing"],
  ["a water trap between level pipes; entered from above; left downward", "360°; 270°; 90° more"],
  ["at the point itself", "nothing: its fitting is made for the tool"],
  ["a coil, a pump, a waterless seal or check valve", "no tool passes"],
];

/** From where drains are worked on, what a tool reaches, and what that comes to in one building. */
export const accessPage = (
  profiles: readonly Profile[],
  net: Compiled,
  points: readonly AccessPoint[],
  reach: Reach,
): string => {
  const length = (m: number) => formatQuantity(m, "length", "si");
  const limits = profiles.map((profile) => {
    const figure = (name: "access.reach" | "access.reachTurn" | "access.maximumLength" | "access.maximumTurn") => {
      const { value, kind } = limitOf(profile, name);
      return value === 0 ? "not asked" : formatQuantity(value, kind, "si");
    };
    const spaced = profile.cleanoutSpacing
      ? `${figure("access.maximumLength")}, or turns of ${figure("access.maximumTurn")} together`
      : "not asked";
    return `| ${profile.id} | ${figure("access.reach")} and ${figure("access.reachTurn")} | ${spaced} |`;
  });
  const kinds = new Map(points.map(({ node, kind }) => [node, kind]));
  const rows: string[] = [];
  for (let p = 0; p < net.pipeCount; p++) {
    if (net.role[p] !== ROLE.drain) continue;
    const from = [2 * p, 2 * p + 1].flatMap((end) => {
      const point = reach.point[end];
      if (point < 0) return [];
      const way = end === 2 * p ? "down" : "up";
      return `${way} from ${net.nodes[point].id} (${kinds.get(point)}), ${length(reach.lengthTo[end])} and ${Math.round(reach.turnTo[end])}° on`;
    });
    rows.push(`| ${net.pipes[p].id} | ${from.join("; ") || "from nowhere"} | ${reach.whole[p] === 1 ? "yes" : "no"} |`);
  }
  return `# From where drains are cleaned

Made by \`npm run docs\` from the profiles' limits and the answer to \`fixtures/buildings/three-coils.json\`; do not edit it by hand.

Standing condensate grows slime, and every drain is cleaned some day. The question is from where, and how far a tool comes. The rules \`access.cleanout\`, \`access.uncapped\`, \`access.blocked\` and \`access.through-private\` of [rules.md](rules.md) judge it; where a blockage is located, the points above and below it are named.

## Points to work from

Each only where \`accessible\` is not \`false\`.

${Object.values(POINTS)
  .map((words) => `- ${words}`)
  .join("\n")}

## How far a tool comes

A hand snake goes along the drains, down or up, so far and through so many degrees of turns as the profile gives (an assumption). Both ends of a pipe count: what comes to one end and what comes to the other may reach it whole together. Codes that space cleanouts ask besides that none is farther from the next, along drains that slope on the lowest floor.

| profile | reach | spacing of cleanouts |
|---|---|---|
${limits.join("\n")}

| it turns | by |
|---|---|
${TURNS.map(([where, degrees]) => `| ${where} | ${degrees} |`).join("\n")}

What nobody gave counts both ways: against the drain (an unknown bend as 90°, an outlet of unknown connection as no free end, a vent of unknown size as too narrow) and in its favor. Where the two differ, the rule is undetermined and names what would settle it.

## Whose leave it takes

A point in a private dwelling reaches a common drain only with that dwelling's leave. Where the document says who owns what, common drains must be reached from points that it states to be common; a point whose zone it does not state may be private, and leaves the question open.

## The boathouse

| drain | a tool comes to its ends | whole |
|---|---|---|
${rows.join("\n")}
`;
};
