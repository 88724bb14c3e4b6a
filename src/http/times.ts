import * as z from "zod";
import { HttpProblem } from "./problems.js";

const time = z.iso.datetime({ offset: true });

/** A time in the query; null: not given. @throws HttpProblem `bad-query` */
export const readTime = (name: string, text: string | undefined): Date | null => {
  if (text === undefined) return null;
  // a plus sign in a query is a blank to whoever decodes it
  const read = time.safeParse(text.replace(/ (?=\d{2}:\d{2}$)/, "+"));
  if (read.success) return new Date(read.data);
  throw new HttpProblem("bad-query", `The query parameter ${name} is no time.`, {
    errors: [
      { pointer: "", detail: `${name}: no time with a zone (RFC 3339)`, hint: "for example 2026-07-14T09:30:00Z" },
    ],
  });
};

export const timeParameter = (description: string) => ({
  type: "string",
  format: "date-time",
  description,
  examples: ["2026-07-14T09:30:00Z"],
});
