import type { Library, Sink, Surroundings } from "../../src/cli/surroundings.js";
import type { Audit } from "../../src/core/index.js";
import {
  backup,
  calculate,
  calculations,
  commissioning,
  drawPath,
  drawRiser,
  expand,
  locateBlockage,
  renderBackup,
  renderBlockage,
  renderCalculation,
  renderCommissioning,
  renderCommissioningPage,
  report,
} from "../../src/core/index.js";
import { plain } from "../../src/core/present/plain.js";
import { renderProblems } from "../../src/core/present/problems.js";
import { renderText } from "../../src/core/present/text.js";
import type { Store } from "../../src/service/shelves.js";
import { auditWith } from "../core/present/audits.js";

class Page implements Sink {
  text = "";
  constructor(
    readonly isTTY = false,
    readonly columns: number | undefined = undefined,
  ) {}
  async write(text: string): Promise<void> {
    this.text += text;
  }
}

/** A failure with a code, as the system gives it. */
export const failing = (code: string): AsyncIterable<Uint8Array> => ({
  [Symbol.asyncIterator]: () => ({
    next: () => Promise.reject(Object.assign(new Error(`${code}: as the system says it`), { code })),
  }),
});

export const giving = async function* (...parts: (string | Uint8Array)[]): AsyncGenerator<Uint8Array> {
  for (const part of parts) yield typeof part === "string" ? Buffer.from(part) : part;
};

/**
 * A library whose audit of a document is the document itself, completed to an audit; one with `problems` is refused, one
 * with `throw` brings the library down. What is asked of it is kept in `asked`.
 */
export const fakeLibrary = () => {
  const asked: { include?: readonly string[]; profile?: string }[] = [];
  const library: Library = {
    VERSION: "9.9.9",
    LIMITS: { maxBytes: 1024 * 1024 },
    INCLUDES: ["pipes", "paths"],
    audit: (document, options = {}) => {
      asked.push(options);
      const { problems, ...part } = document as Partial<Audit> & { problems?: number; throw?: true };
      if (part.throw) throw new Error("the rule\u0007 of three");
      if (problems === undefined) return { ok: true, audit: auditWith(part) };
      const listed = Array.from({ length: Math.min(problems, 100) }, (_, row) => ({
        pointer: `/nodes/${row}`,
        code: "unknown-field",
        detail: `Problem ${row}.`,
        hint: `Hint ${row}.`,
      }));
      return { ok: false, problems: listed, total: problems };
    },
    readJson: (bytes) => {
      try {
        return { ok: true, value: JSON.parse(Buffer.from(bytes).toString()) };
      } catch {
        return { ok: false, problem: { code: "bad-json", pointer: "", detail: "Not JSON at character 1." } };
      }
    },
    renderText,
    renderProblems,
    expand,
    calculate,
    calculations,
    renderCalculation,
    report,
    commissioning,
    drawPath,
    drawRiser,
    renderCommissioning,
    renderCommissioningPage,
    locateBlockage,
    renderBlockage,
    backup,
    renderBackup,
    plain,
    rules: () => [
      { id: "fall.reverse", title: "Drain that rises" },
      { id: "path.cycle", title: "Loop of drains" },
    ],
    profiles: () => [{ id: "imc", title: "International Mechanical Code" }],
    materials: () => [{ id: "pvc-40", title: "PVC schedule 40" }],
    networkSchema: () => ({ $id: "network" }),
  };
  return Object.assign(library, { asked });
};

export interface Scene {
  readonly files?: Readonly<Record<string, unknown>>;
  readonly stdin?: AsyncIterable<Uint8Array> & { readonly isTTY?: boolean };
  readonly terminal?: number;
  readonly plainText?: boolean;
  /** what of the library is another than the fake's */
  readonly library?: Partial<Library>;
  readonly store?: Store;
}

/** Surroundings without a system: files by name (an object is written as JSON, an iterable is given as it is). */
export const scene = ({ files = {}, stdin = giving(), terminal, plainText = false, library, store }: Scene = {}) => {
  const stdout = new Page(terminal !== undefined, terminal);
  const stderr = new Page(terminal !== undefined, terminal);
  const names = new Map(Object.entries(files));
  const around: Surroundings = {
    stdin,
    stdout,
    stderr,
    open: (path) => {
      if (!names.has(path)) return failing("ENOENT");
      const content = names.get(path);
      if (typeof content === "object" && content !== null && Symbol.asyncIterator in content)
        return content as AsyncIterable<Uint8Array>;
      return giving(typeof content === "string" ? content : JSON.stringify(content));
    },
    exists: async (path) => names.has(path),
    expand: async (pattern) => [...names.keys()].filter((name) => name.startsWith(pattern.split("*")[0])),
    core: async () => Object.assign(fakeLibrary(), library),
    openStore: async () => {
      if (store === undefined) throw new Error("no store here");
      return store;
    },
    today: () => "2026-11-26",
    plainText,
  };
  return { around, stdout, stderr };
};
