import type { SourceId } from "../sources/sources.js";
import type { Confidence } from "./profile.js";

/** What a code has said at other times or in other places, and what this profile makes of it. */
export interface EditionNote {
  readonly topic: string;
  readonly text: string;
  readonly source: SourceId;
  readonly confidence: Confidence;
}

const SLOPE: Omit<EditionNote, "text" | "source"> = { topic: "least slope", confidence: "high" };

export const IMC_NOTES: readonly EditionNote[] = [
  {
    ...SLOPE,
    text: "The same sentence writes one eighth unit in 12 (1.0417 %) and 1 percent. This profile passes from 1.000 %, and up to 1.0417 % with the words: at the limit, confirm.",
    source: "imc-307.2.1",
  },
  {
    topic: "least slope",
    text: "Some older texts of the disposal clause have no sentence on slope; it stood with fuel-burning appliances and with secondary drains.",
    source: "irc-m1411.3",
    confidence: "medium",
  },
  {
    topic: "least size",
    text: "Texts until about 2019 ask for 3/4 in internal diameter, the 2021 cycle for 3/4 in pipe size: by the former, Schedule 80, type K and copper-tube-size plastics of 3/4 in fall short. Set size.minimumBasis to inside-diameter for them.",
    source: "imc-307.2.2",
    confidence: "high",
  },
  {
    topic: "size table",
    text: "In 2003 shared drains were sized by an approved method, without a table; the table was there by 2009 (the year from memory). Above 250 tons no edition gives a size.",
    source: "imc-2003",
    confidence: "medium",
  },
  {
    topic: "direct connection",
    text: "The 2012 text says nothing about direct connection to plumbing; the 2021 cycle bars it and lists where a drain may end. For the former set outlet.connections to { direct: ask }.",
    source: "imc-307.2.1.1",
    confidence: "medium",
  },
  {
    topic: "fixture tailpiece",
    text: "A dwelling unit's lavatory tailpiece or bathtub overflow is an exception of the 2021 text.",
    source: "imc-307.2.1.1",
    confidence: "memory",
  },
  {
    topic: "materials",
    text: "2003: no polypropylene. 2015 and 2018: polypropylene and copper alloy too. 2021: PE-RT and PVDF besides. Name an edition or a list of materials in install.materials. Some adoptions differ: polybutylene in an older one, no ABS in another.",
    source: "imc-307.2.2-2021",
    confidence: "high",
  },
  {
    topic: "overflow protection",
    text: "Early editions list three methods; a level device alone came later.",
    source: "imc-307.2.3",
    confidence: "high",
  },
  {
    topic: "maintenance",
    text: "That lines can be cleared without cutting them is asked for since 2015.",
    source: "imc-307.2.5",
    confidence: "high",
  },
  {
    topic: "mini-split traps",
    text: "A check valve in the drain or a trap; first edition 2015.",
    source: "imc-307.2.4.1",
    confidence: "memory",
  },
  {
    topic: "condensate pumps",
    text: "A pump in an attic or crawl space stops its appliance when it fails (residential twin: 2018). One adoption asked besides for a protected pan below the pump.",
    source: "imc-307.3",
    confidence: "medium",
  },
  {
    topic: "place of discharge",
    text: "Some cities send clear water to the storm drain where they can, or let small units use gutters and roof drains: those places are for the authority to allow.",
    source: "imc-307.2.1",
    confidence: "high",
  },
  {
    topic: "edition 2024",
    text: "No text of 2024 was seen: it is treated as that of 2021 until somebody checks.",
    source: "assumption",
    confidence: "assumption",
  },
];

export const UPC_NOTES: readonly EditionNote[] = [
  {
    ...SLOPE,
    text: "The text offers 1/8 in per ft (10.4 mm/m) or 1 percent. This profile passes from 1.000 %, and up to 1.0417 % with the words: at the limit, confirm.",
    source: "upc-814.1",
  },
  {
    topic: "air gap",
    text: "The code's own text asks for 1 in whatever the size of the pipe; twice the opening is taken from the International Plumbing Code. Set outlet.airGapFactor to 0 for the text alone.",
    source: "upc-801",
    confidence: "high",
  },
  {
    topic: "size table",
    text: "The printed steps (21 to 40 tons) leave gaps between whole tons: they are read as over 20 and up to 40.",
    source: "upc-814.3",
    confidence: "medium",
  },
  {
    topic: "size table",
    text: "Basis: pipe three-quarters full at 1/8 in per ft, air of one fifth outside and four fifths inside. No public copy was seen.",
    source: "upc-814.3",
    confidence: "memory",
  },
  {
    topic: "overflow protection",
    text: "An earlier adopted wording exempts damage to replaceable lay-in tiles; that of 2024 does not.",
    source: "upc-814.2-earlier",
    confidence: "medium",
  },
  {
    topic: "point of discharge",
    text: "The list of the mechanical twin has mop sinks since 2024.",
    source: "upc-814.5",
    confidence: "high",
  },
  {
    topic: "fixture tailpiece",
    text: "Direct connection to a lavatory tailpiece or an approved bathtub overflow only where one party has charge of the fixture's room and of the cooled rooms alike; the older 807.2 says the same.",
    source: "upc-814.6",
    confidence: "high",
  },
  {
    topic: "materials",
    text: "Corrosion-resistant, without a list. A county's handout accepts ABS and PVC DWV, Schedule 40 PVC, cast iron and hard copper.",
    source: "upc-814.1",
    confidence: "high",
  },
  {
    topic: "plastic fittings",
    text: "An internal thread of plastic takes an external thread of plastic and nothing else.",
    source: "upc-814.1",
    confidence: "low",
  },
];

export const METRIC_NOTES: readonly EditionNote[] = [
  {
    topic: "least slope",
    text: "1 cm per m is what installers' guidance asks for; no code was read. What British standards ask of boilers' condensate does not apply to cooling coils.",
    source: "metric-practice",
    confidence: "common-practice",
  },
  {
    topic: "tundish",
    text: "Australia and New Zealand: a visible tundish with an air gap of twice the discharge pipe's bore.",
    source: "as-nzs-3500.2",
    confidence: "medium",
  },
  {
    topic: "least size",
    text: "A government specification of 2009 asks for 20 mm.",
    source: "nt-specification",
    confidence: "high",
  },
  {
    topic: "direct connection",
    text: "Guidance differs: a trap where drainage is joined, by a licensed plumber. The authority decides.",
    source: "metric-practice",
    confidence: "common-practice",
  },
];
