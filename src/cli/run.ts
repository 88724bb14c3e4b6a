import { Command, CommanderError, InvalidArgumentError, Option } from "commander";
import { makeKeys } from "../service/keys.js";
import type { Role } from "../service/shelves.js";
import { archive, exportBuilding, importBuilding, restore } from "./archives.js";
import { auditFiles } from "./audit-files.js";
import { type Bar, bars } from "./bar.js";
import { calculate } from "./calculate.js";
import { commission } from "./commission.js";
import { draw } from "./draw.js";
import { expandFiles } from "./expand-files.js";
import { EXIT, type Screen } from "./inputs.js";
import { listKeys, makeKey, withStore } from "./keys.js";
import { locate } from "./locate.js";
import { nearest } from "./nearest.js";
import { showCatalogue } from "./show-catalogue.js";
import type { Surroundings } from "./surroundings.js";
import { tellBackup } from "./tell-backup.js";

/**
 * Runs the command line: `args` are the words after the program's name. Returns the exit status: 0 fine, 1 a document
 * reaches the bar of `--fail-on`, 2 an input or an argument was bad (which beats 1).
 */
export const run = async (args: readonly string[], around: Surroundings): Promise<number> => {
  let status: number = EXIT.fine;
  const out: string[] = [];
  const complaints: string[] = [];
  const program = new Command("drainward")
    .description("Audits the gravity condensate drains of a building.")
    .helpOption("-h, --help", "show this help")
    .helpCommand(false)
    .exitOverride()
    .configureOutput({
      writeOut: (text) => void out.push(text),
      writeErr: (text) => void complaints.push(text),
      getOutHelpWidth: () => around.stdout.columns ?? 80,
      getErrHelpWidth: () => around.stderr.columns ?? 80,
      getOutHasColors: () => false,
      getErrHasColors: () => false,
    })
    .option("-V, --version", "show the version")
    .action(async (flags: { version?: true }, command: Command) => {
      if (flags.version) await around.stdout.write(`${(await around.core()).VERSION}\n`);
      else command.error("error: say what to do, for example: drainward audit tower.json (or drainward --help)");
    });

  program
    .command("audit")
    .description("audit network documents; - or no file reads standard input")
    .argument("[file...]", "network documents, or patterns such as 'towers/*.json'")
    .addOption(form("html"))
    .option("--include <words>", "facts to add, a comma list; all for every fact, passes for what holds too", words, [])
    .option("--profile <id>", "judge by this profile instead of the document's")
    .addOption(new Option("--fail-on <bar>", "what makes the exit status 1").choices(bars).default("major"))
    .option("--width <columns>", "wrap text to this many columns (default: the terminal's, else 80)", columns)
    .option("--no-color", "never use color")
    .addHelpText("after", auditHelp)
    .action(async (files: string[], flags: AuditFlags, command: Command) => {
      await checkWords(flags, around, command);
      if (files.filter((file) => file === "-").length > 1) command.error(READ_ONCE);
      status = await auditFiles(
        files,
        {
          format: flags.format,
          include: flags.include,
          profile: flags.profile,
          failOn: flags.failOn,
          width: flags.width ?? around.stdout.columns ?? 80,
          color: flags.color && around.stdout.isTTY && !around.plainText,
        },
        around,
      );
    });

  program
    .command("expand")
    .description("write typicals, placements and stubs out; prints JSON")
    .argument("[file...]", "network documents, or patterns such as 'towers/*.json'")
    .action(async (files: string[]) => {
      status = await expandFiles(files, { format: "text", width: around.stderr.columns ?? 80, color: false }, around);
    });
  program
    .command("calculate")
    .description("make one calculation, with its working")
    .argument("<name>", "what to calculate (drainward calculations lists them)")
    .argument("[input...]", "name=value, a unit behind the figure; or one JSON file (-, or nothing: standard input)")
    .addOption(form())
    .option("--width <columns>", "wrap text to this many columns (default: the terminal's, else 80)", columns)
    .option("--no-color", "never use color")
    .addHelpText("after", calculateHelp)
    .action(async (name: string, inputs: string[], flags: TextFlags, command: Command) => {
      const all = (await around.core()).calculations();
      const ids = all.map(({ id }) => id);
      const info = all.find(({ id }) => id === name);
      if (info === undefined)
        command.error(`error: there is no calculation '${name}'${nearest(name, ids)}; there is ${ids.join(", ")}`);
      else status = await calculate(info, inputs, screenOf(flags, around), around, complaint(command));
    });
  program
    .command("locate")
    .description("say where a blockage is, from what was observed")
    .argument("<file>", "network document")
    .requiredOption("--observations <file>", "list of observations (JSON)")
    .option("--at <time>", "observations up to this time count (RFC 3339); default: the latest")
    .addOption(form())
    .option("--width <columns>", "wrap text to this many columns (default: the terminal's, else 80)", columns)
    .option("--no-color", "never use color")
    .action(async (network: string, flags: TextFlags & { observations: string; at?: string }, command: Command) => {
      if (network === "-" && flags.observations === "-") command.error(READ_ONCE);
      status = await locate(
        network,
        { observations: flags.observations, at: flags.at },
        screenOf(flags, around),
        around,
      );
    });
  program
    .command("backup")
    .description("tell in time what follows if one pipe or node blocks")
    .argument("[file]", "network document (default: standard input)", "-")
    .option("--pipe <id>", "the pipe that blocks")
    .option("--node <id>", "the node that blocks: of a pan outlet the coil, of a receptor the outlet")
    .addOption(form())
    .option("--width <columns>", "wrap text to this many columns (default: the terminal's, else 80)", columns)
    .option("--no-color", "never use color")
    .action(async (network: string, flags: TextFlags & { pipe?: string; node?: string }, command: Command) => {
      const { pipe, node } = flags;
      if ((pipe === undefined) === (node === undefined))
        command.error("error: name what blocks, by --pipe <id> or by --node <id>");
      else
        status = await tellBackup(
          network,
          pipe === undefined ? { node: node! } : { pipe },
          screenOf(flags, around),
          around,
        );
    });
  const drawings = program.command("draw").description("draw a network as SVG").helpCommand(false);
  const blockedBy = ({ blockedPipe, blockedNode }: Blockable, command: Command) => {
    if (blockedPipe !== undefined && blockedNode !== undefined)
      command.error("error: name what blocks, by --blocked-pipe <id> or by --blocked-node <id>");
    return blockedPipe !== undefined
      ? { pipe: blockedPipe }
      : blockedNode !== undefined
        ? { node: blockedNode }
        : undefined;
  };
  drawings
    .command("riser")
    .description("floors as levels, risers, branches and coils, with the findings on them")
    .argument("[file]", "network document (default: standard input)", "-")
    .option("--riser <id>", "the sheet of one riser, by the node at its foot; every floor of it")
    .option("--fan-coil <id>", "mark the way out of this fan coil")
    .option("--blocked-pipe <id>", "mark what fills if this pipe blocks")
    .option("--blocked-node <id>", "mark what fills if this node blocks")
    .option("--finding <id>", "mark what this finding speaks of")
    .addOption(pictureWidth())
    .action(async (network: string, flags: RiserFlags, command: Command) => {
      const blocked = blockedBy(flags, command);
      const { riser, fanCoil, finding, width } = flags;
      const marked = { ...(fanCoil && { fanCoil }), ...(blocked && { blocked }), ...(finding && { finding }) };
      const highlight = Object.keys(marked).length === 0 ? undefined : marked;
      status = await draw(
        network,
        (library, document) => library.drawRiser(document, { highlight, riser, width }),
        around,
      );
    });
  drawings
    .command("path")
    .description("the long section of one fan coil's way out, with its traps at rest and at work")
    .argument("[file]", "network document (default: standard input)", "-")
    .requiredOption("--fan-coil <id>", "the fan coil")
    .option("--blocked-pipe <id>", "draw the water behind this pipe, if it blocks")
    .option("--blocked-node <id>", "draw the water behind this node, if it blocks")
    .addOption(pictureWidth())
    .action(async (network: string, flags: Blockable & { fanCoil: string; width?: number }, command: Command) => {
      const blocked = blockedBy(flags, command);
      const { fanCoil, width } = flags;
      status = await draw(
        network,
        (library, document) => library.drawPath(document, { fanCoil, blocked, width }),
        around,
      );
    });
  program
    .command("commission")
    .description("make the test sheet of a commissioning day")
    .argument("[file]", "network document (default: standard input)", "-")
    .addOption(form("html"))
    .option("--width <columns>", "wrap text to this many columns (default: the terminal's, else 80)", columns)
    .option("--no-color", "never use color")
    .action(async (network: string, flags: TextFlags) => {
      status = await commission(network, screenOf(flags, around), around);
    });

  for (const [name, what] of [
    ["rules", "the rules: what each asks, why, and what to do about it"],
    ["profiles", "the code profiles: limits and tables with their sources"],
    ["calculations", "the single calculations: inputs, formula, validity"],
  ] as const)
    program
      .command(name)
      .description(`show ${what}`)
      .argument("[id]", "show this one in full")
      .addOption(form())
      .action(async (id: string | undefined, flags: { format: "text" | "json" }, command: Command) => {
        await showCatalogue(name, id, flags.format, around, complaint(command));
      });
  program
    .command("materials")
    .description("show the pipe materials: bores, roughness and where they come from")
    .addOption(form())
    .action(async (flags: { format: "text" | "json" }, command: Command) => {
      await showCatalogue("materials", undefined, flags.format, around, complaint(command));
    });
  const keys = program.command("keys").description("the keys that callers of the service come with").helpCommand(false);
  keys
    .command("make")
    .description("make a key; prints it once, on standard output")
    .requiredOption("--organization <name>", "whose buildings it opens", organizationName)
    .addOption(new Option("--role <role>", "what it may do").choices(["read", "write", "admin"]).makeOptionMandatory())
    .option("--label <text>", "who holds it (default: organization and role)")
    .option("--expires <time>", "to when it is good (RFC 3339 or a date; default: until it is revoked)", expiry)
    .action(async (flags: KeyFlags, command: Command) => {
      const { organization, role, label = `${organization} ${role}`, expires = null } = flags;
      await withStore(around, complaint(command), (store) =>
        makeKey(makeKeys(store, today), { organization, role, label, expiresAt: expires }, around),
      );
    });
  keys
    .command("list")
    .description("list the keys, without what opens")
    .option("--organization <name>", "of this organization alone", organizationName)
    .addOption(form())
    .action(async (flags: { organization?: string; format: "text" | "json" }, command: Command) => {
      await withStore(around, complaint(command), (store) =>
        listKeys(makeKeys(store, today), flags.organization ?? null, flags.format, around),
      );
    });
  keys
    .command("revoke")
    .description("let a key open nothing any more")
    .argument("<id>", "id of the key, as the list shows it")
    .action(async (id: string, _flags: object, command: Command) => {
      const complain = complaint(command);
      await withStore(around, complain, async (store) => {
        const revoked = await makeKeys(store, today).revoke(id);
        if (revoked === null) throw new Error(`there is no key '${id}' that opens anything`);
        await around.stderr.write(`Key ${revoked.id} of ${revoked.organization} is revoked.\n`);
      });
    });
  program
    .command("migrate")
    .description("bring the tables of the store up to date (the service does so when it starts)")
    .action(async (_flags: object, command: Command) => {
      await withStore(around, complaint(command), () => around.stdout.write("The tables are up to date.\n"));
    });
  program
    .command("archive")
    .description("write the whole store to standard output, line by line, while others work on it")
    .action(async (_flags: object, command: Command) => {
      await withStore(around, complaint(command), (store) => archive(store, around));
    });
  program
    .command("restore")
    .description("take an archive back into an empty store: all of it, checked and read again, or nothing")
    .argument("[file]", "what archive wrote; - or none reads standard input")
    .action(async (file: string | undefined, _flags: object, command: Command) => {
      await withStore(around, complaint(command), (store) => restore(store, file, around));
    });
  program
    .command("export")
    .description("write one building with its whole history to standard output")
    .argument("<building>", "its id")
    .option("--organization <name>", "whose it is", organizationName, "default")
    .action(async (building: string, flags: { organization: string }, command: Command) => {
      await withStore(around, complaint(command), (store) =>
        exportBuilding(store, flags.organization, building, around),
      );
    });
  program
    .command("import")
    .description("make a building of what export wrote, here or elsewhere")
    .argument("<building>", "its id here, which is free")
    .argument("[file]", "what export wrote; - or none reads standard input")
    .option("--organization <name>", "whose it is to be", organizationName, "default")
    .action(async (building: string, file: string | undefined, flags: { organization: string }, command: Command) => {
      await withStore(around, complaint(command), (store) =>
        importBuilding(store, flags.organization, building, file, around),
      );
    });
  program
    .command("schema")
    .description("show the JSON Schema of a network document")
    .action(async () => {
      await around.stdout.write(`${JSON.stringify((await around.core()).networkSchema(), null, 2)}\n`);
    });
  program.addHelpText("after", mainHelp);

  try {
    // either spelling
    const spelled = args.map((word) => word.replace(/^--organisation(?=$|=)/, "--organization"));
    await program.parseAsync(spelled, { from: "user" });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    status = error.exitCode === 0 ? EXIT.fine : EXIT.badInput;
  }
  const { plain } = complaints.length > 0 ? await around.core() : { plain: (text: string) => text };
  for (const text of out) await around.stdout.write(text);
  for (const text of complaints) await around.stderr.write(`${text.trimEnd().split("\n").map(plain).join("\n")}\n`);
  return status;
};

