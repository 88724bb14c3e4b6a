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

const answerFor = async (
  input: Input,
  { include, profile }: AuditOptions,
  library: Library,
  around: Surroundings,
): Promise<Answer> => {
  try {
    const read = await readInput(input, library, around);
    if ("refusal" in read) return read;
    const answer = library.audit(read.value, { include, profile });
    return answer.ok
      ? { audit: answer.audit }
      : malformed("invalid-document", "is not a network document", answer.problems, answer.total);
  } catch (error) {
    return unread("internal", `could not be audited, by a fault of this program: ${messageOf(error)}`);
  }
};

const rule = ({ label }: Input, position: number, { width }: Screen, library: Library): string => {
  const title = `== ${library.plain(label)} `;
  return `${position === 0 ? "" : "\n"}${title}${"=".repeat(Math.max(2, width - title.length))}\n\n`;
};
