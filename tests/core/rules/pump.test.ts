import { truthTable } from "./truth-table.js";

truthTable("pump.interlock", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("pump.check-valve", ["pass", "fail", "undetermined-missing", "undetermined-tolerance", "na"]);
truthTable("pump.capacity", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("pump.overflow", ["pass", "fail", "undetermined-missing", "na"]);
