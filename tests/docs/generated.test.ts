import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { calculations } from "../../src/core/calculations/calculations.js";
import { catalogue } from "../../src/core/rules/catalogue.js";
import { glossary } from "./glossary.js";
import { pages } from "./pages.js";

describe("the generated pages", () => {
  it.each([...pages()])("docs/%s is current (npm run docs writes it)", (name, text) => {
    expect(readFileSync(new URL(`../../docs/${name}`, import.meta.url), "utf8")).toBe(text);
  });

  it("have a chapter for every rule, and for no other", () => {
    const page = pages().get("rules.md") ?? "";
    const chapters = [...page.matchAll(/^## (\w+\.[\w-]+)$/gm)].map(([, id]) => id);
    expect(chapters).toEqual(catalogue.map(({ id }) => id));
    expect(chapters.length).toBeGreaterThan(10);
  });

  it("have a chapter for every calculation, and for no other", () => {
    const page = pages().get("calculations.md") ?? "";
    const chapters = [...page.matchAll(/^## ([a-z-]+)$/gm)].map(([, id]) => id);
    expect(chapters).toEqual(calculations().map(({ id }) => id));
  });

  it.each(["rules.md", "calculations.md"])("cite only sources that they list: %s", (name) => {
    const page = pages().get(name) ?? "";
    const listed = new Set(
      [...page.slice(page.indexOf("\n## Sources")).matchAll(/^- `([^`]+)`/gm)].map(([, id]) => id),
    );
    const rests = [...page.matchAll(/^(?:- )?Rests on: (.+)$/gm)].flatMap(([, line]) => line.match(/[^`, ]+/g) ?? []);
    expect(rests.length).toBeGreaterThan(10);
    for (const id of rests.filter((word) => word !== "nothing")) expect(listed).toContain(id);
  });
});

describe("the glossary", () => {
  it("tells of every field of a schema, at any depth and in any branch", () => {
    const leaf = (description: string) => ({ type: "string", maxLength: 9, description, examples: ["x"] });
    const kind = (name: string, own: object) => ({
      description: `A ${name}.`,
      properties: { kind: { const: name }, both: leaf("Of both"), ...own },
      required: ["kind", "both"],
    });
    const page = glossary({
      properties: {
        mode: { anyOf: [{ enum: ["a", "b"] }, { type: "object", properties: { base: leaf("Inside a branch") } }] },
        things: {
          type: "array",
          maxItems: 5,
          items: {
            oneOf: [
              kind("tee", { angle: { type: "number", minimum: 0, maximum: 90, description: "Of tees | only" } }),
              kind("cap", { lid: { type: "object", properties: { bolt: leaf("Deep down") } } }),
            ],
          },
        },
      },
      required: ["things"],
    });
    const rows = page.split("\n").filter((line) => line.startsWith("| `") || line.startsWith("| **"));
    expect(rows).toEqual([
      "| `mode` | `a`, `b` or group |  |  |",
      '| `mode.base` | text, at most 9 | Inside a branch | `"x"` |',
      "| **`things`** | list, at most 5 |  |  |",
      '| **`both`** | text, at most 9 | Of both | `"x"` |',
      "| `angle` | number, 0 to 90 | Of tees \\| only |  |",
      "| `lid` | group |  |  |",
      '| `lid.bolt` | text, at most 9 | Deep down | `"x"` |',
    ]);
  });
});
