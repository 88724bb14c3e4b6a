import { EXIT, type Exit, file, malformed, readInput, refuse, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Tells in time what follows if one pipe or node of a network document blocks; `-` reads standard input. */
export const tellBackup = async (
  path: string,
  blocked: { readonly pipe: string } | { readonly node: string },
  screen: Screen,
  around: Surroundings,
): Promise<Exit> => {
  const library = await around.core();
  const input = path === "-" ? { label: "standard input", path: null } : file(path);
  const read = await readInput(input, library, around);
  if ("refusal" in read) {
    await refuse(input, read.refusal, screen, library, around);
    return EXIT.badInput;
  }
  const told = library.backup(read.value, blocked);
  if (!told.ok) {
    const { refusal } = malformed("invalid-document", "cannot be told of", told.problems, told.total);
    await refuse(input, refusal, screen, library, around);
    return EXIT.badInput;
  }
  await around.stdout.write(
    screen.format === "json" ? `${JSON.stringify(told.backup, null, 2)}\n` : library.renderBackup(told.backup, screen),
  );
  return EXIT.fine;
};
