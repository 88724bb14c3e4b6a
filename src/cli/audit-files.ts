import type { Audit } from "../core/index.js";
import { type Bar, reaches } from "./bar.js";
import {
  EXIT,
  type Exit,
  type Input,
  inputsOf,
  malformed,
  messageOf,
  type Refusal,
  readInput,
  refuse,
  type Screen,
  unread,
} from "./inputs.js";
import { Progress } from "./progress.js";
import type { Library, Surroundings } from "./surroundings.js";

export interface AuditOptions extends Screen {
  readonly include: readonly string[];
  readonly profile: string | undefined;
  readonly failOn: Bar;
}

/** `page`: the report, where that is asked for. */
type Answer = { readonly audit: Audit; readonly page?: string } | { readonly refusal: Refusal };

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
  if (options.format === "html" && inputs.length > 1) {
    await around.stderr.write(`drainward: --format html prints one document, and ${inputs.length} are named\n`);
    return EXIT.badInput;
  }
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
      await around.stdout.write(answer.page ?? printed(answer.audit, options, library));
    }
  }
  return exit;
};

const printed = (audit: Audit, options: AuditOptions, library: Library): string =>
  options.format === "json" ? `${JSON.stringify(audit)}\n` : library.renderText(audit, options);

const pageOf = (made: ReturnType<Library["report"]>) =>
  made.ok ? { ok: true as const, audit: made.audit, page: made.html } : made;

const answerFor = async (
  input: Input,
  { format, include, profile }: AuditOptions,
  library: Library,
  around: Surroundings,
): Promise<Answer> => {
  try {
    const read = await readInput(input, library, around);
    if ("refusal" in read) return read;
    const answer =
      format === "html"
        ? pageOf(library.report(read.value, { profile, date: around.today() }))
        : library.audit(read.value, { include, profile });
    return answer.ok
      ? answer
      : malformed("invalid-document", "is not a network document", answer.problems, answer.total);
  } catch (error) {
    return unread("internal", `could not be audited, by a fault of this program: ${messageOf(error)}`);
  }
};

const rule = ({ label }: Input, position: number, { width }: Screen, library: Library): string => {
  const title = `== ${library.plain(label)} `;
  return `${position === 0 ? "" : "\n"}${title}${"=".repeat(Math.max(2, width - title.length))}\n\n`;
};
