import type { FastifyInstance } from "fastify";
import {
  type Findings,
  LIVING_STATES,
  type LivingFinding,
  type LivingState,
  waiverTagOf,
} from "../service/findings.js";
import type { Waiver } from "../service/shelves.js";
import { refTo } from "./components.js";
import { type Listing, pageOf, someId } from "./pages.js";
import { HttpProblem } from "./problems.js";
import { readWords } from "./read-words.js";
import { addStoredRoute, type Running, type StoredAnswer } from "./stored-routes.js";
import { WaiverBody } from "./stored-schemas.js";

const LIST: Listing<string, LivingFinding> = { name: "findings", key: someId, keyOf: ({ id }) => id };

const shownWaiver = ({ by, reason, until, createdAt }: Waiver) => ({ by, reason, until, createdAt });
const shown = ({ building: _, earlier: __, waiver, ...finding }: LivingFinding) => ({
  ...finding,
  waiver: waiver === null ? null : shownWaiver(waiver),
});

const answer = (waiver: Waiver): StoredAnswer => ({
  value: shownWaiver(waiver),
  headers: { etag: waiverTagOf(waiver) },
});

const readState = (state: string | undefined): LivingState | null => {
  if (state === undefined) return null;
  const known = LIVING_STATES.find((each) => each === state);
  if (known !== undefined) return known;
  throw new HttpProblem("bad-query", "The query parameter state is not understood.", {
    errors: [{ pointer: "", detail: "state: an unknown word", hint: `one of ${LIVING_STATES.join(", ")}` }],
  });
};

export const addFindings = (app: FastifyInstance, running: Running, findings: Findings): void => {
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/findings",
    role: "read",
    operationId: "listFindings",
    tag: "findings",
    summary: "The findings of a building in their life",
    description:
      "What fails in the newest revision (`open`) and since which revision, what of it is let be (`waived`), what was found right since (`cleared`), and what can no longer be told (`lost-sight`).",
    paged: true,
    query: {
      state: {
        type: "string",
        enum: LIVING_STATES,
        description: "Only those in this state; without it all.",
        examples: ["open"],
      },
    },
    answers: { 200: { description: "A page of them.", schema: refTo("LivingFindingList") } },
    handle: async ({ organization, params, query, url }) => {
      const state = readState(query.state);
      const listing = { ...LIST, name: `findings ${state ?? "all"}` };
      const { items, next, headers } = await pageOf(listing, query, url, (page) =>
        findings.list(organization, params.building!, state, page),
      );
      return { value: { items: items.map(shown), next }, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/findings/:finding/waiver",
    role: "read",
    operationId: "getWaiver",
    tag: "findings",
    summary: "The waiver of a finding",
    description: "Who lets a finding be, why, and until when, whether that time has passed or not.",
    answers: { 200: { description: "The waiver.", schema: refTo("Waiver"), tagged: true } },
    handle: async ({ organization, params }) =>
      answer(await findings.waiver(organization, params.building!, params.finding!)),
  });
  addStoredRoute(app, running, {
    method: "PUT",
    path: "/v1/buildings/:building/findings/:finding/waiver",
    role: "write",
    operationId: "putWaiver",
    tag: "findings",
    summary: "Let a finding be, for a time and a reason",
    description:
      "Lays a waiver over a finding, or changes it. A waived finding no longer speaks in the building's health until the waiver ends.",
    body: refTo("WaiverBody"),
    matched: true,
    answers: {
      200: { description: "It was changed.", schema: refTo("Waiver"), tagged: true },
      201: { description: "It was laid.", schema: refTo("Waiver"), tagged: true, located: true },
    },
    problems: ["invalid-body"],
    handle: async ({ organization, params, json, ifMatch, url }) => {
      const { by, reason, until = null } = readWords(WaiverBody, json());
      const { made, waiver } = await findings.waive(
        organization,
        params.building!,
        params.finding!,
        { by, reason, until: until === null ? null : new Date(until) },
        ifMatch,
      );
      const { value, headers } = answer(waiver);
      return made
        ? { status: 201, value, headers: { ...headers, location: url.split("?", 1)[0]! } }
        : { value, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "DELETE",
    path: "/v1/buildings/:building/findings/:finding/waiver",
    role: "write",
    operationId: "removeWaiver",
    tag: "findings",
    summary: "Withdraw a waiver",
    description: "The finding speaks again.",
    matched: true,
    answers: { 204: { description: "It is gone." } },
    handle: async ({ organization, params, ifMatch }) => {
      await findings.unwaive(organization, params.building!, params.finding!, ifMatch);
      return { status: 204 };
    },
  });
};
