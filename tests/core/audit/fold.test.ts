import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { analyse } from "../../../src/core/analysis/analyse.js";
import { fold, foldedRules } from "../../../src/core/audit/fold.js";
import { judge } from "../../../src/core/audit/judge.js";
import { compile } from "../../../src/core/graph/compile.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { profileById } from "../../../src/core/profiles/profiles.js";
import { catalogue } from "../../../src/core/rules/catalogue.js";

/** Which cause each failing rule of a fixture goes under when only these rules judge. */
const causes = (fixture: string, rules: readonly string[]): Record<string, string> => {
  const file = new URL(`../../../fixtures/rules/${fixture}.json`, import.meta.url);
  const read = readNetwork(JSON.parse(readFileSync(file, "utf8")).document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const net = compile(read.model);
  const profile = profileById("imc")!;
  const facts = analyse(net, profile);
  const asked = catalogue.filter(({ id }) => rules.includes(id));
  const { judged } = judge(asked, { net, facts, profile, wantPasses: false }, read.model.stage);
  const roots = fold(net, facts, judged);
  return Object.fromEntries(
    roots.flatMap((root) => [
      [root.rule.id, "-"],
      ...root.consequences.map((effect) => [effect.rule.id, effect.cause!.rule.id]),
    ]),
  );
};

describe("one cause, one finding", () => {
  it("names only rules that exist", () => {
    const known = new Set(catalogue.map((rule) => rule.id));
    expect([...foldedRules].filter((id) => !known.has(id))).toEqual([]);
  });

  it("locked air behind an outlet under water: of several causes the first that is written counts", () => {
    const fixture = "air.trapped/fail-folded-into-the-water-outside";
    const outside = "outlet.submerged";
    expect(causes(fixture, ["air.trapped"])).toEqual({ "air.trapped": "-" });
    expect(causes(fixture, ["air.trapped", outside])).toEqual({ [outside]: "-", "air.trapped": outside });
    expect(causes(fixture, ["air.trapped", "seal.double", outside])).toEqual({
      [outside]: "-",
      "seal.double": "-",
      "air.trapped": outside,
    });
    expect(causes(fixture, ["air.trapped", "seal.unintended", "seal.double", "fall.standing-water", outside])).toEqual({
      [outside]: "-",
      "fall.standing-water": outside,
      "seal.unintended": "fall.standing-water",
      "seal.double": "seal.unintended",
      "air.trapped": "seal.unintended",
    });
  });

  it("a pool that the water outside holds is its effect before it is that of a rising pipe", () => {
    const fixture = "fall.standing-water/fail-folded-into-water-outside-and-rise";
    const pool = "fall.standing-water";
    expect(causes(fixture, [pool, "fall.reverse"])).toEqual({ "fall.reverse": "-", [pool]: "fall.reverse" });
    expect(causes(fixture, [pool, "fall.reverse", "outlet.submerged"])).toEqual({
      "fall.reverse": "-",
      "outlet.submerged": "-",
      [pool]: "outlet.submerged",
    });
    const shallow = "fall.shallow-pool/fail-folded-into-the-water-outside";
    expect(causes(shallow, ["fall.shallow-pool", "outlet.submerged"])).toEqual({
      "outlet.submerged": "-",
      "fall.shallow-pool": "outlet.submerged",
    });
  });
});
