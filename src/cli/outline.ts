/**
 * Plain data as an outline: a key and its value on one line, lists and nested data indented below. Keys are printed as
 * they stand in the data, so that what is read here can be found in the JSON form.
 */
export const outline = (value: unknown, indent = ""): string[] => {
  if (Array.isArray(value))
    return value.flatMap((entry: unknown) =>
      isLeaf(entry) ? [`${indent}- ${leaf(entry)}`] : dashed(outline(entry, `${indent}  `), indent),
    );
  if (typeof value === "object" && value !== null)
    return Object.entries(value).flatMap(([key, part]: [string, unknown]) => entry(key, part, indent));
  return [`${indent}${leaf(value)}`];
};

const entry = (key: string, part: unknown, indent: string): string[] => {
  if (isLeaf(part)) return [`${indent}${key}: ${leaf(part)}`];
  const flat = inline(part);
  if (flat !== null) return [`${indent}${key}: ${flat}`];
  return [`${indent}${key}:`, ...outline(part, `${indent}  `)];
};

/** A short list of words stays on the line of its key. */
const inline = (part: unknown): string | null => {
  if (!Array.isArray(part) || !part.every(isLeaf)) return null;
  const line = part.length === 0 ? "none" : part.map(leaf).join(", ");
  return line.length <= 100 ? line : null;
};

const dashed = (lines: readonly string[], indent: string): string[] =>
  lines.map((line, row) => (row === 0 ? `${indent}- ${line.trimStart()}` : line));

const isLeaf = (value: unknown): boolean => typeof value !== "object" || value === null;

const leaf = (value: unknown): string => {
  if (value === null) return "none";
  return typeof value === "number" ? String(Number(value.toPrecision(6))) : String(value);
};
