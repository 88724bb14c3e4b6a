import type { Audit, Problem } from "../core/index.js";
import { type Bar, reaches } from "./bar.js";
import { Progress } from "./progress.js";
import { readBounded } from "./read-bounded.js";
import type { Library, Surroundings } from "./surroundings.js";

export interface AuditOptions {
  readonly format: "text" | "json";
  readonly include: readonly string[];
  readonly profile: string | undefined;
  readonly failOn: Bar;
  readonly width: number;
  readonly color: boolean;
}

export const EXIT = { fine: 0, belowBar: 1, badInput: 2 } as const;
type Exit = (typeof EXIT)[keyof typeof EXIT];

/** Why a document gave no audit. `errors` are the places in the document, where it was read at all. */
interface Refusal {
  readonly code: string;
  readonly detail: string;
  readonly errors: readonly Problem[];
  readonly total: number;
}

type Answer = { readonly audit: Audit } | { readonly refusal: Refusal };

/**
 * Audits each document in argument order and prints its answer; every document is audited even where one is bad.
 * Returns the exit status: 2 if an input was bad, else 1 if an audit reaches the bar, else 0.
 */
export const auditFiles = async (
  args: readonly string[],
  options: AuditOptions,
  around: Surroundings,
): Promise<Exit> => {
  const library = await around.core();
  const inputs = await inputsOf(args, around);
  const progress = new Progress(inputs.length, around.stderr);
  let exit: Exit = EXIT.fine;
  for (const [position, input] of inputs.entries()) {
    await progress.at(position, library.plain(input.label));
    const answer = await answerFor(input, options, library, around);
    await progress.clear();
    if (options.format === "text" && inputs.length > 1)
      await around.stdout.write(rule(input, position, options, library));
    if ("refusal" in answer) {
      exit = EXIT.badInput;
      await refuse(input, answer.refusal, options, library, around);
    } else {
      if (exit === EXIT.fine && reaches(answer.audit, options.failOn)) exit = EXIT.belowBar;
      await around.stdout.write(
        options.format === "json" ? `${JSON.stringify(answer.audit)}\n` : library.renderText(answer.audit, options),
      );
    }
  }
  return exit;
};

interface Input {
  readonly label: string;
  /** null: standard input */
  readonly path: string | null;
  /** the argument matched nothing */
  readonly unmatched?: true;
}

const inputsOf = async (args: readonly string[], around: Surroundings): Promise<readonly Input[]> => {
  const inputs: Input[] = [];
  for (const arg of args.length === 0 ? ["-"] : args) {
    if (arg === "-") inputs.push({ label: "standard input", path: null });
    else if (!wildcard.test(arg) || (await around.exists(arg))) inputs.push(file(arg));
    else {
      const matches = await around.expand(arg);
      if (matches.length === 0) inputs.push({ ...file(arg), unmatched: true });
      for (const match of matches) inputs.push(file(match));
    }
  }
  return inputs;
};

const wildcard = /[*?[{]/;

const file = (path: string): Input => ({ label: path, path });

const answerFor = async (
  input: Input,
  { include, profile }: AuditOptions,
  library: Library,
  around: Surroundings,
): Promise<Answer> => {
  if (input.unmatched) return unread("no-such-file", "no file matches");
  let bytes: Uint8Array;
  try {
    if (input.path === null && around.stdin.isTTY)
      await around.stderr.write("Reading a network document from the keyboard; Ctrl-D ends it.\n");
    const source = input.path === null ? around.stdin : around.open(input.path);
    bytes = await readBounded(source, library.LIMITS.maxBytes);
  } catch (error) {
    return unread(...unreadable(error, library.LIMITS.maxBytes));
  }
  if (bytes.byteLength === 0) return unread("empty", "is empty");
  try {
    const read = library.readJson(bytes);
    if (!read.ok) return malformed(read.problem.code, "is not a JSON document that can be read", [read.problem], 1);
    const answer = library.audit(read.value, { include, profile });
    return answer.ok
      ? { audit: answer.audit }
      : malformed("invalid-document", "is not a network document", answer.problems, answer.total);
  } catch (error) {
    return unread("internal", `could not be audited, by a fault of this program: ${messageOf(error)}`);
  }
};

const unread = (code: string, detail: string): Answer => ({ refusal: { code, detail, errors: [], total: 0 } });

const malformed = (code: string, detail: string, errors: readonly Problem[], total: number): Answer => ({
  refusal: { code, detail, errors, total },
});

const unreadable = (error: unknown, limit: number): [code: string, detail: string] => {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  switch (code) {
    case "ENOENT":
    case "ENOTDIR":
      return ["no-such-file", "no such file"];
    case "EISDIR":
      return ["is-a-folder", "is a folder; name the files in it, for example with a wildcard"];
    case "EACCES":
    case "EPERM":
      return ["not-permitted", "may not be read by this user"];
    case "TOO_LARGE":
      return ["too-large", `is larger than the ${limit / 2 ** 20} MiB that a document may have`];
    default:
      return ["unreadable", `cannot be read: ${messageOf(error)}`];
  }
};

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

const refuse = async (
  { label }: Input,
  refusal: Refusal,
  options: AuditOptions,
  library: Library,
  { stdout, stderr }: Surroundings,
): Promise<void> => {
  const { errors, total } = refusal;
  if (options.format === "json") {
    // The line keeps its place, so that line n still answers argument n.
    await stdout.write(`${JSON.stringify({ file: label, problem: refusal })}\n`);
    const places = total > 0 ? ` (${total === 1 ? "1 problem" : `${total} problems`})` : "";
    await stderr.write(`drainward: ${library.plain(label)}: ${library.plain(refusal.detail)}${places}\n`);
  } else if (errors.length > 0) {
    const screen = { width: options.width, color: options.color && stderr.isTTY };
    await stderr.write(library.renderProblems(label, { problems: errors, total }, screen));
  } else await stderr.write(`drainward: ${library.plain(label)}: ${library.plain(refusal.detail)}\n`);
};

const rule = ({ label }: Input, position: number, { width }: AuditOptions, library: Library): string => {
  const title = `== ${library.plain(label)} `;
  return `${position === 0 ? "" : "\n"}${title}${"=".repeat(Math.max(2, width - title.length))}\n\n`;
};
