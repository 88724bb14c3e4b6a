import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { laminarFilmThickness, laminarFilmVelocity } from "../../../src/core/physics/laminar-film.js";

const G = 9.80665;
/** ν at 15 °C from the IAPWS values of viscosity and density, 1.1375478e-3 Pa·s and 999.10203 kg/m³. */
const NU = 1.1375478e-3 / 999.10203;

/** Flow per width of a film, by summing its velocity profile: each layer is sheared by the weight of what lies outside it. */
const flowPerWidth = (thickness: number): number => {
  const layers = 20_000;
  const dy = thickness / layers;
  let velocity = 0;
  let flow = 0;
  for (let i = 0; i < layers; i++) {
    const shear = (G * (thickness - (i + 0.5) * dy)) / NU;
    flow += (velocity + (shear * dy) / 2) * dy;
    velocity += shear * dy;
  }
  return flow;
};

const bore = fc.double({ min: 0.015, max: 0.15, noNaN: true });
// 4Γ/ν stays below 1500
const share = fc.double({ min: 1e-3, max: 1, noNaN: true });
const flowIn = (d: number, part: number) => part * ((1500 * NU) / 4) * Math.PI * d;

describe("a laminar film in a riser", () => {
  it("is 0.29 mm thick where 20 kg/h run down 26 mm (a worked figure)", () => {
    const flow = 20 / 999.1 / 3600;
    const thickness = laminarFilmThickness(0.026, flow, NU);
    expect(thickness * 1000).toBeCloseTo(0.29, 2);
    // and fills 0.044 of the bore
    expect(1 - (1 - (2 * thickness) / 0.026) ** 2).toBeCloseTo(0.044, 3);
  });

  it("has the flow that its own velocity profile sums to", () => {
    fc.assert(
      fc.property(bore, share, (d, part) => {
        const flow = flowIn(d, part);
        const thickness = laminarFilmThickness(d, flow, NU);
        expect(Math.abs((flowPerWidth(thickness) * Math.PI * d) / flow - 1)).toBeLessThan(1e-6);
        expect(laminarFilmVelocity(d, flow, NU) * thickness * Math.PI * d).toBeCloseTo(flow, 15);
      }),
      { numRuns: 50 },
    );
  });

  it("goes at the two thirds power of the flow: eight times as much, four times as fast and twice as thick", () => {
    fc.assert(
      fc.property(bore, share, (d, part) => {
        const flow = flowIn(d, part) / 8;
        expect(laminarFilmVelocity(d, 8 * flow, NU) / laminarFilmVelocity(d, flow, NU)).toBeCloseTo(4, 10);
        expect(laminarFilmThickness(d, 8 * flow, NU) / laminarFilmThickness(d, flow, NU)).toBeCloseTo(2, 10);
      }),
    );
  });
});
