import { acceptors } from "./accept.js";
import { conforms, explain } from "./explain.js";
import type { ProblemList } from "./problems.js";
import { DocumentFrame, NetworkDocument, type RawDocument, SECTIONS, type SectionName } from "./schema.js";

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
 * @param compiled whether to pass over what compiled validators accept
 * @returns null where the document is no object at all
 */
export const findFlaws = (
  document: unknown,
  problems: ProblemList,
  compiled: boolean,
): { document: LooseDocument; flaws: Flaws } | null => {
  const unusable = new Set<string>();
  explain(DocumentFrame, document, "", problems, unusable);
  if (!isObject(document)) return null;
  const marks = new Map<SectionName, Uint8Array>();
  for (const section of Object.keys(SECTIONS) as SectionName[]) {
    const elements = document[section];
    if (!Array.isArray(elements) || unusable.has(section)) continue;
    const accept = compiled ? acceptors().element(section) : null;
    let marked: Uint8Array | undefined;
    for (let i = 0; i < elements.length; i += 1) {
      const value: unknown = elements[i];
      if (accept?.(value)) continue;
      const pointer = `/${section}/${i}`;
      // where the two differ, as on the name __proto__ in a record, the schema that explains is the one that counts
      if (!explain(SECTIONS[section], value, pointer, problems)) continue;
      marked ??= new Uint8Array(elements.length);
      marked[i] = 1;
    }
    if (marked !== undefined) marks.set(section, marked);
  }
  if (problems.total === 0 && !conforms(NetworkDocument, document))
    problems.add("", "not-allowed", "the document does not fit its schema");
  return { document, flaws: { illFormed: (section) => marks.get(section) ?? null, unusable } };
};
