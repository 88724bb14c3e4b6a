import { truthTable, type Word } from "./truth-table.js";

const levels: readonly Word[] = ["pass", "fail", "undetermined-tolerance", "na"];
const levelsAndBores: readonly Word[] = [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
];

truthTable("fall.reverse", levels);
truthTable("fall.below-minimum", levels);
truthTable("fall.below-recommended", levels);
truthTable("fall.pan-to-trap", levels);
truthTable("fall.budget", ["pass", "fail", "undetermined-missing", "undetermined-tolerance", "na"]);
truthTable("fall.standing-water", levelsAndBores);
truthTable("fall.shallow-pool", levelsAndBores);
truthTable("fall.entry", levelsAndBores);
