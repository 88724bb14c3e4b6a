import type { Facts } from "../analysis/facts.js";
import type { Compiled } from "../graph/compiled.js";
import type { Stage } from "../network/model.js";
import type { Profile } from "../profiles/profile.js";
import type { QuantityKind, Speaker } from "../quantity/speaker.js";
import type { SourceId } from "../sources/sources.js";

export type Severity = "critical" | "major" | "minor" | "advice";
export type Kind = "condition" | "contingency" | "record";
export type Family = "missing" | "tolerance" | "method";
export type Outcome = "pass" | "fail" | "undetermined";
export type Anchor = "node" | "pipe" | "coil" | "device" | "circuit" | "building";

/** What a rule may look at. Rules judge; they never compute physics. */
export interface Case {
  readonly net: Compiled;
  readonly facts: Facts;
  readonly profile: Profile;
  /** passes are wanted as findings, so evidence must be given for them too */
  readonly wantPasses: boolean;
}

/**
 * One rule: the data that describes it (reviewable by somebody who cannot program), `subjects` (what it applies to: an
 * empty list is "not applicable", never a silent pass) and `judge` (one subject → one judgement).
 */
export interface Rule<E = unknown> {
  readonly id: string;
  readonly title: string;
  readonly question: string;
  readonly why: string;
  readonly severity: Severity;
  readonly kind: Kind;
  /** the first stage in which it judges */
  readonly stage: Stage;
  /** document fields that it needs, for /v1/rules and the docs */
  readonly needs: readonly string[];
  /** profile limits that it judges against */
  readonly limits: readonly string[];
  /** sentence said when there is no subject */
  readonly notApplicable: string;
  /** what to do, in one sentence, for /v1/rules; the figure stands in each finding's own remedy */
  readonly remedy: string;
  readonly sources: readonly SourceId[];
  readonly anchor: Anchor;
  /** false: its findings stand for whole lines of pipes already, and stay apart where these follow each other */
  readonly mergesAlongFlow?: false;
  /** indices of what the anchor names: nodes, pipes, positions in net.coils, … */
  readonly subjects: (c: Case) => Iterable<number>;
  readonly judge: (c: Case, subject: number) => Judgement<E>;
  /** a sentence that a fitter understands: what, where, how much, against which limit */
  readonly say: (e: E, speak: Speaker) => string;
}

/** The cheap answer for the many that are right. */
export const PASS = { outcome: "pass" } as const;

/** Counted as open, and told by the finding of another subject: what many lack is asked for once. */
export const TOLD = { outcome: "undetermined" } as const;

export type Judgement<E = unknown> = typeof PASS | typeof TOLD | Finding<E>;

export interface Finding<E = unknown> {
  readonly outcome: Outcome;
  readonly family?: Family;
  readonly settledBy?: readonly Settle[];
  /** what `say` needs: typed facts, no words */
  readonly data: E;
  /** the finding's id is made of this; the most downstream pipe of a run, the lowest wet node of a pool … */
  readonly anchor: number;
  readonly subject: Subject;
  readonly evidence: readonly Evidence[];
  readonly remedy?: readonly RemedyStep[];
  /** what else it is about, so that effects find their cause (4-rules: one cause, one finding) */
  readonly links?: Links;
  /**
   * Findings of the rule with the same outcome, severity and `alike` are one finding with many subjects, wherever they
   * are: what they have in common, as circuits wired alike have their wiring. Without it, equal findings from one typical are.
   */
  readonly alike?: string;
}

export interface Subject {
  /** node indices of coils */
  readonly fanCoils?: readonly number[];
  readonly nodes?: readonly number[];
  readonly pipes?: readonly number[];
}

/** Things that a finding shares with its cause or effects. pipe and coil default to the subject's own. coil: node indices. */
export interface Links {
  readonly pipe?: readonly number[];
  readonly coil?: readonly number[];
  readonly pool?: readonly number[];
  /** indices into facts.seals.list */
  readonly seal?: readonly number[];
  /** vent nodes */
  readonly vent?: readonly number[];
  readonly cleanout?: readonly number[];
  readonly outlet?: readonly number[];
  /** trapped air: indices into facts.air.best.spaces */
  readonly space?: readonly number[];
}

export interface Settle {
  /** JSON pointer to fill or to re-measure */
  readonly pointer: string;
  /** m (or the field's SI unit): how closely to re-measure; absent for what is merely missing */
  readonly within?: number;
  /** method: the decision that is needed, a sentence */
  readonly decision?: string;
}

export interface Evidence {
  readonly name: string;
  readonly low: number;
  readonly best: number;
  readonly high: number;
  readonly kind: QuantityKind;
  readonly limit?: { readonly name: string; readonly value: number; readonly source: SourceId };
  /** positive = on the right side */
  readonly margin?: number;
  readonly from: readonly string[];
}

export type RemedyAction =
  | "raise-node"
  | "lower-node"
  | "re-hang"
  | "enlarge-pipe"
  | "add-trap"
  | "rebuild-trap"
  | "prime-trap"
  | "remove-trap"
  | "add-vent"
  | "raise-vent"
  | "open-vent"
  | "replace-vent"
  | "remove-vent"
  | "cap"
  | "add-cleanout"
  | "move-connection"
  | "connect"
  | "remove-pipe"
  | "reverse-pipe"
  | "survey"
  | "decide"
  | "set-device"
  | "add-device"
  | "repair-device"
  | "replace-device"
  | "test-device"
  | "wire-device"
  | "rewire"
  | "add-pan"
  | "replace-pan"
  | "lead-apart"
  | "add-supports"
  | "insulate"
  | "heat-trace"
  | "remake-joint"
  | "disconnect"
  | "clear-access"
  | "interlock-device"
  | "watch-drain"
  | "interlock-pump"
  | "add-check-valve"
  | "replace-pump"
  | "set-air-gap"
  | "move-outlet"
  | "replace-pipe"
  | "give-access";

export interface RemedyStep {
  readonly action: RemedyAction;
  /** one of them; device and circuit are indices in the model's lists */
  readonly on: { readonly node?: number; readonly pipe?: number; readonly device?: number; readonly circuit?: number };
  /** SI */
  readonly amount?: number;
  readonly kind?: QuantityKind;
  /** what the amount is: "seal depth", "drop", "top above" … */
  readonly what?: string;
  /** how many of the finding's blockages it contains */
  readonly contains?: { readonly drains: number; readonly of: number };
}

/** Keeps E where a rule is written, forgets it where rules are listed. */
export const defineRule = <E>(rule: Rule<E>): Rule => rule as unknown as Rule;
