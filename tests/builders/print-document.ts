import type { NetworkDocument } from "./network-document.js";

const WIDTH = 120;
/** A list of items this short goes on as few lines as it takes. */
const SHORT = 24;

const entriesOf = (value: object): [string, unknown][] =>
  Array.isArray(value) ? value.map((each) => ["", each]) : Object.entries(value);

/** As many pieces on each line as fit. */
const filled = (pieces: readonly string[], indent: string): string => {
  const lines: string[] = [];
  for (const piece of pieces) {
    const last = lines.at(-1);
    if (last !== undefined && indent.length + last.length + piece.length + 3 <= WIDTH) {
      lines[lines.length - 1] = `${last}, ${piece}`;
    } else lines.push(piece);
  }
  return lines.join(`,\n${indent}`);
};

const inOneLine = (value: unknown): string => {
  if (typeof value !== "object" || value === null) return JSON.stringify(value);
  const pieces = entriesOf(value).map(([name, each]) =>
    name === "" ? inOneLine(each) : `${JSON.stringify(name)}: ${inOneLine(each)}`,
  );
  if (Array.isArray(value)) return `[${pieces.join(", ")}]`;
  return pieces.length === 0 ? "{}" : `{ ${pieces.join(", ")} }`;
};

/** A value whose first line starts at `indent` after `before` characters. */
const print = (value: unknown, indent: string, before: number): string => {
  const line = inOneLine(value);
  if (typeof value !== "object" || value === null || indent.length + before + line.length <= WIDTH) return line;
  const [open, close] = Array.isArray(value) ? "[]" : "{}";
  const inner = `${indent}  `;
  const entries = entriesOf(value);
  const isElement = !Array.isArray(value) && entries.every(([, each]) => inOneLine(each).length <= WIDTH - 40);
  if (isElement || (Array.isArray(value) && value.every((each) => inOneLine(each).length <= SHORT)))
    return `${open}\n${inner}${filled(
      entries.map(([name, each]) => (name === "" ? inOneLine(each) : `${JSON.stringify(name)}: ${inOneLine(each)}`)),
      inner,
    )}\n${indent}${close}`;
  const pieces = entries.map(([name, each]) => {
    const key = name === "" ? "" : `${JSON.stringify(name)}: `;
    return `${key}${print(each, inner, key.length + 1)}`;
  });
  return `${open}\n${inner}${pieces.join(`,\n${inner}`)}\n${indent}${close}`;
};

/** JSON for people: short things in one line, of long ones an element or a few fields a line. */
export const printDocument = (document: NetworkDocument): string => {
  const entries = Object.entries(document).map(([name, value]) => {
    const key = `${JSON.stringify(name)}: `;
    return `  ${key}${print(value, "  ", key.length + 1)}`;
  });
  return `{\n${entries.join(",\n")}\n}\n`;
};
