// A year of one tower, told by the calls that a property manager makes and by what is answered to them.
import { readFileSync } from "node:fs";
import type { Reply } from "../builders/stored-app.js";
import { refittedTower, surveyedTower } from "../builders/surveyed-tower.js";

/** The service, and a clock of its own to be set. */
export interface Surroundings {
  ask(request: string, more?: { readonly body?: unknown; readonly headers?: Record<string, string> }): Promise<Reply>;
  setClock(now: Date): void;
}

export interface Year {
  /** Markdown */
  readonly page: string;
  /** state of the tower's health and its reasons at each turn of the year */
  readonly turns: readonly { readonly at: string; readonly state: string; readonly reasons: readonly string[] }[];
  /** what brought about where findings stand */
  readonly causes: Readonly<Record<string, string>>;
  readonly revisions: readonly { readonly number: number; readonly verdict: string; readonly exposure: string }[];
  readonly located: readonly string[];
  readonly stopped: readonly string[];
  readonly carried: string;
}

const TOWER = "/v1/buildings/reedlight";
const WIDTH = 100;

type Json = Reply["json"];

/** Lives through the year on a service that keeps nothing yet. @throws Error where an answer is another than it must be */
export const aYear = async ({ ask, setClock }: Surroundings): Promise<Year> => {
  const page: string[] = [OPENING];
  let block: string[] = [];
  const close = () => {
    if (block.length > 0) page.push(`\`\`\`text\n${block.join("\n").trim()}\n\`\`\``);
    block = [];
  };
  const chapter = (title: string, about: string) => {
    close();
    page.push(`## ${title}`, about);
  };
  const say = (text: string) => {
    close();
    page.push(text);
  };
  const on = (time: string) => setClock(new Date(time));

  /** One call, told. @param told lines out of the answer */
  const call = async (
    request: string,
    {
      body,
      told,
      headers,
    }: {
      body?: unknown;
      told?: (json: Json, reply: Reply) => readonly string[];
      headers?: Record<string, string>;
    } = {},
    status = 200,
  ): Promise<Json> => {
    const reply = await ask(request, { ...(body !== undefined && { body }), ...(headers && { headers }) });
    if (reply.status !== status) throw new Error(`${request} answered ${reply.status}, not ${status}: ${reply.text}`);
    const sent =
      headers === undefined
        ? ""
        : Object.entries(headers)
            .map(([name, value]) => `\n  ${name}: ${value}`)
            .join("");
    block.push(`${request}${sent}${body === undefined ? "" : `\n${indented(shown(body))}`}`, `→ ${status}`);
    for (const line of told?.(reply.json, reply) ?? []) block.push(...wrapped(line));
    block.push("");
    return reply.json;
  };
  const observe = (seen: object) => call(`POST ${TOWER}/observations`, { body: seen }, 201);
  const health = () => call(`GET ${TOWER}/health`, { told: healthLines });
  const revisions: { number: number; verdict: string; exposure: string }[] = [];
  const revise = async (path: string, body: unknown) => {
    const made = await call(
      `POST ${TOWER}/${path}`,
      { body, told: ({ number, audit }) => [`revision ${number}: ${audit.verdict}, ${audit.exposure}`] },
      201,
    );
    revisions.push({ number: made.number, verdict: made.audit.verdict, exposure: made.audit.exposure });
  };
  const causes: Record<string, string> = {};
  const standing = (id: string) => (json: Json) =>
    json.items
      .filter((each: Json) => each.id === id)
      .map(({ id: own, state, since, changed, cause }: Json) => {
        causes[own] = cause;
        return `${own}: ${state}, since revision ${since}, changed in revision ${changed}, cause: ${cause}`;
      });

  // --- January
  chapter("January: as it was found", ABOUT.january);
  on("2026-01-12T10:00:00Z");
  await call(`PUT ${TOWER}`, { body: { name: "Reedlight Tower", timeZone: "Europe/Lisbon", tags: ["harbor"] } }, 201);
  await revise("revisions", { network: surveyedTower(), by: "survey team", note: "as found" });
  await call(`GET ${TOWER}/revisions/1/audit`, {
    told: ({ counts }) => [
      Object.entries(counts)
        .map(([word, n]) => `${n} ${word}`)
        .join(", "),
    ],
  });
  await health();

  // --- February
  chapter("February: what the survey had left open", ABOUT.february);
  on("2026-02-03T09:00:00Z");
  await call(`GET ${TOWER}/survey-list`, {
    told: ({ asks, floors }) => [
      `${asks} figures to measure`,
      ...floors.flatMap(({ name, stops }: Json) =>
        stops.flatMap(({ asks: own }: Json) =>
          own.map(
            (each: Json) => `${name}: ${each.attribute} of ${each.pipe ?? each.node}, for ${each.for.join(", ")}`,
          ),
        ),
      ),
    ],
  });
  await observe({
    id: "spacing-1101",
    type: "inspection",
    pipe: "PD-1101",
    attribute: "supportSpacing",
    value: "3 m",
    time: "2026-02-03T10:30:00+00:00",
    source: "survey team",
  });
  on("2026-02-03T11:00:00Z");
  await revise("inspections/revision", { by: "survey team" });
  const spacing = "support.spacing~p:PD-1101";
  await call(`GET ${TOWER}/findings`, { told: standing(spacing) });

  // --- March
  chapter("March: one remedy, weighed and done", ABOUT.march);
  on("2026-03-02T09:00:00Z");
  const { findings } = (await ask(`GET ${TOWER}/revisions/latest/audit`)).json;
  const sag = findings.find(({ id }: Json) => id === "fall.reverse~p:0401-B%2Farm-2");
  const whatIf = await call(`POST ${TOWER}/what-if`, {
    body: { remedies: [sag.remedy[0]] },
    told: (json) => [
      ...(["cleared", "new", "lostSight"] as const).map(
        (word) => `${word}: ${json[word].map(({ id }: Json) => id).join(", ") || "none"}`,
      ),
    ],
  });
  on("2026-03-09T15:00:00Z");
  await revise("revisions", {
    network: whatIf.network,
    by: "drain fitter",
    note: "0401-B re-hung",
    changed: "building",
  });
  await call(`GET ${TOWER}/findings`, { told: standing(sag.id) });
  const grave = "outlet.direct~n:O-S";
  const waiver = `${TOWER}/findings/${encodeURIComponent(grave)}/waiver`;
  await call(
    `PUT ${waiver}`,
    { body: { by: "building manager", reason: "plumber booked for the refit", until: "2026-04-30T23:59:00+01:00" } },
    201,
  );
  await call(`GET ${TOWER}/findings?state=waived`, {
    told: ({ items }) => items.map(({ id, waiver: { until } }: Json) => `${id}, until ${until}`),
  });

  // --- April
  chapter("April: the refit", ABOUT.april);
  on("2026-04-20T16:00:00+01:00");
  await revise("revisions", {
    network: refittedTower(),
    by: "drain fitter",
    note: "all the rest put right",
    changed: "building",
  });
  await call("POST /v1/comparisons", {
    body: { before: { building: "reedlight", revision: 1 }, after: { building: "reedlight", revision: "latest" } },
    told: (json) =>
      (["new", "persists", "cleared", "lostSight"] as const).map((word) => `${word}: ${json[word].length}`),
  });
  await health();

  // --- May
  chapter("May: the commissioning day", ABOUT.may);
  on("2026-05-04T17:00:00+01:00");
  await call(`GET ${TOWER}/commissioning`, {
    told: ({ stops }) => [
      `${stops.length} stops, ${stops.reduce((sum: number, { checks }: Json) => sum + checks.length, 0)} checks`,
    ],
  });
  await call(
    `POST ${TOWER}/commissioning/results`,
    {
      body: {
        time: "2026-05-04T16:30:00+01:00",
        by: "commissioning team",
        results: [
          { check: "pour-fan-on~f:0201-B%2Fcoil", boxes: { leaves: true, panStatic: -70 } },
          { check: "switch~d:0201-B%2Fswitch", boxes: { stopped: true } },
          { check: "switch~d:0502-A%2Fswitch", boxes: { stopped: false } },
        ],
      },
      told: ({ items }) =>
        items.map(({ observation: { type, node, fanCoil } }: Json) => `${type} at ${node ?? fanCoil}`),
    },
    201,
  );
  await revise("inspections/revision", { by: "commissioning team" });
  await health();
  on("2026-05-06T12:00:00+01:00");
  await observe({
    id: "switch-0502",
    type: "switch-tested",
    node: "0502-A/coil",
    value: true,
    time: "2026-05-06T11:30:00+01:00",
    source: "electrician",
    text: "replaced",
  });
  await revise("inspections/revision", { by: "electrician" });
  await health();

  // --- July
  chapter("July: a slow drain, then water", ABOUT.july);
  on("2026-07-13T19:00:00+01:00");
  await observe({
    id: "slow",
    type: "slow-drain",
    fanCoil: "0301-B/coil",
    time: "2026-07-13T18:00:00+01:00",
    source: "tenant of 0301",
  });
  await health();
  on("2026-07-14T15:30:00+01:00");
  await observe({
    id: "trip",
    type: "switch-trip",
    fanCoil: "0201-B/coil",
    time: "2026-07-14T15:00:00+01:00",
    source: "front desk",
  });
  await observe({
    id: "water",
    type: "water-seen",
    fanCoil: "0201-B/coil",
    time: "2026-07-14T15:10:00+01:00",
    source: "tenant of 0201",
  });
  await observe({
    id: "dry-0101",
    type: "drains-freely",
    fanCoil: "0101-B/coil",
    time: "2026-07-14T15:20:00+01:00",
    source: "front desk",
  });
  await observe({
    id: "dry-0202",
    type: "drains-freely",
    fanCoil: "0202-B/coil",
    time: "2026-07-14T15:25:00+01:00",
    source: "front desk",
  });
  await health();
  say(ABOUT.where);
  const first = await call(`POST ${TOWER}/blockages`, { told: ({ message }) => message });
  on("2026-07-14T16:00:00+01:00");
  await observe({
    id: "riser-wet",
    type: "water-seen",
    node: "R1-02/wye-B",
    time: "2026-07-14T15:50:00+01:00",
    source: "plumber",
  });
  await observe({
    id: "jumper",
    type: "switch-jumpered",
    node: "R1-02/wye-B",
    attribute: "R1-02/wye-B-level",
    time: "2026-07-14T15:55:00+01:00",
    source: "plumber",
    text: "a wire across the contacts of the level switch",
  });
  await revise("inspections/revision", { by: "building manager" });
  const second = await call(`POST ${TOWER}/blockages`, { told: ({ message }) => message });
  say(ABOUT.work);
  const isolation = await call(`GET ${TOWER}/pipes/${encodeURIComponent("R1-02/lower")}/isolation`, {
    told: ({ isolate, upstream, downstream }) => [
      `stop ${isolate.length} coils: ${isolate.join(", ")}`,
      `work on it from above at ${upstream}, from below at ${downstream}`,
    ],
  });
  await call(`GET ${TOWER}/dwellings/0201`, { told: ({ message }) => message });

  chapter("July: cleared", ABOUT.cleared);
  on("2026-07-14T21:00:00+01:00");
  await observe({
    id: "cleaned",
    type: "cleaned",
    pipe: "R1-02/lower",
    time: "2026-07-14T20:00:00+01:00",
    source: "plumber",
  });
  await observe({
    id: "free",
    type: "drains-freely",
    fanCoil: "0201-B/coil",
    time: "2026-07-14T20:30:00+01:00",
    source: "plumber",
  });
  await health();
  on("2026-07-15T12:00:00+01:00");
  await observe({
    id: "wire-out",
    type: "switch-tested",
    node: "R1-02/wye-B",
    attribute: "R1-02/wye-B-level",
    value: true,
    time: "2026-07-15T11:30:00+01:00",
    source: "electrician",
    text: "wire taken out; every coil above stops",
  });
  await revise("inspections/revision", { by: "electrician" });
  await health();

  // --- January
  chapter("January again: what is due", ABOUT.due);
  on("2027-01-14T09:00:00Z");
  await health();
  await call(`GET ${TOWER}/cleanings`, {
    told: ({ items }) =>
      items.map(({ riser, last, due, overdue, reasons }: Json) => {
        const why = reasons.map(({ text }: Json) => text).join(", ");
        return `${riser ?? "mains"}: cleaned ${day(last)}, due ${day(due)}${overdue ? ", overdue" : ""}${why === "" ? "" : `; ${why}`}`;
      }),
  });
  on("2027-01-18T17:00:00Z");
  for (const pipe of ["R2-12/lower", "R3-12/lower", "R4-12/lower", "M-M-02", "M-MD-01", "P-READ2"])
    await observe({
      id: `cleaned-${pipe}`,
      type: "cleaned",
      pipe,
      time: "2027-01-18T16:00:00+00:00",
      source: "cleaners",
    });
  await health();

  // --- the whole
  chapter("The year at a glance", ABOUT.glance);
  on("2027-01-20T09:00:00Z");
  const history = await call(
    `GET ${TOWER}/health/history?from=2026-01-01T00:00:00Z&to=2027-01-20T00:00:00Z&limit=1000`,
    {
      told: ({ items }) =>
        items.map(({ at, state, reasons }: Json) => `${at.slice(0, 16)}Z  ${state.padEnd(8)}${reasonsIn(reasons)}`),
    },
  );
  await call("PUT /v1/buildings/boathouse", { body: { name: "Boathouse", timeZone: "Europe/Lisbon" } }, 201);
  await call("POST /v1/buildings/boathouse/revisions", { body: JSON.parse(BOATHOUSE) }, 201);
  await call("GET /v1/health", {
    told: ({ state, items }) => [
      state,
      ...items.map(
        ({ name, state: own, reasons }: Json) => `${name}: ${own}${reasons.length === 0 ? "" : `, ${reasons[0].text}`}`,
      ),
    ],
  });
  let carried = "";
  await call(`GET ${TOWER}/export`, {
    told: (_json, { text }) => {
      carried = text;
      const rows = new Map<string, number>();
      for (const line of text.trim().split("\n")) {
        const { table } = JSON.parse(line) as { table?: string };
        if (table !== undefined) rows.set(table, (rows.get(table) ?? 0) + 1);
      }
      return [`newline-delimited JSON: ${[...rows].map(([table, n]) => `${n} × ${table}`).join(", ")}`];
    },
  });
  close();
  return {
    page: `${page.join("\n\n")}\n`,
    turns: history.items.map(({ at, state, reasons }: Json) => ({
      at,
      state,
      reasons: reasons.map(({ ref }: Json) => ref),
    })),
    causes,
    revisions,
    located: [first.candidates[0], second.candidates[0]].map(({ pipe, node }) => pipe ?? node),
    stopped: isolation.isolate,
    carried,
  };
};

