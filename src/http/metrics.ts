// What whoever watches the service reads off it, in Prometheus' text form.
import type { FastifyInstance } from "fastify";
import { Counter, Gauge, Histogram, Registry } from "prom-client";
import type { Auditor } from "../service/auditor.js";
import { Abandoned, Unavailable } from "../service/refusal.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";

const TYPE = "text/plain; version=0.0.4";
const SECONDS = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30];

export interface Watched {
  /** what stands in it already is told too */
  readonly registry?: Registry | undefined;
  readonly auditor: Auditor;
  readonly isReady: () => boolean;
}

/** Counts what is asked and worked on from here on. @returns the auditor whose work is counted, and the registry */
export const watch = (app: FastifyInstance, { registry = new Registry(), auditor, isReady }: Watched) => {
  const registers = [registry];
  const requests = new Histogram({
    name: "http_request_duration_seconds",
    help: "Requests by method, route and status, and how long their answers took",
    labelNames: ["method", "route", "status"],
    buckets: SECONDS,
    registers,
  });
  const abandoned = new Counter({
    name: "http_requests_abandoned_total",
    help: "Requests whose caller went away before the answer",
    labelNames: ["method", "route"],
    registers,
  });
  const works = new Histogram({
    name: "drainward_work_duration_seconds",
    help: "Work on documents by its name and what became of it, waiting for a thread included",
    labelNames: ["work", "outcome"],
    buckets: SECONDS,
    registers,
  });
  const waiting = new Gauge({
    name: "drainward_works_in_progress",
    help: "Documents that are worked on or wait for a thread",
    registers,
  });
  new Gauge({
    name: "drainward_ready",
    help: "1 as long as threads run and the database answers",
    registers,
    collect() {
      this.set(isReady() ? 1 : 0);
    },
  });

  app.addHook("onResponse", async (request, reply) => {
    const { method, routeOptions } = request;
    const labels = { method, route: routeOptions.url ?? "none", status: String(reply.statusCode) };
    requests.observe(labels, reply.elapsedTime / 1000);
  });
  app.addHook("onRequestAbort", async ({ method, routeOptions }) => {
    abandoned.inc({ method, route: routeOptions.url ?? "none" });
  });

  const perform: Auditor["perform"] = async (request) => {
    const ended = works.startTimer({ work: request.work });
    waiting.inc();
    try {
      const reply = await auditor.perform(request);
      ended({ outcome: reply.ok ? "done" : reply.refusal.code });
      return reply;
    } catch (error) {
      ended({
        outcome: error instanceof Unavailable ? error.code : error instanceof Abandoned ? "abandoned" : "failed",
      });
      throw error;
    } finally {
      waiting.dec();
    }
  };
  const counted: Auditor = {
    limits: auditor.limits,
    get ready() {
      return auditor.ready;
    },
    warm: () => auditor.warm(),
    perform,
    close: () => auditor.close(),
  };
  return { auditor: counted, registry };
};

export const addMetrics = (app: FastifyInstance, registry: Registry): void => {
  app.get(
    "/metrics",
    {
      config: { role: "admin", gives: [TYPE], query: [] },
      schema: {
        operationId: "getMetrics",
        tags: ["health"],
        summary: "Figures for whoever watches the service",
        description:
          "Requests, work on documents, memory and event loop in Prometheus' text form. Nothing of any building or organization is in it.",
        response: {
          ...answer("The figures.", TYPE, { type: "string", description: "Text exposition format 0.0.4." }),
          ...problemResponses([...ALWAYS, "too-many-requests"]),
        },
      },
    },
    async (_request, reply) => reply.type(registry.contentType).send(await registry.metrics()),
  );
};
