import type { NetworkDocument } from "./network-document.js";

/** JSON with one element a line: short enough to read, and a change of one element is a change of one line. */
export const printDocument = (document: NetworkDocument): string => {
  const entries = Object.entries(document).map(([name, value]) =>
    Array.isArray(value) && value.length > 0
      ? `  ${JSON.stringify(name)}: [\n${value.map((element) => `    ${JSON.stringify(element)}`).join(",\n")}\n  ]`
      : `  ${JSON.stringify(name)}: ${JSON.stringify(value)}`,
  );
  return `{\n${entries.join(",\n")}\n}\n`;
};
