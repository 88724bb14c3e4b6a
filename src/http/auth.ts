// The one place that knows who calls and what they may do.
import type { FastifyInstance, FastifyRequest } from "fastify";
import { HttpProblem } from "./problems.js";

export const ROLES = ["read", "write", "admin"] as const;
export type Role = (typeof ROLES)[number];

export interface Caller {
  readonly organization: string;
  readonly role: Role;
}

/** Says who calls, or null for somebody unknown. */
export type Identify = (request: FastifyRequest) => Caller | null;

const LOOPBACK = /^(?:::ffff:)?127\.\d{1,3}\.\d{1,3}\.\d{1,3}$|^::1$/;

/** As long as no keys exist: this machine is trusted, others are not. Headers of proxies are not believed. */
export const byAddress: Identify = (request) =>
  LOOPBACK.test(request.socket.remoteAddress ?? "") ? { organization: "default", role: "admin" } : null;

/** Adds the hook that lets in or refuses, and makes a route without a declared role an error at start. */
export const guardRoutes = (app: FastifyInstance, identify: Identify): void => {
  app.decorateRequest("caller", null);
  app.addHook("onRoute", (route) => {
    const role: unknown = route.config?.role;
    if (role !== "open" && !ROLES.some((known) => known === role)) {
      throw new Error(`route ${String(route.method)} ${route.url} declares no role`);
    }
  });
  app.addHook("onRequest", async (request) => {
    if (request.is404) return;
    const needed = request.routeOptions.config.role;
    if (needed === "open") return;
    const caller = identify(request);
    if (caller === null) {
      throw new HttpProblem("no-key", "Calls from another machine need a key.", {
        headers: { "www-authenticate": "Bearer" },
      });
    }
    if (needed === undefined || ROLES.indexOf(caller.role) < ROLES.indexOf(needed)) {
      throw new HttpProblem("role-too-low", `This needs the role ${needed}; the caller has ${caller.role}.`);
    }
    request.caller = caller;
  });
};
