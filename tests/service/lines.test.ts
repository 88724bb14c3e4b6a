import fc from "fast-check";
import { expect, test } from "vitest";
import { type Line, splitLines } from "../../src/service/lines.js";

const chunked = async function* (chunks: readonly Uint8Array[]) {
  yield* chunks;
};
const split = async (chunks: readonly string[], longest = 1000): Promise<[number, string | null][]> => {
  const lines: Line[] = [];
  for await (const line of splitLines(chunked(chunks.map((chunk) => Buffer.from(chunk))), longest)) lines.push(line);
  return lines.map(({ number, bytes }) => [number, bytes === null ? null : Buffer.from(bytes).toString()]);
};

const rows: readonly (readonly [string, readonly string[], readonly [number, string | null][]])[] = [
  ["nothing", [], []],
  ["an empty chunk", [""], []],
  ["one line without a newline", ["{}"], [[1, "{}"]]],
  ["one line with one", ["{}\n"], [[1, "{}"]]],
  [
    "a line cut in three",
    ["{", "}", "\n[]"],
    [
      [1, "{}"],
      [2, "[]"],
    ],
  ],
  [
    "blank lines keep their numbers",
    ["\n{}\n \t\r\n\n[]\n\n"],
    [
      [2, "{}"],
      [5, "[]"],
    ],
  ],
  [
    "carriage returns stay, they are blanks of JSON",
    ["{}\r\n[]\r\n"],
    [
      [1, "{}\r"],
      [2, "[]\r"],
    ],
  ],
];
for (const [name, chunks, lines] of rows) test(name, async () => expect(await split(chunks)).toEqual(lines));

test("a line over the limit is told apart and the next one is read", async () => {
  expect(await split(["12345678", "90123\n{}\n12345"], 5)).toEqual([
    [1, null],
    [2, "{}"],
    [3, "12345"],
  ]);
});

test("however the bytes are cut, the lines are those of the whole text", async () => {
  const piece = fc.stringMatching(/^[ab \n]{0,6}$/);
  await fc.assert(
    fc.asyncProperty(fc.array(piece, { maxLength: 12 }), async (pieces) => {
      const expected = pieces
        .join("")
        .split("\n")
        .map((text, index): [number, string] => [index + 1, text])
        .filter(([, text]) => text.trim() !== "");
      expect(await split(pieces)).toEqual(expected);
    }),
  );
});
