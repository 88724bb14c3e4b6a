import type { Auditor } from "./auditor.js";
import { makeHealth } from "./building-health.js";
import { makeBuildings } from "./buildings.js";
import { makeFindings } from "./findings.js";
import { makeObservations } from "./observations.js";
import { makeRevisions } from "./revisions.js";
import type { Store } from "./shelves.js";

/** Everything that is done with stored buildings. Time and names of new things come from outside. */
export const makeStored = (store: Store, auditor: Auditor, now: () => Date, newId: () => string) => ({
  buildings: makeBuildings(store, now),
  revisions: makeRevisions(store, auditor, now),
  findings: makeFindings(store, now),
  observations: makeObservations(store, now, newId),
  health: makeHealth(store, now),
});
export type Stored = ReturnType<typeof makeStored>;
