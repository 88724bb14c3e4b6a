// Plain pages for people: they read, a key opens them, and a browser keeps it for them alone.
import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest, RouteShorthandOptions } from "fastify";
import * as z from "zod";
import type { BuildingHealth, Portfolio, PortfolioPlace } from "../../service/building-health.js";
import type { Keys } from "../../service/keys.js";
import type { Stored } from "../../service/stored.js";
import { KEY_COOKIE } from "../auth.js";
import { SVG_TYPE } from "../document-routes.js";
import { type Listing, pageOf } from "../pages.js";
import { PAPER_HEADERS } from "../papers.js";
import { HttpProblem, PROBLEMS } from "../problems.js";
import { buildingView } from "./building-view.js";
import { dwellingView } from "./dwelling-view.js";
import { type Frame, SITE_POLICY, sitePage } from "./frame.js";
import { keyView } from "./key-view.js";
import { portfolioView } from "./portfolio-view.js";

export interface Site {
  readonly stored: Stored;
  readonly keys: Keys;
  /** what is wrong, where it is not a fault of ours */
  readonly asProblem: (error: unknown) => HttpProblem | null;
}

const HTML_TYPE = "text/html; charset=utf-8";
const FORM_TYPE = "application/x-www-form-urlencoded";
/** bytes of a form with a key in it */
const FORM_LIMIT = 4_096;
/** s that a browser keeps a key */
const KEPT = 30 * 86_400;

const LIST: Listing<PortfolioPlace, BuildingHealth> = {
  name: "portfolio",
  key: z.strictObject({ state: z.enum(["act", "watch", "unknown", "good"]), building: z.string() }),
  keyOf: ({ state, building }) => ({ state, building }),
};

const HOME = ["Buildings", "/buildings"] as const;

const send = (reply: FastifyReply, frame: Frame, status = 200): FastifyReply =>
  reply
    .code(status)
    .headers({ "content-security-policy": SITE_POLICY, "cache-control": "no-store", vary: "cookie" })
    .type(HTML_TYPE)
    .send(sitePage(frame));

const pageRoute = (query: readonly string[] = []): RouteShorthandOptions => ({
  config: { role: "read", page: true, gives: ["text/html"], query },
  schema: { hide: true },
});

const withKey = ({ caller }: FastifyRequest): boolean => caller?.key != null;

/** Only a path of these pages is gone on to. */
const thenOf = (path: string | null): string =>
  path !== null && /^\/buildings(?:[/?][\x21-\x7e]*)?$/.test(path) && !path.includes("\\") ? path : HOME[1];

/** Over a safe line the key is never sent over another. A proxy before us says what line it was. */
const isSafeLine = (request: FastifyRequest): boolean =>
  request.protocol === "https" || request.headers["x-forwarded-proto"] === "https";

const cookie = (request: FastifyRequest, value: string, age: number): string =>
  `${KEY_COOKIE}=${value}; Path=/buildings; Max-Age=${age}; HttpOnly; SameSite=Strict${isSafeLine(request) ? "; Secure" : ""}`;

