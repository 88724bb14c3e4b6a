/** Drainward's library: everything it promises, and nothing else. */
export type { Audit, AuditFinding, Include, RuleTally } from "./audit/answer.js";
export type { Problem, Problems } from "./network/model.js";
