import swagger from "@fastify/swagger";
import type { FastifyInstance } from "fastify";
import { html, htmlPage, servedPolicy, VERSION } from "../core/index.js";
import { answer, problemResponses } from "./answers.js";
import { calculationSchemas } from "./calculation-schemas.js";
import { catalogueSchemas } from "./catalogue-schemas.js";
import { makeComponents } from "./components.js";
import { type Described, DOCS_STYLE, docsView } from "./site/docs-view.js";
import { storedSchemas } from "./stored-schemas.js";

const OPENAPI_TYPE = "application/json";

const TAGS = [
  { name: "audits", description: "Audits of network documents, without storing anything." },
  { name: "expansions", description: "Documents with their shorthand written out." },
  { name: "blockages", description: "Where a blockage is, and what follows from one." },
  { name: "drawings", description: "Pictures of a network as SVG." },
  { name: "commissioning", description: "Test sheets for the day on which drains are first used." },
  { name: "calculations", description: "Single calculations with their working." },
  { name: "buildings", description: "Buildings that are kept." },
  { name: "revisions", description: "Their networks as they were posted, each with its audit." },
  { name: "dwellings", description: "What concerns one dwelling: who floods it and whom it floods." },
  { name: "findings", description: "What fails in them, since when, and what is let be." },
  { name: "observations", description: "What was seen, heard and measured in them." },
  { name: "drain health", description: "How they are, and what to do next." },
  { name: "rules", description: "What an audit asks." },
  { name: "profiles", description: "What an audit judges by." },
  { name: "materials", description: "Pipes and their bores." },
  { name: "limits", description: "How much the service takes." },
  { name: "schemas", description: "The document's schema." },
  { name: "health", description: "Whether the service runs, for whoever watches it, and its own description." },
];

/** The plugins must stand before the routes that they describe. */
export const describeRoutes = async (app: FastifyInstance): Promise<void> => {
  const schemas = makeComponents({ ...catalogueSchemas, ...calculationSchemas, ...storedSchemas });
  await app.register(swagger, {
    convertConstToEnum: false,
    openapi: {
      openapi: "3.1.0",
      info: {
        title: "Drainward",
        version: VERSION,
        summary: "Audits of the gravity condensate drains of multi-unit buildings",
        description:
          "Reads a document that describes a building's condensate drains and says what is wrong with them, by how much, against which limit and what to do. Errors are `application/problem+json` (RFC 9457) with a stable `code`; numbers under `facts` are SI base units.",
        license: { name: "Apache-2.0", identifier: "Apache-2.0" },
        contact: { name: "The maintainers of Drainward", url: "https://drainward.example/" },
      },
      servers: [{ url: "/", description: "This service." }],
      tags: TAGS,
      security: [{ key: [] }, {}],
      components: {
        securitySchemes: {
          key: {
            type: "http",
            scheme: "bearer",
            description: "A key. While none exists, callers on the same machine need none and others are refused.",
          },
        },
      },
    },
    transformObject: (document) => {
      if (!("openapiObject" in document)) return document.swaggerObject;
      const { openapiObject } = document;
      return { ...openapiObject, components: { ...openapiObject.components, schemas } } as typeof openapiObject;
    },
  });
};

/** `/openapi.json`, and the same as a page at `/docs`. */
export const addDocs = (app: FastifyInstance): void => {
  app.get(
    "/openapi.json",
    {
      config: { role: "open" },
      schema: {
        operationId: "getOpenapi",
        tags: ["health"],
        summary: "This description",
        description: "The OpenAPI document of the service.",
        security: [],
        response: {
          ...answer("The document.", OPENAPI_TYPE, {
            type: "object",
            description: "An OpenAPI 3.1 document.",
            additionalProperties: true,
          }),
          ...problemResponses(["bad-request", "internal"]),
        },
      },
    },
    async () => app.swagger(),
  );
  let page: string | undefined;
  for (const path of ["/docs", "/docs/"])
    app.get(
      path,
      { config: { role: "open", gives: ["text/html"], query: [] }, schema: { hide: true } },
      (_request, reply) => {
        page ??= docsPage(app.swagger() as unknown as Described);
        return reply
          .headers({ "content-security-policy": servedPolicy(DOCS_STYLE), "cache-control": "no-cache" })
          .type("text/html; charset=utf-8")
          .send(page);
      },
    );
};

const docsPage = (description: Described): string =>
  htmlPage({
    title: "Drainward: the service",
    style: DOCS_STYLE,
    served: true,
    body: html`<a class="skip" href="#content">To the content</a>
<main id="content">
<h1>Drainward: the service</h1>
${docsView(description)}
</main>`,
  });
