import { quoted } from "./problems.js";
import { findJsonFault } from "./scan-json.js";

/** Levels of objects and lists inside one another that a document may have. */
export const MAX_DEPTH = 64;

export interface JsonProblem {
  readonly code: "bad-encoding" | "too-deep" | "bad-json" | "duplicate-key";
  readonly pointer: string;
  readonly detail: string;
  readonly hint?: string;
}
export type JsonResult =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly problem: JsonProblem };

const refuse = (code: JsonProblem["code"], detail: string, hint?: string, pointer = ""): JsonResult => ({
  ok: false,
  problem: hint === undefined ? { code, pointer, detail } : { code, pointer, detail, hint },
});

const QUOTE = 0x22;
const BACKSLASH = 0x5c;

/**
 * Depth of nesting and number of colons outside strings, from the bytes: `JSON.parse` takes any depth, after which what
 * walks the value overflows its stack. Stops beyond the greatest depth allowed.
 */
const survey = (bytes: Uint8Array): { readonly tooDeep: boolean; readonly colons: number } => {
  let depth = 0;
  let colons = 0;
  const end = bytes.length;
  for (let i = 0; i < end; i += 1) {
    switch (bytes[i]) {
      case QUOTE: {
        i += 1;
        let byte = bytes[i];
        while (i < end && byte !== QUOTE) {
          i += byte === BACKSLASH ? 2 : 1;
          byte = bytes[i];
        }
        break;
      }
      case 0x3a: // :
        colons += 1;
        break;
      case 0x5b: // [
      case 0x7b: // {
        depth += 1;
        if (depth > MAX_DEPTH) return { tooDeep: true, colons };
        break;
      case 0x5d: // ]
      case 0x7d: // }
        depth -= 1;
        break;
      default:
    }
  }
  return { tooDeep: false, colons };
};

/** Members of all objects in a parsed value. Its depth is bounded. */
const membersOf = (value: object): number => {
  let members = 0;
  if (Array.isArray(value)) {
    for (let i = 0; i < value.length; i += 1) {
      const item: unknown = value[i];
      if (typeof item === "object" && item !== null) members += membersOf(item);
    }
    return members;
  }
  const record = value as { readonly [key: string]: unknown };
  // own members alone: what JSON.parse makes has no others that can be enumerated
  for (const key in record) {
    members += 1;
    const item = record[key];
    if (typeof item === "object" && item !== null) members += membersOf(item);
  }
  return members;
};

const utf16 = (bytes: Uint8Array): boolean => {
  const [a, b] = bytes;
  if ((a === 0xfe && b === 0xff) || (a === 0xff && b === 0xfe)) return true;
  return bytes.length > 1 && (a === 0) !== (b === 0);
};

/** Line and column, both from 1; columns in UTF-16 code units. */
const place = (text: string, offset: number): string => {
  let line = 1;
  let start = 0;
  for (let i = text.indexOf("\n"); i >= 0 && i < offset; i = text.indexOf("\n", i + 1)) {
    line += 1;
    start = i + 1;
  }
  return `line ${line}, column ${offset - start + 1}`;
};

const AS_UTF8 = "save the document as UTF-8 without a byte order mark";

/**
 * Parses the bytes of a JSON document, refusing in this order: another encoding than UTF-8 without a byte order mark,
 * nesting deeper than 64, bad syntax, an object with two members of one name. Never throws.
 */
export const readJson = (bytes: Uint8Array): JsonResult => {
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf)
    return refuse("bad-encoding", "the text starts with a byte order mark", AS_UTF8);
  if (utf16(bytes)) return refuse("bad-encoding", "the text is UTF-16", AS_UTF8);
  let text: string;
  try {
    text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return refuse("bad-encoding", "the text is not valid UTF-8", AS_UTF8);
  }
  const { tooDeep, colons } = survey(bytes);
  if (tooDeep)
    return refuse("too-deep", `objects and lists more than ${MAX_DEPTH} deep`, "a network document is 6 deep at most");
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return badJson(text);
  }
  // a second member of the same name replaces the first, so that colons and members differ
  if (colons > 0 && (typeof value !== "object" || value === null || membersOf(value) !== colons)) {
    const fault = findJsonFault(text, "duplicate");
    if (fault?.kind === "duplicate")
      return refuse(
        "duplicate-key",
        `${quoted(fault.key)} stands twice in one object, again at ${place(text, fault.offset)}`,
        "leave one of the two out",
        fault.pointer,
      );
  }
  return { ok: true, value };
};

const badJson = (text: string): JsonResult => {
  if (text.trim() === "") return refuse("bad-json", "the document is empty", "send a network document as JSON");
  const fault = findJsonFault(text, "syntax");
  if (fault?.kind !== "syntax") return refuse("bad-json", "the text is not JSON");
  if (fault.offset >= text.length)
    return refuse("bad-json", `the text ends too early: ${fault.wanted} is wanted`, "see that all of it arrived");
  return refuse(
    "bad-json",
    `not JSON at ${place(text, fault.offset)}: ${fault.wanted} is wanted, not ${quoted(text.slice(fault.offset, fault.offset + 12))}`,
    cureFor(text, fault.offset),
  );
};

/** What is usually meant by text that breaks the syntax at an offset. */
const cureFor = (text: string, offset: number): string => {
  const rest = text.slice(offset, offset + 12);
  if (rest[0] === "'") return "JSON writes names and texts in double quotes";
  if (rest[0] === "/" || rest[0] === "#") return "JSON has no comments: leave them out";
  if (/^(NaN|[-+]?Infinity|None|undefined)/.test(rest))
    return "write null where a figure is not known, or leave its field out";
  if (/^[}\]]/.test(rest) && /,\s*$/.test(text.slice(0, offset))) return "take the comma before it out";
  return "save it as JSON (RFC 8259)";
};
