import { asJson, type Exit, printMade, type Screen } from "./inputs.js";
import type { Surroundings } from "./surroundings.js";

/** Prints the commissioning sheet of one network document; `-` reads standard input. */
export const commission = (path: string, screen: Screen, around: Surroundings): Promise<Exit> =>
  printMade(
    [path],
    {
      make: (library, network) => library.commissioning(network),
      print: ({ sheet }, library) => {
        const forms = {
          json: () => asJson(sheet),
          html: () => library.renderCommissioningPage(sheet, { date: around.today() }),
          text: () => library.renderCommissioning(sheet, screen),
        };
        return forms[screen.format]();
      },
      otherwise: "is not a network document",
    },
    screen,
    around,
  );
