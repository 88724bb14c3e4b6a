// Drain health: a function of the network, the findings, the observations and the time asked for, and of nothing else.
import type { Places } from "../core/index.js";
import type { Observation, StoredFinding, Waiver } from "./shelves.js";

export type HealthState = "act" | "watch" | "unknown" | "good";

export interface HealthReason {
  readonly kind: "finding" | "observation" | "overdue" | "unknown";
  /** id of the finding, of the observation, of the riser or of the rule's question */
  readonly ref: string;
  /** RFC 3339, UTC */
  readonly since: string;
  readonly text: string;
}

export interface HealthStep {
  readonly do: string;
  /** node, pipe or riser */
  readonly at: string;
  /** owner or dwelling; null: whoever keeps the building */
  readonly who: string | null;
}

export interface Health {
  readonly state: HealthState;
  readonly at: string;
  readonly reasons: readonly HealthReason[];
  readonly next: readonly HealthStep[];
}

/** Something that speaks for a state, where it does, and when. Plain data: kept with the building. */
export interface Sign extends HealthReason {
  readonly state: Exclude<HealthState, "good">;
  /** ms: it speaks from then on */
  readonly from: number;
  /** ms: it is silent till then (a waiver); null: never */
  readonly silentUntil: number | null;
  readonly fanCoils: readonly string[];
  readonly risers: readonly string[];
  readonly dwellings: readonly string[];
  readonly step: HealthStep | null;
}

/** Everything that health is a function of, but the time asked for. */
export interface HealthInputs {
  readonly places: Places;
  readonly verdict: string;
  /** null: no backup judged */
  readonly exposure: string | null;
  readonly revisedAt: Date;
  /** when the revisions that findings speak of were made */
  readonly madeAt: (revision: number) => Date;
  /** open ones */
  readonly findings: readonly StoredFinding[];
  readonly waivers: readonly Waiver[];
  readonly observations: readonly Observation[];
  /** days between two cleanings of what is common */
  readonly cleaningDays: number;
}

export const CLEANING_DAYS = 365;
const DAY = 86_400_000;
const FOR_EVER = Number.MAX_SAFE_INTEGER;

const ALARMS: Readonly<Record<string, "act" | "watch">> = {
  "switch-trip": "act",
  "water-seen": "act",
  "slow-drain": "watch",
};
const SETTLES = new Set(["cleaned", "drains-freely"]);

const ALARM_WORDS: Readonly<Record<string, string>> = {
  "switch-trip": "An overflow switch tripped",
  "water-seen": "Water was seen",
  "slow-drain": "The drain was slow",
};

/**
 * All signs of a building as of an instant: observations later than it are not known yet.
 * @param at what was observed after it does not count
 */
export function signsOf(inputs: HealthInputs, at: Date): Sign[] {
  const map = new PlaceMap(inputs.places);
  const known = standing(inputs.observations, at);
  return [
    ...findingSigns(inputs, map),
    ...alarmSigns(known, map),
    ...overdueSigns(inputs, known, map),
    ...wholeSigns(inputs),
  ];
}

/** The health of a whole building, or of the part whose signs these are. */
export function healthFrom(signs: readonly Sign[], at: Date): Health {
  const now = at.getTime();
  const heard = signs
    .filter(({ from, silentUntil }) => from <= now && (silentUntil === null || silentUntil <= now))
    .sort(
      (a, b) =>
        ORDER[a.state] - ORDER[b.state] ||
        (a.since < b.since ? -1 : a.since > b.since ? 1 : 0) ||
        (a.ref < b.ref ? -1 : 1),
    );
  // what is unknown counts only where nothing is known to be wrong
  const state = heard[0]?.state ?? "good";
  const told = state === "unknown" ? heard : heard.filter((sign) => sign.state !== "unknown");
  const steps = new Map<string, HealthStep>();
  for (const { step } of told) if (step !== null) steps.set(`${step.do} ${step.at}`, step);
  return {
    state,
    at: at.toISOString(),
    reasons: told.map(({ kind, ref, since, text }) => ({ kind, ref, since, text })),
    next: [...steps.values()],
  };
}

const ORDER: Readonly<Record<HealthState, number>> = { act: 0, watch: 1, unknown: 2, good: 3 };

/** Worst first, as a whole has the state of its worst part. */
export const worseFirst = (a: HealthState, b: HealthState): number => ORDER[a] - ORDER[b];

export type Part = { readonly fanCoil: string } | { readonly riser: string } | { readonly dwelling: string };

