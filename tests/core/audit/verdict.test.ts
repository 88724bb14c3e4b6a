import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { type Audit, audit } from "../../../src/core/index.js";

type Part = Record<string, unknown>;
interface Network extends Part {
  nodes: Part[];
  pipes: Part[];
}

const tutorial = readFileSync(new URL("../../../fixtures/buildings/three-coils.json", import.meta.url), "utf8");

/** The three coils of the tutorial, changed. As it stands FC-3 has no trap; its pan is under suction. */
const judged = (change: (network: Network) => void): Audit => {
  const network = JSON.parse(tutorial) as Network;
  change(network);
  const result = audit(network);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.audit;
};

const part = (list: readonly Part[], id: string): Part => {
  const found = list.find((each) => each.id === id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
};

/** Fits the trap that FC-3 lacks, as its neighbors have it. */
const fitTrap = ({ nodes, pipes }: Network): void => {
  nodes.push({ ...part(nodes, "T-2"), id: "T-3" });
  const drain = part(pipes, "P-3a");
  pipes.push({ ...drain, id: "P-3b", from: "T-3", length: 0.3 });
  Object.assign(drain, { to: "T-3", length: 0.4 });
};

const failing = ({ findings }: Audit) =>
  findings.filter(({ outcome }) => outcome === "fail").map(({ rule, severity }) => `${rule} ${severity}`);
const open = ({ findings }: Audit) =>
  findings.filter(({ outcome }) => outcome === "undetermined").map(({ family, severity }) => `${family} ${severity}`);

describe("the verdict", () => {
  it("is faulty where a critical fails, whatever else holds", () => {
    const answer = judged(() => {});
    expect(failing(answer)).toEqual(["seal.missing critical"]);
    expect(answer.verdict).toBe("faulty");
  });

  it("is faulty where a major fails, also beside open questions", () => {
    const answer = judged((network) => {
      delete part(network.nodes, "FC-3").panStatic;
      Object.assign(part(network.nodes, "M-3"), { elevation: 2.6 });
    });
    expect(failing(answer)).toContain("fall.reverse major");
    expect(open(answer)).toContain("missing critical");
    expect(answer.verdict).toBe("faulty");
  });

  it("is that no fault was found where nothing fails and all is decided", () => {
    const answer = judged(fitTrap);
    expect(answer.findings).toEqual([]);
    expect(answer.decidedShare).toBe(1);
    expect(answer.verdict).toBe("no-fault-found");
  });

  it("is not moved by what is minor", () => {
    const answer = judged((network) => {
      fitTrap(network);
      delete part(network.nodes, "V-2").vent;
    });
    expect(failing(answer)).toEqual(["air.branch-vent minor"]);
    expect(answer.verdict).toBe("no-fault-found");
  });

  it("is undetermined where a figure is missing that a serious question needs", () => {
    const answer = judged((network) => {
      delete part(network.nodes, "FC-3").panStatic;
    });
    expect(failing(answer)).toEqual([]);
    expect(open(answer)).toContain("missing critical");
    expect(answer.decidedShare).toBeLessThan(1);
    expect(answer.verdict).toBe("undetermined");
  });

  it("is undetermined where the survey cannot tell", () => {
    const answer = judged((network) => {
      fitTrap(network);
      network.stage = "as-built";
      Object.assign(network.site as Part, { surveyTolerance: "20 mm" });
    });
    expect(failing(answer)).toEqual([]);
    expect(open(answer)).toContain("tolerance major");
    expect(answer.verdict).toBe("undetermined");
  });

  it("is that no fault was found, beside what lies outside the methods", () => {
    const answer = judged((network) => {
      fitTrap(network);
      Object.assign(part(network.pipes, "M-e"), { material: "pvdf" });
    });
    expect(failing(answer)).toEqual([]);
    expect([...new Set(open(answer))].sort()).toEqual(["method major", "method minor"]);
    expect(answer.decidedShare).toBeLessThan(1);
    expect(answer.verdict).toBe("no-fault-found");
  });
});
