// R11: the same observations in any order, more than once, late, ahead of the clock and through other zones. What health
// has to say of them is worked out here a second time, plainly.
import { riserOfThree } from "../builders/riser-of-three.js";
import { seeded } from "../builders/seeded.js";
import { call } from "./call.js";
import { embeddedDatabase } from "./databases.js";
import type { Row, Settings } from "./row.js";
import { startService } from "./service-process.js";

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

/** Instants at which the clocks of a zone were put forward or back, or the date line moved. */
const ZONES: readonly (readonly [zone: string, turn: string])[] = [
  ["Europe/Lisbon", "2026-03-29T01:00:00Z"],
  ["America/St_Johns", "2025-11-02T04:30:00Z"],
  ["Australia/Lord_Howe", "2025-10-04T15:30:00Z"],
  ["Pacific/Apia", "2011-12-30T10:00:00Z"],
  ["America/Sao_Paulo", "2018-11-04T03:00:00Z"],
];
const OFFSETS = [0, 14 * 60, -12 * 60, 5 * 60 + 45, -(3 * 60 + 30), 12 * 60 + 45];

interface Told {
  readonly id: string;
  readonly type: string;
  readonly node?: string;
  readonly pipe?: string;
  /** ms */
  readonly time: number;
  readonly withdraws?: string;
}

/** An instant as a clock shows it that is so many minutes ahead of UTC. */
const shown = (instant: number, offset: number): string => {
  const sign = offset < 0 ? "-" : "+";
  const two = (n: number) => String(n).padStart(2, "0");
  const zone = `${sign}${two(Math.floor(Math.abs(offset) / 60))}:${two(Math.abs(offset) % 60)}`;
  return `${new Date(instant + offset * MINUTE).toISOString().slice(0, -1)}${zone}`;
};

const shuffled = <T>(all: readonly T[], random: () => number): T[] => {
  const left = [...all];
  return all.map(() => left.splice(Math.floor(random() * left.length), 1)[0]!);
};

const story = (told: readonly Told[], at: number): ReadonlyMap<string, Told> =>
  new Map(
    told
      .filter(({ time, withdraws }) => time <= at && withdraws === undefined)
      .filter(({ id }) => !told.some(({ withdraws, time }) => withdraws === id && time <= at))
      .map((each) => [each.id, each]),
  );

/** Alarms that still speak: nothing that settles them came later, at their own node or (a cleaning) in the main below all. */
const heardAt = (told: readonly Told[], at: number): readonly string[] => {
  const stands = [...story(told, at).values()];
  return stands
    .filter(({ type }) => ["water-seen", "switch-trip", "slow-drain"].includes(type))
    .filter(
      (alarm) =>
        !stands.some(
          ({ type, node, pipe, time }) =>
            time > alarm.time &&
            ((type === "cleaned" && (pipe === "M" || node === alarm.node)) ||
              (type === "drains-freely" && node === alarm.node)),
        ),
    )
    .map(({ id }) => id)
    .sort();
};

interface HealthTold {
  readonly at: string;
  readonly state: string;
  readonly reasons: readonly { readonly kind: string; readonly ref: string }[];
}
/** What it has to say of observations, and of nothing that depends on when the building was posted. */
const saidOf = ({ at, reasons }: HealthTold) => ({ at, reasons: reasons.filter(({ kind }) => kind === "observation") });
const refsOf = ({ reasons }: HealthTold): readonly string[] =>
  reasons
    .filter(({ kind }) => kind === "observation")
    .map(({ ref }) => ref)
    .sort();

