import { existsSync, readFileSync } from "node:fs";
import { analyse } from "../../src/core/analysis/analyse.js";
import { commissioning } from "../../src/core/audit/commissioning.js";
import { locateBlockage } from "../../src/core/audit/locate.js";
import { type CalculationAnswer, calculate } from "../../src/core/calculations/calculate.js";
import { calculations } from "../../src/core/calculations/calculations.js";
import { compile } from "../../src/core/graph/compile.js";
import { readNetwork } from "../../src/core/network/read.js";
import { networkSchema } from "../../src/core/network/schema.js";
import { CONNECTIONS, DISCHARGES } from "../../src/core/profiles/outlets.js";
import type { Limit, LimitName, Profile, SizeTable } from "../../src/core/profiles/profile.js";
import { profiles } from "../../src/core/profiles/profiles.js";
import { formatQuantity } from "../../src/core/quantity/format.js";
import { sizeName } from "../../src/core/quantity/sizes.js";
import { catalogue } from "../../src/core/rules/catalogue.js";
import { sources } from "../../src/core/sources/sources.js";
import { accessPage } from "./access-page.js";
import { calculationsPage } from "./calculations-page.js";
import { commissioningPage } from "./commissioning-page.js";
import { fourCasesPage } from "./four-cases.js";
import { glossary } from "./glossary.js";
import { figuresOf, locatingPage } from "./locating-page.js";
import { lookingPage, PICTURES, pictureOf } from "./looking.js";
import { type ProfileEntry, rulesPage } from "./rules-page.js";
import { whenItBlocksPage } from "./when-it-blocks.js";

/** Every generated page and picture by its file name under docs/, as it should be now. */
export const pages = (): ReadonlyMap<string, string> =>
  new Map([
    ["access.md", boathouseAccess()],
    ["calculations.md", calculationsPage(calculations(), answerTo, sources)],
    ["commissioning.md", commissioningPage(boathouseSheet())],
    ["four-cases.md", fourCasesPage()],
    ["glossary.md", glossary(networkSchema())],
    ["when-it-blocks.md", whenItBlocksPage()],
    ["looking.md", lookingPage()],
    ...PICTURES.map((picture) => [picture.file, pictureOf(picture)] as const),
    ["locating.md", locatingPage(boathouseBlockage(), figuresOf(written("docs/locating.md")))],
    ["rules.md", rulesPage(catalogue, profiles.map(entryOf), sources)],
  ]);

/** A file of the project; empty where there is none yet. */
const written = (path: string): string => {
  const url = new URL(`../../${path}`, import.meta.url);
  return existsSync(url) ? readFileSync(url, "utf8") : "";
};
const boathouse = (): unknown => JSON.parse(written("fixtures/buildings/three-coils.json"));

const boathouseSheet = () => {
  const made = commissioning(boathouse());
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.sheet;
};

const boathouseBlockage = () => {
  const made = locateBlockage(boathouse(), JSON.parse(written("fixtures/examples/boathouse-observations.json")));
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.blockage;
};

const boathouseAccess = (): string => {
  const read = readNetwork(boathouse());
  const [profile] = profiles;
  if (!read.ok || profile === undefined) throw new Error("the boathouse is no network");
  const net = compile(read.model);
  const { points, any } = analyse(net, profile).access;
  return accessPage(profiles, net, points, any.sure);
};

const answerTo = (id: string, inputs: unknown): CalculationAnswer => {
  const made = calculate(id, inputs);
  if (!made.ok) throw new Error(`${id} does not take its own example: ${made.problems[0]?.detail}`);
  return made.calculation;
};

const entryOf = (profile: Profile): ProfileEntry => ({
  id: profile.id,
  title: profile.title,
  edition: profile.edition,
  severity: (rule) => profile.severities.get(rule) ?? null,
  limit: (name) => {
    if (name === "size.table") return tableOf(profile, profile.codeTable);
    if (name === "size.practice") return tableOf(profile, profile.practiceTable);
    if (name === "size.aboveTable") return { figure: profile.aboveTable, source: "assumption" };
    if (name === "idleDays") return null;
    if (name === "overflow.methods")
      return {
        figure: profile.overflowMethods.map(({ method }) => method).join(", "),
        source: profile.overflowMethods[0]?.source ?? "assumption",
      };
    if (name === "overflow.inLineDevice") return { figure: profile.inLineDevice, source: "imc-307.2.3.1" };
    if (name === "overflow.exemption") return { figure: profile.overflowExemption, source: "upc-814.2-earlier" };
    if (name === "outlet.places") {
      const ruled = (word: string) =>
        `${word}: ${DISCHARGES.filter((each) => profile.outletPlaces[each].ruling === word).join(", ")}`;
      const { source } = profile.outletPlaces["public-way"];
      return { figure: `${ruled("allowed")}; ${ruled("forbidden")}; ask: anything else`, source };
    }
    if (name === "outlet.connections") {
      const figure = CONNECTIONS.map((each) => {
        const { ruling, except } = profile.outletConnections[each];
        const places = Object.entries(except).map(([place, own]) => ` (${place}: ${own.ruling})`);
        return `${each}: ${ruling}${places.join("")}`;
      });
      return { figure: figure.join(", "), source: profile.outletConnections.direct.source };
    }
    if (name === "install.materials") {
      const [list] = profile.materialLists;
      return list === undefined
        ? null
        : { figure: `${list.edition}: ${list.materials.join(", ")}`, source: list.source };
    }
    if (name === "support.spacing") {
      const [row] = profile.supportSpacing.values().next().value ?? [];
      return row === undefined ? null : { figure: "by material and size", source: row.source };
    }
    if (name === "vent.rule") return { figure: profile.ventRule, source: "common-practice" };
    const limit = profile.limits.get(name as LimitName);
    if (limit === undefined) throw new Error(`the rules name a limit ${name} that profile ${profile.id} does not have`);
    const figure = limit.kind === "size" ? sizeName(limit.value, profile.sizeSystem) : bothSystems(limit);
    return { figure, source: limit.source };
  },
});

const bothSystems = ({ value, kind }: Limit): string => {
  const [si, us] = [formatQuantity(value, kind, "si"), formatQuantity(value, kind, "us")];
  // A grade in US units says the ratio too.
  return si === us || kind === "grade" ? us : `${si}, ${us}`;
};

const tableOf = (profile: Profile, table: SizeTable | null) => {
  if (table === null) return null;
  const steps = table.rows.map(
    ({ upTo, size }) => `${sizeName(size, profile.sizeSystem)} to ${formatQuantity(upTo, "cooling-capacity", "us")}`,
  );
  return { figure: steps.join(", "), source: table.source };
};
