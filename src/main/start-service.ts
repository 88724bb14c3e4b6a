import type { AddressInfo } from "node:net";
import type { FastifyInstance } from "fastify";
import type { Logger } from "pino";
import { collectDefaultMetrics, Registry } from "prom-client";
import { makeApp } from "../http/app.js";
import { makeAuditor } from "../service/auditor.js";
import type { Store } from "../service/shelves.js";

export interface Service {
  readonly app: FastifyInstance;
  readonly url: string;
  /** the one chosen where 0 was asked for */
  readonly port: number;
  /** takes nothing new, finishes what it has begun, ends the threads, leaves the store */
  close(): Promise<void>;
}

const hostInUrl = (host: string): string => (host.includes(":") ? `[${host}]` : host);

/** Starts the service and says so in one log line. */
export const startService = async (settings: {
  readonly host: string;
  readonly port: number;
  readonly logger: Logger;
  /** undefined: the usual */
  readonly requestsPerKey: number | undefined;
  readonly open: () => Promise<Store>;
}): Promise<Service> => {
  const { host, port, logger, requestsPerKey, open } = settings;
  const auditor = makeAuditor();
  // threads and database take their time beside each other
  const warm = auditor.warm();
  warm.catch(() => {});
  const store = await open().catch(async (error: unknown) => {
    await warm.finally(() => auditor.close());
    throw error;
  });
  const metrics = new Registry();
  collectDefaultMetrics({ register: metrics });
  const limits = requestsPerKey === undefined ? {} : { requestsPerKey };
  const app = await makeApp({ auditor, store, logger, metrics, limits });
  const close = async () => {
    await app.close();
    await auditor.close();
    await store.close();
  };
  try {
    await warm;
    await app.listen({ host, port, listenTextResolver: () => "socket open" });
  } catch (error) {
    await close();
    throw error;
  }
  const address = app.server.address() as AddressInfo;
  const url = `http://${hostInUrl(address.address)}:${address.port}`;
  logger.info({ host: address.address, port: address.port, url }, "listening");
  return { app, url, port: address.port, close };
};
