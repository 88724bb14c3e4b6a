import type { AddressInfo } from "node:net";
import type { FastifyInstance } from "fastify";
import type { Logger } from "pino";
import { makeApp } from "../http/app.js";
import { makeAuditor } from "../service/auditor.js";

export interface Service {
  readonly app: FastifyInstance;
  readonly url: string;
  /** the one chosen where 0 was asked for */
  readonly port: number;
  /** takes nothing new, finishes what it has begun, ends the threads */
  close(): Promise<void>;
}

const hostInUrl = (host: string): string => (host.includes(":") ? `[${host}]` : host);

/** Starts the service and says so in one log line. */
export const startService = async (settings: {
  readonly host: string;
  readonly port: number;
  readonly logger: Logger;
}): Promise<Service> => {
  const { host, port, logger } = settings;
  const auditor = makeAuditor();
  const app = await makeApp({ auditor, logger });
  const close = async () => {
    await app.close();
    await auditor.close();
  };
  try {
    await auditor.warm();
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
