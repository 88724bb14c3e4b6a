import { truthTable } from "./truth-table.js";

truthTable("size.code-table", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("size.hydraulic", [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
]);
truthTable("size.practice", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("size.reduction", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("size.pan-outlet", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("size.riser-base", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
