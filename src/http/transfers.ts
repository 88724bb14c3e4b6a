import { once } from "node:events";
import { PassThrough, Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { LIMITS } from "../core/index.js";
import { ArchiveFault, type Transfers } from "../service/archive.js";
import { tagOf } from "../service/buildings.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { shownBuilding } from "./buildings.js";
import { refTo } from "./components.js";
import { SERVICE_PROBLEMS } from "./document-routes.js";
import { PARAMETERS } from "./parameters.js";
import { HttpProblem, PROBLEMS, type ProblemCode } from "./problems.js";
import { badBody } from "./read-words.js";

const NDJSON_TYPES = ["application/x-ndjson", "application/ndjson"] as const;

/** bytes of one building with its history */
export const MAX_TRANSFER_BYTES = 16 * LIMITS.maxBytes;
/** at once: each holds a connection to the database for as long as it lasts */
const MAX_TRANSFERS = 2;

const PARAMS = { type: "object", required: ["building"], properties: { building: PARAMETERS.building } };
const STORE_PROBLEMS: readonly ProblemCode[] = ["not-found", "store-away", "too-many-requests", "busy"];

/** Adds the routes by which a building goes from one store to another with all its history. */
export const addTransfers = (app: FastifyInstance, transfers: Transfers): void => {
  let open = 0;
  /** @throws HttpProblem `busy` */
  const begun = (): (() => void) => {
    if (open >= MAX_TRANSFERS) throw new HttpProblem("busy", `At most ${MAX_TRANSFERS} buildings are carried at once.`);
    open++;
    let ended = false;
    return () => {
      if (!ended) open--;
      ended = true;
    };
  };

  app.get<{ Params: { building: string } }>(
    "/v1/buildings/:building/export",
    {
      config: { role: "read", gives: NDJSON_TYPES, query: [] },
      schema: {
        operationId: "exportBuilding",
        tags: ["buildings"],
        summary: "Carry a building out with its whole history",
        description:
          "The building as it is now, with every revision, audit, finding, waiver and observation: newline-delimited JSON that `POST …/import` takes, here or elsewhere. The last line holds the number of rows and their digest; without it the answer was cut short.",
        params: PARAMS,
        response: {
          ...answer("The lines.", NDJSON_TYPES[0], refTo("TransferLine")),
          ...problemResponses([...ALWAYS, ...STORE_PROBLEMS]),
        },
      },
    },
    async (request, reply) => {
      const { organization } = request.caller!;
      const end = begun();
      const sent = new PassThrough();
      // the first line is there once the building is found; until then a refusal can still be answered
      let started: () => void = () => {};
      const first = new Promise<void>((resolve) => {
        started = resolve;
      });
      const write = async (line: string): Promise<void> => {
        started();
        if (sent.destroyed) throw new Error("nobody reads any more");
        if (!sent.write(`${line}\n`)) await Promise.race([once(sent, "drain"), once(sent, "close")]);
      };
      const whole = transfers.export(organization, request.params.building, write).finally(end);
      await Promise.race([first, whole]);
      whole.then(
        () => sent.end(),
        (error: unknown) => sent.destroy(error instanceof Error ? error : new Error(String(error))),
      );
      return reply.type(NDJSON_TYPES[0]).send(sent);
    },
  );

  app.post<{ Params: { building: string }; Body?: Readable }>(
    "/v1/buildings/:building/import",
    {
      config: { role: "admin", takes: NDJSON_TYPES, gives: ["application/json"], query: [], stream: true },
      schema: {
        operationId: "importBuilding",
        tags: ["buildings"],
        summary: "Make a building of what was carried out elsewhere",
        description:
          "Takes what `GET …/export` gave under an id that is free here: all of it, checked against its digest, or nothing. Its newest network must read. A building that is there already is left alone, so a call may be sent again.",
        params: PARAMS,
        body: { content: { [NDJSON_TYPES[0]]: { schema: refTo("TransferLine") } } },
        response: {
          201: {
            description: "The building.",
            headers: {
              Location: { type: "string", description: "Where it is.", examples: ["/v1/buildings/alder-court"] },
              ETag: { type: "string", description: "Entity tag of this state.", examples: ['"mcp4k2o0-3"'] },
            },
            content: { "application/json": { schema: refTo("Building") } },
          },
          ...problemResponses([
            ...ALWAYS,
            ...STORE_PROBLEMS.filter((code) => code !== "busy" && code !== "not-found"),
            ...SERVICE_PROBLEMS,
            "too-large",
            "invalid-body",
            "conflict",
            "store-full",
            "over-budget",
          ]),
        },
      },
    },
    async (request, reply) => {
      const { building: id } = request.params;
      const end = begun();
      const gone = new AbortController();
      reply.raw.once("close", () => {
        if (!reply.raw.writableFinished) gone.abort();
      });
      try {
        const bytes = bounded(request.body ?? Readable.from([]));
        const building = await transfers.import(request.caller!.organization, id, bytes, gone.signal);
        return reply
          .code(201)
          .headers({ location: `/v1/buildings/${encodeURIComponent(id)}`, etag: tagOf(building) })
          .type("application/json; charset=utf-8")
          .send(JSON.stringify(shownBuilding(building)));
      } catch (error) {
        if (error instanceof ArchiveFault) throw badBody([{ pointer: "", detail: error.message }]);
        throw error;
      } finally {
        end();
      }
    },
  );
};

async function* bounded(body: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  let length = 0;
  for await (const chunk of body) {
    length += chunk.byteLength;
    if (length > MAX_TRANSFER_BYTES) throw new HttpProblem("too-large", PROBLEMS["too-large"].when);
    yield chunk;
  }
}