const BOATHOUSE = readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8");

/** A body as it is told: documents are too long. */
const shown = (body: unknown): string =>
  JSON.stringify(body, (_, value: unknown) =>
    typeof value === "object" && value !== null && "nodes" in value
      ? `(network ${(value as { name?: string }).name})`
      : value,
  );

/** JSON broken between its fields. */
const indented = (json: string): string => folded(json.split(/(?<=[,[{])(?=["{[])/), "").join("\n");

/** Words broken into lines. */
const wrapped = (text: string): string[] => folded(text.split(" "), " ");

/** Lines of at most so many characters, each two blanks in. */
const folded = (pieces: readonly string[], between: string): string[] => {
  const lines: string[] = [];
  let line = "";
  for (const piece of pieces) {
    if (line !== "" && line.length + between.length + piece.length > WIDTH - 4) {
      lines.push(line);
      line = "";
    }
    line = line === "" ? piece : `${line}${between}${piece}`;
  }
  return [...lines, line].map((each, i) => `${i === 0 ? "  " : "    "}${each}`);
};

const day = (time: string): string => time.slice(0, 10);

/** How many reasons of each kind. */
const reasonsIn = (reasons: readonly Json[]): string => {
  const counts = new Map<string, number>();
  for (const { kind } of reasons) counts.set(kind, (counts.get(kind) ?? 0) + 1);
  return [...counts].map(([kind, n]) => `${n} ${kind}`).join(", ") || "nothing speaks against it";
};

/** State, reasons and steps; of many the first, and how many more. */
const healthLines = ({ state, reasons, next }: Json): string[] => {
  const some = (lines: readonly string[], most: number) =>
    lines.length <= most ? lines : [...lines.slice(0, most), `and ${lines.length - most} more`];
  return [
    state,
    ...some(
      reasons.map(({ kind, text }: Json) => `${kind}: ${text}`),
      3,
    ),
    ...some(
      next.map(({ do: what, at, who }: Json) => `to do: ${what} ${at}${who === null ? "" : ` (${who})`}`),
      3,
    ),
  ];
};

const OPENING = `# A year of one tower

Made by \`npm run docs\` from the calls below and what the service answered to them; do not edit it by hand. Of long answers the lines that matter are shown. The tower, its people and its troubles are invented; the clock is set by the tour.

Reedlight Tower in Quillmere has twelve storeys of dwellings, four risers and 101 coils. \`fixtures/buildings/tower-as-surveyed.json\` is what a surveyor found there.`;

const ABOUT = {
  january:
    "The manager keeps the tower under a name of her own and posts the survey as its first revision. It is audited at once.",
  february:
    "The list for the next visit goes from the roof down. What is measured is posted as an observation; a new revision is made of it when somebody asks. The finding that comes of it says that a survey brought it about, not the building.",
  march:
    "Before anybody climbs a ladder, the remedy is tried on paper. What it would leave behind is the next document, to be posted once the work is done. A grave finding that has to wait is let be, by somebody, for a reason, until a day; until then it is no reason to act.",
  april: "All the rest is put right. Any two revisions can be compared.",
  may: "The filled-in test sheet goes back as it is. One switch did not stop its coil; a revision made of that says what is wrong.",
  july: "A slow drain is something to watch; a switch that trips and water on a ceiling are something to act on.",
  where:
    "Where is it? The observations of the last day are asked for a blockage that explains them. The answer also says where to look next. The plumber looks there, finds water, and finds out why it came so far: the level switch in the riser should have stopped every coil above, and somebody has bridged it. That goes into the next revision.",
  work: "Before the pipe is opened, the coils above it are stopped. The page of the dwelling says whose pipe it is and whom to call.",
  cleared:
    "A cleaning further down its way settles what was seen above. What stays is the switch with the wire: as long as it is there, the next blockage comes out in a dwelling again.",
  due: "What is common is cleaned once a year unless somebody sets another interval; one riser was cleaned in July.",
  glance:
    "How it was, each time that something changed; the portfolio with the worst building first; and the building with all of its history, to be kept or carried elsewhere.",
};
