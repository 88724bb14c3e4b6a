import { CODE_ROWS, EQUIVALENTS, limitsWith, PRACTICE_TABLE } from "./base-limits.js";
import { UPC_NOTES } from "./edition-notes.js";
import { UPC_CONNECTIONS, UPC_PLACES } from "./outlets.js";
import type { Profile } from "./profile.js";
import { UPC_SPACING } from "./support-spacing.js";

/** Uniform Plumbing Code, section 814 (its twin in the Uniform Mechanical Code is section 310). */
export const upc: Profile = {
  id: "upc",
  title: "Uniform Plumbing Code",
  edition: "2024",
  overridden: [],
  limits: limitsWith({
    "fall.minimumGrade": { value: 0.01, kind: "grade", source: "upc-814.1", confidence: "high" },
    "size.minimum": { value: 20, kind: "size", source: "upc-814.3", confidence: "high" },
    "overflow.secondarySize": { value: 20, kind: "size", source: "upc-814.2", confidence: "high" },
    "outlet.airGapFactor": { value: 2, kind: "ratio", source: "ipc-802", confidence: "medium" },
    "outlet.airGapMinimum": { value: 0.0254, kind: "dimension", source: "upc-801", confidence: "high" },
  }),
  codeTable: { rows: CODE_ROWS, source: "upc-814.3", confidence: "high" },
  aboveTable: "undetermined",
  practiceTable: PRACTICE_TABLE,
  sizeBasis: "pipe-size",
  ventRule: "trip",
  idleDays: null,
  cleanoutSpacing: true,
  supportSpacing: UPC_SPACING,
  nominalEquivalents: EQUIVALENTS,
  overflowMethods: (["level-device", "auxiliary-pan-drained", "secondary-drain", "auxiliary-pan-device"] as const).map(
    (method) => ({ method, edition: "2024 and the earlier wording seen", source: "upc-814.2", confidence: "high" }),
  ),
  inLineDevice: "accepted",
  overflowExemption: "none",
  outletPlaces: UPC_PLACES,
  outletConnections: UPC_CONNECTIONS,
  materialLists: [],
  editionNotes: UPC_NOTES,
  sizeSystem: "nps",
  severities: new Map(),
};
