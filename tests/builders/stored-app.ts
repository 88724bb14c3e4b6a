// The whole service with a store, on a real connection.
import type { AddressInfo } from "node:net";
import type { FastifyInstance } from "fastify";
import { type AppOptions, makeApp } from "../../src/http/app.js";
import { makeAuditor } from "../../src/service/auditor.js";
import { type Keys, makeKeys } from "../../src/service/keys.js";
import type { Role, Store } from "../../src/service/shelves.js";
import type { Engine } from "../contract/engines.js";

export interface Reply {
  readonly status: number;
  readonly headers: Headers;
  readonly text: string;
  // biome-ignore lint/suspicious/noExplicitAny: what a test reads out of an answer
  readonly json: any;
}

export interface Ask {
  readonly body?: unknown;
  readonly key?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface StoredApp {
  readonly app: FastifyInstance;
  readonly store: Store;
  readonly keys: Keys;
  readonly base: string;
  /** of its database */
  readonly url: string;
  /** @param request method and path: `PUT /v1/buildings/elm` */
  ask(request: string, ask?: Ask): Promise<Reply>;
  keyFor(organization: string, role: Role): Promise<string>;
  close(): Promise<void>;
}

/** One call over HTTP. A body that is no text is written as JSON. */
export const askAt = async (base: string, request: string, { body, key, headers = {} }: Ask = {}): Promise<Reply> => {
  const [method, path] = request.split(" ") as [string, string];
  const reply = await fetch(`${base}${path}`, {
    method,
    redirect: "manual",
    headers: {
      ...(body !== undefined && { "content-type": "application/json" }),
      ...(key !== undefined && { authorization: `Bearer ${key}` }),
      ...headers,
    },
    ...(body !== undefined && { body: typeof body === "string" ? body : JSON.stringify(body) }),
  });
  const text = await reply.text();
  const isJson = /^application\/(problem\+)?json/.test(reply.headers.get("content-type") ?? "");
  return { status: reply.status, headers: reply.headers, text, json: isJson && text !== "" ? JSON.parse(text) : null };
};

export const storedApp = async (engine: Engine, options: Partial<AppOptions> = {}): Promise<StoredApp> => {
  const { store, url, remove } = await engine.open();
  const { auditor = makeAuditor({ threads: 1 }) } = options;
  const app = await makeApp({ ...options, auditor, store });
  await auditor.warm();
  await app.listen({ host: "127.0.0.1", port: 0 });
  const base = `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`;
  const keys = makeKeys(store, options.now ?? (() => new Date()));
  return {
    app,
    store,
    keys,
    base,
    url,
    ask: (request, ask) => askAt(base, request, ask),
    keyFor: async (organization, role) =>
      (await keys.make({ organization, role, label: `${organization} ${role}`, expiresAt: null })).secret,
    close: async () => {
      await app.close();
      await auditor.close();
      await remove();
    },
  };
};
