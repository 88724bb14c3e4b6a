// What findings propose is carried out on their documents, and audited again.
import { describe, expect, it } from "vitest";
import { audit, carryOut, expand } from "../../../src/core/index.js";
import { catalogue } from "../../../src/core/rules/catalogue.js";
import { riserOfThree } from "../../builders/riser-of-three.js";
import { fixtureFiles, readFixture } from "../rules/truth-table.js";

const failing = (document: unknown) => {
  const result = audit(document);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return new Map(result.audit.findings.filter(({ outcome }) => outcome === "fail").map((f) => [f.id, f]));
};
const done = (document: unknown, remedies: unknown) => {
  const result = carryOut(document, remedies);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.document;
};
const problemsOf = (remedies: unknown, document: unknown = riserOfThree()) => {
  const result = carryOut(document, remedies);
  return result.ok ? [] : result.problems.map(({ pointer, code }) => `${pointer} ${code}`);
};

/** Steps that help only together with those of another finding of the same document. */
const TOGETHER = new Set([
  "air.branch-vent fail-vent-under-water.json",
  "air.main-vent fail-vent-beyond-standing-water.json",
]);

describe("remedies that are carried out", () => {
  let carried = 0;
  const actions = new Set<string>();
  const cases = catalogue.flatMap(({ id }) =>
    fixtureFiles(id)
      .filter((file) => file.startsWith("fail-"))
      .map((file) => [id, file] as const),
  );
  it.each(cases)("clear what they say: %s %s", (rule, file) => {
    if (TOGETHER.has(`${rule} ${file}`)) return;
    const { document } = readFixture(rule, file);
    for (const finding of failing(document).values()) {
      if (finding.remedy.length === 0) continue;
      if (![finding.rule, ...finding.consequences.map((each) => each.rule)].includes(rule)) continue;
      const result = carryOut(document, finding.remedy);
      if (!result.ok) {
        // only what leaves a choice may be left undone
        expect(result.problems.filter(({ code }) => code !== "undecided")).toEqual([]);
        continue;
      }
      const after = failing(result.document);
      for (const id of new Set([finding.id, ...finding.remedy.flatMap(({ clears }) => clears)]))
        expect(after.get(id)?.message, `${id} after ${finding.remedy.map(({ text }) => text).join(" ")}`).toBe(
          undefined,
        );
      for (const { action } of finding.remedy) actions.add(action);
      carried++;
    }
  });

  it("were many, and of many sorts", () => {
    expect(carried).toBeGreaterThan(60);
    expect(actions.size).toBeGreaterThan(25);
  });

  it("change what they name and nothing else", () => {
    const before = expand(riserOfThree());
    const after = done(riserOfThree(), [{ action: "lower-node", on: "J-2", amount: 0.022, unit: "m" }]);
    expect(before.ok).toBe(true);
    const changed = after.nodes.filter(
      (node, i) => before.ok && JSON.stringify(node) !== JSON.stringify(before.document.nodes[i]),
    );
    expect(changed).toMatchObject([{ id: "J-2", elevation: 5.94 - 0.022 }, { id: "B/cleanout" }]);
    // a branch may not be shorter than it is high
    expect(after.pipes.find(({ id }) => id === "R-3")?.length).toBeCloseTo(3.022, 9);
  });

  it("are in the units of the document", () => {
    const document = { ...riserOfThree(), units: "us" };
    for (const pipe of document.pipes) pipe.size = "1 in";
    for (const node of document.nodes) if (node.pan) node.pan = { rimHeight: 2, outletSize: "3/4 in" };
    const after = done(document, [
      { action: "raise-node", on: "F-2", amount: 0.3048, unit: "m" },
      { action: "enlarge-pipe", on: "R-1", amount: 40 },
      { action: "insulate", on: "R-1", amount: 0.0254, unit: "m" },
    ]);
    expect(after.nodes.find(({ id }) => id === "F-2")?.elevation).toBeCloseTo(7, 9);
    expect(after.pipes.find(({ id }) => id === "R-1")).toMatchObject({ size: "DN 40", insulation: { thickness: 1 } });
  });

  it("reach into what typicals and levels of floors have made", () => {
    const document = riserOfThree();
    for (const node of document.nodes) if (node.kind === "fan-coil") node.elevation = { floor: node.floor, above: 2.5 };
    const after = done(document, [{ action: "raise-node", on: "F-2", amount: 0.01, unit: "m" }]);
    expect(after.nodes.find(({ id }) => id === "F-2")?.elevation).toBeCloseTo(6.01, 9);
    expect(after.nodes.find(({ id }) => id === "F-3")?.elevation).toBeCloseTo(9, 9);
  });

  it("are refused by their place in the list where they cannot be", () => {
    expect(problemsOf("x")).toEqual([" wrong-type"]);
    expect(problemsOf([{ action: "raise-node" }])).toEqual(["/0/on missing-field"]);
    expect(
      problemsOf([
        { action: "raise-node", on: "F-2", amount: 0.01 },
        { action: "paint", on: "F-2" },
        { action: "raise-node", on: "F-9", amount: 0.01 },
        { action: "raise-node", on: "F-2" },
        { action: "connect", on: "F-2" },
        { action: "re-hang", on: "B-2", amount: 0.01 },
      ]),
    ).toEqual([
      "/1/action bad-value",
      "/2/on unknown-reference",
      "/3/amount missing-field",
      "/4 undecided",
      "/5 undecided",
    ]);
    expect(problemsOf([{ action: "move-outlet", on: "OUT", what: "a bucket" }])[0]).toMatch(/^ /);
  });

  it("leave the document that was given as it was", () => {
    const document = riserOfThree();
    done(document, [{ action: "remove-pipe", on: "B-3" }]);
    expect(document).toEqual(riserOfThree());
  });
});
