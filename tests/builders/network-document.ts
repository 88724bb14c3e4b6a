import { expand } from "../../src/core/network/expand.js";

/** A network document under construction: plain JSON whose elements are found by id. */
export interface Element {
  id: string;
  [field: string]: unknown;
}

export interface Typical {
  name: string;
  joints?: string[];
  nodes: Element[];
  pipes: Element[];
  overflowDevices?: Element[];
  circuits?: Element[];
}

/** What one placement says about its parts, by their local ids. */
export type Settings = Record<string, Record<string, unknown>>;

export interface Placement extends Element {
  typical: string;
  joins?: Record<string, unknown>;
  set?: Settings;
  repeat?: { floors: string[] };
}

export interface NetworkDocument {
  format: 1;
  id: string;
  name: string;
  units: "si" | "us";
  profile: unknown;
  stage: "design" | "as-built" | "in-service";
  floors: Element[];
  owners: Element[];
  site: Record<string, unknown>;
  typicals?: Record<string, Typical>;
  placements?: Placement[];
  nodes: Element[];
  pipes: Element[];
  overflowDevices: Element[];
  circuits: Element[];
}

/** The same network without shorthand. */
export const writtenOut = (document: NetworkDocument): NetworkDocument => {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(JSON.stringify(expanded.problems, null, 1));
  return structuredClone(expanded.document) as unknown as NetworkDocument;
};

/** Millimetres: levels are written as a surveyor would write them. */
export const toMillimetre = (metres: number): number => Math.round(metres * 1000) / 1000;

/** A storey's or riser's number as names carry it. */
export const twoDigits = (n: number): string => String(n).padStart(2, "0");
