import { truthTable } from "./truth-table.js";

truthTable("backup.uncontained", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("backup.main-watch", ["pass", "fail", "undetermined-missing", "na"]);
