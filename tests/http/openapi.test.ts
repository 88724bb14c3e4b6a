// The interface's description against the error table, the routes, the committed file and the answers themselves.
import { readFileSync } from "node:fs";
import Ajv2020 from "ajv/dist/2020.js";
import type { FastifyInstance } from "fastify";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { VERSION } from "../../src/core/index.js";
import { PROBLEM_CODES, PROBLEMS, typeOf } from "../../src/http/problems.js";
import { type SoundApp, soundApp, tutorial, tutorialLine } from "../builders/sound-app.js";

type Json = Readonly<Record<string, unknown>>;
interface Operation {
  readonly operationId: string;
  readonly security?: readonly Json[];
  readonly requestBody?: { readonly content: Json };
  readonly responses: Readonly<
    Record<
      string,
      {
        readonly content?: Readonly<Record<string, { readonly examples?: Json; readonly schema: Json }>>;
        readonly headers?: Json;
      }
    >
  >;
}
interface Description {
  readonly openapi: string;
  readonly info: { readonly version: string };
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Readonly<Record<string, Json>> };
}

let sound: SoundApp;
let served: Description;
beforeAll(async () => {
  sound = await soundApp();
  served = (await sound.app.inject({ method: "GET", url: "/openapi.json" })).json();
});
afterAll(() => sound.close());

const operations = () =>
  Object.entries(served.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  );

test("it is OpenAPI 3.1 of this version, and the committed file is the same", () => {
  expect(served.openapi).toMatch(/^3\.1\./);
  expect(served.info.version).toBe(VERSION);
  const committed: unknown = JSON.parse(readFileSync(new URL("../../openapi/openapi.json", import.meta.url), "utf8"));
  expect(committed).toEqual(served);
});

/** What the router itself serves, method and path, read from the tree that it prints. */
const routed = (): string[] => {
  const open: string[] = [];
  return sound.app
    .printRoutes({ commonPrefix: false })
    .split("\n")
    .flatMap((line) => {
      const found = /^(.*?)── (\S+)(?: \((.+)\))?$/.exec(line);
      if (found === null) return [];
      const depth = (found[1]!.length - 1) / 4;
      open.length = depth;
      open[depth] = (open[depth - 1] ?? "") + found[2]!;
      const path = open[depth].replaceAll(/:(\w+)/g, "{$1}");
      return (found[3]?.split(", ") ?? []).map((method) => `${method} ${path}`);
    });
};

test("every route of the service is described, but the pages that people look at", () => {
  const described = operations().map(({ path, method }) => `${method.toUpperCase()} ${path}`);
  const serves = routed().filter(
    (each) => !/^(HEAD|OPTIONS) |^(GET|POST) \/(docs|buildings|favicon\.ico)\b/.test(each),
  );
  expect(described.length).toBeGreaterThan(15);
  expect(described.sort()).toEqual(serves.sort());
});

describe("errors", () => {
  test("the codes, statuses and names of the table and of the description are the same", () => {
    const listed = new Map<string, { status: unknown; type: unknown; title: unknown }>();
    for (const { operation } of operations()) {
      for (const [status, response] of Object.entries(operation.responses)) {
        const problem = response.content?.["application/problem+json"];
        if (problem === undefined) continue;
        for (const [code, example] of Object.entries(problem.examples ?? {})) {
          const { value } = example as { value: { status: number; type: string; title: string } };
          expect(String(value.status)).toBe(status);
          listed.set(code, { status: value.status, type: value.type, title: value.title });
        }
      }
    }
    // answered before any route is found, so that no operation can list them
    const routeless = ["method-not-allowed", "request-timeout", "headers-too-large"];
    expect([...listed.keys(), ...routeless].sort()).toEqual([...PROBLEM_CODES].sort());
    for (const [code, row] of listed) {
      const { status, title } = PROBLEMS[code as keyof typeof PROBLEMS];
      expect(row).toEqual({ status, title, type: typeOf(code as keyof typeof PROBLEMS) });
    }
    expect(served.components.schemas.Problem).toMatchObject({ properties: { code: { enum: PROBLEM_CODES } } });
  });

  test("what is guarded lists 401, what is open does not, and every 503 says Retry-After", () => {
    for (const { path, operation } of operations()) {
      const isOpen = operation.security?.length === 0;
      expect([path, "401" in operation.responses]).toEqual([path, !isOpen]);
      if (operation.responses["503"]) expect(operation.responses["503"].headers).toHaveProperty("Retry-After");
    }
  });
});

