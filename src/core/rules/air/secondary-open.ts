import { KIND, ROLE } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { isPipeClosed, readings, settleClosures } from "../air-readings.js";
import { plainEvidence } from "../judge-figure.js";
import { type PanPressure, panPressure, settlePanStatic } from "../pan-pressure.js";
import { type Case, defineRule, type Outcome, PASS, type Settle } from "../rule.js";

/** The pipe from the pan's own second port, -1. */
const secondaryPipe = (c: Case, coil: number): number => {
  const node = c.net.coils[coil];
  for (let k = c.net.ends.start[node]; k < c.net.ends.start[node + 1]; k++) {
    const end = c.net.ends.list[k];
    if ((end & 1) === 0 && c.net.role[end >> 1] === ROLE.secondary) return end >> 1;
  }
  return -1;
};

/** Pipes of the second line as far as its first seal, and whether there is one. */
const secondLine = (c: Case, first: number): { pipes: readonly number[]; trapped: boolean } => {
  const { net, facts } = c;
  const pipes: number[] = [];
  for (let pipe = first; pipe >= 0 && pipes.length <= net.pipeCount; ) {
    pipes.push(pipe);
    const node = net.to[pipe];
    if (net.kind[node] === KIND.trap) {
      const seal = facts.seals.ofTrap[node];
      if (seal >= 0 && facts.seals.list[seal].sealed) return { pipes, trapped: true };
    }
    pipe = -1;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1] && pipe < 0; k++) {
      const end = net.ends.list[k];
      if ((end & 1) === 0 && (net.role[end >> 1] === ROLE.secondary || net.role[end >> 1] === ROLE.drain))
        pipe = end >> 1;
    }
    if (pipe >= 0 && pipes.includes(pipe)) break;
  }
  return { pipes, trapped: false };
};

type Port = "shut" | "open" | "untrapped" | "trapped" | "doubtful" | "unknown" | "not-drawn";

const portOf = (c: Case, coil: number): { port: Port; pipe: number; pipes: readonly number[] } => {
  const pipe = secondaryPipe(c, coil);
  const is = c.net.nodes[c.net.coils[coil]].coil!.pan.secondary?.is ?? null;
  if (is === "open") return { port: "open", pipe, pipes: [] };
  if (is === "plugged" || is === "switch") return { port: "shut", pipe, pipes: [] };
  if (pipe < 0) return { port: is === "piped" ? "not-drawn" : "unknown", pipe, pipes: [] };
  const { pipes, trapped } = secondLine(c, pipe);
  const closed = readings(c).map((reading) => pipes.some((one) => isPipeClosed(c, one, reading)));
  if (trapped || closed.every((yes) => yes)) return { port: "trapped", pipe, pipes };
  return { port: closed.some((yes) => yes) ? "doubtful" : "untrapped", pipe, pipes };
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly pressure: PanPressure;
  readonly port: Port;
  readonly pipe: number;
}

export const airSecondaryOpen = defineRule<Data>({
  id: "air.secondary-open",
  title: "Second port open to the air",
  question: "Does a pan under pressure breathe through an open or untrapped second port?",
  why: "The overflow port is one more hole in the pan. Left open, or piped without a trap, it lets the fan draw air past the seal of the main drain.",
  severity: "minor",
  kind: "condition",
  stage: "as-built",
  needs: ["nodes.panStatic", "nodes.pan.secondary.is", "pipes.role"],
  limits: [],
  notApplicable: "No pan has a second port.",
  remedy: "Plug the port, put a switch in it, or give its pipe a trap.",
  sources: ["common-practice"],
  anchor: "coil",
  *subjects(c) {
    for (let coil = 0; coil < c.net.coils.length; coil++) {
      const { secondary } = c.net.nodes[c.net.coils[coil]].coil!.pan;
      if (secondary?.is === "none") continue;
      if (secondary !== null || secondaryPipe(c, coil) >= 0) yield coil;
    }
  },
  judge(c, coil) {
    const { net } = c;
    const pressure = panPressure(c, coil);
    const { port, pipe, pipes } = portOf(c, coil);
    const isOpen = port === "open" || port === "untrapped";
    const isShut = port === "shut" || port === "trapped" || pressure === "atmosphere";
    const outcome: Outcome = isShut ? "pass" : isOpen && pressure !== "unknown" ? "fail" : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const { pointer, coil: fanCoil } = net.nodes[node];
    const missing: Settle[] = [];
    if (pressure === "unknown") missing.push(settlePanStatic(c, coil));
    if (port === "unknown") missing.push({ pointer: `${pointer}/pan/secondary/is` });
    if (port === "not-drawn") missing.push({ pointer: `${pointer}/pan/secondary` });
    const from = [`${pointer}/panStatic`];
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : missing.length > 0
          ? { family: "missing" as const, settledBy: missing }
          : settleClosures(c, pipes)),
      data: { outcome, coil: node, pressure, port, pipe },
      anchor: coil,
      subject: { fanCoils: [node], pipes: pipe < 0 ? [] : [pipe] },
      evidence:
        fanCoil!.panStatic === null
          ? []
          : [plainEvidence("panStatic", "gauge-pressure", exact(fanCoil!.panStatic), from)],
      remedy:
        outcome !== "fail"
          ? undefined
          : port === "open"
            ? [{ action: "cap", on: { node }, what: "secondary port" }]
            : [{ action: "add-trap", on: { pipe } }],
    };
  },
  say: ({ outcome, coil, pressure, port, pipe }, speak) => {
    const name = `The second port of the pan of ${speak.node(coil)}`;
    if (outcome === "pass")
      return pressure === "atmosphere"
        ? `${name} draws no air: the pan is at the room's pressure.`
        : `${name} lets no air in.`;
    const state =
      port === "open"
        ? "stands open"
        : port === "untrapped"
          ? `is piped through ${speak.pipe(pipe)} without a trap`
          : null;
    if (outcome === "fail")
      return `${name} ${state}: the fan ${pressure === "suction" ? "draws air in" : "blows air out"} there.`;
    if (state !== null) return `${name} ${state}; the static pressure at the pan is not given.`;
    if (port === "not-drawn")
      return `${name} is piped, but the pipe is not in the document: whether it has a trap is not known.`;
    if (port === "unknown") return `Whether the second port of the pan of ${speak.node(coil)} is shut is not known.`;
    return `Whether standing water seals the pipe ${speak.pipe(pipe)} from the second port of the pan of ${speak.node(coil)} cannot be told from what is known.`;
  },
});
