import { truthTable } from "./truth-table.js";

truthTable("sweat.uninsulated", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("sweat.thin", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
