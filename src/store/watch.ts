import pg from "pg";
import { StoreUnavailable } from "../service/shelves.js";

export interface WatchOptions {
  readonly url: string;
  /** makes the database fit to be used, each time that it has come; a failure that is not its absence is thrown by `first` */
  readonly prepare: () => Promise<void>;
  /** the database has gone */
  readonly onGone: (error: Error) => void;
  /** it is there and cannot be used */
  readonly onFault: (error: Error) => void;
  /** tries to bring it back where it refuses connections */
  readonly revive?: () => Promise<void>;
  /** looked at beside each look at the database */
  readonly beside?: () => Promise<void>;
}

/**
 * Knows at any moment whether the database answers, by asking it on a connection of its own. One that is slow to answer
 * is not up, and still asked by whoever wants something; one that has gone is not.
 */
export interface Watch {
  readonly up: boolean;
  /** the first look. @throws what keeps the database from being used at all */
  first(): Promise<void>;
  /** the work's own end, or StoreUnavailable as soon as the database goes */
  whileUp<T>(work: () => Promise<T>): Promise<T>;
  stop(): Promise<void>;
}

/** ms between two looks */
const EVERY = 400;
/** ms for an answer, after which the database is silent: a look that begins just before, and this, are less than 2 s */
const SLOW = 1_300;
/** ms of silence after which it has gone */
const LOST = 5_000;
/** ms for a new connection */
const CONNECT = 2_500;
/** ms to wait after what no looking helps against */
const REST = 5_000;

/** Wrong user, wrong password, no such database: nothing that passes by itself. */
const REFUSED = /^(28|3D)/;
export const isRefusal = (error: unknown): boolean =>
  error instanceof Error && "code" in error && REFUSED.test(String(error.code));

const SILENCE = new Error("the database is silent");

const asError = (error: unknown): Error => (error instanceof Error ? error : new Error(String(error)));

/** After a time, but not before what has come in while this process was busy was heard. */
const after = (ms: number, act: () => void): NodeJS.Timeout => setTimeout(() => setImmediate(act), ms);

export const makeWatch = ({ url, prepare, onGone, onFault, revive, beside }: WatchOptions): Watch => {
  let client: pg.Client | null = null;
  let state: "unknown" | "up" | "silent" | "gone" = "unknown";
  const isThere = () => state === "up" || state === "silent";
  let stopped = false;
  let timer: NodeJS.Timeout | undefined;
  let looking: Promise<void> = Promise.resolve();
  const waiting = new Set<(error: Error) => void>();

  const drop = () => {
    client?.end().catch(() => {});
    client = null;
  };

  const connected = async (): Promise<pg.Client> => {
    if (client !== null) return client;
    const made = new pg.Client({
      connectionString: url,
      connectionTimeoutMillis: CONNECT,
      application_name: "drainward watch",
    });
    // a connection that breaks is noticed at once and not at the next look
    made.on("error", () => {
      if (client !== made) return;
      client = null;
      look();
    });
    await made.connect();
    client = made;
    return made;
  };

  const gone = (error: Error) => {
    drop();
    if (state !== "gone") onGone(error);
    state = "gone";
    for (const reject of waiting) reject(new StoreUnavailable("the database has gone", { cause: error }));
    waiting.clear();
  };

  const ask = async (): Promise<void> => {
    const answer = (await connected()).query("select 1");
    const timers: NodeJS.Timeout[] = [];
    try {
      await Promise.race([
        answer,
        new Promise<never>((_, reject) => {
          timers.push(after(LOST, () => reject(SILENCE)));
          timers.push(
            after(SLOW, () => {
              if (state === "up" && timers.length > 0) state = "silent";
            }),
          );
        }),
      ]);
    } finally {
      for (const each of timers.splice(0)) clearTimeout(each);
    }
  };

  const failure = (): Promise<Error | null> => ask().then(() => null, asError);

  /** @throws what `prepare` or a refusal says */
  const once = async (): Promise<void> => {
    const before = client;
    let error = await failure();
    // one connection that broke is not the database
    if (error !== null && before !== null && error !== SILENCE) {
      drop();
      error = await failure();
    }
    if (error !== null) {
      gone(error);
      if (isRefusal(error)) throw error;
      if ("code" in error && error.code === "ECONNREFUSED") await revive?.();
      return;
    }
    if (!isThere() && !stopped) {
      try {
        await prepare();
      } catch (error) {
        if (!(error instanceof StoreUnavailable)) throw error;
        gone(error);
        return;
      }
    }
    state = "up";
    await beside?.();
  };

  const look = () => {
    clearTimeout(timer);
    looking = looking
      .then(() => (stopped ? undefined : once()))
      .then(
        () => EVERY,
        (error: unknown) => {
          onFault(asError(error));
          return REST;
        },
      )
      .then((pause) => {
        clearTimeout(timer);
        if (!stopped) timer = setTimeout(look, pause).unref();
      });
  };

  return {
    get up() {
      return state === "up";
    },
    async first() {
      await once();
      timer = setTimeout(look, EVERY).unref();
    },
    whileUp: async <T>(work: () => Promise<T>): Promise<T> => {
      if (!isThere()) throw new StoreUnavailable("the database does not answer");
      let reject: (error: Error) => void = () => {};
      const lost = new Promise<never>((_, fail) => {
        reject = fail;
        waiting.add(fail);
      });
      try {
        return await Promise.race([work(), lost]);
      } finally {
        waiting.delete(reject);
      }
    },
    async stop() {
      stopped = true;
      clearTimeout(timer);
      await looking;
      drop();
    },
  };
};
