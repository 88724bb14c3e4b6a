// The service as a program. The environment is read here and nowhere below.
import closeWithGrace from "close-with-grace";
import { pino } from "pino";
import { openStore } from "../store/open-store.js";
import { startService } from "./start-service.js";
import { storeOptions } from "./store-options.js";

const LEVELS = ["fatal", "error", "warn", "info", "debug", "trace", "silent"];

const readPort = (text: string | undefined): number => {
  if (text === undefined || text === "") return 8080;
  const port = Number(text);
  if (!/^\d{1,5}$/.test(text) || port > 65_535) throw new Error(`PORT must be a number from 0 to 65535, not ${text}`);
  return port;
};

const readLevel = (text: string | undefined): string => {
  if (text === undefined || text === "") return "info";
  if (!LEVELS.includes(text)) throw new Error(`LOG_LEVEL must be one of ${LEVELS.join(", ")}, not ${text}`);
  return text;
};

/** Requests of one key within ten seconds; 0: as many as it likes. */
const readRate = (text: string | undefined): number | undefined => {
  if (text === undefined || text === "") return undefined;
  if (!/^\d{1,9}$/.test(text)) throw new Error(`REQUESTS_PER_KEY must be a whole number, not ${text}`);
  return Number(text) || Number.POSITIVE_INFINITY;
};

try {
  const { HOST, PORT, LOG_LEVEL, REQUESTS_PER_KEY } = process.env;
  const logger = pino({ level: readLevel(LOG_LEVEL) });
  const options = storeOptions(process.env);
  const starting = startService({
    host: HOST || "127.0.0.1",
    port: readPort(PORT),
    logger,
    requestsPerKey: readRate(REQUESTS_PER_KEY),
    open: () =>
      openStore({ ...options, onLost: ({ message }) => logger.warn({ reason: message }, "the database is away") }),
  });
  // Longer than the longest audit, so that whoever is being answered still is. Set before the service runs, so that a
  // signal that comes while it starts is heard too.
  const grace = closeWithGrace({ delay: 40_000, logger }, async ({ signal, err }) => {
    if (err) logger.fatal({ err }, "stopping after a fault");
    else logger.info({ signal }, "stopping");
    await (await starting).close();
    logger.info("stopped");
  });
  await starting.catch((error: unknown) => {
    grace.uninstall();
    throw error;
  });
} catch (error) {
  console.error(`drainward: ${error instanceof Error ? error.message : String(error)}`);
  process.exitCode = 1;
}
