import { EQUIVALENTS, limitsWith } from "./base-limits.js";
import { METRIC_NOTES } from "./edition-notes.js";
import { METRIC_CONNECTIONS, METRIC_PLACES } from "./outlets.js";
import type { Profile } from "./profile.js";
import { METRIC_SPACING } from "./support-spacing.js";

/** Practice with DN sizes: no code table; hydraulics decide. */
export const metric: Profile = {
  id: "metric",
  title: "Metric practice",
  edition: "2026",
  overridden: [],
  limits: limitsWith({
    "fall.minimumGrade": { value: 0.01, kind: "grade", source: "metric-practice", confidence: "common-practice" },
    "fall.recommendedGrade": { value: 0.02, kind: "grade", source: "metric-practice", confidence: "common-practice" },
    "capacity.maximumFill": { value: 0.5, kind: "ratio", source: "bs-en-12056-2", confidence: "memory" },
    "size.minimum": { value: 20, kind: "size", source: "nt-specification", confidence: "high" },
    "outlet.airGapFactor": { value: 2, kind: "ratio", source: "as-nzs-3500.2", confidence: "medium" },
    "outlet.airGapMinimum": {
      value: 0.0254,
      kind: "dimension",
      source: "common-practice",
      confidence: "common-practice",
    },
    "overflow.auxiliaryPanDepth": {
      value: 0.038,
      kind: "dimension",
      source: "common-practice",
      confidence: "common-practice",
    },
    "overflow.auxiliaryPanOverhang": {
      value: 0.076,
      kind: "dimension",
      source: "common-practice",
      confidence: "common-practice",
    },
    "overflow.secondarySize": { value: 20, kind: "size", source: "common-practice", confidence: "common-practice" },
    "access.maximumLength": { value: 30.48, kind: "length", source: "common-practice", confidence: "common-practice" },
    "access.maximumTurn": { value: 135, kind: "angle", source: "common-practice", confidence: "common-practice" },
  }),
  codeTable: null,
  aboveTable: "hydraulic",
  practiceTable: null,
  sizeBasis: "pipe-size",
  ventRule: "trip",
  idleDays: null,
  cleanoutSpacing: false,
  supportSpacing: METRIC_SPACING,
  nominalEquivalents: EQUIVALENTS,
  overflowMethods: (["level-device", "secondary-drain", "auxiliary-pan-drained", "auxiliary-pan-device"] as const).map(
    (method) => ({ method, edition: "no code", source: "common-practice", confidence: "common-practice" }),
  ),
  inLineDevice: "accepted",
  overflowExemption: "none",
  outletPlaces: METRIC_PLACES,
  outletConnections: METRIC_CONNECTIONS,
  materialLists: [],
  editionNotes: METRIC_NOTES,
  sizeSystem: "dn",
  severities: new Map(),
};
