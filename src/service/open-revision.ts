import type { Problem } from "../core/index.js";
import { openEnvelope } from "./envelope.js";

/** What the differences to the revision before are: work done in the building, or a closer look at it. */
type Changed = "building" | "survey";
const CHANGED: readonly unknown[] = ["building", "survey"];

export type OpenedRevision =
  | {
      readonly ok: true;
      readonly network: unknown;
      readonly enveloped: boolean;
      readonly by: string | null;
      readonly note: string | null;
      readonly changed: Changed | null;
    }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

const LINE = /^[^\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]+$/u;
const MOST = { by: 200, note: 2000 } as const;

/** A body that is a network document, or one with what is said of it: `{ network, by?, note?, changed? }`. */
export const openRevision = (body: unknown): OpenedRevision => {
  if (typeof body !== "object" || body === null || !Object.hasOwn(body, "network"))
    return { ok: true, network: body, enveloped: false, by: null, note: null, changed: null };
  const opened = openEnvelope(body, ["network"], ["by", "note", "changed"]);
  if (!opened.ok) return opened;
  const { network, by, note, changed } = opened.fields;
  const problems = [...checkWords("by", by), ...checkWords("note", note)];
  if (changed !== undefined && !CHANGED.includes(changed))
    problems.push({
      pointer: "/changed",
      code: "wrong-type",
      detail: "building or survey is wanted",
      hint: "leave it out, and it is told by the fields that differ",
    });
  if (problems.length > 0) return { ok: false, problems, total: problems.length };
  return {
    ok: true,
    network,
    enveloped: true,
    by: (by as string) ?? null,
    note: (note as string) ?? null,
    changed: (changed as Changed) ?? null,
  };
};

function checkWords(field: keyof typeof MOST, value: unknown): Problem[] {
  if (value === undefined) return [];
  if (typeof value === "string" && value.length <= MOST[field] && LINE.test(value)) return [];
  return [
    {
      pointer: `/${field}`,
      code: "wrong-type",
      detail: `a line of text of 1 to ${MOST[field]} characters is wanted`,
      hint: "leave it out where there is nothing to say",
    },
  ];
}
