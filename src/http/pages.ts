// Lists in pages: `{ items, next }`, where `next` is a cursor that only this service reads.
import * as z from "zod";
import type { Page } from "../service/shelves.js";
import { HttpProblem } from "./problems.js";

/** entries of a page */
export const PAGE = { usual: 100, most: 1_000 } as const;

/** A list, and the key by which it is ordered and continued. */
export interface Listing<K, T> {
  /** so that a cursor of another list is told apart */
  readonly name: string;
  readonly key: z.ZodType<K>;
  readonly keyOf: (entry: T) => K;
}

/** An id in a cursor. */
export const someId = z
  .string()
  .max(512)
  .regex(/^[^\0]*$/);

/** A time in a cursor. */
export const instant = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z$/)
  .transform((text) => new Date(text))
  .refine((time) => !Number.isNaN(time.getTime()));

const badQuery = (name: string, detail: string, hint: string): HttpProblem =>
  new HttpProblem("bad-query", `The query parameter ${name} is not understood.`, {
    errors: [{ pointer: "", detail: `${name}: ${detail}`, hint }],
  });

/** What `limit` and `cursor` ask for. @throws HttpProblem `bad-query` */
export const readPage = <K>(
  { name, key }: Pick<Listing<K, never>, "name" | "key">,
  { limit, cursor }: Readonly<Record<string, string | undefined>>,
): Page<K> => {
  const size = limit === undefined ? PAGE.usual : Number(limit);
  if ((limit !== undefined && !/^\d{1,6}$/.test(limit)) || size < 1 || size > PAGE.most)
    throw badQuery("limit", `a whole number from 1 to ${PAGE.most}`, `for example limit=${PAGE.usual}`);
  if (cursor === undefined) return { after: null, limit: size };
  const after = decode(name, key, cursor);
  if (after === null)
    throw badQuery("cursor", "no cursor of this list", "take it from next of the page before, as it is");
  return { after: after.key, limit: size };
};

const decode = <K>(name: string, key: z.ZodType<K>, cursor: string): { readonly key: K } | null => {
  try {
    const [list, after] = JSON.parse(Buffer.from(cursor, "base64url").toString("utf8")) as unknown[];
    const read = key.safeParse(after);
    return list === name && read.success ? { key: read.data } : null;
  } catch {
    return null;
  }
};

/** The cursor of what follows the last entry. */
const encode = (name: string, key: unknown): string => Buffer.from(JSON.stringify([name, key])).toString("base64url");

/**
 * A page of a list: asks for one entry more than it shows, to know whether another page follows.
 * @param url of the request: the next page is asked for with the same query
 */
export const pageOf = async <K, T>(
  listing: Listing<K, T>,
  query: Readonly<Record<string, string | undefined>>,
  url: string,
  read: (page: Page<K>) => Promise<readonly T[]>,
): Promise<{
  readonly items: readonly T[];
  readonly next: string | null;
  readonly headers: Record<string, string>;
}> => {
  const page = readPage(listing, query);
  const entries = await read({ ...page, limit: page.limit + 1 });
  const items = entries.slice(0, page.limit);
  const last = items.at(-1);
  if (last === undefined || entries.length <= page.limit) return { items, next: null, headers: {} };
  const next = encode(listing.name, listing.keyOf(last));
  const [path = "", asked = ""] = url.split("?", 2);
  const parameters = new URLSearchParams(asked);
  parameters.set("cursor", next);
  return { items, next, headers: { link: `<${path}?${parameters}>; rel="next"` } };
};

/** The parameters of a list, for its description. */
export const PAGE_PARAMETERS = {
  limit: {
    type: "integer",
    minimum: 1,
    maximum: PAGE.most,
    default: PAGE.usual,
    description: "Entries of a page.",
    examples: [PAGE.usual],
  },
  cursor: {
    type: "string",
    description: "`next` of the page before; without it the first page.",
    examples: ["WyJidWlsZGluZ3MiLCJlbG0iXQ"],
  },
} as const;
