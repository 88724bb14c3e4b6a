import { CODE_ROWS, EQUIVALENTS, limitsWith, PRACTICE_TABLE } from "./base-limits.js";
import { IMC_NOTES } from "./edition-notes.js";
import { IMC_MATERIALS } from "./material-lists.js";
import { IMC_CONNECTIONS, IMC_PLACES } from "./outlets.js";
import type { Profile } from "./profile.js";
import { IMC_SPACING } from "./support-spacing.js";

/** International Mechanical Code, section 307, in its 2021 wording ("pipe size"). */
export const imc: Profile = {
  id: "imc",
  title: "International Mechanical Code",
  edition: "2021",
  overridden: [],
  limits: limitsWith({}),
  codeTable: { rows: CODE_ROWS, source: "imc-table-307.2.2", confidence: "high" },
  aboveTable: "undetermined",
  practiceTable: PRACTICE_TABLE,
  sizeBasis: "pipe-size",
  ventRule: "trip",
  idleDays: null,
  cleanoutSpacing: false,
  supportSpacing: IMC_SPACING,
  nominalEquivalents: EQUIVALENTS,
  overflowMethods: [
    { method: "auxiliary-pan-drained", edition: "all editions seen", source: "imc-307.2.3", confidence: "high" },
    { method: "secondary-drain", edition: "all editions seen", source: "imc-307.2.3", confidence: "high" },
    { method: "auxiliary-pan-device", edition: "all editions seen", source: "imc-307.2.3", confidence: "high" },
    {
      method: "level-device",
      edition: "later editions; early ones list the other three alone",
      source: "imc-307.2.3",
      confidence: "high",
    },
  ],
  inLineDevice: "beside-second-line",
  overflowExemption: "none",
  outletPlaces: IMC_PLACES,
  outletConnections: IMC_CONNECTIONS,
  materialLists: IMC_MATERIALS,
  editionNotes: IMC_NOTES,
  sizeSystem: "nps",
  severities: new Map(),
};