export const timeOrder = async ({ programs, seed, quick }: Settings): Promise<Row> => {
  const random = seeded(seed);
  const database = await embeddedDatabase();
  const service = await startService(programs, database.environment);
  const notes: string[] = [];
  const figures = { zones: ZONES.length, orders: 0, observations: 0, asked: 0, heard: 0, apart: 0, wrong: 0 };
  const now = Date.now();

  /** alarms, what settles them and what takes them back, about a turn of the clocks and about now */
  const observations = (turn: number): Told[] => {
    const told: Told[] = [];
    const used = new Set<number>();
    const instant = (): number => {
      // on the minute, and near enough to the turn that most lie in the hours that are there twice or not at all
      const own = turn + Math.round((random() - 0.5) * 8 * 60) * MINUTE;
      if (used.has(own)) return instant();
      used.add(own);
      return own;
    };
    const types = ["water-seen", "switch-trip", "slow-drain", "cleaned", "drains-freely"];
    for (let i = 0; i < (quick ? 9 : 16); i++) {
      const type = types[Math.floor(random() * types.length)]!;
      const place =
        type === "cleaned" && random() < 0.3 ? { pipe: "M" } : { node: `F-${1 + Math.floor(random() * 3)}` };
      told.push({ id: `o${i}`, type, ...place, time: instant() });
    }
    for (const target of shuffled(told, random).slice(0, 2)) {
      const { node, pipe } = target;
      const place = pipe === undefined ? { node } : { pipe };
      told.push({ id: `t${target.id}`, type: target.type, ...place, time: instant(), withdraws: target.id });
    }
    // a clock that runs ahead as far as zones are apart
    told.push({ id: "ahead", type: "water-seen", node: "F-1", time: now + 25 * HOUR });
    return told;
  };
  /** what takes another back comes after it; and some come twice */
  const ordered = (told: readonly Told[]): Told[] => {
    const order = shuffled([...told, ...shuffled(told, random).slice(0, 3)], random);
    return [...order.filter(({ withdraws }) => withdraws === undefined), ...order.filter(({ withdraws }) => withdraws)];
  };

  try {
    for (const [z, [timeZone, turnText]] of ZONES.entries()) {
      const turn = Date.parse(turnText);
      const told = observations(turn);
      const instants = [...told.flatMap(({ time }) => [time - 1, time]), turn, now + 30 * HOUR].sort((a, b) => a - b);
      const answers: string[] = [];
      for (let order = 0; order < (quick ? 2 : 6); order++) {
        const path = `/v1/buildings/b-${z}-${order}`;
        await call(service.url, { method: "PUT", path, body: { name: "Elm", timeZone } });
        await call(service.url, { method: "POST", path: `${path}/revisions`, body: riserOfThree() });
        const offsetOf = new Map(told.map(({ id }) => [id, OFFSETS[Math.floor(random() * OFFSETS.length)]!]));
        for (const { time, ...own } of order === 0 ? told : ordered(told)) {
          const body = { ...own, time: shown(time, offsetOf.get(own.id)!), source: "x" };
          const answer = await call(service.url, { method: "POST", path: `${path}/observations`, body });
          if (answer?.status !== 201 && answer?.status !== 200)
            notes.push(`${JSON.stringify(body)} was answered ${answer?.status}: ${answer?.text.slice(0, 200)}`);
          figures.observations++;
        }
        figures.orders++;
        const healths: unknown[] = [];
        for (const instant of instants) {
          const at = encodeURIComponent(new Date(instant).toISOString());
          const answer = await call(service.url, { method: "GET", path: `${path}/health?at=${at}` });
          const health = JSON.parse(answer?.text ?? "{}") as HealthTold;
          const refs = refsOf(health);
          figures.asked++;
          figures.heard += refs.length;
          if (JSON.stringify(refs) !== JSON.stringify(heardAt(told, instant))) {
            figures.wrong++;
            notes.push(
              `${timeZone}, order ${order}, ${new Date(instant).toISOString()}: ${refs} for ${heardAt(told, instant)}`,
            );
          }
          const grave = told.some(({ id, type }) => refs.includes(id) && type !== "slow-drain");
          if (instant < now && refs.length > 0 && health.state !== (grave ? "act" : "watch")) figures.wrong++;
          healths.push(saidOf(health));
        }
        const span = [turn - 6 * HOUR, turn + 6 * HOUR].map((each) => encodeURIComponent(new Date(each).toISOString()));
        const history = await call(service.url, {
          method: "GET",
          path: `${path}/health/history?from=${span[0]}&to=${span[1]}&limit=500`,
        });
        const { items } = JSON.parse(history?.text ?? "{}") as { items: readonly HealthTold[] };
        figures.wrong += items.filter(
          (each) => JSON.stringify(refsOf(each)) !== JSON.stringify(heardAt(told, Date.parse(each.at))),
        ).length;
        answers.push(JSON.stringify([healths, items.map(saidOf)]));
      }
      figures.apart += answers.filter((each) => each !== answers[0]).length;
    }
    const tooFar = await call(service.url, {
      method: "POST",
      path: "/v1/buildings/b-0-0/observations",
      body: {
        type: "cleaned",
        node: "F-1",
        time: new Date(Date.now() + 26 * HOUR + 5 * MINUTE).toISOString(),
        source: "x",
      },
    });
    if (tooFar?.status !== 422) notes.push(`a time more than 26 hours ahead was answered ${tooFar?.status}`);
    if (figures.heard === 0) notes.push("nothing was heard");
  } finally {
    await service.kill();
    await database.remove();
  }
  const passed = figures.apart + figures.wrong === 0 && notes.length === 0;
  return {
    id: "R11",
    what: "time and order of observations",
    engine: "embedded",
    passed,
    figures,
    notes: notes.slice(0, 5),
  };
};
