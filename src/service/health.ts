// Drain health: a function of the network, the findings, the observations and the time asked for, and of nothing else.
import type { CleaningReason, Places } from "../core/index.js";
import type { Building, Observation, StoredFinding, Waiver } from "./shelves.js";
import { FOR_EVER, holds, type Span, united, without } from "./spans.js";

export type HealthState = "act" | "watch" | "unknown" | "good";

export interface HealthReason {
  readonly kind: "finding" | "observation" | "overdue" | "unknown";
  /** id of the finding, of the observation or of the riser; `mains`, `exposure`, `verdict`, `network` of the whole */
  readonly ref: string;
  /** RFC 3339, UTC */
  readonly since: string;
  readonly text: string;
}

export interface HealthStep {
  readonly do: string;
  /** node, pipe, riser or building */
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
  /** ms: it is silent from then on */
  readonly until: number;
  readonly fanCoils: readonly string[];
  readonly risers: readonly string[];
  readonly dwellings: readonly string[];
  readonly step: HealthStep | null;
}

/** A verdict on a building's network, and from when on it is the one that counts. */
export interface Judged {
  readonly from: Date;
  readonly verdict: string;
  /** null: no backup judged */
  readonly exposure: string | null;
}

/** A building, and since when it is kept. */
export type KeptBuilding = Pick<Building, "id" | "createdAt">;

/** Everything that health is a function of, but the time asked for. */
export interface HealthInputs {
  readonly places: Places;
  readonly building: KeptBuilding;
  /** when each revision was made, the first first */
  readonly revised: readonly Date[];
  readonly judged: readonly Judged[];
  readonly findings: readonly StoredFinding[];
  readonly waivers: readonly Waiver[];
  readonly observations: readonly Observation[];
  /** days between two cleanings of what is common; null: nobody said, a year */
  readonly cleaningDays: number | null;
  /** IANA name: the days that people are told are those of the building */
  readonly timeZone: string;
}

const CLEANING_DAYS = 365;
const DAY = 86_400_000;

const ALARMS: Readonly<Record<string, "act" | "watch">> = {
  "switch-trip": "act",
  "water-seen": "act",
  "slow-drain": "watch",
};
const CLEANED = "cleaned";
const SETTLES: readonly string[] = [CLEANED, "drains-freely"];

/** Types of the observations that health is read from; besides, whatever withdraws one of them. */
export const HEALTH_TYPES: readonly string[] = [...Object.keys(ALARMS), ...SETTLES];

const ALARM_WORDS: Readonly<Record<string, string>> = {
  "switch-trip": "An overflow switch tripped",
  "water-seen": "Water was seen",
  "slow-drain": "The drain was slow",
};

/** All signs of a building, those that have fallen silent and those that are yet to speak included. */
export function signsOf(inputs: HealthInputs): Sign[] {
  const map = new PlaceMap(inputs.places);
  const stood = standing(inputs.observations);
  return [
    bare(inputs.building, inputs.revised[0]?.getTime()),
    ...findingSigns(inputs, map),
    ...alarmSigns(stood, map),
    ...overdueSigns(cleanings(inputs, stood, map), dayIn(inputs.timeZone)),
    ...wholeSigns(inputs.judged, inputs.building.id),
  ];
}

/** As long as no network is there, nothing is known. @param until ms: of the first revision */
export const bare = ({ id, createdAt }: KeptBuilding, until: number = FOR_EVER): Sign => ({
  kind: "unknown",
  ref: "network",
  since: createdAt.toISOString(),
  text: "No network was posted yet.",
  state: "unknown",
  from: -FOR_EVER,
  until,
  fanCoils: [],
  risers: [],
  dwellings: [],
  step: { do: "post the first revision", at: id, who: null },
});

