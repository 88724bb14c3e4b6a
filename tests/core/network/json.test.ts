import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { MAX_DEPTH, readJson } from "../../../src/core/network/json.js";

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const nested = (depth: number): string => `${"[".repeat(depth)}${"]".repeat(depth)}`;
const codeOf = (input: Uint8Array): string => {
  const read = readJson(input);
  return read.ok ? "ok" : read.problem.code;
};

describe("bytes to a JSON value", () => {
  it.each([
    ["an object", '{"a":[1,2,{"b":null}],"c":"x:y{[\\"]"}', "ok"],
    ["a bare number", "1", "ok"],
    ["colons and brackets in strings only", '":::{[[["', "ok"],
    ["a string that ends in an escaped backslash", '{"a":"\\\\","b":1}', "ok"],
    ["64 levels", nested(MAX_DEPTH), "ok"],
    ["65 levels", nested(MAX_DEPTH + 1), "too-deep"],
    ["400 000 open brackets", "[".repeat(400_000), "too-deep"],
    ["400 000 nested objects", '{"a":'.repeat(400_000), "too-deep"],
    ["siblings are not depth", `[${"[],".repeat(200)}[]]`, "ok"],
    ["nothing", "", "bad-json"],
    ["blanks", " \n", "bad-json"],
    ["a comment", "{} // x", "bad-json"],
    ["a comma too many", '{"a":1,}', "bad-json"],
    ["single quotes", "{'a':1}", "bad-json"],
    ["a raw line break in a string", '"a\nb"', "bad-json"],
    ["NUL", "\u0000", "bad-json"],
    ["NaN", "[NaN]", "bad-json"],
    ["a leading zero", "[01]", "bad-json"],
    ["two values", "1 2", "bad-json"],
    ["a key twice", '{"a":1,"a":2}', "duplicate-key"],
    ["a key twice by another spelling", '{"a":1,"\\u0061":2}', "duplicate-key"],
    ["__proto__ twice", '{"__proto__":1,"__proto__":2}', "duplicate-key"],
    ["__proto__ once", '{"__proto__":1}', "ok"],
    ["one key in two objects", '[{"a":1},{"a":1}]', "ok"],
    ["syntax before a duplicate", '{"a":1,"a":2', "bad-json"],
    ["depth before syntax", `${nested(65)}}`, "too-deep"],
  ])("%s", (_, text, code) => {
    expect(codeOf(bytes(text))).toBe(code);
  });

  it.each([
    ["a byte order mark", [0xef, 0xbb, 0xbf, 0x7b, 0x7d]],
    ["UTF-16 little-endian with a mark", [0xff, 0xfe, 0x7b, 0x00]],
    ["UTF-16 big-endian with a mark", [0xfe, 0xff, 0x00, 0x7b]],
    ["UTF-16 little-endian without a mark", [0x7b, 0x00, 0x7d, 0x00]],
    ["UTF-16 big-endian without a mark", [0x00, 0x7b, 0x00, 0x7d]],
    ["a lone continuation byte", [0x22, 0x80, 0x22]],
    ["an overlong slash", [0x22, 0xc0, 0xaf, 0x22]],
    ["a surrogate in UTF-8", [0x22, 0xed, 0xa0, 0x80, 0x22]],
    ["a cut character", [0x22, 0xe2, 0x82]],
    ["bad encoding before depth", [...new Array<number>(100).fill(0x5b), 0xff]],
  ])("refuses %s", (_, input) => {
    expect(codeOf(Uint8Array.from(input))).toBe("bad-encoding");
  });

  it("names line and column of a syntax error", () => {
    const read = readJson(bytes('{\n  "a": 1,\n  "b" 2\n}'));
    expect(read).toMatchObject({ ok: false, problem: { code: "bad-json", pointer: "" } });
    if (!read.ok) expect(read.problem.detail).toContain('line 3, column 7: ":" is wanted');
  });

  it.each([
    ["single quotes", "{'a':1}", "double quotes"],
    ["a comment", '{"a":1 // one\n}', "no comments"],
    ["a comma too many", '{"a":1,\n}', "comma before it"],
    ["a comma too many in a list", "[1, ]", "comma before it"],
    ["no number", "[NaN]", "null"],
    ["a cut text", '{"a":', "arrived"],
    ["something else", "<html>", "RFC 8259"],
  ])("hints at what is meant by %s", (_, text, hint) => {
    const read = readJson(bytes(text));
    expect(read.ok ? "" : read.problem.hint).toContain(hint);
  });

  it("points at the second of two members, escaped", () => {
    const read = readJson(bytes('{"nodes":[{"id":1},{"a/b~":1,"c":{"d":[]},"a/b~":2}]}'));
    expect(read).toMatchObject({ ok: false, problem: { code: "duplicate-key", pointer: "/nodes/1/a~1b~0" } });
  });

  it("parses 1e999 as it stands and lone surrogates: they are the reader's to judge", () => {
    expect(readJson(bytes('[1e999,"\\ud800"]'))).toEqual({ ok: true, value: [Number.POSITIVE_INFINITY, "\ud800"] });
  });

  it("takes a number of ten thousand digits", () => {
    expect(codeOf(bytes("1".repeat(10_000)))).toBe("ok");
  });

  it("gives back what JSON.parse gives, for any JSON", () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 6 }), (text) => {
        // fast-check's own objects may say `__proto__` once
        expect(readJson(bytes(text))).toEqual({ ok: true, value: JSON.parse(text) });
      }),
    );
  });

  it("agrees with JSON.parse on what is JSON, for damaged JSON, and never throws", () => {
    fc.assert(
      fc.property(fc.json({ maxDepth: 4 }), fc.nat(), fc.string({ maxLength: 2, unit: "binary" }), (text, at, put) => {
        const cut = at % (text.length + 1);
        const input = bytes(text.slice(0, cut) + put + text.slice(cut));
        const damaged = new TextDecoder("utf-8", { ignoreBOM: true }).decode(input);
        let parses = true;
        try {
          JSON.parse(damaged);
        } catch {
          parses = false;
        }
        const read = readJson(input);
        if (!read.ok && (read.problem.code === "duplicate-key" || read.problem.code === "bad-encoding")) return;
        expect(read.ok).toBe(parses);
        if (!read.ok) expect(read.problem.detail).not.toBe("the text is not JSON");
      }),
      { numRuns: 2000 },
    );
  });

  it("never throws on any bytes", () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 40 }), (input) => void readJson(input)));
  });
});
