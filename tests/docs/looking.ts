// The page of pictures, and the pictures: what the commands in it print, from the buildings of the fixtures.
import { readFileSync } from "node:fs";
import { audit, type DrawingResult, drawPath, drawRiser } from "../../src/core/index.js";

interface Picture {
  /** under docs/ */
  readonly file: string;
  readonly title: string;
  /** what to see in it; `{id}` is the number of that finding */
  readonly about: string;
  /** name of its building under fixtures/buildings/ */
  readonly building: string;
  /** what follows `drainward draw` */
  readonly command: string;
  readonly draw: (document: unknown) => DrawingResult;
}

export const PICTURES: readonly Picture[] = [
  {
    file: "looking/boathouse-blocked.svg",
    title: "A blocked main",
    about:
      "Three coils drain into one main, and something has stopped it before its outlet. The water behind it fills everything that lies below the pan of FC-3, where it comes out first; on its way it trips the three switches that are drawn full. FC-3 has no trap under suction: mark {seal.missing~f:FC-3} says so, pointed at both ends because water will escape.",
    building: "three-coils",
    command: "riser fixtures/buildings/three-coils.json --blocked-pipe M-d",
    draw: (document) => drawRiser(document, { highlight: { blocked: { pipe: "M-d" } } }),
  },
  {
    file: "looking/tower-riser.svg",
    title: "One riser of a tower, as surveyed",
    about:
      "Floors as levels, each branch with its size and grade, traps full or dry, vents, cleanouts and switches in their places. At 0602-A air is locked between two traps (beads, mark {seal.double~n:0602-A%2Ftrap-2}); the main below the riser holds a shallow pool (mark {fall.shallow-pool~n:MC-02}), and what joins it from other risers is named where it comes in. The numbers are those of the audit's list.",
    building: "tower-as-surveyed",
    command: "riser fixtures/buildings/tower-as-surveyed.json --riser B-02",
    draw: (document) => drawRiser(document, { riser: "B-02" }),
  },
  {
    file: "looking/way-out.svg",
    title: "The way out of one coil",
    about:
      "The sloping parts to scale, heights exaggerated as each says. Behind the trap a sag holds water and locks air before it (mark {fall.reverse~p:0401-B%2Farm-2}). Below stand node, pipe, distance, invert, crown and vent top; then the trap true to scale with its fan off, starting and running, and what is left of its seal and drop.",
    building: "tower-as-surveyed",
    command: "path fixtures/buildings/tower-as-surveyed.json --fan-coil 0401-B/coil",
    draw: (document) => drawPath(document, { fanCoil: "0401-B/coil" }),
  },
];

const documentOf = ({ building }: Picture): unknown =>
  JSON.parse(readFileSync(new URL(`../../fixtures/buildings/${building}.json`, import.meta.url), "utf8"));

const told = (picture: Picture): string => {
  const made = audit(documentOf(picture));
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  const ids = made.audit.findings.map(({ id }) => id);
  return picture.about.replace(/\{([^}]+)\}/g, (_, id: string) => {
    if (!ids.includes(id)) throw new Error(`there is no finding ${id}`);
    return String(ids.indexOf(id) + 1);
  });
};

export const pictureOf = (picture: Picture): string => {
  const made = picture.draw(documentOf(picture));
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.svg;
};

export const lookingPage = (): string => `# Looking

Pictures of a network are SVG files: light or dark as the reader's machine is set, black on white on paper. Each element carries the id of its node (\`data-node\`), pipe (\`data-pipe\`), overflow device (\`data-device\`), floor (\`data-floor\`), riser (\`data-riser\`) or finding (\`data-finding\`), so that a program can link to it. A finding has the number that it has in the audit's list, and a shape for how serious it is: pointed at both ends where water will escape, square where something will fail in use, round for good practice, round and empty for advice, dashed with a question where it cannot be told.

The pictures below are what these commands print (\`npm run docs\` makes them again, and a test says when one is no longer current). Over HTTP \`POST /v1/drawings/riser\` and \`/v1/drawings/path\` give the same, \`POST /v1/audits\` gives the riser diagram to \`Accept: image/svg+xml\` and the report to \`Accept: text/html\`; a kept building has its own at \`GET /v1/buildings/{building}/riser.svg\` and \`…/report\`, and pages for people under \`/buildings\`.

${PICTURES.map((picture) => {
  const { file, title, command } = picture;
  return `## ${title}

\`\`\`sh
node dist/main/cli.js draw ${command} > ${file.slice(file.indexOf("/") + 1)}
\`\`\`

${told(picture)}

![${title}](${file})
`;
}).join("\n")}`;
