import { step } from "./problems.js";

/** Where a JSON text goes wrong: a syntax error, or a key that an object has already. */
export type JsonFault =
  | { readonly kind: "syntax"; readonly offset: number; readonly wanted: string }
  | { readonly kind: "duplicate"; readonly offset: number; readonly key: string; readonly pointer: string };

interface Open {
  /** an object: the keys met; an array: null */
  readonly keys: Set<string> | null;
  key: string;
  index: number;
}

const isDigit = (unit: number): boolean => unit >= 48 && unit <= 57;
const isHex = (unit: number): boolean => isDigit(unit) || (unit >= 97 && unit <= 102) || (unit >= 65 && unit <= 70);

/** Offset after the string that starts at `start` with its quote; -1 where it is none. */
const endOfString = (text: string, start: number): number => {
  for (let i = start + 1; i < text.length; i += 1) {
    const unit = text.charCodeAt(i);
    if (unit === 0x22) return i + 1;
    if (unit < 0x20) return -1;
    if (unit !== 0x5c) continue;
    i += 1;
    const escaped = text[i] ?? " ";
    if (escaped === "u") {
      for (let k = 1; k <= 4; k += 1) if (!isHex(text.charCodeAt(i + k))) return -1;
      i += 4;
    } else if (!'"\\/bfnrt'.includes(escaped)) return -1;
  }
  return -1;
};

/** Offset after the digits at `at`; -1 where there are none. */
const endOfDigits = (text: string, at: number): number => {
  let i = at;
  while (isDigit(text.charCodeAt(i))) i += 1;
  return i === at ? -1 : i;
};

/** Offset after the number that starts at `start`; -1 where it is none. */
const endOfNumber = (text: string, start: number): number => {
  let at = text[start] === "-" ? start + 1 : start;
  at = text[at] === "0" ? at + 1 : endOfDigits(text, at);
  if (at < 0) return -1;
  if (text[at] === ".") {
    at = endOfDigits(text, at + 1);
    if (at < 0) return -1;
  }
  if (text[at] === "e" || text[at] === "E") {
    const sign = text[at + 1];
    at = endOfDigits(text, sign === "+" || sign === "-" ? at + 2 : at + 1);
  }
  return at;
};

const endOfWord = (text: string, start: number): number => {
  for (const word of ["true", "false", "null"]) if (text.startsWith(word, start)) return start + word.length;
  return -1;
};

/**
 * Finds the first fault of one kind in a JSON text whose nesting is bounded: slow and exact, for texts already known to
 * be at fault.
 * @returns null where there is none
 */
export const findJsonFault = (text: string, sought: JsonFault["kind"]): JsonFault | null => {
  const open: Open[] = [];
  let at = 0;
  const blank = (): void => {
    while (at < text.length && (text[at] === " " || text[at] === "\n" || text[at] === "\r" || text[at] === "\t"))
      at += 1;
  };
  const syntax = (wanted: string): JsonFault => ({ kind: "syntax", offset: at, wanted });
  const pointer = (): string => open.map(({ keys, key, index }) => step(keys === null ? index : key)).join("");

  /** key and colon of the next member; a fault or undefined */
  const member = (): JsonFault | undefined => {
    blank();
    const end = text[at] === '"' ? endOfString(text, at) : -1;
    if (end < 0) return syntax("a member name in double quotes");
    if (sought === "duplicate") {
      const key = JSON.parse(text.slice(at, end)) as string;
      const top = open[open.length - 1];
      top.key = key;
      if (top.keys?.has(key)) return { kind: "duplicate", offset: at, key, pointer: pointer() };
      top.keys?.add(key);
    }
    at = end;
    blank();
    if (text[at] !== ":") return syntax('":"');
    at += 1;
    return undefined;
  };

  for (;;) {
    // a value
    blank();
    const sign = text[at];
    if (sign === "{" || sign === "[") {
      at += 1;
      open.push({ keys: sign === "{" ? new Set() : null, key: "", index: 0 });
      blank();
      const end = sign === "{" ? "}" : "]";
      if (text[at] !== end) {
        if (sign === "{") {
          const fault = member();
          if (fault !== undefined) return fault;
        }
        continue;
      }
      at += 1;
      open.pop();
    } else {
      const end = sign === '"' ? endOfString(text, at) : Math.max(endOfWord(text, at), endOfNumber(text, at));
      if (end < 0) return syntax(sign === '"' ? "an end to this text, on the same line" : "a value");
      at = end;
    }
    // what may follow it
    for (;;) {
      blank();
      const top = open[open.length - 1];
      if (top === undefined) return at < text.length ? syntax("the end") : null;
      const next = text[at];
      if (next === ",") {
        at += 1;
        top.index += 1;
        if (top.keys !== null) {
          const fault = member();
          if (fault !== undefined) return fault;
        }
        break;
      }
      if (next !== (top.keys === null ? "]" : "}")) return syntax(top.keys === null ? '"," or "]"' : '"," or "}"');
      at += 1;
      open.pop();
    }
  }
};
