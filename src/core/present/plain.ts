/**
 * Makes text that came from a document safe to print: characters that steer a terminal, turn the reading direction or
 * take no room are shown as their code point, `<U+001B>`, so that a name can neither hide nor move what stands around it.
 * Letters of every script pass unchanged.
 */
export const plain = (text: string): string => text.replace(steering, (found) => codePoint(found));

// Controls (Cc), format characters (Cf: bidi overrides and isolates, zero-width, tags), line and paragraph separators,
// halves of surrogate pairs, and private-use characters, which each font draws as it likes.
const steering = /[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Cs}\p{Co}]/gu;

const codePoint = (character: string): string => {
  const code = character.codePointAt(0) ?? 0;
  return `<U+${code.toString(16).toUpperCase().padStart(4, "0")}>`;
};
