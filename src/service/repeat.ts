import { Refused } from "./refused.js";
import type { Shelves } from "./shelves.js";

export interface KeptAnswer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string;
}

/** A call that may come twice: the second time it is answered as the first time, and does nothing. */
export interface Repeatable<T> {
  /** what the caller sent as its Idempotency-Key */
  readonly key: string;
  readonly route: string;
  readonly bodyDigest: string;
  readonly at: Date;
  readonly render: (result: T) => KeptAnswer;
}

/** The call came before: this is what it was answered. */
export class Replayed extends Error {
  readonly answer: KeptAnswer;
  constructor(answer: KeptAnswer) {
    super("answered before");
    this.answer = answer;
  }
}

/**
 * Does a piece of work once for each key, in the transaction of the work itself: a killed process has kept both or none.
 * @throws Replayed where it was done before, Refused where the key is in use
 */
export const once = async <T>(
  shelves: Shelves,
  repeatable: Repeatable<T> | null,
  work: () => Promise<T>,
): Promise<T> => {
  if (repeatable === null) return work();
  const { key, route, bodyDigest, at, render } = repeatable;
  const claim = await shelves.repeats.claim(key, route, bodyDigest, at);
  if (claim.state === "done") throw new Replayed(claim);
  if (claim.state === "running")
    throw new Refused("still-running", "The first call with this Idempotency-Key runs still.");
  if (claim.state === "other-body")
    throw new Refused("key-reused", "This Idempotency-Key came before with another body or at another path.");
  const result = await work();
  await shelves.repeats.finish(key, render(result));
  return result;
};
