// Paths that do not exist, ids that could not, and methods that a path does not take.
import type { FastifyInstance } from "fastify";
import { HttpProblem } from "./problems.js";

/** A route's pattern as an expression over the path: `:name` is one segment, `*` the rest. */
const matcher = (pattern: string): RegExp => {
  const source = pattern
    .split("/")
    .map((part) => {
      if (part.startsWith(":")) return "[^/]+";
      return part === "*" ? ".*" : part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
    })
    .join("/");
  return new RegExp(`^${source}$`);
};

/** Remembers which methods each path takes; answers 405 with `Allow`, OPTIONS, and 404. */
export const answerMissing = (app: FastifyInstance): void => {
  const known = new Map<string, { readonly matches: RegExp; readonly methods: Set<string> }>();
  app.addHook("onRoute", ({ url, method }) => {
    const entry = known.get(url) ?? { matches: matcher(url), methods: new Set(["OPTIONS"]) };
    for (const one of Array.isArray(method) ? method : [method]) entry.methods.add(one);
    known.set(url, entry);
  });
  app.addHook("preHandler", async ({ params }) => {
    // no id has it, and no database takes it
    if (Object.values((params ?? {}) as Record<string, string>).some((id) => id.includes("\0")))
      throw new HttpProblem("not-found", "An id in the path is none that could exist.");
  });
  app.setNotFoundHandler((request, reply) => {
    const path = request.url.split("?", 1)[0] ?? "";
    const methods = [...known.values()].flatMap((entry) => (entry.matches.test(path) ? [...entry.methods] : []));
    if (methods.length === 0) {
      const inBuilding = /^\/v1\/buildings\/./.test(path);
      throw new HttpProblem("not-found", `No such path.${inBuilding ? " The / of an id is written %2F." : ""}`);
    }
    const allow = [...new Set(methods)].sort().join(", ");
    if (request.method === "OPTIONS") return reply.code(204).header("allow", allow).send();
    throw new HttpProblem("method-not-allowed", `This path takes ${allow}.`, { headers: { allow } });
  });
};
