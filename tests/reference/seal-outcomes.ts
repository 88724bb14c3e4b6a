/**
 * What the rules of the traps must say, a second time: from the plain document and the plain facts, with the tolerance
 * tried out corner by corner instead of by intervals. Where a rule asks nothing of a trap it has no entry.
 */
import { type ReferenceFacts, referenceFacts } from "./audit-facts.js";
import { type PlainDocument, type ReadNode, readPlain } from "./plain-network.js";
import { boreOf } from "./tables.js";

export type PlainOutcome = "pass" | "fail" | "undetermined";

interface Seal {
  id: string;
  kind: string;
  fanCoils: string[];
  sealDepth: number | null;
  drop: number | null;
  staticPressure: number | null;
  head: number | null;
  sealMarginStart: number | null;
  dropNeeded: number | null;
  sealNeeded: number | null;
}
interface Space {
  kind: string;
  pans: string[];
  pipes: string[];
  traps: string[];
}

const SLACK = 1e-6;
const HEAVY = 999.702 * 9.80665;
const meets = (value: number | null, limit: number | null): PlainOutcome =>
  value === null || limit === null ? "undetermined" : value >= limit - SLACK ? "pass" : "fail";
const agreed = (outcomes: readonly PlainOutcome[]): PlainOutcome =>
  outcomes.every((one) => one === outcomes[0]) ? outcomes[0] : "undetermined";

/** rule and trap, as `seal.drop T-1` → outcome */
export const sealOutcomes = (document: PlainDocument): Map<string, PlainOutcome> => {
  const network = readPlain(document);
  const facts = referenceFacts(document);
  const seals = (facts.seals as Seal[]).filter(({ kind }) => kind === "trap");
  const said = new Map<string, PlainOutcome>();
  for (const seal of seals) {
    const trap = network.node.get(seal.id)!;
    const coils = seal.fanCoils.map((id) => network.node.get(id)!);
    const say = (rule: string, outcome: PlainOutcome): unknown => said.set(`seal.${rule} ${seal.id}`, outcome);
    if ((trap.source.sealType ?? "water") !== "water") {
      if (coils.some(isGravity)) say("device", device(network, facts, seal, trap, coils));
      continue;
    }
    say("step", step(network, trap));
    if (coils.some((coil) => isGravity(coil) && isWorked(coil))) fans(seal, trap, coils, say);
    const isBlown = (coil: ReadNode): boolean =>
      coil.source.fanPosition === "blow-through" || (coil.source.panStatic ?? 0) > 5;
    if (document.stage !== "design" && !(coils.length > 0 && coils.every(isBlown)))
      say("priming", trap.source.primed === undefined ? "undetermined" : trap.source.primed ? "pass" : "fail");
    const idle = (document.site?.idleDays as number | undefined) ?? null;
    if (idle !== 0 && trap.source.primed !== false && trap.source.sealDepth !== 0)
      say(
        "dry-out",
        agreed([4, 1, 0.3].map((rate) => meets((trap.source.sealDepth ?? Number.NaN) / rate, idle)).map(known)),
      );
    function known(outcome: PlainOutcome): PlainOutcome {
      return trap.source.sealDepth === undefined ? "undetermined" : outcome;
    }
  }
  return said;
};

const isGravity = ({ source }: ReadNode): boolean => source.internalPump === undefined;
const isWorked = ({ source }: ReadNode): boolean =>
  source.inService !== false && (source.panStatic === undefined || Math.abs(source.panStatic) > 5);

/** seal and drop, by statics and with their margins */
function fans(
  seal: Seal,
  trap: ReadNode,
  coils: readonly ReadNode[],
  say: (rule: string, outcome: PlainOutcome) => unknown,
): void {
  const { staticPressure, head, sealDepth } = seal;
  const holds = meets(seal.sealMarginStart, 0);
  say("depth", holds);
  if (holds !== "fail") say("depth-margin", meets(sealDepth, seal.sealNeeded));
  // the coil whose fan counts is the one from whose pan the drop was measured
  const pans = coils.filter((coil) => seal.drop !== null && Math.abs(coil.z - trap.z - seal.drop) < 1e-9);
  const pan = pans.find(({ source }) => source.panStatic === (staticPressure ?? undefined)) ?? pans[0];
  const corners = (limit: number | null): PlainOutcome => {
    if (pan === undefined || limit === null) return "undetermined";
    const all: PlainOutcome[] = [];
    for (const a of [-1, 1])
      for (const b of [-1, 1]) all.push(meets(pan.z + a * pan.tolerance - (trap.z + b * trap.tolerance), limit));
    return agreed(all);
  };
  const leaves = corners(staticPressure === null ? null : staticPressure < 0 ? head : -head!);
  say("drop", leaves);
  if (leaves !== "fail") say("drop-margin", corners(seal.dropNeeded));
}

