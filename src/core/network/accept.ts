import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import { conforms } from "./explain.js";
import { type JsonSchema, NetworkDocument, networkSchema, type SectionName } from "./schema.js";

interface Acceptors {
  readonly whole: ValidateFunction;
  readonly element: (section: SectionName) => ValidateFunction;
}

let made: Acceptors | undefined;

/** The schema without the lengths of ids, which their pattern counts as well: each would be measured twice. */
const withoutDoubleBounds = (schema: unknown): unknown => {
  if (Array.isArray(schema)) return schema.map(withoutDoubleBounds);
  if (typeof schema !== "object" || schema === null) return schema;
  const counted = "pattern" in schema && "minLength" in schema;
  return Object.fromEntries(
    Object.entries(schema)
      .filter(([key]) => !counted || (key !== "minLength" && key !== "maxLength"))
      .map(([key, value]) => [key, key === "examples" ? value : withoutDoubleBounds(value)]),
  );
};

/**
 * Validators compiled from the document's JSON Schema, for the whole document and for one element of each list. They
 * only accept or refuse, several times faster than the schema they come from; that one then explains a refusal. Compiled
 * at first use.
 */
export const acceptors = (): Acceptors => {
  if (made !== undefined) return made;
  const ajv = new Ajv2020({ discriminator: true, strict: true, strictRequired: false, allowUnionTypes: true });
  const schema = withoutDoubleBounds(networkSchema()) as JsonSchema;
  const whole = ajv.compile(schema);
  const elements = new Map<SectionName, ValidateFunction>();
  const properties = schema.properties as Readonly<Record<SectionName, { readonly items: object }>>;
  made = {
    whole,
    element: (section) => {
      let accept = elements.get(section);
      if (accept === undefined) {
        accept = ajv.compile(properties[section].items);
        elements.set(section, accept);
      }
      return accept;
    },
  };
  return made;
};

/** Compiling costs as much as reading this many elements by the schema itself, which says the same. */
const WORTH_COMPILING = 5_000;
let readSoFar = 0;

const lengthOf = (document: unknown, section: SectionName): number => {
  if (typeof document !== "object" || document === null) return 0;
  const list = (document as { readonly [key: string]: unknown })[section];
  return Array.isArray(list) ? list.length : 0;
};

const LONG = ["nodes", "pipes", "overflowDevices", "circuits"] as const;

/** Whether compiled validators pay: after some thousands of elements in this process. Either way the answer is the same. */
export const compiledPays = (document: unknown): boolean => {
  if (made !== undefined) return true;
  readSoFar += 10;
  for (const section of LONG) readSoFar += lengthOf(document, section);
  return readSoFar > WORTH_COMPILING;
};

/** Whether the schema accepts a document. */
export const accepts = (document: unknown, compiled: boolean): boolean =>
  compiled ? acceptors().whole(document) : conforms(NetworkDocument, document);
