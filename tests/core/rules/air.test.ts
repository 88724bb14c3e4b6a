import { truthTable, type Word } from "./truth-table.js";

const water: readonly Word[] = [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
];

truthTable("air.trapped", water);
truthTable("air.lock-head", water);
truthTable("air.branch-vent", water);
truthTable("air.main-vent", water);
truthTable("air.vent-before-trap", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("air.vent-capped", ["pass", "fail", "na"]);
truthTable("air.vent-one-way", water);
truthTable("air.vent-drains-back", ["pass", "fail", "undetermined-tolerance", "na"]);
truthTable("air.vent-below-rim", ["pass", "fail", "undetermined-missing", "undetermined-tolerance", "na"]);
truthTable("air.bypass", water);
truthTable("air.secondary-open", water);
truthTable("air.closed-by-flow", water);
