import { LIMITS, readJson } from "../core/index.js";
import type { Refusal, Reply } from "./refusal.js";
import { WORKS, type WorkName, type WorkOptions } from "./works.js";

const encoder = new TextEncoder();

const refuse = (refusal: Refusal): Reply => ({ ok: false, refusal });

const fieldOf = (value: unknown, field: string): unknown =>
  typeof value === "object" && value !== null ? Object.getOwnPropertyDescriptor(value, field)?.value : undefined;

const lengthOf = (document: unknown, field: "nodes" | "pipes"): number => {
  const list = fieldOf(document, field);
  return Array.isArray(list) ? list.length : 0;
};

/**
 * One body in, one answer out, both as bytes: the whole way of a call about one document and of each line of a stream,
 * so that both give the same bytes. Faults are looked for in the order size, encoding, depth, syntax, schema, references.
 */
export const workBytes = (name: WorkName, body: Uint8Array, options: WorkOptions): Reply => {
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
  const work = WORKS[name];
  const documents = work.documents.map((field) => (field === "" ? read.value : fieldOf(read.value, field)));
  const elements = documents.reduce<number>((n, each) => n + lengthOf(each, "nodes") + lengthOf(each, "pipes"), 0);
  if (elements > LIMITS.maxElements) {
    const detail = `The document has ${elements} nodes and pipes; at most ${LIMITS.maxElements} are taken.`;
    return refuse({ code: "too-many-elements", detail, errors: [], total: 0 });
  }
  const done = work.run(read.value, options);
  if (!done.ok) {
    return refuse({
      code: "invalid-document",
      detail:
        done.total > done.problems.length
          ? `The document has ${done.total} problems; the first ${done.problems.length} are listed.`
          : `The document has ${done.total === 1 ? "a problem" : `${done.total} problems`}.`,
      errors: done.problems.map(({ pointer, detail, hint }) => ({ pointer, detail, hint })),
      total: done.total,
    });
  }
  return { ok: true, body: encoder.encode("text" in done ? done.text : JSON.stringify(done.value)) };
};
