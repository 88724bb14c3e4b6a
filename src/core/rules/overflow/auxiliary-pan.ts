import { limitOf } from "../../profiles/profile.js";
import { exact } from "../../quantity/interval.js";
import { addPan, hasAuxiliaryPan, PAN_FIGURES } from "../auxiliary-pan.js";
import { canHarm } from "../coil-harm.js";
import { evidenceOf, type JudgedFigure, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";

/** Every protection that the profile accepts is an auxiliary pan. */
const mustHave = ({ profile }: Case): boolean =>
  profile.overflowMethods.every(({ method }) => method.startsWith("auxiliary-pan"));

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  /** null: not known */
  readonly present: boolean | null;
  readonly figures: readonly { readonly words: string; readonly judged: JudgedFigure }[];
}

export const overflowAuxiliaryPan = defineRule<Data>({
  id: "overflow.auxiliary-pan",
  title: "Auxiliary pan missing or too small",
  question: "Is there a second line of defense where the code asks for one, as deep and wide as it asks?",
  why: "A pan that hangs below a unit catches what its own pan spills, if it is there, wide enough for the water to fall into and deep enough to hold it until somebody notices.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.auxiliaryPan.present", "nodes.auxiliaryPan.depth", "nodes.auxiliaryPan.overhang"],
  limits: ["overflow.auxiliaryPanDepth", "overflow.auxiliaryPanOverhang", "overflow.methods"],
  notApplicable:
    "No coil that can do harm is protected by an auxiliary pan, and the profile accepts other protections.",
  remedy: "Hang a pan under the unit that is as deep and as much larger than the unit as the code asks.",
  sources: ["imc-307.2.3", "irc-m1411.3", "upc-814.2"],
  anchor: "coil",
  *subjects(c) {
    for (let coil = 0; coil < c.net.coils.length; coil++)
      if (canHarm(c, coil) && (hasAuxiliaryPan(c, coil) === true || mustHave(c))) yield coil;
  },
  judge(c, coil) {
    const node = c.net.coils[coil];
    const { pointer, coil: fanCoil } = c.net.nodes[node];
    const present = hasAuxiliaryPan(c, coil);
    const pan = fanCoil!.auxiliaryPan;
    const figures = PAN_FIGURES.map(({ field, limit: name, words }) => {
      const limit = limitOf(c.profile, name);
      const judged = judgeFigure(exact(pan?.[field] ?? Number.NaN), limit.value, "at-least");
      return { field, words, limit, judged };
    });
    const any = (outcome: Outcome): boolean => figures.some(({ judged }) => judged.outcome === outcome);
    const outcome: Outcome =
      present === false || (present && any("fail"))
        ? "fail"
        : present === null || any("undetermined")
          ? "undetermined"
          : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const remedy: RemedyStep[] =
      outcome !== "fail"
        ? []
        : present
          ? figures
              .filter(({ judged }) => judged.outcome === "fail")
              .map(({ field, limit }) => ({
                action: "replace-pan",
                on: { node },
                amount: limit.value,
                kind: "dimension",
                what: field,
              }))
          : addPan(c, coil);
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : {
            family: "missing" as const,
            settledBy:
              present === null
                ? [{ pointer: `${pointer}/auxiliaryPan/present` }]
                : figures
                    .filter(({ judged }) => judged.outcome === "undetermined")
                    .map(({ field }) => ({ pointer: `${pointer}/auxiliaryPan/${field}` })),
          }),
      data: { outcome, coil: node, present, figures },
      anchor: coil,
      subject: { fanCoils: [node] },
      evidence: figures
        .filter(({ judged }) => !Number.isNaN(judged.best))
        .map(({ field, limit, judged }) =>
          evidenceOf(field, "dimension", judged, limit, [`${pointer}/auxiliaryPan/${field}`]),
        ),
      remedy,
    };
  },
  say: ({ outcome, coil, present, figures }, speak) => {
    const name = speak.node(coil);
    if (present === false) return `No auxiliary pan hangs under ${name}, and the profile accepts no other protection.`;
    if (present === null) return `Whether an auxiliary pan hangs under ${name} is not known.`;
    const told = figures
      .filter(({ judged }) => judged.outcome === outcome)
      .map(({ words, judged }) => {
        const { figure, limit } = speak.against(judged.best, judged.limit, "dimension");
        return outcome === "fail"
          ? `only ${figure} ${words}, less than ${limit}`
          : `${figure} ${words}, not less than ${limit}`;
      });
    return outcome === "undetermined"
      ? `How large the auxiliary pan under ${name} is, is not known.`
      : `The auxiliary pan under ${name} is ${told.join(" and ")}.`;
  },
});
