import { acceptors } from "./accept.js";
import { explain } from "./explain.js";
import type { ProblemList } from "./problems.js";
import { DocumentFrame, type RawDocument, SECTIONS, type SectionName } from "./schema.js";

/** A document of which nothing is known but that it is an object. */
export type LooseDocument = { readonly [Key in keyof RawDocument]?: unknown };

/** Which elements of a list the schema refuses; null where it refuses none. */
export type IllFormed = Uint8Array | null;

/** What of a document can be used although the schema refused the whole. */
export interface Flaws {
  readonly illFormed: (section: SectionName) => IllFormed;
  /** fields outside the lists with a problem in them */
  readonly unusable: ReadonlySet<string>;
}

/** A document that the schema accepts as it stands. */
export const NO_FLAWS: Flaws = { illFormed: () => null, unusable: new Set() };

const isObject = (value: unknown): value is LooseDocument =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/**
 * Explains all that the schema has against a refused document, element by element, so that what is held at one time
 * does not grow with the number of faults.
 * @returns null where the document is no object at all
 */
export const findFlaws = (
  document: unknown,
  problems: ProblemList,
): { document: LooseDocument; flaws: Flaws } | null => {
  const before = problems.listed.length;
  explain(DocumentFrame, document, "", problems);
  if (!isObject(document)) return null;
  const unusable = new Set<string>();
  for (const { pointer } of problems.listed.slice(before)) unusable.add(pointer.split("/")[1] ?? "");
  const { element } = acceptors();
  const marks = new Map<SectionName, Uint8Array>();
  for (const section of Object.keys(SECTIONS) as SectionName[]) {
    const elements = document[section];
    if (!Array.isArray(elements) || unusable.has(section)) continue;
    const accept = element(section);
    let marked: Uint8Array | undefined;
    for (let i = 0; i < elements.length; i += 1) {
      const value: unknown = elements[i];
      if (accept(value)) continue;
      marked ??= new Uint8Array(elements.length);
      marked[i] = 1;
      const pointer = `/${section}/${i}`;
      // both schemas say the same; should they ever differ, the refusal stands and is told in few words
      if (!explain(SECTIONS[section], value, pointer, problems))
        problems.add(pointer, "not-allowed", accept.errors?.[0]?.message ?? "not allowed here");
    }
    if (marked !== undefined) marks.set(section, marked);
  }
  if (problems.total === 0) problems.add("", "not-allowed", "the document does not fit its schema");
  return { document, flaws: { illFormed: (section) => marks.get(section) ?? null, unusable } };
};
