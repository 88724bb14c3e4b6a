import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import { primeTrap, sealAt, subjectOf, traps } from "../trap-figures.js";

const DAY = 86_400;

/** The site's own idle season, else the firm's; null: neither. */
const idleDays = (c: Case): number | null => c.net.model.site.idleDays ?? c.profile.idleDays;

interface Data {
  readonly outcome: Outcome;
  readonly trap: number;
  /** s, NaN unknown */
  readonly low: number;
  readonly best: number;
  readonly high: number;
  readonly idle: number;
}

/**
 * The seal's depth at the slowest, the usual and the fastest evaporation against the idle season. How fast a seal dries
 * depends on the air that moves over it, so where the season lies between the two no measurement decides: that is a
 * matter of method.
 */
export const sealDryOut = defineRule<Data>({
  id: "seal.dry-out",
  title: "Seal that outlasts the idle season",
  question: "Does the seal outlast the idle season?",
  why: "While no condensate comes, the seal evaporates; once it is open, the main's air comes up into the unit and the first start finds no seal.",
  severity: "advice",
  kind: "contingency",
  stage: "design",
  needs: ["site.idleDays", "nodes.sealDepth"],
  limits: ["trap.evaporation", "idleDays"],
  notApplicable: "There is no idle season, or no water trap that holds water.",
  remedy: "Refill the traps before the season starts, or seal the drain without water.",
  sources: ["stefan-diffusion", "bs-5572", "epa-moisture"],
  anchor: "node",
  *subjects(c) {
    if (idleDays(c) === 0) return;
    for (const trap of traps(c, "water")) if (sealAt(c, trap).sealed) yield trap;
  },
  judge: (c, trap) => {
    const seal = sealAt(c, trap);
    const days = seal.daysToOpen ?? { low: Number.NaN, best: Number.NaN, high: Number.NaN };
    const lasts = { low: days.low * DAY, best: days.best * DAY, high: days.high * DAY };
    const season = idleDays(c);
    const judged = judgeFigure(lasts, (season ?? Number.NaN) * DAY, "at-least");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { pointer } = c.net.nodes[trap];
    const lacking = [
      ...(season === null ? [{ pointer: "/site/idleDays" }] : []),
      ...(seal.daysToOpen === null ? [{ pointer: `${pointer}/sealDepth` }] : []),
    ];
    const decision = "Decide who refills the trap in the idle season and how often, or seal the drain without water.";
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : lacking.length > 0
          ? { family: "missing" as const, settledBy: lacking }
          : { family: "method" as const, settledBy: [{ pointer, decision }] }),
      data: { outcome, trap, ...lasts, idle: judged.limit },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence:
        lacking.length > 0
          ? []
          : [
              evidenceOf(
                "timeToOpen",
                "duration",
                judged,
                { name: "idleDays", source: c.net.model.site.idleDays === null ? "firm" : "document" },
                [`${pointer}/sealDepth`, ...(c.net.model.site.idleDays === null ? [] : ["/site/idleDays"])],
              ),
            ],
      remedy: outcome === "fail" ? [{ ...primeTrap(seal), what: "before each season" }] : [],
    };
  },
  say: ({ outcome, trap, low, best, high, idle }, speak) => {
    const name = `the trap ${speak.node(trap)}`;
    if (Number.isNaN(idle))
      return `If no condensate comes for a season, whether the seal of ${name} lasts cannot be told: the length of the idle season is not given.`;
    const season = speak.figure(idle, "duration", "up");
    if (Number.isNaN(best))
      return `If no condensate comes for ${season}, whether the seal of ${name} lasts cannot be told: its depth is not given.`;
    const lasts = `lasts about ${speak.figure(best, "duration", "down")} (${speak.figure(low, "duration", "down")} in moving air, ${speak.figure(high, "duration", "down")} in still air)`;
    const sealed = `If no condensate comes for ${season}, the seal of ${name}`;
    if (outcome === "pass") return `${sealed} holds: it ${lasts}.`;
    return outcome === "fail"
      ? `${sealed} dries out before: it ${lasts}.`
      : `${sealed} may dry out before: it ${lasts}.`;
  },
});
