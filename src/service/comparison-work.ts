// Two networks compared, in a thread: each a document, or one that is kept and comes beside the body.
import { audit, compare, type Problem } from "../core/index.js";
import { openEnvelope, under } from "./envelope.js";
import type { Done, WorkOptions } from "./works.js";

export const SIDES = ["before", "after"] as const;
type Side = (typeof SIDES)[number];

/** A kept network. */
export interface Reference {
  readonly building: string;
  readonly revision: number | "latest";
}

export type References = Readonly<Partial<Record<Side, Reference>>>;

/** What the answer begins with where kept networks are still to be brought, and which; a comparison never does. */
export const WANTING = '{"wanted":';

/** beside: the kept networks by side; none: they are asked for */
export const compareBodies = (body: unknown, { beside }: WorkOptions): Done => {
  const opened = openEnvelope(body, SIDES);
  if (!opened.ok) return opened;
  const brought = JSON.parse(beside ?? "{}") as Readonly<Partial<Record<Side, unknown>>>;
  const wanted: Partial<Record<Side, Reference>> = {};
  const problems: Problem[] = [];
  for (const side of SIDES) {
    if (!isReference(opened.fields[side])) continue;
    const read = readReference(opened.fields[side]);
    if (read.ok) wanted[side] = read.reference;
    else problems.push(...under(side, read.problems));
  }
  if (problems.length > 0) return { ok: false, problems, total: problems.length };
  if (beside === undefined && Object.keys(wanted).length > 0)
    return { ok: true, text: `${WANTING}${JSON.stringify(wanted)}}` };
  const [before, after] = SIDES.map((side) => audit(wanted[side] === undefined ? opened.fields[side] : brought[side]));
  if (before!.ok && after!.ok) return { ok: true, value: compare(before.audit, after.audit) };
  const found = [before!, after!].flatMap((result, i) => (result.ok ? [] : under(SIDES[i]!, result.problems)));
  const total = [before!, after!].reduce((sum, result) => sum + (result.ok ? 0 : result.total), 0);
  return { ok: false, problems: found.slice(0, 100), total };
};

/** A network document has neither of these fields. */
const isReference = (value: unknown): value is object =>
  typeof value === "object" && value !== null && ["building", "revision"].some((field) => Object.hasOwn(value, field));

const HINT = 'write { "building": "…", "revision": 3 }, or a network document';

type Read =
  | { readonly ok: true; readonly reference: Reference }
  | { readonly ok: false; readonly problems: readonly Problem[] };

function readReference(value: unknown): Read {
  const opened = openEnvelope(value, ["building", "revision"]);
  if (!opened.ok) return opened;
  const { building, revision } = opened.fields;
  const problems: Problem[] = [];
  if (typeof building !== "string")
    problems.push({ pointer: "/building", code: "wrong-type", detail: "an id is wanted", hint: HINT });
  const isNumber = typeof revision === "number" && Number.isInteger(revision) && revision >= 1 && revision < 2 ** 31;
  if (!isNumber && revision !== "latest")
    problems.push({
      pointer: "/revision",
      code: "wrong-type",
      detail: 'the number of a revision is wanted, or "latest"',
      hint: HINT,
    });
  return problems.length > 0
    ? { ok: false, problems }
    : { ok: true, reference: { building, revision } as unknown as Reference };
}
