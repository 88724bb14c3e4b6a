import { readdirSync, readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { faultsOfAnswer } from "../../../src/core/audit/answer-schema.js";
import { type Audit, audit, auditSchema, INCLUDES } from "../../../src/core/index.js";

type Json = Record<string, unknown>;

const buildings = new URL("../../../fixtures/buildings/", import.meta.url);
const rules = new URL("../../../fixtures/rules/", import.meta.url);

const read = (url: URL): unknown => JSON.parse(readFileSync(url, "utf8"));

const answerTo = (document: unknown): Audit => {
  const result = audit(document, { include: ["all", "passes"] });
  if (!result.ok) throw new Error(JSON.stringify(result.problems, null, 1));
  return result.audit;
};

const names = readdirSync(buildings).filter((name) => name.endsWith(".json") && !name.endsWith(".plants.json"));

const ajv = new Ajv2020({ strict: true, strictTypes: false, allErrors: true });
const validate = ajv.compile(auditSchema());

describe("answers to whole buildings", () => {
  test("there are buildings to ask about", () => expect(names.length).toBeGreaterThanOrEqual(3));

  test.each(names)("%s: is as promised, with every fact and every pass", (name) => {
    const answer = answerTo(read(new URL(name, buildings)));
    expect(Object.keys(answer.facts ?? {}).sort()).toEqual([...INCLUDES].sort());
    expect(faultsOfAnswer(answer).slice(0, 10)).toEqual([]);
    // As its reader gets it: through JSON, checked by another implementation of the schema.
    const sent: unknown = JSON.parse(JSON.stringify(answer));
    expect(sent).toEqual(answer);
    expect(validate(sent) ? [] : validate.errors?.slice(0, 10)).toEqual([]);
  });
});

describe("answers to faulty networks", () => {
  const cases = readdirSync(rules, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name);

  test.each(cases)("%s: is as promised for each of its cases", (rule) => {
    const folder = new URL(`${rule}/`, rules);
    for (const name of readdirSync(folder)) {
      const content = read(new URL(name, folder)) as Json;
      const answer = answerTo("nodes" in content ? content : content.document);
      expect(faultsOfAnswer(answer).slice(0, 10), name).toEqual([]);
    }
  });
});

describe("what is not as promised is refused", () => {
  const sound = (): Json => structuredClone(answerTo(read(new URL("three-coils.json", buildings)))) as unknown as Json;
  const facts = (answer: Json): Record<string, Json[]> => answer.facts as Record<string, Json[]>;
  const spoiled: readonly [name: string, spoil: (answer: Json) => void][] = [
    ["a field that is not in the contract", (a) => Object.assign(a, { note: "x" })],
    ["a field that is missing", (a) => delete a.cautions],
    ["a fact that is not in the contract", (a) => Object.assign(facts(a).pipes[0], { colour: "red" })],
    ["a fact that is missing", (a) => delete facts(a).pipes[0].grade],
    ["a word that is none of the outcomes", (a) => Object.assign((a.rules as Json[])[0], { outcome: "ok" })],
    ["a number as words", (a) => Object.assign(facts(a).nodes[0], { elevation: "2.85 m" })],
    ["a count that is no whole number", (a) => Object.assign(facts(a).fanCoils[0], { hops: 1.5 })],
    ["facts of an unknown name", (a) => Object.assign(facts(a), { rooms: [] })],
  ];

  test("and what was not spoiled is not", () => {
    const answer = sound();
    expect(faultsOfAnswer(answer)).toEqual([]);
    expect(validate(answer)).toBe(true);
  });

  test.each(spoiled)("%s", (_name, spoil) => {
    const answer = sound();
    spoil(answer);
    expect(faultsOfAnswer(answer)).toHaveLength(1);
    expect(validate(answer)).toBe(false);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY])("%s as a figure", (value) => {
    const answer = sound();
    Object.assign(facts(answer).nodes[0], { elevation: value });
    expect(faultsOfAnswer(answer)).toHaveLength(1);
  });
});

describe("the schema as a glossary", () => {
  interface Node {
    readonly path: string;
    readonly schema: Json;
  }
  const walk = function* (schema: Json, path: string): Generator<Node> {
    for (const [name, child] of Object.entries((schema.properties ?? {}) as Record<string, Json>)) {
      yield { path: `${path}/${name}`, schema: child };
      yield* walk(child, `${path}/${name}`);
    }
    if (schema.items !== undefined) yield* walk(schema.items as Json, `${path}/*`);
    for (const child of (schema.anyOf ?? []) as Json[]) yield* walk(child, path);
  };
  const fields = [...walk(auditSchema() as Json, "")];

  test("is a draft 2020-12 schema that refers to nothing outside itself", () => {
    expect(auditSchema()).toMatchObject({ $schema: "https://json-schema.org/draft/2020-12/schema" });
    expect(JSON.stringify(auditSchema())).not.toContain('"$ref":"http');
    expect(fields.length).toBeGreaterThan(100);
  });

  test("every field says what it is, with an example", () => {
    const mute = fields.filter(({ schema }) => !schema.description || !Array.isArray(schema.examples));
    expect(mute.map(({ path }) => path)).toEqual([]);
  });

  test("every example is one", () => {
    const wrong = fields.filter(({ schema }) => !(schema.examples as unknown[]).every((e) => ajv.validate(schema, e)));
    expect(wrong.map(({ path }) => path)).toEqual([]);
    const items = (auditSchema() as { properties: { findings: { items: Json } } }).properties.findings.items;
    expect((items.examples as unknown[]).every((e) => ajv.validate(items, e))).toBe(true);
  });

  test("every object is closed", () => {
    const open = fields.filter(({ schema }) => schema.type === "object" && schema.additionalProperties !== false);
    expect(open.map(({ path }) => path)).toEqual([]);
  });
});
