import { type Compiled, ROLE } from "../graph/compiled.js";
import { lastingModulus, materialById, modulusAt, pipeSize } from "../materials/materials.js";
import type { ModelPipe, Site } from "../network/model.js";
import { WATER_DENSITY } from "../physics/constants.js";
import { deflection, leastGradeBetweenSupports, longestSpan, type Span } from "../physics/sag.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { Alike } from "./alike.js";
import { HANGS, type SpanFact, type SupportFacts } from "./facts.js";
import type { Geometry } from "./geometry.js";

/**
 * How far pipe full of water sags between its supports, at the temperature of its space: each span for itself, which is
 * the most that it can, and as an inner span of a continuous line, which is the least.
 */
export function supports(net: Compiled, profile: Profile, shape: Geometry): SupportFacts {
  const hangs = new Uint8Array(net.pipeCount);
  const ofPipe = new Int32Array(net.pipeCount).fill(-1);
  const sorts = new Alike<SpanFact>();
  const warmth = temperatures(net.model.site, limitOf(profile, "support.ceilingTemperature").value);
  for (let p = 0; p < net.pipeCount; p++) {
    const { material, size, supportSpacing, space, flexible } = net.pipes[p];
    const role = net.role[p];
    const isWet = role === ROLE.drain || role === ROLE.secondary || role === ROLE.auxiliary;
    if (!isWet || shape.vertical[p] === 1 || space === "slab" || space === "buried") continue;
    hangs[p] = flexible ? HANGS.flexible : HANGS.itself;
    if (flexible || supportSpacing === null) continue;
    const celsius = warmth[space];
    ofPipe[p] = sorts.of([material, size, supportSpacing, celsius], () =>
      spanFact(material, size, supportSpacing, celsius),
    );
  }
  return { hangs, ofPipe, spans: sorts.all };
}

/** °C by space, as the site states the air or else as assumed. */
const temperatures = (site: Site, assumed: number): Readonly<Record<ModelPipe["space"], number>> => ({
  conditioned: site.indoorAir?.dryBulb ?? assumed,
  ceiling: site.ceilingAir?.dryBulb ?? assumed,
  shaft: site.shaftAir?.dryBulb ?? assumed,
  outdoors: assumed,
  slab: assumed,
  buried: assumed,
});

function spanFact(material: string | null, size: number | null, spacing: number, celsius: number): SpanFact {
  const row = material === null || size === null ? undefined : pipeSize(material, size);
  const span = (modulus: number): Span => ({
    outsideDiameter: row?.outsideDiameter ?? NaN,
    wall: row?.wall ?? NaN,
    pipeDensity: (material === null ? undefined : materialById(material))?.density.value ?? NaN,
    waterDensity: WATER_DENSITY,
    fill: 1,
    modulus,
  });
  const modulus = material === null ? NaN : modulusAt(material, celsius);
  const short = span(modulus);
  const lasting = span(material === null ? NaN : lastingModulus(material));
  // Carried all along, pipe of any stiffness keeps its line.
  const between = (of: (kind: "simple" | "continuous") => number) =>
    spacing === 0 ? { simple: 0, continuous: 0 } : { simple: of("simple"), continuous: of("continuous") };
  return {
    spacing,
    temperature: celsius,
    modulus,
    deflection: between((kind) => deflection(short, spacing, kind)),
    leastGrade: between((kind) => leastGradeBetweenSupports(short, spacing, kind)),
    lastingLeastGrade: between((kind) => leastGradeBetweenSupports(lasting, spacing, kind)),
    spacingFor: (grade) => (grade > 0 ? longestSpan(short, grade, "simple") : NaN),
  };
}
