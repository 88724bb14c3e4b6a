import { asJson, type Exit, printMade, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Locates a blockage in a network document from a file of observations. */
export const locate = (
  network: string,
  { observations, at }: { readonly observations: string; readonly at: string | undefined },
  screen: Screen,
  around: Surroundings,
): Promise<Exit> =>
  printMade(
    [network, observations],
    {
      make: (library, document, seen) => library.locateBlockage(document, seen, at),
      print: ({ blockage }, library) =>
        screen.format === "json" ? asJson(blockage) : library.renderBlockage(blockage, screen),
      otherwise: "cannot be read together",
    },
    screen,
    around,
  );
