import { limitOf } from "../../profiles/profile.js";
import { atLeast, within } from "../../quantity/interval.js";
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
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, TOLD } from "../rule.js";

const insulated = (c: Case): Generator<number> => coldPipes(c, "insulated");
const waiting = waitingFor(
  insulated,
  surfaceWaits((surface) => surface.insulated),
);

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly surface: number;
  readonly needed: number;
  readonly dewPoint: number;
  readonly thickness: number;
  /** m; Infinity: no thickness suffices */
  readonly least: number;
  readonly airOf: readonly string[];
}

export const sweatThin = defineRule<Data>({
  id: "sweat.thin",
  title: "Insulation too thin",
  question: "Is the insulation thick enough to keep the surface above the dew point?",
  why: "Insulation that is too thin sweats like bare pipe, only later in the day, and wet insulation soon insulates no more.",
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
  limits: [
    "sweat.waterTemperature",
    "sweat.filmCoefficient",
    "sweat.filmCoefficientFoil",
    "sweat.conductivity",
    "sweat.margin",
  ],
  notApplicable: "No pipe with cold water is insulated, or all of them lie outdoors, in a slab or in the ground.",
  remedy: "Insulate the pipe with the thickness that its air asks for.",
  sources: ["iso-12241", "ashrae-fundamentals-1", "astm-c534", "insulation-association"],
  anchor: "pipe",
  subjects: insulated,
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined && group.first !== pipe) return TOLD;
    const surface = surfaceOf(c, pipe);
    const isDry = isDryAnyway(surface) || atLeast(surface.insulated, surface.needed);
    if (isDry && !c.wantPasses) return PASS;
    const data: Data = {
      outcome: group !== undefined ? "undetermined" : isDry ? "pass" : "fail",
      pipes: group?.all ?? [pipe],
      surface: surface.insulated,
      needed: surface.needed,
      dewPoint: surface.dewPoint,
      thickness: surface.thickness,
      least: surface.leastThickness,
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
    const judged = judgeFigure(within(surface.thickness, 0), surface.leastThickness, "at-least");
    const limit = { name: "least thickness", source: limitOf(c.profile, "sweat.conductivity").source };
    const from = [`${c.net.pipes[pipe].pointer}/insulation/thickness`];
    return {
      outcome: data.outcome,
      data,
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence:
        lackingFigures(c, pipe).length > 0
          ? []
          : [
              evidenceOf("insulationThickness", "dimension", judged, limit, from),
              ...surfaceEvidence(c, pipe, surface.insulated),
            ],
      remedy:
        data.outcome === "fail" && Number.isFinite(surface.leastThickness)
          ? [{ action: "insulate", on: { pipe }, amount: surface.leastThickness, kind: "dimension" }]
          : [],
    };
  },
  say: ({ outcome, pipes, surface, needed, dewPoint, thickness, least, airOf }, speak) => {
    const name = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    if (outcome === "undetermined") {
      const what =
        airOf.length > 0
          ? `the air of ${speak.list(airOf)} is not given`
          : "thickness, or what it is wrapped around, is not known";
      return `Whether the insulation of ${name} is thick enough cannot be told: ${what}.`;
    }
    if (Number.isNaN(surface) || needed === Number.NEGATIVE_INFINITY)
      return `${name} would stay dry without its insulation: its water is no colder than the air allows.`;
    const at = speak.against(surface, needed, "temperature");
    if (outcome === "pass")
      return `The insulation of ${name}, ${speak.figure(thickness, "dimension")}, keeps its surface at ${at.figure}, against ${at.limit} that its air asks for.`;
    const dew = speak.figure(dewPoint, "temperature");
    const said = speak.against(thickness, least, "dimension");
    const asks = Number.isFinite(least)
      ? `${said.figure} against ${said.limit}`
      : `${speak.figure(thickness, "dimension")}, and in air so humid none is thick enough`;
    return `The insulation of ${name} is too thin, ${asks}: its surface is at ${at.figure}, below the ${at.limit} that keep it dry (dew point ${dew}).`;
  },
});
