import { exact } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { coilsLifted, interlock, interlockPointer, isInterlocked, NO_PUMP, pumps } from "../pumps.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

/** Overflow devices that stop every coil above before the sump of a failed pump spills. */
const isWatched = ({ facts }: Case, node: number): boolean => {
  const failed = facts.backups.ofNode(node);
  return failed !== null && !Number.isNaN(failed.firstSpill) && failed.unstopped.length === 0;
};

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly coils: number;
  readonly byDevice: boolean;
}

export const pumpInterlock = defineRule<Data>({
  id: "pump.interlock",
  title: "Pump that stops nothing when it fails",
  question: "Does a full sump stop the equipment that drains into it?",
  why: "A pump is the one part of a drain that fails overnight. Without a contact that stops the coils its sump fills and spills, and nobody is told.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.interlocked", "nodes.internalPump.switch", "overflowDevices.tripElevation", "circuits.stops"],
  limits: [],
  notApplicable: NO_PUMP,
  remedy: "Wire the high-level contact of the sump so that it stops every coil that drains into it.",
  sources: ["imc-307.3", "irc-m1411.3", "upc-814.1.1"],
  anchor: "node",
  subjects: pumps,
  judge(c, node) {
    const { net } = c;
    const stated = isInterlocked(c, node);
    const byDevice = stated !== true && isWatched(c, node);
    const outcome: Outcome = stated === true || byDevice ? "pass" : stated === null ? "undetermined" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const pointer = interlockPointer(c, node);
    const coils = coilsLifted(c, node);
    const goingOn = judgeFigure(exact(outcome === "pass" ? 0 : coils), 0, "at-most");
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing" as const, settledBy: [{ pointer }] } : {}),
      data: { outcome, node, coils, byDevice },
      anchor: node,
      subject: net.coilAt[node] >= 0 ? { fanCoils: [node] } : { nodes: [node] },
      evidence:
        outcome === "undetermined"
          ? []
          : [
              evidenceOf("coilsGoingOn", "count", goingOn, { name: "none goes on", source: "imc-307.3" }, [
                byDevice ? net.nodes[node].pointer : pointer,
              ]),
            ],
      remedy: outcome === "fail" ? [interlock(node)] : undefined,
    };
  },
  say: ({ outcome, node, coils, byDevice }, speak) => {
    const pump = `the pump at ${speak.node(node)}`;
    const whose = coils === 1 ? "the coil that drains into it" : `the ${coils} coils that drain into it`;
    if (outcome === "undetermined") return `Whether a full sump of ${pump} stops ${whose} is not known.`;
    if (outcome === "fail")
      return `A full sump of ${pump} does not stop ${whose}: when the pump fails, the water comes on.`;
    return byDevice
      ? `When ${pump} fails, level switches stop ${whose} before the sump spills.`
      : `A full sump of ${pump} stops ${whose}.`;
  },
});
