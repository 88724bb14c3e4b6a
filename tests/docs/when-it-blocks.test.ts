import { describe, expect, it } from "vitest";
import { type BackupAnswer, expand } from "../../src/core/index.js";
import { type FloodEvent, flood } from "../reference/flooding.js";
import type { PlainDocument, PlainNode, PlainPipe } from "../reference/plain-network.js";
import { type ToldTale, tales } from "./when-it-blocks.js";

// docs/when-it-blocks.md shows what is answered; here is what must be answered, flooded step by step by another program.

type Json = Record<string, unknown>;
const told = tales();

/** The first riser alone, levels as plain figures: its coils state their rates. */
const firstRiser = ({ document }: ToldTale): PlainDocument => {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(JSON.stringify(expanded.problems));
  const whole = expanded.document as Json & { nodes: Json[]; pipes: Json[]; floors: Json[] };
  const isOurs = (id: unknown): boolean => /^\d\d01-|^R1-|^B-01$/.test(String(id));
  const floors = new Map(whole.floors.map(({ id, elevation }) => [id, Number(elevation)]));
  const levelOf = (elevation: unknown): number => {
    if (typeof elevation === "number") return elevation;
    const { floor, node, above } = elevation as { floor?: string; node?: string; above: number };
    return (
      above + (floor === undefined ? levelOf(whole.nodes.find(({ id }) => id === node)!.elevation) : floors.get(floor)!)
    );
  };
  const nodes = whole.nodes
    .filter(({ id }) => isOurs(id))
    .map((node) => ({ ...node, elevation: levelOf(node.elevation) }) as unknown as PlainNode);
  const outlet: PlainNode = { id: "M-GYM", kind: "outlet", elevation: 0 };
  const devices = whole.overflowDevices as Json[];
  return {
    format: 1,
    id: "riser",
    units: "si",
    profile: "imc",
    stage: "design",
    nodes: [...nodes, outlet],
    pipes: whole.pipes.filter(({ from }) => isOurs(from)) as unknown as PlainPipe[],
    overflowDevices: devices.filter(({ at }) => isOurs(at)) as unknown as PlainDocument["overflowDevices"],
    circuits: whole.circuits as PlainDocument["circuits"],
  };
};

const WORDS: Readonly<Record<string, FloodEvent["what"]>> = {
  ...{ trips: "trip", "fans-stop": "fans", spills: "spill", stands: "stands" },
};
const lines = ({ story }: BackupAnswer): [string, number][] =>
  story
    .filter(({ event }) => event in WORDS)
    .map(({ event, device, fanCoils, openings, minutes }) => [
      `${WORDS[event]} ${[device ?? (event === "fans-stop" ? fanCoils.join() : openings.map(({ node }) => node).join())]}`,
      minutes.latest! * 60,
    ]);

describe("the tales of docs/when-it-blocks.md", () => {
  it.each(told)("$title: as a step-by-step flooding has it", (tale) => {
    const reference = flood(firstRiser(tale), tale.pipe, false);
    const product = lines(tale.answer);
    expect(product.map(([line]) => line)).toEqual(reference.map(({ what, ids }) => `${what} ${ids.join()}`));
    for (const [i, { seconds }] of reference.entries())
      expect(Math.abs(product[i][1] - seconds), reference[i].what).toBeLessThan(1e-3 * seconds + 0.1);
  });

  const [foot, watched, higher] = told.map(({ answer }) => answer);
  it("the first comes out at the lowest pan, whose own switch has stopped its own water alone", () => {
    expect(foot.outcome).toBe("uncontained");
    expect(foot.firstTrip?.device).toBe("0101-B/switch");
    expect(foot.firstSpill?.openings.map(({ node, dwelling }) => [node, dwelling])).toEqual([["0101-B/coil", "0101"]]);
    // 12 coils of 2.12 L/h and 12 of 1.4 L/h, less the one that its switch stops
    expect(foot.firstSpill?.litersPerHour).toBeCloseTo(12 * 2.12 + 11 * 1.4, 9);
    expect(foot.wouldContain).toMatchObject({ node: "B-01", devices: [] });
    expect(foot.wouldContain?.stops).toHaveLength(24);
  });

  it("the second stands at the switch, with room for half a litre of each of the 24 coils", () => {
    expect([watched.outcome, watched.story.at(-1)?.event]).toEqual(["contained", "stands"]);
    expect(watched.firstTrip?.device).toBe("FOOT-SWITCH");
    expect(watched.afterRun?.volume).toBeCloseTo(24 * 0.0005, 12);
    expect(watched.afterRun?.fits).toBe(true);
    expect(watched.wouldContain).toBeNull();
  });

  it("the third is not seen, and says so", () => {
    expect([higher.outcome, higher.firstTrip?.device]).toEqual(["uncontained", "0201-B/switch"]);
    expect(higher.firstSpill?.openings.map(({ dwelling }) => dwelling)).toEqual(["0201"]);
    expect(higher.message.join(" ")).toContain("FOOT-SWITCH cannot see it");
    expect(higher.wouldContain?.devices).toEqual([]);
  });
});
