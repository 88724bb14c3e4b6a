import { truthTable, type Word } from "./truth-table.js";

const water: readonly Word[] = [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
];

truthTable("seal.missing", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("seal.missing-pressure", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("seal.shared", ["pass", "fail", "na"]);
truthTable("seal.double", water);
truthTable("seal.unintended", water);
