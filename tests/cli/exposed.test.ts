import { beforeAll, describe, expect, it } from "vitest";
import { bars } from "../../src/cli/bar.js";
import { run } from "../../src/cli/run.js";
import { type Audit, audit } from "../../src/core/index.js";
import { towerOfCoils } from "../builders/tower.js";
import { scene } from "./fakes.js";

// A sound tower in which each pan's switch stops its own coil alone: nothing in it fails as it stands, and a blocked riser
// floods the lowest pan above the blockage with the water of all the others.
const document = towerOfCoils(50, 4, 0);

describe("a tower that is sound and exposed", () => {
  let answer: Audit;
  beforeAll(() => {
    const result = audit(document);
    if (!result.ok) throw new Error(JSON.stringify(result.problems));
    answer = result.audit;
  });

  it("has no failing condition or record, and an exposure that is a finding of its own", () => {
    const failing = answer.findings.filter(({ outcome }) => outcome === "fail");
    expect(new Set(failing.map(({ rule, kind }) => `${kind} ${rule}`))).toEqual(
      new Set(["contingency backup.uncontained"]),
    );
    expect(answer.verdict).toBe("no-fault-found");
    expect(answer.exposure?.state).toBe("exposed");
  });

  it.each(bars)("fails on %s only where that asks for the exposure", async (bar) => {
    const { around } = scene({ files: { "tower.json": document }, library: { audit } });
    expect(await run(["audit", "tower.json", "--fail-on", bar], around)).toBe(bar === "exposed" ? 1 : 0);
  });

  it("fails on no bar once one switch on each drain stops every coil above it", async () => {
    const coils = document.nodes.filter(({ kind }) => kind === "fan-coil").map(({ id }) => id);
    const wired = { ...document, circuits: document.circuits.map((circuit) => ({ ...circuit, stops: coils })) };
    const { around } = scene({ files: { "tower.json": wired }, library: { audit } });
    expect(await run(["audit", "tower.json", "--fail-on", "exposed"], around)).toBe(0);
  });
});
