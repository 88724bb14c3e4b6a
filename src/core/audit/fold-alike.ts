import type { Compiled } from "../graph/compiled.js";
import { writtenAt } from "../network/written-at.js";
import { naturalOrder } from "../quantity/natural-order.js";
import type { Speaker } from "../quantity/speaker.js";
import type { Evidence, Settle } from "../rules/rule.js";
import { absorb, type Folded } from "./fold.js";

/**
 * Equal findings from one typical are one finding with many subjects. Equal: the same rule about the same part of the
 * typical, the same outcome and severity, the same figures (levels as they lie to their limits), words that differ in names
 * alone, and effects of the same rules. Where a rule says itself what makes its findings alike, that counts instead of
 * typical, figures and words. Passes stay as they are: whoever asks for them asks about each subject.
 * @param nameless says nothing but figures
 * @returns the findings, each told at the first of its anchors in natural order
 */
export function foldAlike(net: Compiled, roots: readonly Folded[], nameless: Speaker): Folded[] {
  const groups = new Map<string, Folded[]>();
  const alone: Folded[] = [];
  for (const f of roots) {
    const likeness = f.outcome === "pass" ? null : likenessOf(net, f, nameless);
    if (likeness === null) alone.push(f);
    else {
      const effects = [...new Set(f.consequences.map(({ rule, severity }) => `${rule.id} ${severity}`))].sort();
      const key = JSON.stringify([likeness, effects]);
      const group = groups.get(key);
      if (group === undefined) groups.set(key, [f]);
      else group.push(f);
    }
  }
  return [...alone, ...[...groups.values()].map((group) => united(net, group, nameless))];
}

/** What findings must have in common to be one; null where nothing makes a finding like others. */
function likenessOf(net: Compiled, f: Folded, nameless: Speaker): string | null {
  const { rule, outcome, severity, finding } = f;
  const head = [rule.id, outcome, severity, finding.family ?? null];
  if (finding.alike !== undefined) return JSON.stringify([...head, finding.alike]);
  const typical = typicalOf(net, f);
  if (typical === null) return null;
  return JSON.stringify([...head, typical, rule.say(finding.data, nameless), f.evidence.map(figuresOf)]);
}

/** `<typical>/<local id>` of the element that a finding is named after. */
function typicalOf(net: Compiled, { rule, finding: { anchor } }: Folded): string | null {
  switch (rule.anchor) {
    case "node":
      return net.nodes[anchor].typical;
    case "pipe":
      return net.pipes[anchor].typical;
    case "coil":
      return net.nodes[net.coils[anchor]].typical;
    case "device":
      return net.model.devices[anchor].typical;
    case "circuit":
      return net.model.circuits[anchor].typical;
    case "building":
      return null;
  }
}

/** The figures of a piece of evidence; of a level, how it lies to its limit and how sure it is. */
function figuresOf({ name, kind, low, best, high, limit, margin }: Evidence): unknown[] {
  const base = kind === "elevation" ? best : 0;
  const figures = [
    low - base,
    best - base,
    high - base,
    limit === undefined ? null : limit.value - base,
    margin ?? null,
  ];
  return [name, limit?.name ?? null, ...figures.map((each) => each && Number(each.toPrecision(9)))];
}

function united(net: Compiled, group: readonly Folded[], nameless: Speaker): Folded {
  if (group.length === 1) return group[0];
  const [first, ...others] = [...group].sort((a, b) => byAnchor(net, a, b));
  const known = new Set(first.settledBy.map((settle) => keyOf(net, settle)));
  for (const other of others) {
    absorb(first, other);
    first.alike.push(other);
    first.remedy.push(...other.remedy);
    first.consequences.push(...other.consequences);
    for (const settle of other.settledBy) {
      const key = keyOf(net, settle);
      if (!known.has(key)) {
        known.add(key);
        first.settledBy.push(settle);
        continue;
      }
      // one figure of the typical, asked for at each of its places: the closest measurement serves all
      const index = first.settledBy.findIndex((each) => keyOf(net, each) === key);
      const { within } = first.settledBy[index];
      if (settle.within !== undefined && (within === undefined || settle.within < within))
        first.settledBy[index] = settle;
    }
  }
  const effects = new Map<string, Folded[]>();
  for (const effect of first.consequences) {
    const key = likenessOf(net, effect, nameless) ?? `alone ${effects.size}`;
    const alike = effects.get(key);
    if (alike === undefined) effects.set(key, [effect]);
    else alike.push(effect);
  }
  first.consequences.splice(0, Infinity, ...[...effects.values()].map((alike) => united(net, alike, nameless)));
  return first;
}

const keyOf = (net: Compiled, { pointer, decision }: Settle): string =>
  `${decision === undefined ? "figure" : "decision"} ${writtenAt(net.model, pointer)}`;

/** Nodes, pipes and coils stand in natural order already; devices and circuits as the document lists them. */
function byAnchor(net: Compiled, a: Folded, b: Folded): number {
  const [i, j] = [a.finding.anchor, b.finding.anchor];
  if (a.rule.anchor === "device") return naturalOrder(net.model.devices[i].id, net.model.devices[j].id);
  if (a.rule.anchor === "circuit") return naturalOrder(net.model.circuits[i].id, net.model.circuits[j].id);
  return i - j;
}
