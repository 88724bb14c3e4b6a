import { truthTable } from "./truth-table.js";

truthTable("support.spacing", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("support.sag", [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
]);
truthTable("support.hose", ["pass", "fail", "undetermined-missing", "na"]);
