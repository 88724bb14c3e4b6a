import { Refused } from "./refused.js";
import type { Repeated, Shelves, Store } from "./shelves.js";

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

/** How long a call is remembered, ms. */
export const REMEMBERED = 86_400_000;

/** What there is to say of a call that came before, before its work is begun again. @throws Replayed, Refused */
export const recall = async (shelves: Shelves, repeatable: Repeatable<never> | null): Promise<void> => {
  if (repeatable === null) return;
  const { key, route, bodyDigest } = repeatable;
  const known = await shelves.repeats.find(key, route, bodyDigest);
  if (known !== null) settle(known);
};

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
  await shelves.repeats.forgetBefore(new Date(at.getTime() - REMEMBERED));
  settle(await shelves.repeats.claim(key, route, bodyDigest, at));
  const result = await work();
  await shelves.repeats.finish(key, render(result));
  return result;
};

/**
 * Works something out that changes nothing, once for each key: whoever sends the call again is told the same.
 * @throws Replayed where it was asked before, Refused where the key is in use
 */
export const askedOnce = async <T>(
  store: Store,
  organization: string,
  repeatable: Repeatable<T> | null,
  work: () => Promise<T>,
): Promise<T> => {
  if (repeatable === null) return work();
  await store.within(organization, (shelves) => recall(shelves, repeatable));
  const result = await work();
  return store.within(organization, (shelves) => once(shelves, repeatable, async () => result));
};

function settle(claim: Repeated): void {
  if (claim.state === "done") throw new Replayed(claim);
  if (claim.state === "running")
    throw new Refused("still-running", "The first call with this Idempotency-Key runs still.");
  if (claim.state === "other-body")
    throw new Refused("key-reused", "This Idempotency-Key came before with another body or at another path.");
}
