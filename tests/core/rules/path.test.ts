import { truthTable } from "./truth-table.js";

truthTable("path.no-outlet", ["pass", "fail"]);
truthTable("path.cycle", ["pass", "fail", "na"]);
truthTable("path.split", ["pass", "fail", "na"]);
truthTable("path.dead-leg", ["pass", "fail", "na"]);
