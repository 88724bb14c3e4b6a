import { type Exit, printMade } from "./inputs.js";
import type { Library, Surroundings } from "./surroundings.js";

/** Prints a picture of a network document as SVG; `-` reads standard input. */
export const draw = (
  path: string,
  make: (library: Library, network: unknown) => ReturnType<Library["drawRiser"]>,
  around: Surroundings,
): Promise<Exit> =>
  printMade(
    [path],
    { make, print: ({ svg }) => svg, otherwise: "cannot be drawn" },
    { format: "text", width: around.stderr.columns ?? 80, color: false },
    around,
  );