/** The signs that concern one part. What is unknown of the whole is unknown of each part. */
export const signsAt = (signs: readonly Sign[], part: Part): Sign[] =>
  signs.filter((sign) =>
    sign.kind === "unknown"
      ? true
      : "fanCoil" in part
        ? sign.fanCoils.includes(part.fanCoil)
        : "riser" in part
          ? sign.risers.includes(part.riser)
          : sign.dwellings.includes(part.dwelling),
  );

/** Observations that stand: made by then, and not taken back by then. In the order of their times, whatever order they came in. */
function standing(observations: readonly Observation[], at: Date): Observation[] {
  const known = observations.filter(({ time }) => time.getTime() <= at.getTime());
  const gone = new Set(known.map(({ withdraws }) => withdraws));
  return known
    .filter(({ id, withdraws }) => withdraws === null && !gone.has(id))
    .sort((a, b) => a.time.getTime() - b.time.getTime() || (a.id < b.id ? -1 : 1));
}

function findingSigns({ findings, waivers, madeAt }: HealthInputs, map: PlaceMap): Sign[] {
  const waived = new Map(waivers.map((waiver) => [waiver.finding, waiver]));
  return findings.flatMap((finding): Sign[] => {
    const grave = finding.severity === "critical" || finding.severity === "major";
    const state = finding.kind === "contingency" || finding.severity === "advice" ? null : grave ? "act" : "watch";
    if (state === null || finding.state !== "open") return [];
    const waiver = waived.get(finding.id);
    const since = madeAt(finding.since);
    const parts = map.partsOf(finding);
    const first = finding.pipes[0] ?? finding.nodes[0] ?? finding.fanCoils[0] ?? finding.building;
    return [
      {
        kind: "finding",
        ref: finding.id,
        since: since.toISOString(),
        text: finding.message,
        state,
        from: since.getTime(),
        silentUntil: waiver === undefined ? null : (waiver.until?.getTime() ?? FOR_EVER),
        ...parts,
        step: { do: "mend", at: first, who: map.whoseIs(first) },
      },
    ];
  });
}

function alarmSigns(known: readonly Observation[], map: PlaceMap): Sign[] {
  const settling = known.filter(({ type }) => SETTLES.has(type));
  return known.flatMap((seen): Sign[] => {
    const state = ALARMS[seen.type];
    if (state === undefined) return [];
    const element = elementOf(seen);
    const way = map.wayFrom(element);
    if (settling.some((later) => later.time.getTime() > seen.time.getTime() && way.has(elementOf(later)))) return [];
    return [
      {
        kind: "observation",
        ref: seen.id,
        since: seen.time.toISOString(),
        text: `${ALARM_WORDS[seen.type]} at ${element}${seen.text === null ? "" : `: ${seen.text}`}`,
        state,
        from: seen.time.getTime(),
        silentUntil: null,
        ...map.partsOf({ fanCoils: [], nodes: [element], pipes: [element] }),
        step: {
          do: state === "act" ? "locate the blockage and clear it" : "clean",
          at: element,
          who: map.whoseIs(element),
        },
      },
    ];
  });
}

const elementOf = ({ node, pipe, fanCoil }: Observation): string => node ?? pipe ?? fanCoil ?? "";

/** A cleaning of one pipe of a riser is one of the riser. Where none was ever told, the first revision counts as one. */
function overdueSigns(
  { places, cleaningDays, revisedAt }: HealthInputs,
  known: readonly Observation[],
  map: PlaceMap,
): Sign[] {
  const last = new Map<string, number>();
  const reasons = new Map<string, Set<string>>();
  const wholeOf = (pipe: Places["pipes"][number]): string => pipe.riser ?? MAINS;
  for (const pipe of places.pipes) {
    if (!pipe.common) continue;
    const whole = wholeOf(pipe);
    const told = pipe.lastCleaned === null ? Number.NaN : Date.parse(pipe.lastCleaned);
    last.set(
      whole,
      Math.max(last.get(whole) ?? Number.NEGATIVE_INFINITY, Number.isNaN(told) ? Number.NEGATIVE_INFINITY : told),
    );
    const why = reasons.get(whole) ?? new Set();
    for (const reason of pipe.cleaning) why.add(reason);
    reasons.set(whole, why);
  }
  for (const seen of known) {
    if (seen.type !== "cleaned") continue;
    const pipe = map.pipe(elementOf(seen)) ?? map.pipeFrom(elementOf(seen));
    if (pipe === undefined || !pipe.common) continue;
    last.set(wholeOf(pipe), Math.max(last.get(wholeOf(pipe)) ?? Number.NEGATIVE_INFINITY, seen.time.getTime()));
  }
  return [...last].map(([whole, cleaned]): Sign => {
    const due = (Number.isFinite(cleaned) ? cleaned : revisedAt.getTime()) + cleaningDays * DAY;
    const why = [...(reasons.get(whole) ?? [])].map((reason) => CLEANING_WORDS[reason]);
    const what = whole === MAINS ? "the common mains" : `the riser ${whole}`;
    const because = why.length === 0 ? "" : ` (it is ${why.join(", ")})`;
    return {
      kind: "overdue",
      ref: whole,
      since: new Date(due).toISOString(),
      text: `The cleaning of ${what} was due ${new Date(due).toISOString().slice(0, 10)}${because}.`,
      state: "watch",
      from: due,
      silentUntil: null,
      fanCoils: [],
      risers: whole === MAINS ? [] : [whole],
      dwellings: [],
      step: { do: "clean and flush", at: whole, who: map.whoseIs(whole) },
    };
  });
}

