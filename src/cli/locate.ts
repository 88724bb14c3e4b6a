import { EXIT, type Exit, file, malformed, readInput, refuse, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Locates a blockage in a network document from a file of observations. */
export const locate = async (
  network: string,
  { observations, at }: { readonly observations: string; readonly at: string | undefined },
  screen: Screen,
  around: Surroundings,
): Promise<Exit> => {
  const library = await around.core();
  const values: unknown[] = [];
  for (const path of [network, observations]) {
    const input = path === "-" ? { label: "standard input", path: null } : file(path);
    const read = await readInput(input, library, around);
    if ("refusal" in read) {
      await refuse(input, read.refusal, screen, library, around);
      return EXIT.badInput;
    }
    values.push(read.value);
  }
  const located = library.locateBlockage(values[0], values[1], at);
  if (!located.ok) {
    const { refusal } = malformed("invalid-document", "cannot be read together", located.problems, located.total);
    await refuse(file(`${network} with ${observations}`), refusal, screen, library, around);
    return EXIT.badInput;
  }
  await around.stdout.write(
    screen.format === "json"
      ? `${JSON.stringify(located.blockage, null, 2)}\n`
      : library.renderBlockage(located.blockage, screen),
  );
  return EXIT.fine;
};
