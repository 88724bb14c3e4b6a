import { EXIT, type Exit, inputsOf, malformed, readInput, refuse, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Writes the shorthand of each document out: one file gives one object, several give one a line, in argument order. */
export const expandFiles = async (args: readonly string[], screen: Screen, around: Surroundings): Promise<Exit> => {
  const library = await around.core();
  const inputs = await inputsOf(args, around);
  let exit: Exit = EXIT.fine;
  for (const input of inputs) {
    const read = await readInput(input, library, around);
    const expanded = "refusal" in read ? read : expandedOf(read.value);
    if ("refusal" in expanded) {
      exit = EXIT.badInput;
      // several answers stand one a line, a bad one's problem in its place
      await refuse(
        input,
        expanded.refusal,
        { ...screen, format: inputs.length > 1 ? "json" : "text" },
        library,
        around,
      );
    } else await around.stdout.write(`${JSON.stringify(expanded.document, null, inputs.length > 1 ? undefined : 2)}\n`);
  }
  return exit;

  function expandedOf(value: unknown) {
    const answer = library.expand(value);
    return answer.ok
      ? { document: answer.document }
      : malformed("invalid-document", "is not a network document", answer.problems, answer.total);
  }
};