const MAINS = "mains";
const CLEANING_WORDS: Readonly<Record<string, string>> = {
  flat: "flat",
  small: "small",
  pool: "holding water",
  trickle: "carrying a trickle only",
  "many-coils": "serving many coils",
};

function wholeSigns({ verdict, exposure, revisedAt }: HealthInputs): Sign[] {
  const sign = (state: Sign["state"], kind: Sign["kind"], ref: string, text: string): Sign => ({
    kind,
    ref,
    since: revisedAt.toISOString(),
    text,
    state,
    from: revisedAt.getTime(),
    silentUntil: null,
    fanCoils: [],
    risers: [],
    dwellings: [],
    step: null,
  });
  const signs: Sign[] = [];
  if (exposure === "exposed")
    signs.push(
      sign("watch", "finding", "exposure", "If a common drain blocks, water comes out where nothing stops it."),
    );
  if (verdict === "undetermined")
    signs.push(
      sign("unknown", "unknown", "verdict", "Figures are missing or too uncertain to judge by: see the survey list."),
    );
  return signs;
}

/** Which way everything's water goes, and whose it is. */
class PlaceMap {
  readonly #nodes: ReadonlyMap<string, Places["nodes"][number]>;
  readonly #pipes: ReadonlyMap<string, Places["pipes"][number]>;

  constructor(places: Places) {
    this.#nodes = new Map(places.nodes.map((node) => [node.id, node]));
    this.#pipes = new Map(places.pipes.map((pipe) => [pipe.id, pipe]));
  }

  pipe(id: string) {
    return this.#pipes.get(id);
  }

  /** the pipe that leaves a node */
  pipeFrom(id: string) {
    const next = this.#nodes.get(id)?.next;
    return next === null || next === undefined ? undefined : this.#pipes.get(next);
  }

  whoseIs(id: string): string | null {
    return this.#pipes.get(id)?.owner ?? this.#nodes.get(id)?.owner ?? null;
  }

  /** every node and pipe that the water of an element passes, itself included */
  wayFrom(id: string): ReadonlySet<string> {
    const way = new Set([id]);
    let pipe = this.#pipes.get(id) ?? this.pipeFrom(id);
    while (pipe !== undefined && !way.has(pipe.to)) {
      way.add(pipe.id).add(pipe.to);
      pipe = this.pipeFrom(pipe.to);
    }
    return way;
  }

  partsOf(
    subject: Pick<StoredFinding, "fanCoils" | "nodes" | "pipes">,
  ): Pick<Sign, "fanCoils" | "risers" | "dwellings"> {
    const fanCoils = new Set<string>();
    const risers = new Set<string>();
    const dwellings = new Set<string>();
    const enter = (place: { fanCoil: string | null; riser: string | null } | undefined) => {
      if (place === undefined) return;
      if (place.fanCoil !== null) fanCoils.add(place.fanCoil);
      if (place.riser !== null) risers.add(place.riser);
    };
    for (const id of subject.nodes) enter(this.#nodes.get(id));
    for (const id of subject.pipes) enter(this.#pipes.get(id));
    // coils that are named because a common pipe concerns them are not at fault themselves
    if (subject.nodes.length === 0 && subject.pipes.length === 0)
      for (const id of subject.fanCoils) enter(this.#nodes.get(id));
    for (const id of [...subject.nodes, ...fanCoils]) {
      const home = this.#nodes.get(id)?.dwelling;
      if (home !== null && home !== undefined) dwellings.add(home);
    }
    return { fanCoils: [...fanCoils].sort(), risers: [...risers].sort(), dwellings: [...dwellings].sort() };
  }
}
