import { readFileSync } from "node:fs";
import { type BackupAnswer, backup, renderBackup } from "../../src/core/index.js";

/** One blockage in the design tower, with what is said of it before it is asked. */
interface Tale {
  readonly title: string;
  /** Markdown */
  readonly about: string;
  readonly pipe: string;
  /** the level switch at the foot of the riser is there */
  readonly watched: boolean;
}

const FILE = "fixtures/buildings/tower-design.json";

/** The design tower as it would be drawn without level switches in its risers and mains: pans have theirs. */
export const withoutMainSwitches = (): Record<string, unknown> => {
  const document = JSON.parse(readFileSync(new URL(`../../${FILE}`, import.meta.url), "utf8")) as Protected & {
    typicals: Record<string, Protected>;
  };
  for (const part of [document, ...Object.values(document.typicals)]) {
    const mains = new Set(
      (part.overflowDevices ?? []).filter(({ seat }) => seat === "main").map(({ circuit }) => circuit),
    );
    part.overflowDevices = part.overflowDevices?.filter(({ seat }) => seat !== "main");
    part.circuits = part.circuits?.filter(({ id }) => !mains.has(id));
  }
  return JSON.parse(JSON.stringify(document));
};

interface Protected {
  overflowDevices?: { seat: string; circuit: string }[];
  circuits?: { id: string }[];
  [field: string]: unknown;
}

/** A level switch in the foot of the first riser that stops every coil above it. */
export const FOOT_SWITCH = {
  overflowDevices: [
    {
      ...{ id: "FOOT-SWITCH", at: "B-01", type: "float-switch", seat: "main", tripHeight: 60 },
      ...{ contact: "nc", latches: true, circuit: "FOOT-CIRCUIT" },
    },
  ],
  circuits: [{ id: "FOOT-CIRCUIT", arrangement: "series", breaks: "R", stops: "all-upstream" }],
};

const TALES: readonly Tale[] = [
  {
    title: "The foot of a riser blocks",
    about:
      "The pipe that leaves the foot of the first riser closes. Twelve storeys drain into that riser, two coils on each; what they make fills the riser up to the lowest branch, goes back along that branch, over the trap into the pan of the lowest coil, and over its rim. That pan has a switch. It stops its own coil, and of the water that comes a thirtieth is its own: the flood is the work of the other twenty-three.",
    pipe: "M-B-01",
    watched: false,
  },
  {
    title: "The same, with a level switch at the foot that stops every coil above",
    about:
      "One switch more, in the foot of the riser, where whatever blocks below must stand first. It trips within seconds of the water, and there is nothing left that could rise: the riser is empty above it, and takes what the stopped coils still have on their fins.",
    pipe: "M-B-01",
    watched: true,
  },
  {
    title: "One storey higher, where that switch cannot see it",
    about:
      "The switch is still there, and now the riser closes one storey above it. The foot stays dry. What follows is the first tale again, one storey further up: a switch sees only what blocks below it, and a riser is watched as far up as the places at which a switch sits.",
    pipe: "R1-02/lower",
    watched: true,
  },
];

export interface ToldTale extends Tale {
  readonly document: Record<string, unknown>;
  readonly answer: BackupAnswer;
}

export const tales = (): ToldTale[] =>
  TALES.map((tale) => {
    const document = withoutMainSwitches();
    if (tale.watched)
      for (const [field, more] of Object.entries(FOOT_SWITCH))
        document[field] = [...((document[field] as unknown[] | undefined) ?? []), ...more];
    const told = backup(document, { pipe: tale.pipe });
    if (!told.ok) throw new Error(JSON.stringify(told.problems, null, 1));
    return { ...tale, document, answer: told.backup };
  });

/** The answer as people read it, without the parts that every answer has. */
const shown = (answer: BackupAnswer): string => {
  const lines = renderBackup(answer, { width: 100, color: false }).split("\n");
  return lines.slice(2, lines.indexOf("What is taken for granted")).join("\n").trim();
};

export const whenItBlocksPage = (): string => {
  const chapters = tales().map(({ title, about, pipe, watched, answer }, i) =>
    [
      `## ${title}`,
      about,
      watched ? withSwitch(pipe, i) : `\`${pipe}\` is blocked:`,
      `\`\`\`text\n${shown(answer)}\n\`\`\``,
    ].join("\n\n"),
  );
  return `${[OPENING, ...chapters, CLOSING].join("\n\n")}\n`;
};

/** Shown once. */
const withSwitch = (pipe: string, position: number): string =>
  TALES.findIndex(({ watched }) => watched) === position
    ? `With this in the document besides, \`${pipe}\` is blocked:\n\n\`\`\`json\n${JSON.stringify(FOOT_SWITCH, null, 2)}\n\`\`\``
    : `In the same document \`${pipe}\` is blocked:`;

const OPENING = `# When it blocks

Made by \`npm run docs\` from \`${FILE}\` and what is answered to it; do not edit it by hand.

Three tales of one riser, of that tower as it would be without the level switches in its risers and mains; the pans have theirs. In each a single pipe closes, suddenly and altogether, while every coil above makes its design rate; the answer says how the water rises behind it, what trips, what that stops, where the water comes out and when. \`POST /v1/backups\`, \`backup(network, { pipe })\` and \`drainward backup\` answer alike, for any pipe and any node of a document: \`node dist/main/cli.js backup ${FILE} --pipe M-B-01\` tells what the switches of the tower as it is drawn make of the first tale.`;

const CLOSING = `## How it is counted

The water behind the blockage is one level pool. It fills what drains into it: sloping and plumb pipes, vents and stubs by the exact volume of a round bore under a level plane, pans by their area. Standing water that was there before does not count. A coil feeds the pool over its trap until the pool stands above the weir; from then on its pan is part of the pool. Where a fan sucks at a pan, the water before the trap stands higher than the pool behind it by the head of that suction, so that such a pan trips and spills sooner; once the fan stops that water runs back, and the pool finds one level.

Times are told twice: the latest with every branch full, the soonest with nothing in the branches that have no open vent, since air that cannot leave keeps the water out. They are one figure where every branch has its vent. What nobody gave the size of counts as nothing in the soonest time, and leaves the latest open; the answer names the figure that is missing.`;
