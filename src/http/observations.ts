import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { readObservations } from "../core/index.js";
import type { Observations } from "../service/observations.js";
import type { Observation } from "../service/shelves.js";
import { refTo } from "./components.js";
import { instant, type Listing, pageOf, someId } from "./pages.js";
import { badBody } from "./read-words.js";
import { addStoredRoute, type Running, type StoredAnswer } from "./stored-routes.js";
import { readTime, timeParameter } from "./times.js";

const LIST: Listing<{ readonly time: Date; readonly id: string }, Observation> = {
  name: "observations",
  key: z.strictObject({ time: instant, id: someId }),
  keyOf: ({ time, id }) => ({ time, id }),
};

/** An observation as it is answered. */
export const shownObservation = (seen: Observation) => {
  const { node, pipe, fanCoil, attribute, value, text, withdraws } = seen;
  const told = Object.entries({ node, pipe, fanCoil, attribute, value, text, withdraws }).filter(
    ([, each]) => each !== null,
  );
  return {
    id: seen.id,
    type: seen.type,
    time: seen.timeText,
    ...Object.fromEntries(told),
    source: seen.source,
    receivedAt: seen.receivedAt,
  };
};

const answer = ({ made, observation }: { made: boolean; observation: Observation }): StoredAnswer => ({
  status: made ? 201 : 200,
  value: shownObservation(observation),
  headers: {
    location: `/v1/buildings/${encodeURIComponent(observation.building)}/observations/${encodeURIComponent(observation.id)}`,
  },
});

export const addObservations = (app: FastifyInstance, running: Running, observations: Observations): void => {
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/observations",
    role: "write",
    operationId: "addObservation",
    tag: "observations",
    summary: "Report what was observed",
    description:
      "Keeps something that was seen, heard or measured at one place of the newest network. Observations are never edited: another one withdraws what was wrong. The same one sent again changes nothing; its source must be named.",
    body: refTo("Observation"),
    answers: {
      200: { description: "It was there already.", schema: refTo("ObservationKept"), located: true },
      201: { description: "It was kept.", schema: refTo("ObservationKept"), located: true },
    },
    problems: ["invalid-body", "conflict"],
    handle: async ({ organization, params, json, repeatable }) => {
      const read = readObservations([json()]);
      if (!read.ok) {
        const own = read.problems.map(({ pointer, detail, hint }) => ({
          pointer: pointer.replace(/^\/0/, ""),
          detail,
          hint,
        }));
        throw badBody(own, read.total);
      }
      const [given] = read.observations;
      return answer(await observations.add(organization, params.building!, given!, repeatable(answer)));
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/observations",
    role: "read",
    operationId: "listObservations",
    tag: "observations",
    summary: "What was observed",
    description: "Observations by the time at which they were made, the earliest first, withdrawn ones included.",
    paged: true,
    query: {
      from: timeParameter("Only those made at this time or later."),
      to: timeParameter("Only those made at this time or before."),
    },
    answers: { 200: { description: "A page of them.", schema: refTo("ObservationList") } },
    handle: async ({ organization, params, query, url }) => {
      const range = { from: readTime("from", query.from), to: readTime("to", query.to) };
      const { items, next, headers } = await pageOf(LIST, query, url, (page) =>
        observations.list(organization, params.building!, range, page),
      );
      return { value: { items: items.map(shownObservation), next }, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/observations/:observation",
    role: "read",
    operationId: "getObservation",
    tag: "observations",
    summary: "One observation",
    description: "The observation with this id.",
    answers: { 200: { description: "The observation.", schema: refTo("ObservationKept") } },
    handle: async ({ organization, params }) => ({
      value: shownObservation(await observations.get(organization, params.building!, params.observation!)),
    }),
  });
};
