// Bodies are read as bytes by our own hand: the framework's JSON reader repairs and drops what must be refused.
import type { Readable } from "node:stream";
import type { FastifyInstance, FastifyRequest } from "fastify";
import { HttpProblem } from "./problems.js";

export interface BodyLimits {
  /** bytes of one body */
  readonly body: number;
  /** bytes that all bodies being received may hold together */
  readonly receiving: number;
}

const tooLarge = (limit: number): HttpProblem =>
  new HttpProblem("too-large", `A body has at most ${limit} bytes.`, { headers: { connection: "close" } });

/** What a body is refused for while it arrives. */
const refusal = (length: number, receiving: number, limits: BodyLimits): HttpProblem | null => {
  if (length > limits.body) return tooLarge(limits.body);
  if (receiving <= limits.receiving) return null;
  return new HttpProblem("busy", "Too much is being received at once.", { headers: { connection: "close" } });
};

const join = (parts: readonly Uint8Array[], length: number): Uint8Array => {
  const whole = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.byteLength;
  }
  return whole;
};

/** Adds the reader for bodies that are handed on whole, and lets streams pass through unread. */
export const readBodies = (app: FastifyInstance, limits: BodyLimits): void => {
  let receiving = 0;

  const readWhole = (request: FastifyRequest, payload: Readable): Promise<Uint8Array> => {
    const header = request.headers["content-length"];
    const declared = header === undefined ? null : Number(header);
    // A body that is too large by its own word is refused unread when reading it to the end would cost too much.
    if (declared !== null && declared > 2 * limits.body) return Promise.reject(tooLarge(limits.body));
    return new Promise((resolve, reject) => {
      let parts: Uint8Array[] = [];
      let kept = 0;
      let seen = 0;
      let refused = refusal(declared ?? 0, receiving, limits);
      const settle = (act: () => void) => {
        receiving -= kept;
        kept = 0;
        payload.removeAllListeners("data");
        act();
      };
      payload.on("data", (chunk: Uint8Array) => {
        seen += chunk.byteLength;
        refused ??= refusal(seen, receiving + chunk.byteLength, limits);
        if (refused === null) {
          parts.push(chunk);
          kept += chunk.byteLength;
          receiving += chunk.byteLength;
          return;
        }
        // What is refused is read on without keeping it, so that a sender who writes before it listens gets the answer
        // and not a broken pipe; but not without end.
        receiving -= kept;
        kept = 0;
        parts = [];
        if (seen > 2 * limits.body) {
          payload.pause();
          const problem = refused;
          settle(() => reject(problem));
        }
      });
      payload.once("end", () =>
        settle(() => {
          if (refused !== null) reject(refused);
          else if (declared !== null && declared !== seen) {
            reject(new HttpProblem("bad-request", `Content-Length says ${declared} bytes; the body has ${seen}.`));
          } else resolve(join(parts, seen));
        }),
      );
      const cut = () => settle(() => reject(new HttpProblem("bad-request", "The body was cut short.")));
      payload.once("error", cut);
      payload.once("close", cut);
    });
  };

  app.removeAllContentTypeParsers();
  app.addContentTypeParser("application/json", readWhole);
  app.addContentTypeParser(["application/x-ndjson", "application/ndjson"], (_request, payload, done) => {
    done(null, payload);
  });
};