const READ_ONCE = "error: standard input can be read once, but - is given more than once";

interface AuditFlags {
  readonly format: Screen["format"];
  readonly include: readonly string[];
  readonly profile?: string;
  readonly failOn: Bar;
  readonly width?: number;
  readonly color: boolean;
}

interface Blockable {
  readonly blockedPipe?: string;
  readonly blockedNode?: string;
}

interface RiserFlags extends Blockable {
  readonly riser?: string;
  readonly fanCoil?: string;
  readonly finding?: string;
  readonly width?: number;
}

interface TextFlags {
  readonly format: Screen["format"];
  readonly width?: number;
  readonly color: boolean;
}

interface KeyFlags {
  readonly organization: string;
  readonly role: Role;
  readonly label?: string;
  readonly expires?: Date;
}

const today = () => new Date();

const organizationName = (text: string): string => {
  if (!/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/.test(text))
    throw new InvalidArgumentError("It is a name of letters, digits, dots, dashes and underscores.");
  return text;
};

const expiry = (text: string): Date => {
  const time = new Date(text);
  if (!/^\d{4}-\d{2}-\d{2}(T.+)?$/.test(text) || Number.isNaN(time.getTime()))
    throw new InvalidArgumentError("It is a time such as 2027-01-31T00:00:00Z, or a date.");
  return time;
};

