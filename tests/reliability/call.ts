// One call over HTTP, which may end without an answer.

export interface Answer {
  readonly status: number;
  readonly text: string;
  readonly headers: Headers;
}

export interface Call {
  readonly method: "GET" | "PUT" | "POST" | "DELETE";
  readonly path: string;
  readonly body?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
  /** ms, after which nothing is waited for any more */
  readonly patience?: number;
}

/** @returns null where no answer came: the connection broke, or patience ended */
export const call = async (
  base: string,
  { method, path, body, headers = {}, patience = 15_000 }: Call,
): Promise<Answer | null> => {
  try {
    const reply = await fetch(`${base}${path}`, {
      method,
      headers: { ...(body !== undefined && { "content-type": "application/json" }), ...headers },
      ...(body !== undefined && { body: JSON.stringify(body) }),
      signal: AbortSignal.timeout(patience),
    });
    return { status: reply.status, text: await reply.text(), headers: reply.headers };
  } catch {
    return null;
  }
};

export const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Asks again until it is so. @returns ms that it took. @throws Error after `limit` ms */
export const until = async (what: string, isSo: () => Promise<boolean>, limit: number, every = 20): Promise<number> => {
  const began = performance.now();
  for (;;) {
    if (await isSo()) return performance.now() - began;
    if (performance.now() - began > limit) throw new Error(`not within ${limit} ms: ${what}`);
    await pause(every);
  }
};
