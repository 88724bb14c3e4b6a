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

truthTable("seal.depth", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("seal.drop", ["pass", "fail", "undetermined-missing", "undetermined-tolerance", "na"]);
truthTable("seal.depth-margin", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("seal.drop-margin", ["pass", "fail", "undetermined-missing", "undetermined-tolerance", "na"]);
truthTable("seal.step", water);
truthTable("seal.device", water);
truthTable("seal.priming", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("seal.dry-out", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
