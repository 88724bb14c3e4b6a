import { Ajv2020 } from "ajv/dist/2020.js";

/** What is wrong with an answer by its JSON Schema; nothing where it is right. */
export const accepts = (schema: object, answer: unknown): unknown[] => {
  const check = new Ajv2020({ strict: false }).compile(schema);
  return check(JSON.parse(JSON.stringify(answer))) ? [] : (check.errors ?? []);
};