type Network = ReturnType<typeof readPlain>;
const drainsInto = (network: Network, id: string) => network.pipes.filter((p) => p.to === id && p.role === "drain");

/** The pipe of a trap's main way: the one that carries the water of its coils, or has the lowest weir. */
const leaving = (network: Network, facts: ReferenceFacts, id: string) => {
  const drains = network.pipes.filter((p) => p.from === id && p.role === "drain");
  const walked = (facts.fanCoils as { pathPipes: string[] }[]).flatMap(({ pathPipes }) => pathPipes);
  return drains.find((p) => walked.includes(p.id)) ?? (drains.length === 1 ? drains[0] : undefined);
};

function step(network: Network, trap: ReadNode): PlainOutcome {
  const { inletDrop, outletLegSize } = trap.source;
  const drains = network.pipes.filter((p) => p.from === trap.id && p.role === "drain");
  const bores = drains.map((p) => boreOf(p.material, p.size, p.insideDiameter));
  const bore = outletLegSize !== undefined ? outletLegSize / 1000 : bores.length === 1 ? bores[0] : null;
  if (inletDrop !== undefined) return meets(inletDrop / 1000, bore);
  const entering = drainsInto(network, trap.id);
  const stated = network.document.pipes.filter((p) => p.to === trap.id && p.toInvert !== undefined).map((p) => p.id);
  if (!entering.every((p) => stated.includes(p.id))) return "undetermined";
  const all: PlainOutcome[] = [];
  for (const a of [-1, 1])
    for (const b of [-1, 1]) {
      const inlets = entering.map((p) => p.toInvert + a * trap.tolerance);
      all.push(meets(Math.min(...inlets) - (trap.z + b * trap.tolerance), bore));
    }
  return agreed(all);
}

/** Only for networks without tolerance and without unknown bores: nothing there is doubtful. */
function device(
  network: Network,
  facts: ReferenceFacts,
  seal: Seal,
  trap: ReadNode,
  coils: readonly ReadNode[],
): PlainOutcome {
  const { opensAt, holds } = trap.source;
  const suction = (coil: ReadNode): number | null => {
    const { panStatic, fanPosition } = coil.source;
    if (panStatic === undefined) return fanPosition === "blow-through" ? 0 : null;
    return panStatic < -5 ? -panStatic : 0;
  };
  const sucked = coils.map(suction);
  const pans = coils.filter(({ z }) => seal.drop !== null && Math.abs(z - trap.z - seal.drop) < 1e-9);
  const governing = pans.find(({ source }) => source.panStatic === (seal.staticPressure ?? undefined));
  const own = governing === undefined ? null : suction(governing);
  const opens = meets(seal.drop, own === null || opensAt === undefined ? null : (own + opensAt) / HEAVY);

  const way = leaving(network, facts, trap.id);
  const wet = (facts.pipes as { id: string; upstreamStandingDepth: number | null }[]).find((p) => p.id === way?.id);
  const depth = wet?.upstreamStandingDepth ?? null;
  // its outlet side is the space of a pipe that begins at it
  const starts = new Set(network.pipes.filter((p) => p.from === trap.id).map((p) => p.id));
  const space = (facts.airSpaces as Space[]).find(
    ({ traps, pipes }) => traps.includes(trap.id) && pipes.some((id) => starts.has(id)),
  );
  const blasts = (space?.pans ?? []).map((id) => {
    const { panStatic, fanPosition } = network.node.get(id)!.source;
    return panStatic ?? (fanPosition === "draw-through" ? 0 : null);
  });
  const known = [depth, ...sucked, ...blasts].every((figure) => figure !== null);
  const push = known
    ? Math.max(0, ...(sucked as number[])) + depth! * HEAVY + Math.max(0, ...(blasts as number[]))
    : null;
  const held = holds === undefined ? "undetermined" : meets(push === null ? null : -push, -holds);
  if (opens === "fail" || held === "fail") return "fail";
  return opens === "pass" && held === "pass" ? "pass" : "undetermined";
}
