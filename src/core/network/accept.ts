import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import { networkSchema, type SectionName } from "./schema.js";

interface Acceptors {
  readonly whole: ValidateFunction;
  readonly element: (section: SectionName) => ValidateFunction;
}

let made: Acceptors | undefined;

/**
 * Validators compiled from the document's JSON Schema, for the whole document and for one element of each list. They
 * only accept or refuse, several times faster than the schema they come from; that one then explains a refusal. Compiled
 * at first use.
 */
export const acceptors = (): Acceptors => {
  if (made !== undefined) return made;
  const ajv = new Ajv2020({ discriminator: true, strict: true, strictRequired: false, allowUnionTypes: true });
  const schema = networkSchema();
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
