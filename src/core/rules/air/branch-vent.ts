import { exact } from "../../quantity/interval.js";
import { openingsOf, partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";
import { type Branch, branchOf, cappedVents, hasOwnVent, ventPlace } from "../vent-runs.js";

/** Branches onto a common drain, of coils that have a trap before they join, by position of the coil. */
export const trappedBranches = indexed((c) => {
  const branches = new Map<number, Branch>();
  for (let coil = 0; coil < c.net.coils.length; coil++) {
    if (c.facts.topology.joiningPoint[coil] < 0) continue;
    const branch = branchOf(c, coil);
    if (branch !== null) branches.set(coil, branch);
  }
  return branches;
});

/** Is the air after the coil's trap open to the atmosphere by some other way, in a reading? */
export const breathes = (c: Case, branch: Branch, reading: Reading): boolean => {
  const partition = partitionOf(c, reading);
  const space = partition.ofOutletSide[branch.nodes[0]];
  return space >= 0 && partition.spaces[space].openings.length > 0;
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly trap: number;
  readonly joins: number;
  readonly breathes: boolean;
  readonly capped: readonly number[];
  readonly oneWay: readonly number[];
  readonly drowned: boolean;
}

export const airBranchVent = defineRule<Data>({
  id: "air.branch-vent",
  title: "Branch without its own vent",
  question:
    "Has every branch onto a common drain its own open vent leaving a node after its trap and before the joining point?",
  why: "Without a vent of its own a branch breathes only through the main. When the main fills, sags or blocks, air is locked behind the trap and the coil stops draining.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "nodes.capped", "nodes.opening", "pipes.role"],
  limits: [],
  notApplicable: "No coil with a trap of its own joins a common drain.",
  remedy:
    "Give the branch an open vent between its trap and the main, its top above the level where the pan's switch trips.",
  sources: ["common-practice", "unit-manuals"],
  anchor: "coil",
  subjects: (c) => trappedBranches(c).keys(),
  judge(c, coil) {
    const { net, facts } = c;
    const branch = trappedBranches(c).get(coil)!;
    const answers = readings(c).map((reading) => hasOwnVent(c, branch, reading));
    const outcome: Outcome = answers.every((yes) => yes)
      ? "pass"
      : answers.some((yes) => yes)
        ? "undetermined"
        : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const capped = cappedVents(c, branch.vents);
    const open = branch.tees.flatMap(({ run }) => run.open);
    const openings = openingsOf(partitionOf(c, "best"));
    const oneWay = branch.vents.filter((vent) => net.nodes[vent].vent?.opening === "admittance-valve");
    const top = facts.seals.leastVentTop[coil];
    const aboveTop = Number.isNaN(top) ? {} : { amount: top, kind: "length" as const, what: "top above" };
    const place = ventPlace(c, branch);
    const remedy: RemedyStep[] =
      capped.length > 0
        ? [{ action: "open-vent", on: { node: capped[0] } }]
        : oneWay.length > 0
          ? [{ action: "replace-vent", on: { node: oneWay[0] }, ...aboveTop }]
          : place >= 0
            ? [{ action: "add-vent", on: { node: place }, ...aboveTop }]
            : [];
    const ventPipes = branch.tees.map(({ pipe }) => pipe);
    return {
      outcome,
      ...(outcome === "undetermined" ? settleClosures(c, ventPipes) : {}),
      data: {
        outcome,
        coil: node,
        trap: branch.nodes[0],
        joins: facts.topology.joiningPoint[coil],
        breathes: breathes(c, branch, "best"),
        capped,
        oneWay,
        drowned: open.length > 0,
      },
      anchor: coil,
      subject: { fanCoils: [node], nodes: [branch.nodes[0]], pipes: ventPipes },
      evidence: [
        plainEvidence(
          "openVents",
          "count",
          exact(outcome === "fail" ? 0 : open.filter((vent) => openings.has(vent)).length),
          branch.vents.map((vent) => net.nodes[vent].pointer),
        ),
      ],
      remedy: outcome === "fail" ? remedy : undefined,
      links: { vent: capped },
    };
  },
  say: (e, speak) => {
    const where = `between its trap ${speak.node(e.trap)} and the common drain at ${speak.node(e.joins)}`;
    if (e.outcome === "pass") return `The branch of ${speak.node(e.coil)} has an open vent of its own ${where}.`;
    if (e.outcome === "undetermined")
      return `Whether water closes the vent of the branch of ${speak.node(e.coil)} ${where} cannot be told from what is known.`;
    const still = e.breathes
      ? "For now it still breathes through the main."
      : "It does not breathe through the main either.";
    const first = (nodes: readonly number[]): string =>
      speak.list(
        nodes.map((node) => speak.node(node)),
        3,
      );
    const why =
      e.capped.length > 0
        ? `has no open vent of its own ${where}: ${first(e.capped)} is capped`
        : e.oneWay.length > 0
          ? `has no open vent of its own ${where}: ${first(e.oneWay)} only lets air in`
          : e.drowned
            ? `has no vent that can breathe ${where}: standing water closes it`
            : `has no vent of its own ${where}`;
    return `The branch of ${speak.node(e.coil)} ${why}. ${still}`;
  },
});
