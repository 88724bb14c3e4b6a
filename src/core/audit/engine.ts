import { createHash } from "node:crypto";
import { catalogue } from "../rules/catalogue.js";

/** Version of this library; a test holds it against package.json. */
export const VERSION = "0.1.0";

let version: string | null = null;

/** Names the set of rules: changes whenever a rule is added, dropped, or judges by another severity, kind or stage. */
export const catalogueVersion = (): string => {
  version ??= createHash("sha256")
    .update(catalogue.map((r) => `${r.id} ${r.severity} ${r.kind} ${r.stage}`).join("\n"))
    .digest("hex")
    .slice(0, 12);
  return version;
};
