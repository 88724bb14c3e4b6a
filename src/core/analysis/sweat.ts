import { type Compiled, ROLE } from "../graph/compiled.js";
import { materialById, pipeSize } from "../materials/materials.js";
import type { AirState, ModelPipe } from "../network/model.js";
import { STANDARD_PRESSURE } from "../physics/constants.js";
import { dewPoint, humidityRatioOf } from "../physics/moist-air.js";
import { surfaceTemperature, thicknessAgainstCondensation } from "../physics/surface-condensation.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { Alike } from "./alike.js";
import type { SurfaceFact, SweatFacts, Topology } from "./facts.js";

/** Whether cold pipe sweats: the temperature of its surface, bare and insulated, against the dew point of the air there. */
export function sweating(net: Compiled, profile: Profile, ways: Topology): SweatFacts {
  const ofPipe = new Int32Array(net.pipeCount).fill(-1);
  const sorts = new Alike<SurfaceFact>();
  const figure = (name: Parameters<typeof limitOf>[1]) => limitOf(profile, name).value;
  const given = {
    water: figure("sweat.waterTemperature"),
    film: figure("sweat.filmCoefficient"),
    foilFilm: figure("sweat.filmCoefficientFoil"),
    conductivity: figure("sweat.conductivity"),
    margin: figure("sweat.margin"),
  };
  const { site } = net.model;
  const pressure = site.pressure ?? STANDARD_PRESSURE;
  const airs = new Map<ModelPipe["space"], Air>([
    ["conditioned", airOf(site.indoorAir, pressure)],
    ["ceiling", airOf(site.ceilingAir, pressure)],
    ["shaft", airOf(site.shaftAir, pressure)],
  ]);
  for (let p = 0; p < net.pipeCount; p++) {
    if (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure) continue;
    // Where no coil drains there is no cold water.
    if (ways.coilsAbove[p] === 0) continue;
    const { material, size, space, insulation } = net.pipes[p];
    const air = airs.get(space);
    if (air === undefined) continue;
    const thickness = insulation === null ? 0 : (insulation.thickness ?? NaN);
    const conductivity = insulation?.conductivity ?? given.conductivity;
    const isFoil = insulation !== null && isFoilFaced(insulation.facing);
    ofPipe[p] = sorts.of([material, size, space, thickness, conductivity, isFoil], () => {
      const film = isFoil ? given.foilFilm : given.film;
      const row = material === null || size === null ? undefined : pipeSize(material, size);
      const wall = row?.wall ?? NaN;
      const outside = row?.outsideDiameter ?? NaN;
      const needed = air.dewPoint + given.margin;
      const cold = { airTemperature: air.dryBulb, pipeTemperature: given.water };
      const layer = { ...cold, diameter: outside, conductivity, filmCoefficient: film };
      return {
        airTemperature: air.dryBulb,
        dewPoint: air.dewPoint,
        needed,
        waterTemperature: given.water,
        thickness,
        bare: surfaceTemperature(
          {
            ...cold,
            diameter: outside - 2 * wall,
            conductivity: (material === null ? undefined : materialById(material))?.conductivity.value ?? NaN,
            filmCoefficient: given.film,
          },
          wall,
        ),
        insulated: thickness > 0 ? surfaceTemperature(layer, thickness) : NaN,
        leastThickness:
          Number.isNaN(needed) || (Number.isNaN(outside) && needed > given.water)
            ? NaN
            : thicknessAgainstCondensation(layer, needed),
      };
    });
  }
  return { ofPipe, surfaces: sorts.all };
}

interface Air {
  /** °C; NaN unknown */
  readonly dryBulb: number;
  /** °C; −Infinity of dry air, NaN unknown */
  readonly dewPoint: number;
}

function airOf(air: AirState | null, pressure: number): Air {
  if (air === null) return { dryBulb: NaN, dewPoint: NaN };
  const ratio = humidityRatioOf(air, pressure);
  // at saturation the two agree but for the last digit
  const dew = ratio === 0 ? Number.NEGATIVE_INFINITY : Math.min(air.dryBulb, dewPoint(ratio, pressure));
  return { dryBulb: air.dryBulb, dewPoint: air.dewPoint ?? dew };
}

/** A bright metal face radiates little, and its surface stays colder. */
const isFoilFaced = (facing: string | null): boolean => facing !== null && /foil|alumin|fsk/i.test(facing);
