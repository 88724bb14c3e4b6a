import { networkSchema } from "./schema.js";

type Schema = { readonly [key: string]: unknown };

const asSchema = (value: unknown): Schema => (typeof value === "object" && value !== null ? (value as Schema) : {});
const propertyOf = (schema: Schema, name: string): Schema | null => {
  const properties = asSchema(schema.properties);
  return Object.hasOwn(properties, name) ? asSchema(properties[name]) : null;
};
const formsOf = (schema: Schema): Schema[] => {
  const forms = schema.oneOf ?? schema.anyOf;
  return Array.isArray(forms) ? [schema, ...forms.map(asSchema)] : [schema];
};

/**
 * What a field of the document means, in the words of its schema; null where there is no such field.
 * @param path names from the document down, an index of a list counting as one of them
 * @param kind of the node, where the path leads to one
 */
export function fieldWords(path: readonly string[], kind: string | null): string | null {
  let at: Schema[] = [networkSchema() as Schema];
  for (const name of path) {
    const next = at.flatMap((schema) => {
      if (schema.type === "array") return formsOf(asSchema(schema.items));
      const property = propertyOf(schema, name);
      return property === null ? [] : formsOf(property);
    });
    const ofKind = next.filter((schema) => {
      const own = propertyOf(schema, "kind");
      return own === null || kind === null || own.const === kind;
    });
    at = ofKind;
  }
  const words = at.find(({ description }) => typeof description === "string")?.description;
  return typeof words === "string" ? words : null;
}
