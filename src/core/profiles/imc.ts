import { CODE_ROWS, limitsWith, PRACTICE_TABLE } from "./base-limits.js";
import type { Profile } from "./profile.js";

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
  cleanoutSpacing: false,
  sizeSystem: "nps",
  severities: new Map(),
};
