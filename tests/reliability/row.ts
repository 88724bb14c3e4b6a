/** What one procedure found. */
export interface Row {
  /** as the table of reliability numbers them */
  readonly id: string;
  readonly what: string;
  /** null: no database is in play */
  readonly engine: "embedded" | "external" | null;
  /** null: not run */
  readonly passed: boolean | null;
  /** what was counted and measured; times in ms */
  readonly figures: Readonly<Record<string, number>>;
  /** what went wrong, or why it was not run */
  readonly notes: readonly string[];
}

export interface Settings {
  /** folder of the built programs */
  readonly programs: string;
  readonly seed: number;
  /** a few seconds rather than minutes */
  readonly quick: boolean;
}
