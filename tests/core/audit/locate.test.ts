// Where a blockage is, over the tower of the demonstration: wet places, weights, checks and work are worked out here once
// more, plainly, from the document as it is written out and the facts of its audit.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Blockage, locateBlockage } from "../../../src/core/audit/locate.js";
import { audit, expand } from "../../../src/core/index.js";

type Json = Record<string, unknown>;
interface Element extends Json {
  readonly id: string;
}
interface Written extends Json {
  readonly floors: readonly (Element & { elevation: number })[];
  readonly nodes: readonly (Element & { kind: string })[];
  readonly pipes: readonly (Element & { from: string; to: string; role?: string; length: number })[];
  readonly overflowDevices: readonly (Element & { at: string; tripHeight?: number; tripElevation?: unknown })[];
}
interface Told {
  readonly pipes: readonly { id: string; insideDiameter: number; grade: number; isVertical: boolean }[];
  readonly pools: readonly { pipes: readonly string[] }[];
}
type Seen = readonly [type: string, node: string];

const read = (name: string): Json =>
  JSON.parse(readFileSync(new URL(`../../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));
const tower = read("tower-design");
const boathouse = read("three-coils");
const T = Date.parse("2026-07-14T09:30:00Z");
const at = (minutes: number) => new Date(T + 60_000 * minutes).toISOString();
const observations = (seen: readonly Seen[]) => seen.map(([type, node], i) => ({ type, node, time: at(i) }));
const locate = (document: unknown, seen: readonly Seen[] | readonly Json[], until?: string): Blockage => {
  const list = seen.map((each, i) =>
    Array.isArray(each) ? observations([each as Seen])[0] : { time: at(i), ...(each as Json) },
  );
  const made = locateBlockage(document, list, until);
  if (!made.ok) throw new Error(JSON.stringify(made.problems, null, 1));
  return made.blockage;
};

const G = 9.80665;
const DENSITY = 999.702;

/** The tower on paper: who is above whom, at which pool level each place is wet, what blocks how readily. */
class Paper {
  readonly document: Written;
  readonly facts: Told;
  readonly #into = new Map<string, string[]>();
  readonly #wetAt = new Map<string, number>();
  readonly #spillAt = new Map<string, number>();

  constructor(document: unknown) {
    const written = expand(document);
    const audited = audit(document, { include: ["all"] });
    if (!written.ok || !audited.ok) throw new Error("the tower is no network");
    this.document = JSON.parse(JSON.stringify(written.document));
    this.facts = audited.audit.facts as unknown as Told;
    const floors = new Map(this.document.floors.map(({ id, elevation }) => [id, elevation]));
    const levelOf = (of: unknown): number =>
      typeof of === "number" ? of : floors.get((of as { floor: string }).floor)! + (of as { above: number }).above;
    // water comes down drains; vents and stubs stand on the drains
    for (const { from, to, role } of this.document.pipes) {
      const [low, high] = role === "vent" || role === "access" ? [from, to] : [to, from];
      const known = this.#into.get(low);
      if (known === undefined) this.#into.set(low, [high]);
      else known.push(high);
    }
    const lowest = (id: string, level: number) => Math.min(level, this.#wetAt.get(id) ?? level);
    const levels = new Map<string, number>();
    const shifts = new Map<string, number>();
    for (const { id, kind, ...node } of this.document.nodes) {
      const z = levelOf(node.elevation);
      levels.set(id, z);
      if (kind === "vent" && node.capped !== true && node.opening !== "admittance-valve") this.#spillAt.set(id, z);
      if (kind !== "fan-coil") continue;
      // while its fan sucks, the water in a pan stands higher than the pool below it
      const shift = Math.min(0, node.panStatic as number) / (DENSITY * G);
      shifts.set(id, shift);
      this.#spillAt.set(id, z + (node.pan as { rimHeight: number }).rimHeight / 1000 + shift);
    }
    for (const [id, spill] of this.#spillAt) this.#wetAt.set(id, spill);
    for (const { at: id, tripHeight, tripElevation } of this.document.overflowDevices) {
      const trip =
        tripElevation === undefined ? levels.get(id)! + (tripHeight ?? Number.NaN) / 1000 : levelOf(tripElevation);
      this.#wetAt.set(id, lowest(id, trip + (shifts.get(id) ?? 0)));
    }
  }

  /** every node whose water comes to a node, itself included */
  above(node: string): string[] {
    const met = new Set([node]);
    for (const each of met) for (const next of this.#into.get(each) ?? []) met.add(next);
    return [...met];
  }

  coilsAbove(node: string): string[] {
    const coils = new Set(this.document.nodes.filter(({ kind }) => kind === "fan-coil").map(({ id }) => id));
    return this.above(node).filter((id) => coils.has(id));
  }

  /** what is wet while nothing leaves a node */
  wets(node: string): string[] {
    const above = this.above(node);
    const first = Math.min(...above.map((id) => this.#spillAt.get(id) ?? Number.POSITIVE_INFINITY));
    return above.filter((id) => (this.#wetAt.get(id) ?? Number.POSITIVE_INFINITY) <= first + 0.01).sort();
  }

  /** metres of 20 mm pipe at a good fall that block as readily */
  prior(candidate: Blockage["candidates"][number]): number {
    const pipes = new Map(this.facts.pipes.map((each) => [each.id, each]));
    const bore = (id: string) => 0.02 / pipes.get(id)!.insideDiameter;
    if (candidate.pipe === null) {
      const like = { "pan-outlet": 1, trap: 2, pump: 2, receptor: 1, pipe: Number.NaN }[candidate.kind];
      const next = this.document.pipes.find(({ from, role }) => from === candidate.node && role === undefined);
      const last = this.document.pipes.find(({ to, role }) => to === candidate.node && role === undefined);
      return like * bore((next ?? last)!.id);
    }
    const { grade, isVertical } = pipes.get(candidate.pipe)!;
    const flat = isVertical || grade >= 0.02 ? 1 : grade >= 0.01 ? 2 : grade > 0 ? 3 : 5;
    const pool = this.facts.pools.some((each) => each.pipes.includes(candidate.pipe!)) ? 2 : 1;
    return this.document.pipes.find(({ id }) => id === candidate.pipe)!.length * flat * pool * bore(candidate.pipe);
  }
}

const paper = new Paper(tower);
const placeOf = ({ pipe, node }: Blockage["candidates"][number]): string =>
  pipe === null ? node! : paper.document.pipes.find(({ id }) => id === pipe)!.from;
const classWith = (blockage: Blockage, member: string) => {
  const found = blockage.classes.findIndex(({ members }) => members.includes(member));
  if (found < 0) throw new Error(`no class holds ${member}`);
  return found;
};
const candidateOf = (blockage: Blockage, id: string) => {
  const found = blockage.candidates.find(({ pipe, node }) => (pipe ?? node) === id);
  if (found === undefined) throw new Error(`${id} is no candidate`);
  return found;
};

describe("over the tower of the demonstration", () => {
  const seen: readonly Seen[] = [
    ["switch-trip", "0401-A/coil"],
    ["drains-freely", "0301-A/coil"],
    ["drains-freely", "0501-A/coil"],
  ];
  const answer = locate(tower, seen);

  test("every drain below a coil, pan outlet, trap and receptor is a candidate, and the weights make 1", () => {
    const drains = paper.document.pipes.filter(
      ({ role, from }) => role === undefined && paper.coilsAbove(from).length > 0,
    );
    expect(
      answer.candidates
        .filter(({ kind }) => kind === "pipe")
        .map(({ pipe }) => pipe)
        .sort(),
    ).toEqual(drains.map(({ id }) => id).sort());
    const count = (kind: string) => paper.document.nodes.filter((each) => each.kind === kind).length;
    expect(answer.candidates.filter(({ kind }) => kind === "pan-outlet")).toHaveLength(count("fan-coil"));
    expect(answer.candidates.filter(({ kind }) => kind === "trap")).toHaveLength(count("trap"));
    expect(answer.candidates.filter(({ kind }) => kind === "receptor")).toHaveLength(count("outlet"));
    expect(answer.candidates.reduce((sum, { weight }) => sum + weight, 0)).toBeCloseTo(1, 12);
    expect(answer.classes.reduce((sum, { weight }) => sum + weight, 0)).toBeCloseTo(1, 12);
  });

  test("each makes wet what stands lowest above it, and the like are one class", () => {
    for (const candidate of answer.candidates) {
      if (candidate.kind === "receptor") continue;
      const { wets, members } = answer.classes[candidate.class];
      expect([candidate.pipe ?? candidate.node, [...wets].sort()]).toEqual([
        candidate.pipe ?? candidate.node,
        paper.wets(placeOf(candidate)),
      ]);
      expect(members).toContain(candidate.pipe ?? candidate.node);
    }
    const keys = answer.classes.map(({ wets }) => wets.join("\n"));
    expect(new Set(keys).size).toBe(keys.length);
  });

  test("weighs by prior and by what each leaves unexplained, wrong one time in ten", () => {
    const expected = answer.candidates.map((candidate) => {
      const wets = new Set(answer.classes[candidate.class].wets);
      const missed = seen.flatMap(([type, node], i) => (wets.has(node) === (type !== "drains-freely") ? [] : [i]));
      expect(candidate.unexplained).toEqual(missed);
      return paper.prior(candidate) * 0.9 ** (seen.length - missed.length) * 0.1 ** missed.length;
    });
    const sum = expected.reduce((a, b) => a + b, 0);
    for (const [i, { weight }] of answer.candidates.entries()) expect(weight / (expected[i] / sum)).toBeCloseTo(1, 9);
    const weights = answer.candidates.map(({ weight }) => weight);
    expect(weights).toEqual([...weights].sort((a, b) => b - a));
  });

  test("says that it is private and whose, and that the coil alone needs to be stopped", () => {
    expect(answer.state).toBe("located");
    const [first] = answer.candidates;
    expect(first).toMatchObject({ pipe: "0401-A/branch", zone: "private", owner: "0401", class: 0, unexplained: [] });
    expect(answer.classes[0].wets).toEqual(["0401-A/coil"]);
    expect(answer.message.join(" ")).toMatch(
      /^Most likely blocked is the pipe 0401-A\/branch .+ It is private \(0401\)/,
    );
    const [work] = answer.work;
    expect(work).toEqual({
      candidate: "0401-A/branch",
      // the vent by the trap, of the branch's own size, and the cleanout of the riser below
      upstream: "0401-A/tee/vent",
      downstream: "R1-04/wye-B/cleanout",
      isolate: ["0401-A/coil"],
    });
    expect(answer.work.map(({ candidate }) => candidate)).toEqual(answer.classes[0].members.slice(0, 10));
  });

  test("two pans of one main: it is common and whose, and everything above it must be stopped", () => {
    const both = locate(tower, [
      ["water-seen", "G1/coil"],
      ["switch-trip", "G2/coil"],
    ]);
    expect(both.state).toBe("located");
    const pans = new Set(paper.coilsAbove("O-01"));
    expect(both.classes[0].wets.filter((id) => pans.has(id))).toEqual(["G1/coil", "G2/coil"]);
    const first = both.candidates[0];
    expect(first).toMatchObject({ zone: "common", owner: "association", unexplained: [], class: 0 });
    for (const { candidate, isolate } of both.work) {
      const pipe = paper.document.pipes.find(({ id }) => id === candidate);
      expect([...isolate].sort()).toEqual(paper.coilsAbove(pipe?.from ?? candidate).sort());
      expect(isolate.length).toBeGreaterThan(1);
    }
    expect(both.message.join(" ")).toContain("It is common (association).");
  });

  test("points to work from stand on the way and can be reached", () => {
    const both = locate(tower, [
      ["water-seen", "G1/coil"],
      ["water-seen", "G2/coil"],
    ]);
    const hosts = new Map(
      paper.document.pipes
        .filter(({ role }) => role === "access" || role === "vent")
        .map(({ from, to }) => [to, from] as const),
    );
    const below = (node: string): string[] => {
      const way = [node];
      for (;;) {
        const next = paper.document.pipes.find(({ from, role }) => from === way[way.length - 1] && role === undefined);
        if (next === undefined) return way;
        way.push(next.to);
      }
    };
    for (const { candidate, upstream, downstream } of [...both.work, ...answer.work]) {
      const pipe = paper.document.pipes.find(({ id }) => id === candidate);
      const host = (point: string) => hosts.get(point) ?? point;
      if (upstream !== null) expect(paper.above(pipe?.from ?? candidate)).toContain(host(upstream));
      if (downstream !== null) expect(below(pipe?.to ?? candidate)).toContain(host(downstream));
      expect(upstream ?? downstream).not.toBeNull();
    }
  });

  test("the next check is the one after which the least uncertainty is to be expected", () => {
    for (const looked of [answer, locate(tower, [["water-seen", "G1/coil"]]), locate(tower, [])]) {
      const plain = (weights: readonly number[]) => {
        const sum = weights.reduce((a, b) => a + b, 0);
        return -weights.reduce((h, w) => h + (w > 0 ? (w / sum) * Math.log2(w / sum) : 0), 0);
      };
      const after = (node: string): number =>
        [true, false].reduce((total, isWet) => {
          const weights = looked.classes.map(
            ({ weight, wets }) => weight * (wets.includes(node) === isWet ? 0.9 : 0.1),
          );
          return total + weights.reduce((a, b) => a + b, 0) * plain(weights);
        }, 0);
      const told = new Set(looked.observations.map(({ node }) => node));
      const places = [...new Set(looked.classes.flatMap(({ wets }) => wets))].filter((node) => !told.has(node));
      const least = Math.min(...places.map(after));
      expect(looked.nextCheck!.entropy).toBeCloseTo(plain(looked.classes.map(({ weight }) => weight)), 9);
      expect(looked.nextCheck!.expectedEntropy).toBeCloseTo(least, 9);
      expect(after(looked.nextCheck!.node)).toBeCloseTo(least, 9);
    }
    // one pan of the main is wet: whether the other is decides between the main and its own branch
    expect(locate(tower, [["water-seen", "G1/coil"]]).nextCheck!.node).toBe("G2/coil");
  });

  test("two blockages are offered only where one leaves two sightings unexplained", () => {
    const three: readonly Seen[] = [
      ["switch-trip", "0401-A/coil"],
      ["water-seen", "0401-A/coil"],
      ["switch-trip", "1002-B/coil"],
    ];
    expect(locate(tower, three).twoBlockages).toEqual([]);
    const four = locate(tower, [...three, ["water-seen", "1002-B/coil"]]);
    expect(four.candidates[0].unexplained).toHaveLength(2);
    const [best, ...others] = four.twoBlockages;
    expect(best.unexplained).toEqual([]);
    expect([...best.classes].sort()).toEqual(
      [classWith(four, "0401-A/branch"), classWith(four, "1002-B/branch")].sort(),
    );
    for (const other of others) expect(other.unexplained.length).toBeGreaterThanOrEqual(best.unexplained.length);
    expect(four.message.join(" ")).toContain("One blockage alone does not explain what was seen; two would:");
  });

  test("says that it cannot tell where the first two are alike and nothing is left to look at", () => {
    const two = locate(tower, [
      ["water-seen", "0301-B/coil"],
      ["water-seen", "0401-B/coil"],
    ]);
    expect(two.state).toBe("cannot-tell");
    expect(two.classes[0].weight).toBeLessThanOrEqual(1.5 * two.classes[1].weight);
    expect(two.message[0]).toMatch(/^It cannot be told whether .+0301-B\/branch.+, or .+0401-B\/branch/);
    // a second look at one of them decides
    const three = locate(tower, [
      ["water-seen", "0301-B/coil"],
      ["water-seen", "0401-B/coil"],
      ["drains-freely", "0401-B/coil"],
    ]);
    expect(three.state).toBe("located");
    expect(three.candidates[0].owner).toBe("0301");
  });

  test.each([
    [1.45, "cannot-tell"],
    [1.55, "located"],
  ])("which is so up to one and a half times: at %f it is %s", (times, state) => {
    const document = structuredClone(paper.document);
    const years = (times - 1) * 365.25 * 86_400_000;
    const lastCleaned = new Date(T - years).toISOString().slice(0, 10);
    for (const pipe of document.pipes)
      if (pipe.id.startsWith("0401-B/") || pipe.id === "R1-04/lower") Object.assign(pipe, { lastCleaned });
    const two = locate(document, [
      ["water-seen", "0301-B/coil"],
      ["water-seen", "0401-B/coil"],
    ]);
    expect(two.classes[0].members).toContain("0401-B/branch");
    expect(two.classes[0].weight / two.classes[1].weight).toBeCloseTo(times, 1);
    expect(two.state).toBe(state);
  });

  test("does not say so while a check is left that tells them apart", () => {
    const one = locate(tower, [["water-seen", "G1/coil"]]);
    expect(one.state).toBe("located");
    expect(one.nextCheck).not.toBeNull();
  });

  test("says nothing from what it was not told", () => {
    for (const none of [[], [["drains-freely", "0401-A/coil"]], [["slow-drain", "0401-A/coil"]]] as Seen[][]) {
      const quiet = locate(tower, none);
      expect(quiet.state).toBe("nothing-reported");
      expect(quiet.work).toEqual([]);
      expect(quiet.message.join(" ")).toContain("nothing points to a blockage");
    }
    const before = locate(tower, []);
    const sum = before.candidates.reduce((total, candidate) => total + paper.prior(candidate), 0);
    for (const candidate of before.candidates)
      expect(candidate.weight / (paper.prior(candidate) / sum)).toBeCloseTo(1, 9);
  });

  test("offers a cold pipe that sweats where one home alone reports water and its pan drains", () => {
    const drips = locate(tower, [
      { type: "water-seen", node: "0401-B/trap" },
      { type: "drains-freely", node: "0401-B/coil" },
    ]);
    expect(drips.sweating).toEqual({ dwelling: "0401" });
    expect(drips.message.join(" ")).toContain("Only 0401 reports water, and its pan drains");
    const others: Json[][] = [
      // a switch says that water stood in a pan
      [
        { type: "water-seen", node: "0401-B/trap" },
        { type: "switch-trip", node: "0401-A/coil" },
        { type: "drains-freely", node: "0401-B/coil" },
      ],
      // another home reports too
      [
        { type: "water-seen", node: "0401-B/trap" },
        { type: "water-seen", node: "0301-B/trap" },
        { type: "drains-freely", node: "0401-B/coil" },
      ],
      // nobody looked into the pan
      [{ type: "water-seen", node: "0401-B/trap" }],
      // another home's pan drains
      [
        { type: "water-seen", node: "0401-B/trap" },
        { type: "drains-freely", node: "0301-B/coil" },
      ],
    ];
    for (const other of others) expect(locate(tower, other).sweating).toBeNull();
  });
});

describe("what an observation says", () => {
  const says = (list: readonly Json[], until?: string) =>
    locate(boathouse, list, until).observations.map(({ says: word }) => word);

  test.each([
    ["switch-trip", "wet"],
    ["water-seen", "wet"],
    ["drains-freely", "dry"],
    ["slow-drain", "nothing"],
    ["switch-tested", "nothing"],
    ["cleaned", "nothing"],
    ["cap-found-open", "nothing"],
  ])("%s says %s", (type, word) => {
    expect(says([{ type, node: "FC-1" }])).toEqual([word]);
  });

  test("nothing once it is withdrawn, nor what comes later than asked", () => {
    const list = [
      { id: "a", type: "water-seen", node: "FC-1" },
      { id: "b", type: "water-seen", node: "FC-2", withdraws: "a" },
      { id: "c", type: "drains-freely", node: "FC-3" },
    ];
    expect(says(list)).toEqual(["withdrawn", "nothing", "dry"]);
    expect(says(list, at(1))).toEqual(["withdrawn", "nothing", "nothing"]);
    const quiet = locate(boathouse, list);
    const plain = locate(boathouse, [list[2]]);
    expect(quiet.candidates.map(({ weight }) => weight)).toEqual(plain.candidates.map(({ weight }) => weight));
  });

  test("at a pipe, what it says of the node that the pipe leaves; at a fan coil, of its pan", () => {
    const of = (place: Json) => locate(boathouse, [{ type: "water-seen", ...place }]).candidates;
    expect(of({ pipe: "P-1a" })).toEqual(of({ node: "FC-1" }));
    expect(of({ fanCoil: "FC-1" })).toEqual(of({ node: "FC-1" }));
  });

  test("the same, in whatever order it is told", () => {
    const list = [
      { id: "a", type: "water-seen", node: "FC-3", time: at(0) },
      { id: "b", type: "drains-freely", node: "FC-1", time: at(1) },
      { id: "c", type: "switch-trip", node: "FC-2", time: at(2) },
    ];
    const weights = (order: readonly Json[]) =>
      new Map(locate(boathouse, order).candidates.map(({ pipe, node, weight }) => [pipe ?? node, weight]));
    const there = weights(list);
    for (const [id, weight] of weights([...list].reverse())) expect(weight).toBeCloseTo(there.get(id)!, 14);
  });
});

describe("what closes first, before anything is seen", () => {
  interface Loose extends Json {
    nodes: Json[];
    pipes: Json[];
  }
  const prior = (change: (document: Loose) => void, until = at(0)): number => {
    const document = structuredClone(boathouse) as unknown as Loose;
    change(document);
    const answer = locate(document, [], until);
    return candidateOf(answer, "P-1c").weight / candidateOf(answer, "P-2c").weight;
  };
  const pipe = (document: Loose, id: string): Json => document.pipes.find((each) => each.id === id)!;
  const node = (document: Loose, id: string): Json => document.nodes.find((each) => each.id === id)!;
  const plain = prior(() => {});

  test("as much longer, as much sooner; steep and of one bore", () => {
    // 2 m falling by 107 mm, 2.5 m by 178 mm
    expect(plain).toBeCloseTo(2 / 2.5, 12);
  });

  test.each([
    ["2 %", 2.783 - 0.0401, 1],
    ["under 2 %", 2.783 - 0.0398, 2],
    ["under 1 %", 2.783 - 0.0198, 3],
    ["level", 2.783, 5],
  ])("at %s: by the fall", (_said, low, factor) => {
    // it ends above the joint, so that no water stands in it
    const flat = prior((document) => {
      node(document, "M-1").elevation = 2.676;
      Object.assign(pipe(document, "P-1c"), { toInvert: low });
    });
    expect(flat / plain).toBeCloseTo(factor, 9);
  });

  test("twice as soon where it holds a pool, five times where it rises", () => {
    const sags = prior((document) => {
      Object.assign(pipe(document, "P-1c"), { toInvert: 2.788 });
    });
    expect(sags / plain).toBeCloseTo(10, 9);
  });

  test("in a bore of half the width twice as soon", () => {
    const wide = prior((document) => Object.assign(pipe(document, "P-1c"), { insideDiameter: 40 }));
    const narrow = prior((document) => Object.assign(pipe(document, "P-1c"), { insideDiameter: 20 }));
    expect(narrow / wide).toBeCloseTo(2, 9);
  });

  test("three years after it was cleaned four times as soon as the day after", () => {
    const on = (lastCleaned: string) => prior((document) => Object.assign(pipe(document, "P-1c"), { lastCleaned }));
    const day = 86_400_000;
    const years = (T - Date.parse("2023-07-14")) / (365.25 * day);
    expect(on("2023-07-14") / plain).toBeCloseTo(1 + years, 9);
    expect(years).toBeCloseTo(3, 2);
    // unknown counts as just cleaned, and so does the future
    expect(on("2027-01-01") / plain).toBeCloseTo(1, 9);
  });
});

describe("what is wet while something is blocked", () => {
  test.each([
    [59, ["FC-1", "FC-2"]],
    [61, ["FC-1"]],
  ])("a pan whose rim stands %d mm over its outlet beside one of 50: up to 10 mm over the first spill", (rim, wets) => {
    const document = structuredClone(boathouse) as Json & { nodes: Json[] };
    Object.assign(document, { overflowDevices: [], circuits: [] });
    for (const [id, height] of [
      ["FC-1", 50],
      ["FC-2", rim],
      ["FC-3", 80],
    ] as const)
      Object.assign(document.nodes.find((each) => each.id === id)!, { panStatic: 0, pan: { rimHeight: height } });
    const answer = locate(document, []);
    expect(answer.classes[candidateOf(answer, "M-e").class].wets).toEqual(wets);
  });
});

describe("coils that are off", () => {
  test("make no water, so that their own branch cannot flood; but they can be flooded", () => {
    const document = structuredClone(boathouse) as Json & { nodes: Json[] };
    Object.assign(document.nodes.find(({ id }) => id === "FC-3")!, { inService: false });
    const answer = locate(document, [["water-seen", "FC-3"]]);
    const own = answer.classes[candidateOf(answer, "P-3c").class];
    expect(own.wets).toEqual([]);
    // the main below it floods it: it stands as low as the others, and nearest
    const main = answer.classes[candidateOf(answer, "M-e").class];
    expect(main.wets).toContain("FC-3");
    expect(answer.candidates[0].pipe).toMatch(/^M-/);
    expect(answer.work[0].isolate).not.toContain("FC-3");
  });
});

describe("what is wrong with the question", () => {
  test("is told all at once, by where it stands", () => {
    const made = locateBlockage(
      { ...boathouse, stadge: 1 },
      [{ type: "water-sen", node: "FC-1", time: "noon" }],
      "soon",
    );
    expect(made.ok).toBe(false);
    if (made.ok) return;
    expect(made.problems.map(({ pointer }) => pointer)).toEqual(
      expect.arrayContaining(["/network/stadge", "/observations/0/type", "/observations/0/time", "/at"]),
    );
    expect(made.total).toBe(made.problems.length);
    for (const { hint } of made.problems) expect(hint).toBeTruthy();
  });

  test.each<[string, Json, string]>([
    ["no such node", { node: "FC-9" }, "/observations/0/node"],
    ["no such pipe", { pipe: "P-9" }, "/observations/0/pipe"],
    ["no fan coil", { fanCoil: "T-1" }, "/observations/0/fanCoil"],
    ["a name of JavaScript", { node: "__proto__" }, "/observations/0/node"],
  ])("%s", (_said, place, pointer) => {
    const made = locateBlockage(boathouse, [{ type: "water-seen", time: at(0), ...place }]);
    expect(made.ok).toBe(false);
    if (!made.ok) expect(made.problems[0].pointer).toBe(pointer);
  });
});
