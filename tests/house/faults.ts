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
    room: "core/quantity",
    what: "ids with leading zeros no longer have a fixed order",
    file: "src/core/quantity/natural-order.ts",
    find: "if (aZeros !== bZeros) return aZeros - bZeros;",
    replace: "",
    test: "tests/core/quantity",
  },
  {
    room: "core/quantity",
    what: "a figure that must be at least its limit is rounded up",
    file: "src/core/quantity/format.ts",
    find: 'toward === "down" ? Math.floor(scaled)',
    replace: 'toward === "down" ? Math.ceil(scaled)',
    test: "tests/core/quantity",
  },
  {
    room: "core/sources",
    what: "what is recalled from memory is listed as read",
    file: "src/core/sources/sources.ts",
    find: 'seen: "memory",\n  },\n  {\n    id: "firm"',
    replace: 'seen: "read",\n  },\n  {\n    id: "firm"',
    test: "tests/core/sources",
  },
  {
    room: "core/physics",
    what: "water in a tilted pipe is measured across the axis instead of plumb",
    file: "src/core/physics/tilted-volume.ts",
    find: "const high = Math.min(insideDiameter, (level - full * sine) / cosine);",
    replace: "const high = Math.min(insideDiameter, level - full * sine);",
    test: "tests/core/physics",
  },
  {
    room: "core/physics",
    what: "the outlet leg of a trap falls by the share of the wrong leg",
    file: "src/core/physics/trap-statics.ts",
    find: "(head * inletArea) / (inletArea + outletArea)",
    replace: "(head * outletArea) / (inletArea + outletArea)",
    test: "tests/core/physics",
  },
  {
    room: "core/materials",
    what: "the mean bore takes the least wall for the mean wall",
    file: "src/core/materials/size-tables.ts",
    find: "outside - 2 * leastWall - Math.max(0.12 * leastWall, 0.02)",
    replace: "outside - 2 * leastWall",
    test: "tests/published/tables.test.ts",
  },
  {
    room: "core/profiles",
    what: "the code table lets 100 tons drain through 1-1/4 in",
    file: "src/core/profiles/base-limits.ts",
    find: "[90, 32],",
    replace: "[100, 32],",
    test: "tests/published/codes.test.ts",
  },
  {
    room: "core/network",
    what: "two members of one name pass, and the second silently wins",
    file: "src/core/network/json.ts",
    find: "membersOf(value) !== colons",
    replace: "membersOf(value) > colons",
    test: "tests/core/network/json.test.ts",
  },
  {
    room: "core/network",
    what: "a level relative to another node is taken downward",
    file: "src/core/network/levels.ts",
    find: "return draft.z[draft.relativeTo[item]] + draft.z[item];",
    replace: "return draft.z[draft.relativeTo[item]] - draft.z[item];",
    test: "tests/core/network",
  },
  {
    room: "core/graph",
    what: "a loop of two drains, to and fro, is not seen",
    file: "src/core/graph/cycles.ts",
    find: ".filter((group) => group.length > 1)",
    replace: ".filter((group) => group.length > 2)",
    test: "tests/core/graph",
  },
  {
    room: "core/analysis",
    what: "water never stands above the invert",
    file: "src/core/analysis/standing-water.ts",
    find: "level[node] = Math.max(z[node], h);",
    replace: "level[node] = z[node];",
    test: "tests/core/rules/fall.test.ts",
  },
  {
    room: "core/analysis",
    what: "a junction hands on the water of its last branch instead of the sum",
    file: "src/core/analysis/loads.ts",
    find: "here += sum[p];",
    replace: "here = sum[p];",
    test: "tests/published/epanet-sums.test.ts",
  },
  {
    room: "core/rules",
    what: "a rise that the survey could be wrong about fails",
    file: "src/core/rules/fall/reverse.ts",
    find: 'atMost(height, halfWidth) ? "undetermined" : "fail"',
    replace: 'atMost(height, 0) ? "undetermined" : "fail"',
    test: "tests/core/rules/fall.test.ts",
  },
  {
    room: "core/rules",
    what: "a pan of unknown static is taken for one under suction",
    file: "src/core/rules/seal/missing.ts",
    find: 'trap >= 0 ? "pass" : unknown ? "undetermined" : "fail"',
    replace: 'trap >= 0 ? "pass" : "fail"',
    test: "tests/core/rules/seal.test.ts",
  },
  {
    room: "core/audit",
    what: "an effect is reported beside its cause instead of within it",
    file: "src/core/audit/fold.ts",
    find: "else root.consequences.push(f);",
    replace: "else roots.push(f);",
    test: "tests/buildings.test.ts",
  },
  {
    room: "core/audit",
    what: "a building with a question open is called free of faults",
    file: "src/core/audit/run.ts",
    find: '      finding.family !== "method" &&\n',
    replace: '      finding.family === "method" &&\n',
    test: "tests/core/audit",
  },
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
    room: "service",
    what: "the last line of a stream is lost where no line feed ends it",
    file: "src/service/lines.ts",
    find: "const last = length > 0 ? finish() : null;",
    replace: "const last = length < 0 ? finish() : null;",
    test: "tests/service/lines.test.ts",
  },
  {
    room: "http",
    what: "a body shorter than its Content-Length says is audited as if it were whole",
    file: "src/http/body.ts",
    find: "else if (declared !== null && declared !== seen) {",
    replace: "else if (declared !== null && declared < seen) {",
    test: "tests/http/statuses.test.ts",
  },
  {
    room: "main",
    what: "a reader that goes away brings the command line down",
    file: "src/main/cli.ts",
    find: 'if (error.code !== "EPIPE") throw error;',
    replace: "if (error.code !== undefined) throw error;",
    test: "tests/cli/spawned.test.ts",
    builds: true,
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
