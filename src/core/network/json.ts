/** Brackets within brackets; deeper documents are refused before anything walks them. */
export const MAX_DEPTH = 64;

export interface JsonProblem {
  readonly code: "bad-encoding" | "too-deep" | "bad-json" | "duplicate-key";
  readonly pointer: string;
  readonly detail: string;
  readonly hint?: string;
}

export type ReadJson =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly problem: JsonProblem };

const refuse = (code: JsonProblem["code"], detail: string, hint?: string, pointer = ""): ReadJson => ({
  ok: false,
  problem: hint === undefined ? { code, pointer, detail } : { code, pointer, detail, hint },
});

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const COLON = 0x3a;

/**
 * JSON from bytes. Refused in this order: an encoding other than UTF-8, brackets deeper than 64, bad syntax, a key that
 * stands twice in one object (a reader would silently take one of the two).
 */
export const readJson = (bytes: Uint8Array): ReadJson => {
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf)
    return refuse(
      "bad-encoding",
      "the text begins with a byte order mark",
      "save it as UTF-8 without a byte order mark",
    );
  if (
    (bytes[0] === 0xff && bytes[1] === 0xfe) ||
    (bytes[0] === 0xfe && bytes[1] === 0xff) ||
    (bytes.length > 1 && (bytes[0] === 0) !== (bytes[1] === 0))
  )
    return refuse("bad-encoding", "the text is UTF-16", "save it as UTF-8");
  let text: string;
  try {
    text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return refuse("bad-encoding", "the text is not UTF-8", "save it as UTF-8");
  }
  let depth = 0;
  let members = 0;
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i];
    if (byte === QUOTE) {
      for (i += 1; i < bytes.length && bytes[i] !== QUOTE; i += 1) if (bytes[i] === BACKSLASH) i += 1;
    } else if (byte === COLON) members += 1;
    else if (byte === 0x7b || byte === 0x5b) {
      depth += 1;
      if (depth > MAX_DEPTH)
        return refuse(
          "too-deep",
          `brackets stand more than ${MAX_DEPTH} deep`,
          "a network document is a few levels deep",
        );
    } else if (byte === 0x7d || byte === 0x5d) depth -= 1;
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    return refuse("bad-json", syntaxDetail(text, error));
  }
  // Every member has one colon outside strings: fewer members than colons means that a key stood twice.
  if (countMembers(value) !== members) {
    const twice = findDuplicate(text);
    if (twice !== null)
      return refuse(
        "duplicate-key",
        `the key ${JSON.stringify(twice.key.slice(0, 64))} stands twice in one object`,
        "remove one of them",
        twice.pointer,
      );
  }
  return { ok: true, value };
};

const syntaxDetail = (text: string, error: unknown): string => {
  if (text.trim() === "") return "there is nothing to read";
  const message = error instanceof Error ? error.message : "";
  const at = /position (\d+)/.exec(message);
  if (at === null) return /end of JSON/.test(message) ? "the text ends too soon" : "this is not JSON";
  const position = Number(at[1]);
  const before = text.slice(0, position);
  const line = before.split("\n").length;
  return `this is not JSON: line ${line}, column ${position - before.lastIndexOf("\n")}`;
};

/** Members of all objects in a value. Depth is bounded by the scan before. */
const countMembers = (value: unknown): number => {
  if (typeof value !== "object" || value === null) return 0;
  let count = 0;
  if (Array.isArray(value)) {
    for (const each of value) if (typeof each === "object") count += countMembers(each);
    return count;
  }
  for (const each of Object.values(value)) {
    count += 1;
    if (typeof each === "object") count += countMembers(each);
  }
  return count;
};

/** The first key that stands twice in its object, with the object's pointer. The text is known to be good JSON. */
const findDuplicate = (text: string): { pointer: string; key: string } | null => {
  interface Level {
    readonly keys: Set<string> | null;
    key: string;
    index: number;
  }
  const levels: Level[] = [];
  let expectsKey = false;
  for (let i = 0; i < text.length; i += 1) {
    const c = text[i];
    const top = levels[levels.length - 1];
    if (c === '"') {
      const start = i;
      for (i += 1; text[i] !== '"'; i += 1) if (text[i] === "\\") i += 1;
      if (!expectsKey || !top?.keys) continue;
      const key = JSON.parse(text.slice(start, i + 1)) as string;
      if (top.keys.has(key)) {
        const path = levels.slice(0, -1).map((l) => (l.keys === null ? String(l.index) : l.key));
        return { pointer: [...path, key].map((s) => `/${s.replace(/~/g, "~0").replace(/\//g, "~1")}`).join(""), key };
      }
      top.keys.add(key);
      top.key = key;
      expectsKey = false;
    } else if (c === "{") {
      levels.push({ keys: new Set(), key: "", index: 0 });
      expectsKey = true;
    } else if (c === "[") {
      levels.push({ keys: null, key: "", index: 0 });
      expectsKey = false;
    } else if (c === "}" || c === "]") {
      levels.pop();
      expectsKey = false;
    } else if (c === "," && top) {
      if (top.keys === null) top.index += 1;
      else expectsKey = true;
    }
  }
  return null;
};
