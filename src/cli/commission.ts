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
  const { sheet } = made;
  const forms = {
    json: () => `${JSON.stringify(sheet, null, 2)}\n`,
    html: () => library.renderCommissioningPage(sheet, { date: around.today() }),
    text: () => library.renderCommissioning(sheet, screen),
  };
  await around.stdout.write(forms[screen.format]());
  return EXIT.fine;
};
