import type { Problem } from "../network/model.js";
import { counted, hanging, wrapped } from "./layout.js";
import { painter } from "./paint.js";
import { plain } from "./plain.js";
import type { TextOptions } from "./text.js";

/**
 * What is wrong with a document or other inputs, as a person reads it: `detail` ("is not a network document") and how
 * many problems, then each with its place, what is wrong there and, where there is one, the hint. `total` counts every
 * problem found, also those beyond the listed ones.
 */
export const renderProblems = (
  document: string,
  {
    detail: fault,
    problems,
    total,
  }: { readonly detail: string; readonly problems: readonly Problem[]; readonly total: number },
  { width, color }: TextOptions,
): string => {
  const paint = painter(color);
  const lines = wrapped(`${plain(document)} ${plain(fault)}: ${counted(total, "problem")}`, width).map((line) =>
    paint(line, "loud"),
  );
  for (const { pointer, detail, hint } of problems) {
    lines.push(...hanging("  ", pointer === "" ? "(as a whole)" : plain(pointer), width));
    lines.push(...hanging("    ", plain(detail), width));
    if (hint !== undefined) lines.push(...hanging("    ", `Hint: ${plain(hint)}`, width));
  }
  if (total > problems.length) lines.push(`  and ${total - problems.length} more`);
  return `${lines.join("\n")}\n`;
};
