import { truthTable } from "./truth-table.js";

truthTable("overflow.unprotected", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.parallel", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.stops-water", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.conductor", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.trip-above-spill", [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
]);
truthTable("overflow.alarm-only", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.auxiliary-pan", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.secondary-independent", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.secondary-visible", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.secondary-size", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.not-working", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.short-cycle", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.after-run", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