const screenOf = ({ format, width, color }: TextFlags, around: Surroundings): Screen => ({
  format,
  width: width ?? around.stdout.columns ?? 80,
  color: color && around.stdout.isTTY && !around.plainText,
});

const complaint = (command: Command) => (message: string) => command.error(message);

const form = (...more: readonly "html"[]) =>
  new Option("--format <form>", "form of the answer").choices(["text", "json", ...more]).default("text");

const words = (list: string, before: readonly string[]): readonly string[] => [...before, ...list.split(",")];

const pictureWidth = () =>
  new Option("--width <px>", "width at which the picture's text is meant to be read, 320 to 4000").argParser(
    (text): number => {
      const width = Number(text);
      if (!/^\d+$/.test(text) || width < 320 || width > 4000)
        throw new InvalidArgumentError("It is a whole number from 320 to 4000.");
      return width;
    },
  );

const columns = (text: string): number => {
  const width = Number(text);
  if (!/^\d+$/.test(text) || width < 40 || width > 1000)
    throw new InvalidArgumentError("It is a whole number from 40 to 1000.");
  return width;
};

const checkWords = async ({ include, profile }: AuditFlags, around: Surroundings, command: Command): Promise<void> => {
  if (include.length === 0 && profile === undefined) return;
  const { INCLUDES, profiles } = await around.core();
  const known = [...INCLUDES, "passes", "all"];
  const unknown = include.find((word) => !known.includes(word));
  if (unknown !== undefined)
    command.error(
      `error: --include does not know '${unknown}'${nearest(unknown, known)}; it takes ${known.join(", ")}`,
    );
  const ids = profiles().map(({ id }) => id);
  if (profile !== undefined && !ids.includes(profile))
    command.error(`error: there is no profile '${profile}'${nearest(profile, ids)}; there is ${ids.join(", ")}`);
};

