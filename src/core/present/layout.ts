import wrapAnsi from "wrap-ansi";

/** Least width that a line of text is broken to; narrower terminals wrap it again themselves. */
const leastBody = 16;

/** A figure, and the space before its unit or noun. */
const beforeUnit = /(?<=(?:^|[\s(])[-−+]?\d[\d.,/-]*) (?=[\p{L}%°²³])/gu;
const NO_BREAK = "\u00a0";

/**
 * Breaks a sentence into lines of at most `width` columns. Wide characters count as two, words longer than a line are
 * cut, no line ends in a space, and no figure is parted from its unit.
 */
export const wrapped = (sentence: string, width: number): string[] =>
  wrapAnsi(sentence.trim().replace(beforeUnit, NO_BREAK), Math.max(leastBody, width), { hard: true })
    .split("\n")
    .map((line) => line.replaceAll(NO_BREAK, " ").trimEnd());

/** `lead` stands before the first line; the others hang below the first word of the body. */
export const hanging = (lead: string, body: string, width: number): string[] => {
  const indent = " ".repeat(lead.length);
  return wrapped(body, width - lead.length).map((line, row) => `${row === 0 ? lead : indent}${line}`.trimEnd());
};

/** `a`, `a and b`, `a, b and 3 more`. */
export const some = (parts: readonly string[], most: number): string => {
  if (parts.length <= 1) return parts.join("");
  const shown = parts.length > most ? parts.slice(0, most) : parts.slice(0, -1);
  const last = parts.length > most ? `${parts.length - most} more` : parts[parts.length - 1];
  return `${shown.join(", ")} and ${last}`;
};

/** `1 pipe`, `3 pipes`. */
export const counted = (count: number, noun: string, plural = `${noun}s`): string =>
  `${count} ${count === 1 ? noun : plural}`;