export const addSite = async (app: FastifyInstance, { stored, keys, asProblem }: Site): Promise<void> => {
  await app.register(async (site) => {
    site.addContentTypeParser(FORM_TYPE, { parseAs: "string", bodyLimit: FORM_LIMIT }, (_request, body, done) =>
      done(null, body),
    );
    site.setErrorHandler((error: FastifyError, request, reply) => {
      const problem = asProblem(error);
      // a caller that has gone away, and the faults of ours: the whole service's handler knows
      if (problem === null) throw error;
      const status = PROBLEMS[problem.code].status;
      reply.headers(problem.headers ?? {});
      if (problem.code === "no-key") return askForKey(request, reply, thenOf(request.url), false);
      return send(
        reply,
        {
          title: PROBLEMS[problem.code].title,
          trail: [HOME],
          body: problem.message,
          withKey: withKey(request),
        },
        status,
      );
    });

    site.get<{ Querystring: Record<string, string> }>(
      "/buildings",
      pageRoute(["limit", "cursor"]),
      async (request, reply) => {
        const { organization } = request.caller!;
        let whole: Portfolio | undefined;
        const { headers } = await pageOf(LIST, request.query, request.url, async (page) => {
          whole = await stored.health.portfolio(organization, page);
          return whole.buildings;
        });
        const next = /^<([^>]+)>/.exec(headers.link ?? "")?.[1] ?? null;
        return send(reply, { title: HOME[0], body: portfolioView(whole!, next), withKey: withKey(request) });
      },
    );

    site.get<{ Params: { building: string } }>("/buildings/:building", pageRoute(), async (request, reply) => {
      const overview = await stored.overview.of(request.caller!.organization, request.params.building);
      return send(reply, {
        title: overview.building.name,
        trail: [HOME],
        body: buildingView(overview),
        withKey: withKey(request),
      });
    });

    site.get<{ Params: { building: string; dwelling: string } }>(
      "/buildings/:building/dwellings/:dwelling",
      pageRoute(),
      async (request, reply) => {
        const { organization } = request.caller!;
        const { building: id, dwelling } = request.params;
        const building = await stored.buildings.get(organization, id);
        const told = await stored.questions.dwelling(organization, id, dwelling, null);
        return send(reply, {
          title: `Dwelling ${dwelling}`,
          trail: [HOME, [building.name, `/buildings/${encodeURIComponent(id)}`]],
          body: dwellingView(told, building),
          withKey: withKey(request),
        });
      },
    );

    site.get<{ Params: { building: string } }>("/buildings/:building/report", pageRoute(), async (request, reply) => {
      const bytes = await stored.papers.report(request.caller!.organization, request.params.building);
      return reply
        .headers({ ...PAPER_HEADERS, "cache-control": "no-store", vary: "cookie" })
        .type(HTML_TYPE)
        .send(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
    });

    site.get<{ Params: { building: string }; Querystring: { riser?: string } }>(
      "/buildings/:building/riser.svg",
      { config: { role: "read", page: true, gives: [SVG_TYPE], query: ["riser"] }, schema: { hide: true } },
      async (request, reply) => {
        const { riser } = request.query;
        const asked = riser === undefined ? {} : { riser };
        const bytes = await stored.papers.riser(request.caller!.organization, request.params.building, asked);
        return reply
          .headers({ ...PAPER_HEADERS, "cache-control": "no-store", vary: "cookie" })
          .type(`${SVG_TYPE}; charset=utf-8`)
          .send(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
      },
    );

    // browsers ask for it by themselves; there is none
    site.get("/favicon.ico", { config: { role: "open" }, schema: { hide: true } }, (_request, reply) =>
      reply.code(204).header("cache-control", "max-age=86400").send(),
    );

    // A key is typed once, and forgotten on request.
    site.post<{ Body?: string }>(
      "/buildings",
      { config: { role: "open", takes: [FORM_TYPE], gives: ["text/html"], query: [] }, schema: { hide: true } },
      async (request, reply) => {
        if (isFromElsewhere(request))
          throw new HttpProblem("bad-request", "A key is typed into the form of this service.");
        const form = new URLSearchParams(request.body ?? "");
        const then = thenOf(form.get("then"));
        if (form.has("forget")) return reply.header("set-cookie", cookie(request, "", 0)).redirect(then, 303);
        const secret = (form.get("key") ?? "").trim();
        if (!/^[\w.~+/=-]{1,256}$/.test(secret) || (await keys.whose(secret)) === null)
          return askForKey(request, reply, then, true);
        return reply.header("set-cookie", cookie(request, secret, KEPT)).redirect(then, 303);
      },
    );
  });
};

const isFromElsewhere = ({ headers }: FastifyRequest): boolean => {
  const site = headers["sec-fetch-site"];
  return typeof site === "string" && site !== "same-origin" && site !== "none";
};

/**
 * Asks for the key. A browser that comes from another site keeps its cookie back: it is told to ask once more by itself.
 */
const askForKey = (request: FastifyRequest, reply: FastifyReply, then: string, refused: boolean): FastifyReply =>
  send(
    reply,
    {
      title: "A key is needed",
      body: keyView(then, refused),
      withKey: false,
      ...(!refused && request.headers["sec-fetch-site"] === "cross-site" && { again: 0 }),
    },
    401,
  );