const auditHelp = `
Bars of --fail-on: critical, major, minor, advice (something fails that is at least so serious),
undetermined (a major fails, or a serious question is open), exposed (a major fails, or a blockage
would flood somebody), none.

Exit status: 0 below the bar, 1 a document reaches it, 2 an input was bad (the others are still audited).

Examples:
  drainward audit tower.json
  drainward audit 'towers/*.json' --format json --fail-on critical > audits.ndjson
  drainward audit --include pipes,paths --format json < tower.json
  drainward audit tower.json --format html > report.html      to print, A4 or Letter
`;

const calculateHelp = `
A bare number is SI base (m, Pa, W, m³/s; temperatures °C), a figure may carry its unit. Lists have commas
between, air states are written in parts or as JSON. What is given here goes before what a file says.

Examples:
  drainward calculate trap panStatic=-250Pa fanPosition=draw-through sealDepth="30 mm"
  drainward calculate air-lock sealDepths=50mm,30mm toOutlet=60mm toSpill=100mm
  drainward calculate surface-condensation air.dryBulb=80degF air.relativeHumidity=60% \\
    pipeTemperature=45degF outsideDiameter=1.05in
  drainward calculate trap inputs.json drop=40mm --format json
  drainward calculations trap             what the calculation takes and gives
`;

const mainHelp = `
Examples:
  drainward audit tower.json              findings, worst first
  drainward rules fall.reverse            what one rule asks and why
  drainward profiles imc --format json    every limit with its source
  drainward schema > network.schema.json
  drainward calculate trap panStatic=-250Pa fanPosition=draw-through
  drainward locate tower.json --observations seen.json
  drainward draw riser tower.json > riser.svg
  drainward backup tower.json --pipe P-14
  drainward keys make --organization alder --role write
  drainward archive > store.ndjson
  drainward restore store.ndjson
  drainward export alder-court > alder-court.ndjson
  drainward commission tower.json         what to do and to see on the commissioning day

Without a file, audit reads standard input. drainward audit --help says more.
`;
