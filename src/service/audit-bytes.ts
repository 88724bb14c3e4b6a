import { audit, LIMITS, readJson } from "../core/index.js";
import type { AuditReply, Refusal } from "./refusal.js";

const encoder = new TextEncoder();

const refuse = (refusal: Refusal): AuditReply => ({ ok: false, refusal });

const lengthOf = (document: unknown, field: "nodes" | "pipes"): number => {
  if (typeof document !== "object" || document === null) return 0;
  const list: unknown = Object.getOwnPropertyDescriptor(document, field)?.value;
  return Array.isArray(list) ? list.length : 0;
};

/**
 * One document in, one answer out, both as bytes: the whole way of `POST /v1/audits` and of each line of a stream, so
 * that both give the same bytes. Faults are looked for in the order size, encoding, depth, syntax, schema, references.
 */
export const auditBytes = (body: Uint8Array, include: readonly string[]): AuditReply => {
  if (body.byteLength > LIMITS.maxBytes) {
    return refuse({
      code: "too-large",
      detail: `A document has at most ${LIMITS.maxBytes} bytes.`,
      errors: [],
      total: 0,
    });
  }
  const read = readJson(body);
  if (!read.ok) {
    const { code, pointer, detail, hint } = read.problem;
    return refuse({ code, detail, errors: [{ pointer, detail, hint }], total: 1 });
  }
  const elements = lengthOf(read.value, "nodes") + lengthOf(read.value, "pipes");
  if (elements > LIMITS.maxElements) {
    const detail = `The document has ${elements} nodes and pipes; at most ${LIMITS.maxElements} are taken.`;
    return refuse({ code: "too-many-elements", detail, errors: [], total: 0 });
  }
  const result = audit(read.value, { include });
  if (!result.ok) {
    return refuse({
      code: "invalid-document",
      detail:
        result.total > result.problems.length
          ? `The document has ${result.total} problems; the first ${result.problems.length} are listed.`
          : `The document has ${result.total === 1 ? "a problem" : `${result.total} problems`}.`,
      errors: result.problems.map(({ pointer, detail, hint }) => ({ pointer, detail, hint })),
      total: result.total,
    });
  }
  return { ok: true, body: encoder.encode(JSON.stringify(result.audit)) };
};