test("every field has a description and an example", () => {
  const lacking: string[] = [];
  const isRef = (schema: Json) => typeof schema.$ref === "string";
  const visit = (schema: unknown, at: string): void => {
    if (Array.isArray(schema)) for (const [index, item] of schema.entries()) visit(item, `${at}/${index}`);
    if (typeof schema !== "object" || schema === null || Array.isArray(schema)) return;
    for (const [key, inner] of Object.entries(schema as Json)) {
      if (key === "examples" || key === "enum" || key === "const" || key === "required") continue;
      if (key === "properties") {
        for (const [name, field] of Object.entries(inner as Readonly<Record<string, Json>>)) {
          const place = `${at}/${name}`;
          if (typeof field.description !== "string" && !isRef(field)) lacking.push(`${place}: description`);
          const shown = field.examples !== undefined || field.example !== undefined || isRef(field);
          const listOfNamed = field.type === "array" && typeof field.items === "object" && field.items !== null;
          const ofNamed = Array.isArray(field.anyOf) && (field.anyOf as Json[]).some(isRef);
          if (!shown && !listOfNamed && !ofNamed) lacking.push(`${place}: example`);
          visit(field, place);
        }
      } else visit(inner, `${at}/${key}`);
    }
  };
  for (const [name, schema] of Object.entries(served.components.schemas)) visit(schema, name);
  expect(lacking).toEqual([]);
});

describe("answers are what the description says", () => {
  const validator = () => {
    const ajv = new Ajv2020.default({ strict: false, allErrors: true, formats: { uri: true } });
    ajv.addSchema({ $id: "urn:drainward:openapi", components: served.components });
    return (component: string, value: unknown) => {
      const check = ajv.compile({ $ref: `urn:drainward:openapi#/components/schemas/${component}` });
      return check(value) ? [] : check.errors;
    };
  };
  const get = async (app: FastifyInstance, url: string) => (await app.inject({ method: "GET", url })).json();

  test("catalogues and health", async () => {
    const faults = validator();
    const rows = [
      ["RuleList", "/v1/rules"],
      ["Rule", "/v1/rules/fall.reverse"],
      ["ProfileList", "/v1/profiles"],
      ["Profile", "/v1/profiles/metric"],
      ["MaterialList", "/v1/materials"],
      ["Limits", "/v1/limits"],
      ["Alive", "/livez"],
      ["Ready", "/readyz"],
      ["Problem", "/v1/nothing"],
    ] as const;
    for (const [component, url] of rows) expect([url, faults(component, await get(sound.app, url))]).toEqual([url, []]);
  });

  test("audits and their problems", async () => {
    const faults = validator();
    const audit = async (payload: string | Buffer) =>
      (
        await sound.app.inject({
          method: "POST",
          url: "/v1/audits?include=all,passes",
          payload,
          headers: { "content-type": "application/json" },
        })
      ).json();
    expect(faults("Network", JSON.parse(tutorialLine))).toEqual([]);
    expect(faults("Audit", await audit(tutorial))).toEqual([]);
    expect(faults("Problem", await audit("{}"))).toEqual([]);
    expect(faults("Problem", await audit("{"))).toEqual([]);
  });

  test("lines of a stream", async () => {
    const faults = validator();
    const reply = await sound.app.inject({
      method: "POST",
      url: "/v1/audits/stream",
      payload: `{\n${tutorialLine}\n`,
      headers: { "content-type": "application/x-ndjson" },
    });
    const [bad, good, tally] = reply.body
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line) as unknown);
    expect([faults("BadLine", bad), faults("Audit", good), faults("StreamTally", tally)]).toEqual([[], [], []]);
  });
});
