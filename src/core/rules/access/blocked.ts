import { settleAll, waitingFor } from "../asked-once.js";
import { type Case, defineRule, type Outcome, PASS, type Settle, TOLD } from "../rule.js";

function* coils(c: Case): Generator<number> {
  for (let coil = 0; coil < c.net.coils.length; coil++) yield coil;
}

const clearOf = (c: Case, coil: number): boolean | null => c.net.nodes[c.net.coils[coil]].coil!.filterAccessClear;
const ask = (c: Case, coil: number): readonly Settle[] => [
  { pointer: `${c.net.nodes[c.net.coils[coil]].pointer}/filterAccessClear` },
];
const waiting = waitingFor(coils, (c, coil) => (clearOf(c, coil) === null ? "missing" : null));

interface Data {
  readonly outcome: Outcome;
  readonly coils: readonly number[];
}

export const accessBlocked = defineRule<Data>({
  id: "access.blocked",
  title: "Filter or service side blocked",
  question: "Do trap, drain or devices block the filter or service side?",
  why: "A filter that does not come out is not changed: the pan's suction grows until the trap no longer drains, and whoever forces it breaks the drain.",
  severity: "minor",
  kind: "record",
  stage: "as-built",
  needs: ["nodes.filterAccessClear"],
  limits: [],
  notApplicable: "There is no coil.",
  remedy: "Move what stands before the filter or the service side.",
  sources: ["common-practice"],
  anchor: "coil",
  subjects: coils,
  judge: (c, coil) => {
    const group = waiting(c).get(coil);
    if (group !== undefined && group.first !== coil) return TOLD;
    const clear = clearOf(c, coil);
    if (clear === true && !c.wantPasses) return PASS;
    const outcome: Outcome = clear === null ? "undetermined" : clear ? "pass" : "fail";
    const fanCoils = (group?.all ?? [coil]).map((each) => c.net.coils[each]);
    return {
      outcome,
      ...(group === undefined ? {} : { family: "missing", settledBy: settleAll(c, group, ask) }),
      data: { outcome, coils: fanCoils },
      anchor: coil,
      subject: { fanCoils },
      evidence: [],
      remedy: outcome === "fail" ? [{ action: "clear-access", on: { node: c.net.coils[coil] } }] : [],
    };
  },
  say: ({ outcome, coils }, speak) => {
    const name = speak.list(coils.map((coil) => speak.node(coil)));
    if (outcome === "pass") return `Filter and service side of ${name} open with the drain in place.`;
    if (outcome === "fail") return `Trap, drain or devices stand before the filter or service side of ${name}.`;
    return `Whether filter and service side of ${name} open with the drain in place was not looked at.`;
  },
});
