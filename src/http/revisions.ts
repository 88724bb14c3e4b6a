import type { FastifyInstance } from "fastify";
import * as z from "zod";
import { catalogueVersion, VERSION } from "../core/index.js";
import type { Auditor } from "../service/auditor.js";
import type { Added, Revisions } from "../service/revisions.js";
import type { Revision, StoredAudit } from "../service/shelves.js";
import { refTo } from "./components.js";
import { DOCUMENT_PROBLEMS } from "./document-routes.js";
import { includeParameter, readInclude } from "./include.js";
import { type Listing, pageOf } from "./pages.js";
import { HttpProblem } from "./problems.js";
import { addStoredRoute, type Running, type StoredAnswer } from "./stored-routes.js";

const LIST: Listing<number, Revision> = {
  name: "revisions",
  key: z
    .int()
    .min(0)
    .max(2 ** 31 - 1),
  keyOf: ({ number }) => number,
};

/** The number in a path; 0: the newest. @throws HttpProblem `not-found` for what is no number of any revision */
const numberOf = (text: string): number => {
  if (text === "latest") return 0;
  const number = Number(text);
  if (/^[1-9]\d{0,8}$/.test(text)) return number;
  throw new HttpProblem("not-found", "There is no such revision.");
};

const entry = ({ number, digest, createdAt, by, note }: Revision) => ({ number, digest, createdAt, by, note });
const judged = ({ revision, sequence, engine, catalogue, madeAt, verdict, exposure }: Omit<StoredAudit, "answer">) => ({
  revision,
  sequence,
  engine,
  catalogue,
  madeAt,
  verdict,
  exposure,
});
const auditTag = ({ sequence, catalogue }: StoredAudit): string => `"${sequence}-${catalogue}"`;

/** A JSON object with one more field, which is JSON already. */
const withField = (object: object, name: string, json: string): Buffer =>
  Buffer.from(`${JSON.stringify(object).slice(0, -1)},${JSON.stringify(name)}:${json}}`);

const pathOf = (building: string, number: number): string =>
  `/v1/buildings/${encodeURIComponent(building)}/revisions/${number}`;

/** The answer to whoever has added a revision. */
export const addedRevision = ({ revision, audit }: Added): StoredAnswer => ({
  status: 201,
  value: { ...entry(revision), audit: judged(audit) },
  headers: { location: pathOf(revision.building, revision.number), etag: `"${revision.digest}"` },
});

export const addRevisions = (app: FastifyInstance, running: Running, revisions: Revisions, auditor: Auditor): void => {
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/revisions",
    role: "write",
    operationId: "addRevision",
    tag: "revisions",
    summary: "Post the next revision of a building's network",
    description:
      "Keeps a network document as the building's next revision, audits it and follows the findings of the revision before into it. The body is the document, or `{ network, by?, note?, changed? }`. A revision is never changed.",
    body: { anyOf: [refTo("RevisionBody"), refTo("Network")] },
    answers: { 201: { description: "It was kept.", schema: refTo("Revision"), tagged: true, located: true } },
    problems: [...DOCUMENT_PROBLEMS, "over-budget", "stopping", "conflict"],
    handle: async ({ organization, caller, params, body, repeatable }) =>
      addedRevision(await revisions.add(organization, params.building!, body, caller.name, repeatable(addedRevision))),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/revisions",
    role: "read",
    operationId: "listRevisions",
    tag: "revisions",
    summary: "The revisions of a building",
    description: "Its revisions, the first first, without their documents.",
    paged: true,
    answers: { 200: { description: "A page of them.", schema: refTo("RevisionList") } },
    handle: async ({ organization, params, query, url }) => {
      const { items, next, headers } = await pageOf(LIST, query, url, (page) =>
        revisions.list(organization, params.building!, page),
      );
      return { value: { items: items.map(entry), next }, headers };
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/revisions/:revision",
    role: "read",
    operationId: "getRevision",
    tag: "revisions",
    summary: "One revision with its document",
    description: "The document as it was posted. `latest` stands for the number of the newest revision.",
    answers: { 200: { description: "The revision.", schema: refTo("RevisionDocument"), tagged: true } },
    handle: async ({ organization, params }) => {
      const revision = await revisions.get(organization, params.building!, numberOf(params.revision!));
      return {
        value: withField(entry(revision), "network", revision.network),
        headers: { etag: `"${revision.digest}"` },
      };
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/revisions/:revision/audit",
    role: "read",
    operationId: "getRevisionAudit",
    tag: "revisions",
    summary: "The audit of a revision",
    description:
      "The newest audit that was made of the revision, byte for byte as it was kept. Facts (`include`) are worked out when they are asked for, as long as the rules are still those that judged.",
    query: includeParameter.properties,
    answers: { 200: { description: "The audit.", schema: refTo("Audit"), tagged: true } },
    problems: ["conflict", "busy", "stopping", "over-budget"],
    handle: async ({ organization, params, query, gone }) => {
      const include = readInclude(query.include);
      const number = numberOf(params.revision!);
      const audit = await revisions.audit(organization, params.building!, number);
      const headers = { etag: auditTag(audit) };
      if (include.length === 0) return { value: Buffer.from(audit.answer), headers };
      if (audit.catalogue !== catalogueVersion() || audit.engine !== VERSION)
        throw new HttpProblem(
          "conflict",
          "The rules have changed since this audit; facts belong to the rules of today. POST to its audits judges the revision again.",
        );
      const { network } = await revisions.get(organization, params.building!, audit.revision);
      const reply = await auditor.perform({
        work: "audit",
        body: new TextEncoder().encode(network),
        include,
        signal: gone,
      });
      if (!reply.ok) throw new HttpProblem(reply.refusal.code, reply.refusal.detail);
      return { value: reply.body, headers: {} };
    },
  });
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/revisions/:revision/audits",
    role: "write",
    operationId: "auditRevisionAgain",
    tag: "revisions",
    summary: "Judge a revision again by the rules of today",
    description:
      "Keeps another audit of the revision, beside those before. Of the newest revision the findings follow: what the rules alone have brought about says `catalogue` as its cause. Takes no body.",
    answers: { 201: { description: "It was judged.", schema: refTo("StoredAudit"), tagged: true, located: true } },
    problems: ["conflict", "busy", "stopping", "over-budget"],
    handle: async ({ organization, params, repeatable }) => {
      const building = params.building!;
      const render = (audit: StoredAudit): StoredAnswer => ({
        status: 201,
        value: judged(audit),
        headers: { location: `${pathOf(building, audit.revision)}/audit`, etag: auditTag(audit) },
      });
      return render(await revisions.auditAgain(organization, building, numberOf(params.revision!), repeatable(render)));
    },
  });
};
