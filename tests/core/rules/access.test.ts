import { truthTable } from "./truth-table.js";

truthTable("access.cleanout", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("access.uncapped", ["pass", "fail", "na"]);
truthTable("access.through-private", ["pass", "fail", "undetermined-missing", "na"]);
