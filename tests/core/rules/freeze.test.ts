import { truthTable } from "./truth-table.js";

truthTable("freeze.exposed", [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
]);
