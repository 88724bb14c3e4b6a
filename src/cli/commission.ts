import { EXIT, type Exit, file, malformed, readInput, refuse, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Prints the commissioning sheet of one network document; `-` reads standard input. */
export const commission = async (path: string, screen: Screen, around: Surroundings): Promise<Exit> => {
  const library = await around.core();
  const input = path === "-" ? { label: "standard input", path: null } : file(path);
  const read = await readInput(input, library, around);
  if ("refusal" in read) {
    await refuse(input, read.refusal, screen, library, around);
    return EXIT.badInput;
  }
  const made = library.commissioning(read.value);
  if (!made.ok) {
    const { refusal } = malformed("invalid-document", "is not a network document", made.problems, made.total);
    await refuse(input, refusal, screen, library, around);
    return EXIT.badInput;
  }
  await around.stdout.write(
    screen.format === "json"
      ? `${JSON.stringify(made.sheet, null, 2)}\n`
      : library.renderCommissioning(made.sheet, screen),
  );
  return EXIT.fine;
};
