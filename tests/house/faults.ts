/** A small change to one file that makes the program wrong, and the tests that must notice. */
export interface PlantedFault {
  /** the room under src */
  readonly room: string;
  /** what is now wrong, in words */
  readonly what: string;
  readonly file: string;
  /** occurs exactly once in the file */
  readonly find: string;
  readonly replace: string;
  /** file or folder of tests */
  readonly test: string;
  /** the tests run what is built, so build with the fault */
  readonly builds?: true;
}

export const faults: readonly PlantedFault[] = [
  {
    room: "core/present",
    what: "a bidirectional override in a name is printed as it is",
    file: "src/core/present/plain.ts",
    find: "\\p{Cf}",
    replace: "",
    test: "tests/core/present",
  },
  {
    room: "core/present",
    what: "an undetermined finding is marked like a failing one",
    file: "src/core/present/text.ts",
    find: 'if (finding.outcome === "fail") return severityMarks',
    replace: 'if (finding.outcome !== "pass") return severityMarks',
    test: "tests/core/present",
  },
  {
    room: "cli",
    what: "bad input no longer beats a document that reaches the bar",
    file: "src/cli/audit-files.ts",
    find: "if (exit === EXIT.fine && reaches",
    replace: "if (reaches",
    test: "tests/cli",
  },
  {
    room: "cli",
    what: "a contingency counts like a condition",
    file: "src/cli/bar.ts",
    find: ' && kind !== "contingency"',
    replace: ' && kind !== "record"',
    test: "tests/cli",
  },
];
