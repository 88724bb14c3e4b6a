// The one place that knows who calls and what they may do.
import type { FastifyInstance, FastifyRequest } from "fastify";
import type { Keys } from "../service/keys.js";
import type { Role } from "../service/shelves.js";
import { HttpProblem } from "./problems.js";

export const ROLES: readonly Role[] = ["read", "write", "admin"];

export interface Caller {
  readonly organization: string;
  readonly role: Role;
  /** id of the key that it came with; null: without one, from this machine */
  readonly key: string | null;
  /** what is written down as made by it, where it does not say */
  readonly name: string;
}

/** Says who calls, or null for somebody unknown. */
export type Identify = (request: FastifyRequest) => Caller | null | Promise<Caller | null>;

const LOOPBACK = /^(?:::ffff:)?127\.\d{1,3}\.\d{1,3}\.\d{1,3}$|^::1$/;
const BEARER = /^Bearer +([\w.~+/-]{1,256}=*) *$/i;

/** As long as no keys exist: this machine is trusted, others are not. Headers of proxies are not believed. */
export const byAddress: Identify = (request) =>
  LOOPBACK.test(request.socket.remoteAddress ?? "")
    ? { organization: "default", role: "admin", key: null, name: "default" }
    : null;

/** Once a key was ever made, whoever brings a good one; until then by address. */
export const byKey =
  (keys: Keys): Identify =>
  async (request) => {
    const secret = BEARER.exec(request.headers.authorization ?? "")?.[1];
    const key = secret === undefined ? null : await keys.whose(secret);
    if (key !== null) return { organization: key.organization, role: key.role, key: key.id, name: key.label };
    return (await keys.exist()) ? null : byAddress(request);
  };

/** The cookie in which a browser keeps a key; it is sent to pages alone, and nothing else reads it. */
export const KEY_COOKIE = "drainward-key";

const cookieOf = (header: string | undefined): string | undefined =>
  header
    ?.split(";")
    .map((part) => part.trim())
    .find((part) => part.startsWith(`${KEY_COOKIE}=`))
    ?.slice(KEY_COOKIE.length + 1);

/** Of a page: whoever's browser keeps a good key; else as everywhere. */
export const byCookie =
  (keys: Keys, otherwise: Identify): Identify =>
  async (request) => {
    const secret = cookieOf(request.headers.cookie);
    const key = secret === undefined || secret === "" ? null : await keys.whose(secret);
    return key === null
      ? otherwise(request)
      : { organization: key.organization, role: key.role, key: key.id, name: key.label };
  };

/** Adds the hook that lets in or refuses, and makes a route without a declared role an error at start. */
export const guardRoutes = (app: FastifyInstance, identify: Identify, identifyInPages: Identify = identify): void => {
  app.decorateRequest("caller", null);
  app.addHook("onRoute", (route) => {
    const role: unknown = route.config?.role;
    if (role !== "open" && !ROLES.some((known) => known === role)) {
      throw new Error(`route ${String(route.method)} ${route.url} declares no role`);
    }
  });
  app.addHook("onRequest", async (request) => {
    if (request.is404) return;
    const { role: needed, page } = request.routeOptions.config;
    if (needed === "open") return;
    const caller = await (page ? identifyInPages : identify)(request);
    if (caller === null) {
      throw new HttpProblem("no-key", "Send a key that is known here and still good: Authorization: Bearer …", {
        headers: { "www-authenticate": "Bearer" },
      });
    }
    if (needed === undefined || ROLES.indexOf(caller.role) < ROLES.indexOf(needed)) {
      throw new HttpProblem("role-too-low", `This needs the role ${needed}; the caller has ${caller.role}.`);
    }
    request.caller = caller;
  });
};
