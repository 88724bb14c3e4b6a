import { readFileSync } from "node:fs";
import type { FastifyInstance } from "fastify";
import { type AppOptions, makeApp } from "../../src/http/app.js";
import { type Auditor, type AuditorLimits, makeAuditor } from "../../src/service/auditor.js";

/** A document that is read without problems, as bytes. */
export const tutorial = readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url));

/** The same in one line. */
export const tutorialLine = JSON.stringify(JSON.parse(tutorial.toString("utf8")));

export interface SoundApp {
  readonly app: FastifyInstance;
  readonly auditor: Auditor;
  close(): Promise<void>;
}

/** The whole service without a port. Its threads run what was last built. */
export const soundApp = async (
  options: Partial<AppOptions> & { readonly threads?: Partial<AuditorLimits> } = {},
): Promise<SoundApp> => {
  const { threads, ...rest } = options;
  const auditor = makeAuditor({ threads: 1, ...threads });
  const app = await makeApp({ auditor, ...rest });
  await auditor.warm();
  return {
    app,
    auditor,
    close: async () => {
      await app.close();
      await auditor.close();
    },
  };
};
