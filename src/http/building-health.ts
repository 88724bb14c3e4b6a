import type { FastifyInstance } from "fastify";
import * as z from "zod";
import type { BuildingHealth, BuildingHealths, Portfolio, PortfolioPlace } from "../service/building-health.js";
import { refTo } from "./components.js";
import { type Listing, pageOf } from "./pages.js";
import { addStoredRoute, type Running } from "./stored-routes.js";
import { readTime, timeParameter } from "./times.js";

const LIST: Listing<PortfolioPlace, BuildingHealth> = {
  name: "health",
  key: z.strictObject({ state: z.enum(["act", "watch", "unknown", "good"]), building: z.string() }),
  keyOf: ({ state, building }) => ({ state, building }),
};

const at = { at: timeParameter("As of this time; without it now.") };

export const addBuildingHealth = (app: FastifyInstance, running: Running, health: BuildingHealths): void => {
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
