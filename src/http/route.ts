// What every route says about itself beside its handler. `app.ts` refuses to start with a route that says nothing.
import type { Role } from "../service/shelves.js";
import type { Caller } from "./auth.js";

declare module "fastify" {
  interface FastifyContextConfig {
    /** the least role that may call it; `open`: anybody */
    role?: Role | "open";
    /** media types of the body that it takes */
    takes?: readonly string[];
    /** media types that it can answer with */
    gives?: readonly string[];
    /** names of its query parameters; undefined: not looked at */
    query?: readonly string[];
    /** seen by people in a browser: a key that the browser keeps opens it as well */
    page?: true;
    /** its body may arrive for as long as something moves */
    stream?: boolean;
  }
  interface FastifyRequest {
    caller: Caller | null;
  }
}
