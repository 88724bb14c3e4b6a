/** A network document under construction: plain JSON whose elements are found by id. */
export interface Element {
  id: string;
  [field: string]: unknown;
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
  nodes: Element[];
  pipes: Element[];
  overflowDevices: Element[];
  circuits: Element[];
}

/** Millimetres: levels are written as a surveyor would write them. */
export const toMillimetre = (metres: number): number => Math.round(metres * 1000) / 1000;
