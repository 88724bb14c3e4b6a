/** What a bare number in a document means. */
export type UnitSystem = "si" | "us";
