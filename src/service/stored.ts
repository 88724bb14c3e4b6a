import { makeTransfers } from "./archive.js";
import type { Auditor } from "./auditor.js";
import { makeHealth } from "./building-health.js";
import { makeBuildings } from "./buildings.js";
import { makeComparisons } from "./comparisons.js";
import { makeFindings } from "./findings.js";
import { makeInspections } from "./inspections.js";
import { makeObservations } from "./observations.js";
import { makeOverview } from "./overview.js";
import { makePapers } from "./papers.js";
import { makeQuestions } from "./questions.js";
import { makeRevisions } from "./revisions.js";
import type { Store } from "./shelves.js";

/** Everything that is done with stored buildings. Time and names of new things come from outside. */
export const makeStored = (store: Store, auditor: Auditor, now: () => Date, newId: () => string) => {
  const revisions = makeRevisions(store, auditor, now);
  const observations = makeObservations(store, now, newId);
  const health = makeHealth(store, now);
  const findings = makeFindings(store, now);
  return {
    buildings: makeBuildings(store, now),
    comparisons: makeComparisons(store, auditor),
    revisions,
    findings,
    observations,
    health,
    overview: makeOverview(store, health, findings, now),
    papers: makePapers(store, auditor, now),
    questions: makeQuestions(store, auditor, health, now),
    inspections: makeInspections(store, auditor, observations, revisions),
    transfers: makeTransfers(store, auditor, now),
  };
};
export type Stored = ReturnType<typeof makeStored>;
