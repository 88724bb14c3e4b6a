import type {
  Audit,
  BackupAnswer,
  BackupResult,
  Blockage,
  BlockageResult,
  CalculationAnswer,
  CalculationInfo,
  CalculationResult,
  CommissioningResult,
  CommissioningSheet,
  DrawingResult,
  Problem,
  ReportOptions,
  ReportResult,
} from "../core/index.js";
import type { Store } from "../service/shelves.js";

/** Where the command line reads from and writes to. The program that starts it fills this in; tests fill in their own. */
export interface Surroundings {
  readonly stdin: AsyncIterable<Uint8Array> & { readonly isTTY?: boolean };
  readonly stdout: Sink;
  readonly stderr: Sink;
  /** Opens a file for reading; fails, at once or while reading, with the system's error code in `code`. */
  readonly open: (path: string) => AsyncIterable<Uint8Array>;
  /** The files that a pattern with wildcards matches, in natural order. */
  readonly expand: (pattern: string) => Promise<readonly string[]>;
  /** Whether a file or folder of exactly this name exists. */
  readonly exists: (path: string) => Promise<boolean>;
  /** The library, loaded when it is needed and not before. */
  readonly core: () => Promise<Library>;
  /** The day as people here call it, `2026-11-26`. */
  readonly today: () => string;
  /** The store, opened when it is needed and not before; whoever opens it closes it. */
  readonly openStore: () => Promise<Store>;
  /** The caller asked for text without color by the environment. */
  readonly plainText: boolean;
}

export interface Sink {
  readonly isTTY: boolean;
  /** columns of the terminal; undefined where there is none */
  readonly columns: number | undefined;
  /** Resolves when more may be written; never fails because the reader has gone away. */
  write(text: string): Promise<void>;
}

/** What the command line asks of the library. */
export interface Library {
  readonly VERSION: string;
  readonly LIMITS: { readonly maxBytes: number };
  readonly INCLUDES: readonly string[];
  readonly audit: (
    document: unknown,
    options?: { readonly include?: readonly string[]; readonly profile?: string },
  ) =>
    | { readonly ok: true; readonly audit: Audit }
    | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };
  readonly report: (document: unknown, options?: ReportOptions) => ReportResult;
  readonly readJson: (
    bytes: Uint8Array,
  ) => { readonly ok: true; readonly value: unknown } | { readonly ok: false; readonly problem: Problem };
  readonly renderText: (audit: Audit, options: { readonly width: number; readonly color: boolean }) => string;
  readonly renderProblems: (
    document: string,
    found: { readonly detail: string; readonly problems: readonly Problem[]; readonly total: number },
    options: { readonly width: number; readonly color: boolean },
  ) => string;
  readonly expand: (
    document: unknown,
  ) =>
    | { readonly ok: true; readonly document: object }
    | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };
  readonly calculate: (name: string, inputs: unknown) => CalculationResult;
  readonly calculations: () => readonly CalculationInfo[];
  readonly renderCalculation: (answer: CalculationAnswer, options: TextOptions) => string;
  readonly locateBlockage: (network: unknown, observations: unknown, at?: unknown) => BlockageResult;
  readonly renderBlockage: (blockage: Blockage, options: TextOptions) => string;
  readonly backup: (network: unknown, blocked: unknown) => BackupResult;
  readonly renderBackup: (backup: BackupAnswer, options: TextOptions) => string;
  readonly drawRiser: (
    network: unknown,
    request?: { readonly highlight?: unknown; readonly riser?: unknown; readonly width?: unknown },
  ) => DrawingResult;
  readonly drawPath: (
    network: unknown,
    request: { readonly fanCoil: unknown; readonly blocked?: unknown; readonly width?: unknown },
  ) => DrawingResult;
  readonly commissioning: (document: unknown) => CommissioningResult;
  readonly renderCommissioningPage: (sheet: CommissioningSheet, options: { readonly date?: string }) => string;
  readonly renderCommissioning: (sheet: CommissioningSheet, options: TextOptions) => string;
  readonly plain: (text: string) => string;
  readonly rules: () => readonly Listed[];
  readonly profiles: () => readonly Listed[];
  readonly materials: () => readonly Listed[];
  readonly networkSchema: () => object;
}

interface TextOptions {
  readonly width: number;
  readonly color: boolean;
}

/** An entry of a catalogue: whatever it holds, it has an id. */
export interface Listed {
  readonly id: string;
  readonly title?: string;
}
