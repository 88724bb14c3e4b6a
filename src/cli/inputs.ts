import type { Problem } from "../core/index.js";
import { readBounded } from "./read-bounded.js";
import type { Library, Surroundings } from "./surroundings.js";

/** Exit status: beats the others where an input was bad. */
export const EXIT = { fine: 0, belowBar: 1, badInput: 2 } as const;
export type Exit = (typeof EXIT)[keyof typeof EXIT];

/** How what is printed looks. */
export interface Screen {
  readonly format: "text" | "json" | "html";
  readonly width: number;
  readonly color: boolean;
}

/** Why an input gave no answer. `errors` are the places in it, where it was read at all. */
export interface Refusal {
  readonly code: string;
  readonly detail: string;
  readonly errors: readonly Problem[];
  readonly total: number;
}

export interface Input {
  readonly label: string;
  /** null: standard input */
  readonly path: string | null;
  /** the argument matched nothing */
  readonly unmatched?: true;
}

/** The inputs that arguments name, in their order; `-` or no argument is standard input. */
export const inputsOf = async (args: readonly string[], around: Surroundings): Promise<readonly Input[]> => {
  const inputs: Input[] = [];
  for (const arg of args.length === 0 ? ["-"] : args) {
    if (arg === "-") inputs.push(input(arg));
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

export const file = (path: string): Input => ({ label: path, path });

/** What one argument names as it stands; `-` is standard input. */
const input = (path: string): Input => (path === "-" ? { label: "standard input", path: null } : file(path));

/** What is read of one input: a JSON value, or why not. */
export const readInput = async (
  input: Input,
  library: Library,
  around: Surroundings,
): Promise<{ readonly value: unknown } | { readonly refusal: Refusal }> => {
  if (input.unmatched) return unread("no-such-file", "no file matches");
  let bytes: Uint8Array;
  try {
    if (input.path === null && around.stdin.isTTY)
      await around.stderr.write("Reading JSON from the keyboard; Ctrl-D ends it.\n");
    const source = input.path === null ? around.stdin : around.open(input.path);
    bytes = await readBounded(source, library.LIMITS.maxBytes);
  } catch (error) {
    return unread(...unreadable(error, library.LIMITS.maxBytes));
  }
  if (bytes.byteLength === 0) return unread("empty", "is empty");
  const read = library.readJson(bytes);
  return read.ok
    ? { value: read.value }
    : malformed(read.problem.code, "is not a JSON document that can be read", [read.problem], 1);
};

/** What the library makes of documents, or all that is wrong with them. */
export type Made<T> =
  | ({ readonly ok: true } & T)
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * Reads JSON documents, of which `-` is standard input, and prints what is made of them; or refuses the first that cannot
 * be read, or all of them together.
 * @param otherwise said where nothing can be made of them: `cannot be drawn`
 */
export const printMade = async <T>(
  paths: readonly string[],
  {
    make,
    print,
    otherwise,
  }: {
    readonly make: (library: Library, ...documents: readonly unknown[]) => Made<T>;
    readonly print: (made: T, library: Library) => string;
    readonly otherwise: string;
  },
  screen: Screen,
  around: Surroundings,
): Promise<Exit> => {
  const library = await around.core();
  const values: unknown[] = [];
  for (const path of paths) {
    const read = await readInput(input(path), library, around);
    if ("refusal" in read) {
      await refuse(input(path), read.refusal, screen, library, around);
      return EXIT.badInput;
    }
    values.push(read.value);
  }
  const made = make(library, ...values);
  if (!made.ok) {
    const { refusal } = malformed("invalid-document", otherwise, made.problems, made.total);
    const together = paths.length === 1 ? input(paths[0]) : file(paths.join(" with "));
    await refuse(together, refusal, screen, library, around);
    return EXIT.badInput;
  }
  await around.stdout.write(print(made, library));
  return EXIT.fine;
};

/** A value as JSON for people and programs alike. */
export const asJson = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`;

export const unread = (code: string, detail: string): { readonly refusal: Refusal } => ({
  refusal: { code, detail, errors: [], total: 0 },
});

export const malformed = (
  code: string,
  detail: string,
  errors: readonly Problem[],
  total: number,
): { readonly refusal: Refusal } => ({
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

export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Tells why an input gave no answer: in its place among the answers, and on the error stream. */
export const refuse = async (
  { label }: Input,
  refusal: Refusal,
  options: Screen,
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
    await stderr.write(library.renderProblems(label, { detail: refusal.detail, problems: errors, total }, screen));
  } else await stderr.write(`drainward: ${library.plain(label)}: ${library.plain(refusal.detail)}\n`);
};
