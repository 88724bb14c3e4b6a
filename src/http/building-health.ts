import type { FastifyInstance } from "fastify";
import * as z from "zod";
import type { BuildingHealth, BuildingHealths, Portfolio, PortfolioPlace } from "../service/building-health.js";
import type { Health } from "../service/health.js";
import { refTo } from "./components.js";
import { instant, type Listing, pageOf, someId } from "./pages.js";
import { HttpProblem } from "./problems.js";
import { addStoredRoute, type Running } from "./stored-routes.js";
import { readTime, timeParameter } from "./times.js";

const LIST: Listing<PortfolioPlace, BuildingHealth> = {
  name: "health",
  key: z.strictObject({ state: z.enum(["act", "watch", "unknown", "good"]), building: someId }),
  keyOf: ({ state, building }) => ({ state, building }),
};

const YEAR = 365 * 86_400_000;
const HISTORY: Listing<Date, Health> = {
  name: "health history",
  key: instant,
  keyOf: ({ at: when }) => new Date(when),
};

const at = { at: timeParameter("As of this time; without it now.") };

export const addBuildingHealth = (
  app: FastifyInstance,
  running: Running,
  health: BuildingHealths,
  now: () => Date,
): void => {
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/health",
    role: "read",
    operationId: "getBuildingHealth",
    tag: "drain health",
    summary: "Drain health of a building",
    description:
      "`act`, `watch`, `unknown` or `good`, with every reason and what to do next: from what fails and is not waived, what was observed, and which cleanings are overdue.",
    query: at,
    answers: { 200: { description: "Its health.", schema: refTo("Health") } },
    handle: async ({ organization, params, query }) => ({
      value: await health.whole(organization, params.building!, readTime("at", query.at)),
    }),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/fan-coils/:fanCoil/health",
    role: "read",
    operationId: "getFanCoilHealth",
    tag: "drain health",
    summary: "Drain health of one fan coil",
    description: "The same of what concerns one fan coil of the newest network.",
    query: at,
    answers: { 200: { description: "Its health.", schema: refTo("Health") } },
    handle: async ({ organization, params, query }) => ({
      value: await health.part(organization, params.building!, { fanCoil: params.fanCoil! }, readTime("at", query.at)),
    }),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/risers/:riser/health",
    role: "read",
    operationId: "getRiserHealth",
    tag: "drain health",
    summary: "Drain health of one riser",
    description: "The same of one riser of the newest network and of all that drains into it first.",
    query: at,
    answers: { 200: { description: "Its health.", schema: refTo("Health") } },
    handle: async ({ organization, params, query }) => ({
      value: await health.part(organization, params.building!, { riser: params.riser! }, readTime("at", query.at)),
    }),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/health/history",
    role: "read",
    operationId: "getBuildingHealthHistory",
    tag: "drain health",
    summary: "How the drain health of a building was",
    description:
      "Its health as it was at `from`, and at each later instant at which a reason began or ended. Each entry holds until the next.",
    paged: true,
    query: {
      from: timeParameter("From this time on; without it from a year before `to`."),
      to: timeParameter("To this time; without it to now."),
    },
    answers: { 200: { description: "A page of it.", schema: refTo("HealthHistory") } },
    handle: async ({ organization, params, query, url }) => {
      const to = readTime("to", query.to) ?? now();
      const from = readTime("from", query.from) ?? new Date(to.getTime() - YEAR);
      if (from > to)
        throw new HttpProblem("bad-query", "The time ends before it begins.", {
          errors: [{ pointer: "", detail: "from: it is later than to", hint: "name an earlier time" }],
        });
      const { items, next, headers } = await pageOf(HISTORY, query, url, (page) =>
        health.history(organization, params.building!, { from, to }, page),
      );
      return { value: { items, next }, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/cleanings",
    role: "read",
    operationId: "listCleanings",
    tag: "drain health",
    summary: "When what is common is to be cleaned",
    description:
      "Each riser, and the other common drains as one: when it was cleaned last and what says so, when it is due again, and what makes it close sooner: flat, small, holding water, carrying a trickle only, serving many coils.",
    query: at,
    answers: { 200: { description: "First what is due first.", schema: refTo("CleaningList") } },
    handle: async ({ organization, params, query }) => ({
      // few: they come all at once
      value: { items: await health.cleanings(organization, params.building!, readTime("at", query.at)), next: null },
    }),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/health",
    role: "read",
    operationId: "getPortfolioHealth",
    tag: "drain health",
    summary: "Drain health of all buildings, worst first",
    description:
      "The state of the worst building is that of the whole. `next` is what to do, as in every health; the page that follows is named by the header Link.",
    paged: true,
    answers: { 200: { description: "The health of all.", schema: refTo("Portfolio") } },
    handle: async ({ organization, query, url }) => {
      let whole: Portfolio | undefined;
      const { items, headers } = await pageOf(LIST, query, url, async (page) => {
        whole = await health.portfolio(organization, page);
        return whole.buildings;
      });
      const { buildings: _, ...rest } = whole!;
      return { value: { ...rest, items }, headers };
    },
  });
};
