import type { Sink } from "./surroundings.js";

const cells = 20;

/** One line on a terminal that fills as documents are audited; silent for a single document and anywhere but a terminal. */
export class Progress {
  readonly #total: number;
  readonly #sink: Sink;
  readonly #shown: boolean;

  constructor(total: number, sink: Sink) {
    this.#total = total;
    this.#sink = sink;
    this.#shown = sink.isTTY && total > 1;
  }

  async at(done: number, label: string): Promise<void> {
    if (!this.#shown) return;
    const filled = Math.floor((done / this.#total) * cells);
    const line = `|${"#".repeat(filled)}${" ".repeat(cells - filled)}| ${done + 1} of ${this.#total}  ${label}`;
    await this.#sink.write(`\r\u001b[K${line.slice(0, Math.max(20, (this.#sink.columns ?? 80) - 1))}`);
  }

  async clear(): Promise<void> {
    if (this.#shown) await this.#sink.write("\r\u001b[K");
  }
}
