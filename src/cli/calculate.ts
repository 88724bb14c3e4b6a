import type { CalculationInfo, CalculationInput } from "../core/index.js";
import { EXIT, type Exit, type Input, inputsOf, readInput, refuse, type Screen } from "./inputs.js";
import type { Library, Surroundings } from "./surroundings.js";

const COMMAND_LINE: Input = { label: "the command line", path: null };

/**
 * Makes one calculation from `name=value` arguments, from one JSON file (`-` or nothing at all: standard input), or from
 * both: an argument goes before what the file says. `complain` ends the run over arguments that cannot be meant.
 */
export const calculate = async (
  info: CalculationInfo,
  args: readonly string[],
  screen: Screen,
  around: Surroundings,
  complain: (message: string) => never,
): Promise<Exit> => {
  const library = await around.core();
  const pairs = args.filter((arg) => arg.includes("="));
  const files = args.filter((arg) => !arg.includes("="));
  for (const path of files)
    if (path !== "-" && !(await around.exists(path)))
      complain(`error: '${path}' is neither an input (name=value) nor a file`);
  if (files.length > 1) complain("error: give one file of inputs, and further inputs as name=value");
  const given = inputsOfPairs(pairs, info.inputs, library, complain);

  const [input] = files.length === 0 && pairs.length > 0 ? [COMMAND_LINE] : await inputsOf(files, around);
  const read = input === COMMAND_LINE ? { value: {} } : await readInput(input, library, around);
  if ("refusal" in read) {
    await refuse(input, read.refusal, screen, library, around);
    return EXIT.badInput;
  }
  const { value } = read;
  const isObject = typeof value === "object" && value !== null && !Array.isArray(value);
  const inputs = isObject ? Object.fromEntries([...Object.entries(value), ...given]) : value;
  const made = library.calculate(info.id, inputs);
  if (!made.ok) {
    const { problems, total } = made;
    const refusal = { code: "invalid-inputs", detail: `does not hold what ${info.id} takes`, errors: problems, total };
    await refuse(input, refusal, screen, library, around);
    return EXIT.badInput;
  }
  await around.stdout.write(
    screen.format === "json"
      ? `${JSON.stringify(made.calculation, null, 2)}\n`
      : library.renderCalculation(made.calculation, screen),
  );
  return EXIT.fine;
};

/**
 * `name=value` as inputs: bare numbers and true or false as they are, `[…]` and `{…}` as JSON, a list of figures with
 * commas between, an air state in parts (`air.dryBulb=24`), everything else as text.
 */
function inputsOfPairs(
  pairs: readonly string[],
  known: readonly CalculationInput[],
  library: Library,
  complain: (message: string) => never,
): Map<string, unknown> {
  const inputs = new Map<string, unknown>();
  const isA = (name: string, type: CalculationInput["type"]) =>
    known.some((each) => each.name === name && each.type === type);
  for (const pair of pairs) {
    const name = pair.slice(0, pair.indexOf("="));
    const value = inputValue(pair.slice(pair.indexOf("=") + 1), isA(name, "figures"), library);
    const [whole, ...parts] = name.split(".");
    if (parts.length === 0 || !isA(whole, "air-state")) {
      if (inputs.has(name)) complain(`error: ${name} is given twice`);
      inputs.set(name, value);
    } else {
      const air = inputs.get(whole) ?? new Map<string, unknown>();
      const part = parts.join(".");
      if (!(air instanceof Map) || air.has(part)) complain(`error: ${name} is given twice`);
      inputs.set(whole, air.set(part, value));
    }
  }
  return new Map([...inputs].map(([name, value]) => [name, value instanceof Map ? Object.fromEntries(value) : value]));
}

const NUMBER = /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i;

function inputValue(text: string, isList: boolean, library: Library): unknown {
  const trimmed = text.trim();
  if (/^[[{]/.test(trimmed)) {
    const read = library.readJson(new TextEncoder().encode(trimmed));
    return read.ok ? read.value : text;
  }
  if (isList) return trimmed === "" ? [] : trimmed.split(",").map((each) => inputValue(each, false, library));
  if (trimmed === "true" || trimmed === "false") return trimmed === "true";
  return NUMBER.test(trimmed) ? Number(trimmed) : text;
}
