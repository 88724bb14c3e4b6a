import { EXIT, type Exit, file, inputsOf, readInput, refuse, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** `name=value` as an input: a number, true or false, a JSON value, else the text itself. */
const inputValue = (text: string): unknown => {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return text;
  }
};

/**
 * Makes one calculation from `name=value` arguments, or from a JSON file (`-`: standard input), or from both: an argument
 * goes before what the file says. `complain` ends the run over an unknown calculation or an argument that is neither.
 */
export const calculate = async (
  name: string,
  args: readonly string[],
  screen: Screen,
  around: Surroundings,
  complain: (message: string) => never,
): Promise<Exit> => {
  const library = await around.core();
  const files = args.filter((arg) => arg === "-" || !arg.includes("="));
  if (files.length > 1) complain("error: give one file of inputs, and further inputs as name=value");
  let inputs: unknown = {};
  const [input] = files.length === 0 ? [file("inputs")] : await inputsOf(files, around);
  if (files.length > 0) {
    const read = await readInput(input, library, around);
    if ("refusal" in read) {
      await refuse(input, read.refusal, screen, library, around);
      return EXIT.badInput;
    }
    inputs = read.value;
  }
  const given = args.filter((arg) => arg !== "-" && arg.includes("="));
  if (given.length > 0 && typeof inputs === "object" && inputs !== null && !Array.isArray(inputs)) {
    const pairs = given.map(
      (arg) => [arg.slice(0, arg.indexOf("=")), inputValue(arg.slice(arg.indexOf("=") + 1))] as const,
    );
    inputs = Object.fromEntries([...Object.entries(inputs), ...pairs]);
  }
  const made = library.calculate(name, inputs);
  if (!made.ok) {
    const detail = "is no set of inputs of this calculation";
    await refuse(
      files.length === 0 ? { ...input, label: name } : input,
      { code: "invalid-inputs", detail, errors: made.problems, total: made.total },
      screen,
      library,
      around,
    );
    return EXIT.badInput;
  }
  await around.stdout.write(
    screen.format === "json"
      ? `${JSON.stringify(made.calculation, null, 2)}\n`
      : library.renderCalculation(made.calculation, screen),
  );
  return EXIT.fine;
};
