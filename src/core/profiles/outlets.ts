import type { SourceId } from "../sources/sources.js";
import type { Confidence } from "./profile.js";

/** What a drain may end at. */
export const DISCHARGES = [
  "floor-sink",
  "floor-drain",
  "standpipe",
  "hub-drain",
  "trench-drain",
  "mop-sink",
  "laundry-tray",
  "tundish",
  "gully",
  "storm-drain",
  "sanitary-drain",
  "drywell",
  "exterior-grade",
  "roof-surface",
  "public-way",
  "fixture-tailpiece",
  "conspicuous-point",
  "recovery-tank",
] as const;
export type Discharge = (typeof DISCHARGES)[number];

/** How it ends there. */
export const CONNECTIONS = ["air-gap", "air-break", "direct"] as const;
export type Connection = (typeof CONNECTIONS)[number];

/** `ask`: the profile's texts do not decide it, the authority does. */
export const RULINGS = ["allowed", "ask", "forbidden"] as const;
export type RulingWord = (typeof RULINGS)[number];

export interface Ruling {
  readonly ruling: RulingWord;
  /** editions that say so */
  readonly edition: string;
  readonly source: SourceId;
  readonly confidence: Confidence;
}

export type OutletPlaces = Readonly<Record<Discharge, Ruling>>;

/** Each way to end, and the places for which the ruling differs. */
export type OutletConnections = Readonly<
  Record<Connection, Ruling & { readonly except: Readonly<Partial<Record<Discharge, Ruling>>> }>
>;

/** A ruling of the firm's own. */
export const firmRuling = (ruling: RulingWord): Ruling => ({
  ruling,
  edition: "as the firm says",
  source: "firm",
  confidence: "firm",
});

const places = (named: readonly (readonly [Ruling, readonly Discharge[]])[], others: Ruling): OutletPlaces =>
  Object.fromEntries(
    DISCHARGES.map((discharge) => [
      discharge,
      named.find(([, discharges]) => discharges.includes(discharge))?.[0] ?? others,
    ]),
  ) as Record<Discharge, Ruling>;

const ruled =
  (edition: string) =>
  (ruling: RulingWord, source: SourceId, confidence: Confidence): Ruling => ({ ruling, edition, source, confidence });

const imc2021 = ruled("2021");
const imcAny = ruled("all editions seen");
export const IMC_PLACES = places(
  [
    [
      imc2021("allowed", "imc-307.2.1.1", "medium"),
      ["floor-sink", "floor-drain", "standpipe", "hub-drain", "trench-drain", "mop-sink", "laundry-tray"],
    ],
    // a second line ends where somebody sees it
    [imcAny("allowed", "imc-307.2.3", "high"), ["conspicuous-point"]],
    [imcAny("forbidden", "imc-307.2.1", "high"), ["public-way"]],
    // a dwelling unit's lavatory tailpiece or bathtub overflow is an exception of its text
    [imc2021("ask", "imc-307.2.1.1", "memory"), ["fixture-tailpiece"]],
  ],
  imcAny("ask", "imc-307.2.1", "high"),
);
export const IMC_CONNECTIONS: OutletConnections = {
  "air-gap": { ...imcAny("allowed", "ipc-802", "high"), except: {} },
  "air-break": { ...imcAny("allowed", "ipc-802", "memory"), except: {} },
  direct: {
    ...imc2021("forbidden", "imc-307.2.1.1", "medium"),
    except: {
      "fixture-tailpiece": imc2021("ask", "imc-307.2.1.1", "memory"),
      // no drain, waste or vent of the plumbing: the text does not speak of them
      drywell: imc2021("ask", "imc-307.2.1.1", "medium"),
      "recovery-tank": imc2021("ask", "imc-307.2.1.1", "medium"),
    },
  },
};

const upcAny = ruled("2024 and the earlier wording seen");
export const UPC_PLACES = places(
  [
    [
      upcAny("allowed", "upc-814.5", "high"),
      ["floor-sink", "floor-drain", "standpipe", "hub-drain", "trench-drain", "drywell", "fixture-tailpiece"],
    ],
    [ruled("2024")("allowed", "upc-814.5", "high"), ["mop-sink"]],
    [upcAny("allowed", "upc-814.2", "high"), ["conspicuous-point"]],
    [upcAny("forbidden", "upc-814.1", "high"), ["public-way"]],
  ],
  upcAny("ask", "upc-814.1", "high"),
);
export const UPC_CONNECTIONS: OutletConnections = {
  "air-gap": { ...upcAny("allowed", "upc-814.5", "high"), except: {} },
  "air-break": { ...upcAny("allowed", "upc-814.5", "high"), except: {} },
  direct: {
    ...upcAny("forbidden", "upc-814.1", "high"),
    // only where one party has charge of the fixture's room and of the cooled rooms alike
    except: { "fixture-tailpiece": upcAny("ask", "upc-814.6", "high") },
  },
};

const noCode = ruled("no code");
export const METRIC_PLACES = places(
  [
    [noCode("allowed", "as-nzs-3500.2", "medium"), ["tundish"]],
    [
      noCode("allowed", "common-practice", "common-practice"),
      ["floor-sink", "floor-drain", "trench-drain", "gully", "conspicuous-point"],
    ],
    [noCode("forbidden", "common-practice", "common-practice"), ["public-way"]],
  ],
  noCode("ask", "common-practice", "common-practice"),
);
export const METRIC_CONNECTIONS: OutletConnections = {
  "air-gap": { ...noCode("allowed", "as-nzs-3500.2", "medium"), except: {} },
  "air-break": { ...noCode("ask", "common-practice", "common-practice"), except: {} },
  // a trap where drainage is joined, and a licensed plumber to join it
  direct: { ...noCode("ask", "metric-practice", "common-practice"), except: {} },
};

/** Discharge null: not known, so no exception holds. */
export const connectionRuling = (
  table: OutletConnections,
  connection: Connection,
  discharge: Discharge | null,
): Ruling => (discharge === null ? undefined : table[connection].except[discharge]) ?? table[connection];
