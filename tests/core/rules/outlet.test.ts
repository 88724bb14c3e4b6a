import { truthTable } from "./truth-table.js";

truthTable("outlet.direct", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("outlet.air-gap", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
// A document without an outlet is refused, so this one always has a subject.
truthTable("outlet.place", ["pass", "fail", "undetermined-missing", "undetermined-method"]);
truthTable("outlet.submerged", ["pass", "fail", "undetermined-tolerance", "na"]);
truthTable("outlet.trapped-receptor", [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
]);
truthTable("outlet.receptor", ["pass", "fail", "undetermined-missing", "na"]);
