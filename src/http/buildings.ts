import type { FastifyInstance } from "fastify";
import { BUILDING_ID } from "../service/building-id.js";
import { type Buildings, tagOf } from "../service/buildings.js";
import type { Building } from "../service/shelves.js";
import { refTo } from "./components.js";
import { type Listing, pageOf, someId } from "./pages.js";
import { badBody, readWords } from "./read-words.js";
import { addStoredRoute, type Running, type StoredAnswer } from "./stored-routes.js";
import { BuildingBody } from "./stored-schemas.js";

const LIST: Listing<string, Building> = { name: "buildings", key: someId, keyOf: ({ id }) => id };

/** A building as it is answered. */
export const shownBuilding = ({ version: _, ...building }: Building) => building;

const answer = (building: Building): StoredAnswer => ({
  value: shownBuilding(building),
  headers: { etag: tagOf(building) },
});

export const addBuildings = (app: FastifyInstance, running: Running, buildings: Buildings): void => {
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings",
    role: "read",
    operationId: "listBuildings",
    tag: "buildings",
    summary: "The buildings",
    description: "The buildings of the caller's organization, by their ids.",
    paged: true,
    answers: { 200: { description: "A page of them.", schema: refTo("BuildingList") } },
    handle: async ({ organization, query, url }) => {
      const { items, next, headers } = await pageOf(LIST, query, url, (page) => buildings.list(organization, page));
      return { value: { items: items.map(shownBuilding), next }, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "PUT",
    path: "/v1/buildings/:building",
    role: "write",
    operationId: "putBuilding",
    tag: "buildings",
    summary: "Keep a building, or change what is said of it",
    description:
      "Makes the building with this id, or replaces what is said of it. What is left out is as if it had never been said. Its networks are its revisions.",
    body: refTo("BuildingBody"),
    matched: true,
    answers: {
      200: { description: "It was changed.", schema: refTo("Building"), tagged: true },
      201: { description: "It was made.", schema: refTo("Building"), tagged: true, located: true },
    },
    problems: ["invalid-body"],
    handle: async ({ organization, params, json, ifMatch }) => {
      const id = params.building!;
      const words = readWords(BuildingBody, json());
      const hint = "letters, digits and . _ ~ -, at most 128 of them";
      if (!BUILDING_ID.test(id))
        throw badBody([{ pointer: "/id", detail: "the id in the path has another form", hint }]);
      if (words.id !== undefined && words.id !== id)
        throw badBody([{ pointer: "/id", detail: "another id than the one in the path", hint: "leave it out" }]);
      const { name, timeZone, tags = [], cleaningDays = null } = words;
      const { made, building } = await buildings.put(organization, id, { name, timeZone, tags, cleaningDays }, ifMatch);
      const { value, headers } = answer(building);
      return made
        ? { status: 201, value, headers: { ...headers, location: `/v1/buildings/${encodeURIComponent(id)}` } }
        : { value, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building",
    role: "read",
    operationId: "getBuilding",
    tag: "buildings",
    summary: "One building",
    description: "What is said of a building, and the number of its newest revision.",
    answers: { 200: { description: "The building.", schema: refTo("Building"), tagged: true } },
    handle: async ({ organization, params }) => answer(await buildings.get(organization, params.building!)),
  });
  addStoredRoute(app, running, {
    method: "DELETE",
    path: "/v1/buildings/:building",
    role: "write",
    operationId: "removeBuilding",
    tag: "buildings",
    summary: "Remove a building",
    description: "Removes the building with its revisions, audits, findings, waivers and observations, for good.",
    matched: true,
    answers: { 204: { description: "It is gone." } },
    handle: async ({ organization, params, ifMatch }) => {
      await buildings.remove(organization, params.building!, ifMatch);
      return { status: 204 };
    },
  });
};
