import { limitOf } from "../../profiles/profile.js";
import { atLeast } from "../../quantity/interval.js";
import { waitingFor } from "../asked-once.js";
import {
  coldPipes,
  isDryAnyway,
  lackingFigures,
  settleSurfaces,
  surfaceEvidence,
  surfaceOf,
  surfaceWaits,
} from "../cold-surface.js";
import { type Case, defineRule, type Outcome, PASS, TOLD } from "../rule.js";

const bare = (c: Case): Generator<number> => coldPipes(c, "bare");
const waiting = waitingFor(
  bare,
  surfaceWaits((surface) => surface.bare),
);

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly water: number;
  readonly surface: number;
  readonly dewPoint: number;
  readonly needed: number;
  readonly margin: number;
  /** m; Infinity: no thickness suffices */
  readonly thickness: number;
  /** what is not known: the air of these spaces, or else the pipe */
  readonly airOf: readonly string[];
}

export const sweatUninsulated = defineRule<Data>({
  id: "sweat.uninsulated",
  title: "Bare cold pipe that drips",
  question: "Would a bare cold pipe drip here?",
  why: "Condensate leaves the coil colder than the dew point of many ceilings: bare pipe then makes water of its own, and it is taken for a leak.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: [
    "site.indoorAir",
    "site.ceilingAir",
    "site.shaftAir",
    "pipes.insulation",
    "pipes.space",
    "pipes.material",
    "pipes.size",
  ],
  limits: ["sweat.waterTemperature", "sweat.filmCoefficient", "sweat.conductivity", "sweat.margin"],
  notApplicable: "Every pipe with cold water is insulated, or lies outdoors, in a slab or in the ground.",
  remedy: "Insulate the pipe, its trap included.",
  sources: ["iso-12241", "ashrae-fundamentals-1", "pipe-data-sheets", "insulation-association"],
  anchor: "pipe",
  subjects: bare,
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined && group.first !== pipe) return TOLD;
    const surface = surfaceOf(c, pipe);
    const isDry = isDryAnyway(surface) || atLeast(surface.bare, surface.needed);
    if (isDry && !c.wantPasses) return PASS;
    const data: Data = {
      outcome: group !== undefined ? "undetermined" : isDry ? "pass" : "fail",
      pipes: group?.all ?? [pipe],
      water: surface.waterTemperature,
      surface: surface.bare,
      dewPoint: surface.dewPoint,
      needed: surface.needed,
      margin: limitOf(c.profile, "sweat.margin").value,
      thickness: surface.leastThickness,
      airOf: [],
    };
    if (group !== undefined) {
      const { airOf, ...unsettled } = settleSurfaces(c, group);
      return {
        outcome: "undetermined",
        ...unsettled,
        data: { ...data, airOf },
        anchor: pipe,
        subject: { pipes: group.all },
        evidence: [],
      };
    }
    return {
      outcome: data.outcome,
      data,
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence: lackingFigures(c, pipe).length > 0 ? [] : surfaceEvidence(c, pipe, surface.bare),
      remedy:
        data.outcome === "fail" && Number.isFinite(surface.leastThickness)
          ? [{ action: "insulate", on: { pipe }, amount: surface.leastThickness, kind: "dimension" }]
          : [],
    };
  },
  say: ({ outcome, pipes, water, surface, dewPoint, needed, margin, thickness, airOf }, speak) => {
    const name = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    const degrees = (celsius: number) => speak.figure(celsius, "temperature");
    if (outcome === "undetermined") {
      const what =
        airOf.length > 0 ? `the air of ${speak.list(airOf)} is not given` : "how cold its surface gets is not known";
      return `Whether ${name}, bare, ${pipes.length === 1 ? "sweats" : "sweat"} cannot be told: ${what}.`;
    }
    if (Number.isNaN(surface) || needed === Number.NEGATIVE_INFINITY)
      return `${name} stays dry without insulation: its water, at ${degrees(water)}, is no colder than the air allows.`;
    const said = speak.against(surface, needed, "temperature");
    const asks = `${said.limit} that its air asks for (dew point ${degrees(dewPoint)}, margin ${speak.figure(margin, "temperature-difference")})`;
    if (outcome === "pass")
      return `${name} stays dry without insulation: its surface is at ${said.figure}, against the ${asks}.`;
    const cure = Number.isFinite(thickness)
      ? ` Insulation of ${speak.figure(thickness, "dimension", "up")} keeps it dry.`
      : " No insulation keeps it dry in air so humid.";
    return `${name} is bare and carries water of ${degrees(water)}: its surface is at ${said.figure}, below the ${asks}, and drips.${cure}`;
  },
});
