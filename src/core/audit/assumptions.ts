import { type Facts, RATE_BASIS } from "../analysis/facts.js";
import { type Compiled, KIND } from "../graph/compiled.js";
import { STANDARD_PRESSURE } from "../physics/constants.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import type { SourceId } from "../sources/sources.js";
import type { Audit } from "./answer.js";

type Assumption = Audit["assumptions"][number];

/** What was taken for granted because nobody stated it, and for what. SI base units. */
export function assumptionsOf(net: Compiled, facts: Facts, profile: Profile): Assumption[] {
  const list: Assumption[] = [];
  const add = (name: string, value: Assumption["value"], unit: string | null, appliesTo: string[], source: SourceId) =>
    list.push({ name, value, unit, appliesTo, source });
  const { site } = net.model;
  if (!site.surveyToleranceStated) add("survey tolerance", site.surveyTolerance, "m", [net.model.id], "assumption");

  const basis = (word: (typeof RATE_BASIS)[number]) =>
    Array.from(net.coils)
      .filter((_, c) => RATE_BASIS[facts.loads.basis[c]] === word)
      .map((i) => net.nodes[i].id);
  const byRule = basis("rule-of-thumb");
  const perCapacity = limitOf(profile, "load.ratePerCapacity");
  if (byRule.length > 0)
    add("condensate rate per cooling capacity", perCapacity.value, "m³/(s·W)", byRule, perCapacity.source);
  // Moist air is computed at the site's pressure, and locked air squeezed from it.
  const byPressure = Array.from(net.coils)
    .filter((_, c) => RATE_BASIS[facts.loads.basis[c]] === "air-states" || facts.lockedAir.best.ofCoil.has(c))
    .map((i) => net.nodes[i].id);
  if (byPressure.length > 0 && site.pressure === null)
    add("atmospheric pressure", STANDARD_PRESSURE, "Pa", byPressure, "assumption");

  const unknown = (missing: (trap: NonNullable<(typeof net.nodes)[number]["trap"]>) => boolean) =>
    net.nodes
      .filter((node, i) => net.kind[i] === KIND.trap && node.trap!.sealType === "water" && missing(node.trap!))
      .map((node) => node.id);
  // A trap that is known to be dry or without a seal is taken as just that, whatever else is unknown of it.
  const unprimed = unknown((trap) => trap.primed === null && trap.sealDepth !== 0);
  if (unprimed.length > 0) add("trap of unknown priming holds water", true, null, unprimed, "assumption");
  const depthless = unknown((trap) => trap.sealDepth === null && trap.primed !== false);
  if (depthless.length > 0) add("trap of unknown seal depth holds water", true, null, depthless, "assumption");

  const isWaterTrap = (i: number) => net.kind[i] === KIND.trap && net.nodes[i].trap!.sealType === "water";
  if (site.idleDays === null && profile.idleDays !== null && net.nodes.some((_, i) => isWaterTrap(i)))
    add("idle season", profile.idleDays, "days", [net.model.id], "firm");

  const manning = limitOf(profile, "capacity.manningN");
  add("least Manning n of a fouled pipe", manning.value, "s/m^(1/3)", [net.model.id], manning.source);
  return list;
}
