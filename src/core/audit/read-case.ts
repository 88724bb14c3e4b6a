import { analyse } from "../analysis/analyse.js";
import type { Facts } from "../analysis/facts.js";
import { compile } from "../graph/compile.js";
import type { Compiled } from "../graph/compiled.js";
import type { Problem } from "../network/model.js";
import { readNetwork } from "../network/read.js";
import type { Profile } from "../profiles/profile.js";
import { resolveProfile } from "../profiles/resolve-profile.js";

/** A network with its facts, before any rule has judged it. */
export interface NetworkCase {
  readonly net: Compiled;
  readonly facts: Facts;
  readonly profile: Profile;
}

export type NetworkCaseResult =
  | ({ readonly ok: true } & NetworkCase)
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** Reads and analyses a network document (parsed JSON). */
export function readCase(document: unknown): NetworkCaseResult {
  const read = readNetwork(document);
  if (!read.ok) return read;
  const { model } = read;
  const resolved = resolveProfile(model.profile.base, model.profile.overrides, model.units);
  if (!resolved.ok) {
    const problems = resolved.problems.map((p) => ({
      ...p,
      pointer: p.pointer === "" ? "/profile" : `/profile/overrides${p.pointer}`,
    }));
    return { ok: false, problems, total: problems.length };
  }
  const net = compile(model);
  return { ok: true, net, facts: analyse(net, resolved.profile), profile: resolved.profile };
}

/** Something that was asked for by its id, and that the network has not. */
export const unknownId = (field: string, what: string, id: string): Problem => ({
  pointer: `/${field}`,
  code: "unknown-reference",
  detail: `the network has no ${what} ${JSON.stringify(id.slice(0, 64))}`,
  hint: `name a ${what} of the network`,
});
