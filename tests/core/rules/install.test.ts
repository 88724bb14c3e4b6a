import { truthTable } from "./truth-table.js";

truthTable("install.port", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("install.joint", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("install.material", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("install.foreign", ["pass", "fail", "undetermined-missing", "na"]);
