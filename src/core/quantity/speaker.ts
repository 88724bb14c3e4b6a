/** What a figure is: decides its unit in either system and how it is printed. SI base inside. */
export type QuantityKind =
  | "length" /* m | ft */
  | "elevation" /* m | ft, of the document's datum */
  | "size" /* nominal, DN number | NPS */
  | "dimension" /* mm | in: bores, depths, drops, seals */
  | "gauge-pressure" /* Pa | inH2O */
  | "pressure" /* Pa | inHg */
  | "cooling-capacity" /* kW | ton */
  | "flow" /* L/h | gal/h: condensate, pumps */
  | "airflow" /* m³/h | ft³/min */
  | "temperature" /* °C | °F */
  | "area" /* m² | ft² */
  | "volume" /* L | gal */
  | "conductivity"
  | "grade" /* % in SI sentences, in/ft in US ones; a bare number in a document is a ratio | in/ft */
  | "ratio"
  | "angle"
  | "velocity" /* m/s | ft/s */
  | "flow-per-capacity" /* L/h per kW | gal/h per ton: rules of thumb */
  | "duration" /* s, printed in minutes, hours or days */
  | "count"
  /* what single calculations need besides */
  | "density" /* kg/m³ | lb/ft³ */
  | "viscosity" /* kinematic: mm²/s | ft²/s */
  | "film-coefficient" /* W/(m²·K) | Btu/(h·ft²·°F) */
  | "modulus" /* of elasticity: GPa | psi */
  | "specific-energy" /* kJ/kg | Btu/lb */
  | "specific-volume" /* m³/kg | ft³/lb */
  | "humidity-ratio" /* g/kg | gr/lb, of dry air */
  | "mass-flow" /* kg/h | lb/h */
  | "temperature-difference" /* K | °F */
  | "absolute-temperature" /* K | °R */
  | "weight-per-length" /* N/m | lbf/ft */
  | "second-moment" /* of area: mm⁴ | in⁴ */;

/** Prints figures for people in the document's own units, and names elements. Made once per audit. */
export interface Speaker {
  /**
   * A figure with its unit. `toward` rounds to the failing side so that a printed figure never contradicts its outcome:
   * "down" for a figure that must be at least its limit, "up" for one that must be at most.
   */
  figure(si: number, kind: QuantityKind, toward?: "down" | "up"): string;
  /** figure against its limit, rounded so that the two never print alike unless they are equal within the comparison */
  against(si: number, limit: number, kind: QuantityKind): { figure: string; limit: string };
  /** an elevation, in the datum and relative to its floor where known: `12.345 m (Level 4 + 2.75 m)` */
  elevation(si: number, node?: number): string;
  /** the id of a node, with its name and floor where known: `M-04 (level 4)` */
  node(index: number): string;
  pipe(index: number): string;
  /** by index in the model's list */
  device(index: number): string;
  circuit(index: number): string;
  /** nominal size as the profile prints it: `3/4 in`, `DN 20` */
  size(dn: number): string;
  /** `a`, `a and b`, `a, b and 3 more` */
  list(parts: readonly string[], most?: number): string;
}
