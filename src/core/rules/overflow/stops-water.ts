import { exact } from "../../quantity/interval.js";
import { wireToStop } from "../overflow-devices.js";
import { panPressure, settlePanStatic } from "../pan-pressure.js";
import { type Case, defineRule, type Evidence, type Outcome, PASS, type Settle } from "../rule.js";

/** Fan by fan: does it go on sucking at its pan? Of an unknown static only a blow-through fan is known not to. */
const suction = (c: Case, coil: number): "yes" | "no" | "unknown" => {
  const pressure = panPressure(c, coil);
  if (pressure !== "unknown") return pressure === "suction" ? "yes" : "no";
  return c.net.nodes[c.net.coils[coil]].coil!.fanPosition === "blow-through" ? "no" : "unknown";
};

/** Coils that still make water, or whose fan still holds it up, once the circuit has opened. */
const goingOn = (count: number, pointer: string): Evidence => ({
  name: "coilsGoingOn",
  ...exact(count),
  kind: "count",
  limit: { name: "none goes on", value: 0, source: "switch-instructions" },
  margin: 0 - count,
  from: [pointer],
});

interface Data {
  readonly outcome: Outcome;
  readonly circuit: number;
  readonly stopsWater: boolean | null;
  readonly stopsNone: boolean;
  /** coil nodes whose fan goes on sucking, or may */
  readonly sucking: readonly number[];
}

export const overflowStopsWater = defineRule<Data>({
  id: "overflow.stops-water",
  title: "Trip that does not end the water",
  question: "When it trips, does the coil stop making water (valve or compressor), and does the suction end?",
  why: "A coil with its valve open goes on condensing with its fan off. And a fan that goes on sucking holds the water up in the pan; only in dry air does it dry what stands there.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["circuits.breaks", "circuits.onTrip", "circuits.stops", "nodes.panStatic", "nodes.fanPosition", "site.humid"],
  limits: [],
  notApplicable: "There is no circuit.",
  remedy: "Let the circuit close the valve or stop the compressor, and stop the fan.",
  sources: ["imc-307.2.3", "upc-814.2", "switch-instructions", "derived"],
  anchor: "circuit",
  subjects: (c) => c.net.model.circuits.keys(),
  judge(c, circuit) {
    const { net, facts } = c;
    const { coils, stopsWater, stopsFan } = facts.circuits.circuits[circuit];
    const { stops, breaks, onTrip, pointer } = net.model.circuits[circuit];
    const stopsNone = stops !== null && coils.length === 0;
    // Dry air, where the document claims it, dries what the fan goes on holding in the pan.
    const isDry = net.model.site.humid === false;
    const mayGoOn = stopsWater !== false && stopsFan !== true && !isDry;
    const fans = mayGoOn ? Array.from(coils, (coil) => ({ coil, suction: suction(c, coil) })) : [];
    const open: Settle[] = [];
    if (stopsWater === null) open.push({ pointer: `${pointer}/breaks` });
    if (stops === null) open.push({ pointer: `${pointer}/stops` });
    const sucking = fans.filter((fan) => fan.suction === "yes");
    const unknown = fans.filter((fan) => fan.suction === "unknown");
    const goesOn = stopsFan === false && sucking.length > 0;
    if (stopsFan === null && sucking.length + unknown.length > 0) open.push({ pointer: `${pointer}/onTrip/fan` });
    open.push(...unknown.map(({ coil }) => settlePanStatic(c, coil)));
    const outcome: Outcome =
      stopsWater === false || stopsNone || goesOn ? "fail" : open.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const told = (goesOn ? sucking : [...sucking, ...unknown]).map(({ coil }) => net.coils[coil]);
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: open } : {}),
      data: { outcome, circuit, stopsWater, stopsNone, sucking: told },
      anchor: circuit,
      subject: { fanCoils: Array.from(coils, (coil) => net.coils[coil]) },
      evidence:
        outcome === "undetermined" || stopsNone ? [] : [goingOn(stopsWater ? told.length : coils.length, pointer)],
      remedy:
        outcome !== "fail"
          ? []
          : stopsNone
            ? [{ action: "rewire", on: { circuit }, what: "the feed of the coils that its devices watch" }]
            : [wireToStop(c, circuit, coils)],
      ...(outcome === "fail" && !stopsNone
        ? { alike: JSON.stringify([breaks, onTrip?.makesWater ?? null, onTrip?.fan ?? null, goesOn]) }
        : {}),
    };
  },
  say: ({ outcome, circuit, stopsWater, stopsNone, sucking }, speak) => {
    const name = `circuit ${speak.circuit(circuit)}`;
    if (stopsNone) return `The ${name} is wired to no coil: its trip stops nothing.`;
    if (stopsWater === false) return `When the ${name} trips, its coils go on making water.`;
    const pans = speak.list(sucking.map((coil) => speak.node(coil)));
    if (outcome === "fail")
      return `When the ${name} trips, the water ends and the fan runs on: its suction goes on holding water in the pan of ${pans}.`;
    if (outcome === "pass")
      return `When the ${name} trips, its coils make no more water, and no fan goes on holding it up.`;
    if (stopsWater === null) return `Whether the coils of the ${name} go on making water when it trips is not known.`;
    return sucking.length > 0
      ? `When the ${name} trips, the water ends; whether suction goes on holding it in the pan of ${pans} cannot be told.`
      : `Which coils the ${name} stops is not known.`;
  },
});