/** The health of a whole building, or of the part whose signs these are. */
export function healthFrom(signs: readonly Sign[], at: Date): Health {
  const now = at.getTime();
  const heard = signs
    .filter(({ from, until }) => holds([from, until], now))
    .sort(
      (a, b) =>
        worseFirst(a.state, b.state) ||
        (a.since < b.since ? -1 : a.since > b.since ? 1 : 0) ||
        (a.ref < b.ref ? -1 : a.ref > b.ref ? 1 : 0),
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

/** When signs speak for each state, and no more: enough to tell the state at any time. */
export type Outlook = Readonly<Record<Sign["state"], readonly Span[]>>;

export const outlookOf = (signs: readonly Sign[]): Outlook => {
  const spansOf = (state: Sign["state"]) =>
    united(signs.filter((sign) => sign.state === state).map(({ from, until }): Span => [from, until]));
  return { act: spansOf("act"), watch: spansOf("watch"), unknown: spansOf("unknown") };
};

export const stateFrom = (outlook: Outlook, at: Date): HealthState =>
  (["act", "watch", "unknown"] as const).find((state) => outlook[state].some((span) => holds(span, at.getTime()))) ??
  "good";

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

/**
 * Observations between two instants that still speak of a blockage at the later of them, and why others do not; and when
 * pipes were cleaned until then, each with all that is cleaned with it.
 * @param observations all between the two, and every cleaning until the later one
 */
export function blockageSigns(
  places: Places,
  observations: readonly Observation[],
  since: Date,
  at: Date,
): {
  readonly heard: readonly Observation[];
  readonly leftOut: readonly { readonly id: string; readonly why: "cleaned-since" | "place-gone" }[];
  readonly cleaned: readonly (readonly [pipe: string, time: string])[];
} {
  const map = new PlaceMap(places);
  const known = observations.filter(({ time }) => time <= at);
  const cleanings = standing(known).filter(
    ({ seen, span }) => seen.type === CLEANED && holds(span, at.getTime()) && map.has(seen),
  );
  const cleanedAt = new Map<string, number>();
  for (const { seen, span } of cleanings) cleanedAt.set(keyOf(seen), span[0]);
  const heard: Observation[] = [];
  const leftOut: { id: string; why: "cleaned-since" | "place-gone" }[] = [];
  for (const seen of known.sort((a, b) => a.time.getTime() - b.time.getTime() || (a.id < b.id ? -1 : 1))) {
    if (seen.time < since) continue;
    const isCleaned = () => [...map.wayFrom(seen)].some((key) => (cleanedAt.get(key) ?? 0) > seen.time.getTime());
    if (!map.has(seen)) leftOut.push({ id: seen.id, why: "place-gone" });
    else if (seen.type in ALARMS && isCleaned()) leftOut.push({ id: seen.id, why: "cleaned-since" });
    else heard.push(seen);
  }
  const last = new Map<string, Observation>();
  for (const { seen } of cleanings) {
    const pipe = seen.pipe === null ? map.pipeFrom(nodeOf(seen)) : map.pipe(seen.pipe);
    if (pipe !== undefined) last.set(wholeOf(pipe), seen);
  }
  const cleaned = places.pipes.flatMap((pipe): (readonly [string, string])[] => {
    const seen = last.get(wholeOf(pipe));
    const told = pipe.lastCleaned === null ? Number.NaN : Date.parse(pipe.lastCleaned);
    return seen === undefined || told >= seen.time.getTime() ? [] : [[pipe.id, seen.timeText]];
  });
  return { heard, leftOut, cleaned };
}

/** What is cleaned together: a riser, the other common drains, or one fan coil's own. */
const wholeOf = ({ id, common, riser, fanCoil }: Places["pipes"][number]): string =>
  common ? `riser ${riser ?? ""}` : fanCoil === null ? `pipe ${id}` : `coil ${fanCoil}`;

/** An observation, from when it was made to when it was taken back. */
interface Stood {
  readonly seen: Observation;
  readonly span: Span;
}

/** Whatever order they came in, in the order of their times. */
function standing(observations: readonly Observation[]): Stood[] {
  const takenBack = new Map<string, number>();
  for (const { withdraws, time } of observations)
    if (withdraws !== null) takenBack.set(withdraws, Math.min(takenBack.get(withdraws) ?? FOR_EVER, time.getTime()));
  return observations
    .filter(({ withdraws }) => withdraws === null)
    .map((seen): Stood => ({ seen, span: [seen.time.getTime(), takenBack.get(seen.id) ?? FOR_EVER] }))
    .filter(({ span: [from, until] }) => from < until)
    .sort((a, b) => a.span[0] - b.span[0] || (a.seen.id < b.seen.id ? -1 : 1));
}

function findingSigns({ findings, waivers, revised }: HealthInputs, map: PlaceMap): Sign[] {
  const waived = new Map(
    waivers.map(({ finding, createdAt, until }) => [
      finding,
      [createdAt.getTime(), until?.getTime() ?? FOR_EVER] as Span,
    ]),
  );
  const madeAt = (revision: number): number => (revised[revision - 1] ?? revised[0])?.getTime() ?? 0;
  return findings.flatMap((finding): Sign[] => {
    const grave = finding.severity === "critical" || finding.severity === "major";
    const state = finding.kind === "contingency" || finding.severity === "advice" ? null : grave ? "act" : "watch";
    if (state === null) return [];
    const waiver = waived.get(finding.id);
    const parts = map.partsOf(finding);
    const [pipe] = finding.pipes;
    const node = finding.nodes[0] ?? finding.fanCoils[0] ?? finding.building;
    const who = pipe === undefined ? map.ownerOfNode(node) : map.ownerOfPipe(pipe);
    const spoke = finding.earlier.map(([from, until]): Span => [madeAt(from), madeAt(until)]);
    if (finding.state === "open") spoke.push([madeAt(finding.changed), FOR_EVER]);
    return united(spoke).flatMap((span) =>
      without(span, waiver === undefined ? [] : [waiver]).map(
        ([from, until]): Sign => ({
          kind: "finding",
          ref: finding.id,
          // out of sight for a while, a finding is as old as ever
          since: new Date(until === FOR_EVER ? madeAt(finding.since) : span[0]).toISOString(),
          text: finding.message,
          state,
          from,
          until,
          ...parts,
          step: { do: "mend", at: pipe ?? node, who },
        }),
      ),
    );
  });
}

/**
 * An alarm speaks until something later settles it: a cleaning at its own place or further down its water's way, or that
 * its own drain was seen to drain freely. That a main does says nothing of what hangs on it.
 */
function alarmSigns(stood: readonly Stood[], map: PlaceMap): Sign[] {
  const settling = new Map<string, Stood[]>();
  for (const each of stood) {
    if (!SETTLES.includes(each.seen.type)) continue;
    const key = keyOf(each.seen);
    const list = settling.get(key);
    if (list === undefined) settling.set(key, [each]);
    else list.push(each);
  }
  return stood.flatMap(({ seen, span }): Sign[] => {
    const state = ALARMS[seen.type];
    if (state === undefined) return [];
    const settled: Span[] = [];
    for (const place of map.wayFrom(seen))
      for (const later of settling.get(place) ?? [])
        if (later.span[0] > span[0] && (later.seen.type === CLEANED || map.isOneDrain(seen, later.seen)))
          settled.push(later.span);
    const at = nodeOf(seen);
    const element = seen.pipe ?? at;
    const parts = map.partsOf({
      fanCoils: [],
      ...(seen.pipe === null ? { nodes: [at], pipes: [] } : { nodes: [], pipes: [seen.pipe] }),
    });
    return without(span, settled).map(
      ([from, until]): Sign => ({
        kind: "observation",
        ref: seen.id,
        since: seen.time.toISOString(),
        text: `${ALARM_WORDS[seen.type]} at ${element}${seen.text === null ? "" : `: ${seen.text}`}`,
        state,
        from,
        until,
        ...parts,
        step: {
          do: state === "act" ? "locate the blockage and clear it" : "clean",
          at: element,
          who: seen.pipe === null ? map.ownerOfNode(at) : map.ownerOfPipe(seen.pipe),
        },
      }),
    );
  });
}

type Place = Pick<Observation, "node" | "pipe" | "fanCoil">;
const nodeOf = ({ node, fanCoil }: Place): string => node ?? fanCoil ?? "";
/** Nodes and pipes may have the same id. */
const nodeKey = (id: string): string => `node ${id}`;
const pipeKey = (id: string): string => `pipe ${id}`;
const keyOf = (place: Place): string => (place.pipe === null ? nodeKey(nodeOf(place)) : pipeKey(place.pipe));

/** What is cleaned as one: a riser, or the common drains that are none. */
interface CleanedWhole {
  /** null: common drains that are no riser */
  readonly riser: string | null;
  readonly who: string | null;
  readonly days: number;
  /** the first is the first revision, which counts where nothing else stands; then cleanings, each until it is taken back */
  readonly cleaned: readonly (readonly [time: number, span: Span, by: Cleaning["by"]])[];
  readonly reasons: ReadonlyMap<CleaningReason, readonly string[]>;
}

/** When something was cleaned last, when it is due again, and why sooner rather than later. */
export interface Cleaning {
  /** id of the riser; null: the common drains that are no riser */
  readonly riser: string | null;
  readonly who: string | null;
  /** days between two cleanings */
  readonly every: number;
  /** RFC 3339, UTC */
  readonly last: string;
  /** what says so; where nobody ever did, the first revision counts as a cleaning */
  readonly by: "document" | "observation" | "first-revision";
  readonly due: string;
  readonly overdue: boolean;
  /** what makes it close sooner, and where */
  readonly reasons: readonly {
    readonly why: CleaningReason;
    readonly text: string;
    readonly pipes: readonly string[];
  }[];
}

/** The cleanings of a building as of an instant, those that are due first coming first. */
export function cleaningsAt(inputs: HealthInputs, at: Date): Cleaning[] {
  const now = at.getTime();
  const wholes = cleanings(inputs, standing(inputs.observations), new PlaceMap(inputs.places));
  return wholes
    .map(({ riser, who, days, cleaned, reasons }): Cleaning => {
      const [time, , by] = lastOf(cleaned, now);
      const due = time + days * DAY;
      return {
        riser,
        who,
        every: days,
        last: new Date(time).toISOString(),
        by,
        due: new Date(due).toISOString(),
        overdue: due <= now,
        reasons: [...reasons].map(([why, pipes]) => ({ why, text: CLEANING_WORDS[why], pipes })),
      };
    })
    .sort((a, b) => (a.due === b.due ? byRiser(a, b) : a.due < b.due ? -1 : 1));
}

/** What is no riser comes last. */
const byRiser = ({ riser: a }: Cleaning, { riser: b }: Cleaning): number =>
  a === null ? 1 : b === null ? -1 : a < b ? -1 : a > b ? 1 : 0;

type Cleaned = CleanedWhole["cleaned"][number];

/** The latest of the cleanings that stand at an instant. */
const lastOf = ([first, ...told]: CleanedWhole["cleaned"], at: number): Cleaned =>
  told.filter(([, span]) => holds(span, at)).sort(([a], [b]) => b - a)[0] ?? first!;

/** A cleaning of one pipe of a riser is one of the riser. */
function cleanings({ places, cleaningDays, revised }: HealthInputs, stood: readonly Stood[], map: PlaceMap) {
  const first = revised[0]?.getTime() ?? 0;
  const wholes = new Map<
    string | null,
    { cleaned: Cleaned[]; reasons: Map<CleaningReason, string[]>; who: string | null }
  >();
  for (const pipe of places.pipes) {
    if (!pipe.common) continue;
    let whole = wholes.get(pipe.riser);
    if (whole === undefined) {
      whole = {
        cleaned: [[first, [first, FOR_EVER], "first-revision"]],
        reasons: new Map(),
        who: pipe.owner,
      };
      wholes.set(pipe.riser, whole);
    }
    const told = pipe.lastCleaned === null ? Number.NaN : Date.parse(pipe.lastCleaned);
    if (!Number.isNaN(told)) whole.cleaned.push([told, [told, FOR_EVER], "document"]);
    for (const reason of pipe.cleaning) {
      const pipes = whole.reasons.get(reason);
      if (pipes === undefined) whole.reasons.set(reason, [pipe.id]);
      else pipes.push(pipe.id);
    }
  }
  for (const { seen, span } of stood) {
    if (seen.type !== CLEANED) continue;
    const pipe = seen.pipe === null ? map.pipeFrom(nodeOf(seen)) : map.pipe(seen.pipe);
    if (pipe?.common) wholes.get(pipe.riser)?.cleaned.push([span[0], span, "observation"]);
  }
  const days = cleaningDays ?? CLEANING_DAYS;
  return [...wholes].map(([riser, whole]): CleanedWhole => ({ riser, days, ...whole }));
}

/** The calendar day of an instant in a zone, as 2026-07-14. */
const dayIn = (timeZone: string): ((at: number) => string) => {
  const format = new Intl.DateTimeFormat("en", { timeZone, year: "numeric", month: "2-digit", day: "2-digit" });
  return (at) => {
    const parts = new Map(format.formatToParts(at).map(({ type, value }) => [type, value]));
    return `${parts.get("year")}-${parts.get("month")}-${parts.get("day")}`;
  };
};

function overdueSigns(wholes: readonly CleanedWhole[], dayOf: (at: number) => string): Sign[] {
  return wholes.flatMap(({ riser, who, days, cleaned, reasons }): Sign[] => {
    const why = [...reasons.keys()].map((reason) => CLEANING_WORDS[reason]);
    const what = riser === null ? "the common mains" : `the riser ${riser}`;
    const because = why.length === 0 ? "" : ` (it is ${why.join(", ")})`;
    // from each change of what is known to the next
    const turns = [...new Set(cleaned.flatMap(([, span]) => span))].sort((a, b) => a - b);
    return turns.flatMap((turn, i): Sign[] => {
      const next = turns[i + 1];
      if (next === undefined) return [];
      const due = lastOf(cleaned, turn)[0] + days * DAY;
      const from = Math.max(turn, due);
      if (from >= next) return [];
      const since = new Date(due).toISOString();
      return [
        {
          kind: "overdue",
          ref: riser ?? "mains",
          since,
          text: `The cleaning of ${what} was due ${dayOf(due)}${because}.`,
          state: "watch",
          from,
          until: next,
          fanCoils: [],
          risers: riser === null ? [] : [riser],
          dwellings: [],
          step: { do: "clean and flush", at: riser ?? "mains", who },
        },
      ];
    });
  });
}

const CLEANING_WORDS: Readonly<Record<CleaningReason, string>> = {
  flat: "flat",
  small: "small",
  pool: "holding water",
  trickle: "carrying a trickle only",
  "many-coils": "serving many coils",
};

function wholeSigns(judged: readonly Judged[], building: string): Sign[] {
  return judged.flatMap(({ from, verdict, exposure }, i): Sign[] => {
    /** since when it has been so without a break */
    const since = (isSo: (one: Judged) => boolean): string => {
      let first = i;
      while (first > 0 && isSo(judged[first - 1]!)) first--;
      return judged[first]!.from.toISOString();
    };
    const sign = (
      state: Sign["state"],
      kind: Sign["kind"],
      ref: string,
      began: string,
      text: string,
      todo: string,
    ): Sign => ({
      kind,
      ref,
      since: began,
      text,
      state,
      from: from.getTime(),
      until: judged[i + 1]?.from.getTime() ?? FOR_EVER,
      fanCoils: [],
      risers: [],
      dwellings: [],
      step: { do: todo, at: building, who: null },
    });
    const signs: Sign[] = [];
    if (exposure === "exposed")
      signs.push(
        sign(
          "watch",
          "finding",
          "exposure",
          since((one) => one.exposure === exposure),
          "If a drain blocks, water comes out where nothing stops it.",
          "see the findings on blockages",
        ),
      );
    if (verdict === "undetermined")
      signs.push(
        sign(
          "unknown",
          "unknown",
          "verdict",
          since((one) => one.verdict === verdict),
          "Figures are missing or too uncertain to judge by.",
          "measure what the survey list asks for",
        ),
      );
    return signs;
  });
}

/** Which way everything's water goes, and whose it is. */
class PlaceMap {
  readonly #nodes: ReadonlyMap<string, Places["nodes"][number]>;
  readonly #pipes: ReadonlyMap<string, Places["pipes"][number]>;

  constructor(places: Places) {
    this.#nodes = new Map(places.nodes.map((node) => [node.id, node]));
    this.#pipes = new Map(places.pipes.map((pipe) => [pipe.id, pipe]));
  }

  has(place: Place): boolean {
    return place.pipe === null ? this.#nodes.has(nodeOf(place)) : this.#pipes.has(place.pipe);
  }

  pipe(id: string) {
    return this.#pipes.get(id);
  }

  /** the pipe that leaves a node */
  pipeFrom(id: string) {
    const next = this.#nodes.get(id)?.next;
    return next === null || next === undefined ? undefined : this.#pipes.get(next);
  }

  ownerOfNode(id: string): string | null {
    return this.#nodes.get(id)?.owner ?? null;
  }

  ownerOfPipe(id: string): string | null {
    return this.#pipes.get(id)?.owner ?? null;
  }

  /** the same place, or two of one fan coil's own drain */
  isOneDrain(a: Place, b: Place): boolean {
    const coilOf = (place: Place) =>
      (place.pipe === null ? this.#nodes.get(nodeOf(place)) : this.#pipes.get(place.pipe))?.fanCoil ?? null;
    return keyOf(a) === keyOf(b) || (coilOf(a) !== null && coilOf(a) === coilOf(b));
  }

  /** keys of every node and pipe that the water of a place passes, itself included */
  wayFrom(place: Place): ReadonlySet<string> {
    const way = new Set([keyOf(place)]);
    let node = nodeOf(place);
    if (place.pipe !== null) {
      const own = this.#pipes.get(place.pipe);
      if (own === undefined) return way;
      node = own.to;
    }
    for (;;) {
      way.add(nodeKey(node));
      const pipe = this.pipeFrom(node);
      if (pipe === undefined || way.has(nodeKey(pipe.to))) return way;
      // what stands in a vent stands at its foot
      way.add(nodeKey(pipe.from)).add(pipeKey(pipe.id));
      node = pipe.to;
    }
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
