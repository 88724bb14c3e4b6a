import type { Audit } from "../../src/core/audit/answer.js";
import { audit } from "../../src/core/audit/run.js";
import type { NetworkDocument } from "../builders/network-document.js";
import type { PlainDocument } from "../reference/plain-network.js";

/** Everything that the product says of a document that must be well formed. */
export const audited = (document: PlainDocument | NetworkDocument | Record<string, unknown>): Audit => {
  const result = audit(document, { include: ["all"] });
  if (!result.ok) throw new Error(`refused: ${JSON.stringify(result.problems.slice(0, 3))}`);
  return result.audit;
};

export interface FactLists {
  topology: { cycles: string[][]; splits: string[]; deadLegs: string[]; orphans: string[] };
  fanCoils: Record<string, unknown>[];
  pipes: Record<string, unknown>[];
  nodes: Record<string, unknown>[];
  runs: Record<string, unknown>[];
  pools: Record<string, unknown>[];
  seals: Record<string, unknown>[];
  airSpaces: AirSpaceFact[];
  airSpacesAtFlow: AirSpaceFact[];
  paths: Record<string, unknown>[];
}
export interface AirSpaceFact {
  id: string;
  kind: string;
  onPath: boolean;
  openings: string[];
  pans: string[];
  nodes: string[];
  pipes: string[];
  traps: string[];
  volume: number | null;
}

export const factsOf = (document: PlainDocument): FactLists => audited(document).facts as unknown as FactLists;
