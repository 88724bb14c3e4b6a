import { EXIT, type Exit, file, malformed, readInput, refuse, type Screen } from "./inputs.js";
import type { Library, Surroundings } from "./surroundings.js";

/** Prints a picture of a network document as SVG; `-` reads standard input. */
export const draw = async (
  path: string,
  make: (library: Library, network: unknown) => ReturnType<Library["drawRiser"]>,
  width: number,
  around: Surroundings,
): Promise<Exit> => {
  const screen: Screen = { format: "text", width, color: false };
  const library = await around.core();
  const input = path === "-" ? { label: "standard input", path: null } : file(path);
  const read = await readInput(input, library, around);
  if ("refusal" in read) {
    await refuse(input, read.refusal, screen, library, around);
    return EXIT.badInput;
  }
  const made = make(library, read.value);
  if (!made.ok) {
    const { refusal } = malformed("invalid-document", "cannot be drawn", made.problems, made.total);
    await refuse(input, refusal, screen, library, around);
    return EXIT.badInput;
  }
  await around.stdout.write(made.svg);
  return EXIT.fine;
};
