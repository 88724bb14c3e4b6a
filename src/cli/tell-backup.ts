import { asJson, type Exit, printMade, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Tells in time what follows if one pipe or node of a network document blocks; `-` reads standard input. */
export const tellBackup = (
  path: string,
  blocked: { readonly pipe: string } | { readonly node: string },
  screen: Screen,
  around: Surroundings,
): Promise<Exit> =>
  printMade(
    [path],
    {
      make: (library, network) => library.backup(network, blocked),
      print: ({ backup }, library) =>
        screen.format === "json" ? asJson(backup) : library.renderBackup(backup, screen),
      otherwise: "cannot be told of",
    },
    screen,
    around,
  );
