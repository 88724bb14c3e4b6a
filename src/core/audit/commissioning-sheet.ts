import type { SourceId } from "../sources/sources.js";

/** The test sheet of a commissioning day, in walking order from the roof down. */
export interface CommissioningSheet {
  readonly format: 1;
  readonly engine: { readonly name: "drainward"; readonly version: string; readonly catalogue: string };
  readonly network: { readonly id: string; readonly name: string | null; readonly digest: string };
  readonly profile: { readonly id: string; readonly edition: string };
  readonly stage: "design" | "as-built" | "in-service";
  /** the document's: of what is said, and of what people write in the boxes */
  readonly units: "si" | "us";
  readonly stops: readonly SheetStop[];
  readonly assumptions: readonly {
    readonly name: string;
    /** SI base unit */
    readonly value: number;
    readonly unit: string;
    /** the same in the document's units */
    readonly text: string;
    readonly source: SourceId;
  }[];
  readonly cautions: readonly string[];
}

/** Where somebody stands and works: at a fan coil, at the upper end of a main, a pump, an outlet; last the building. */
export interface SheetStop {
  readonly title: string;
  readonly kind: "main" | "fan-coil" | "pump" | "outlet" | "building";
  /** id of the floor; null where none is known */
  readonly floor: string | null;
  readonly dwelling: string | null;
  readonly checks: readonly SheetCheck[];
}

export const CHECK_KINDS = [
  "isolate",
  "trial-assembly",
  "prime",
  "pour-fan-off",
  "pour-fan-on",
  "switch",
  "second-line",
  "flush",
  "flow-test",
  "pump",
  "outlet",
  "question",
] as const;
export type CheckKind = (typeof CHECK_KINDS)[number];

/** One thing to do or to look at, with boxes to fill. */
export interface SheetCheck {
  /** kind (of a question: `question.` and the rule), `~`, and what it is about: the same in the next revision */
  readonly id: string;
  readonly kind: CheckKind;
  /** the rule whose question it answers, null none */
  readonly rule: string | null;
  readonly subject: {
    readonly fanCoils: readonly string[];
    readonly nodes: readonly string[];
    readonly pipes: readonly string[];
    readonly devices: readonly string[];
  };
  /** sentences for people */
  readonly text: string;
  readonly expected: readonly SheetFigure[];
  readonly boxes: readonly SheetBox[];
}

/** What is expected. */
export interface SheetFigure {
  readonly name: string;
  /** SI base unit; null where it cannot be told */
  readonly value: number | null;
  readonly unit: string;
  /** the same in the document's units; null where it cannot be told */
  readonly text: string | null;
  /** why it cannot be told; null where it can */
  readonly reason: string | null;
}

export interface SheetBox {
  readonly name: string;
  readonly form: "yes-no" | "figure" | "text";
  /** SI base unit of a figure */
  readonly unit: string | null;
  /** the document's unit of a figure, as it is read off a jug, a rule or a gauge */
  readonly writtenIn: string | null;
  /** what the box asks, a few words */
  readonly label: string;
}
