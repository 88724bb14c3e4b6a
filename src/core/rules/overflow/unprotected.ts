import type { SecondLine } from "../../analysis/facts.js";
import type { OverflowMethod } from "../../profiles/profile.js";
import { EPSILON } from "../../quantity/interval.js";
import { addPan, hasAuxiliaryPan, isAuxiliary } from "../auxiliary-pan.js";
import { canHarm, HARMLESS_COILS } from "../coil-harm.js";
import { coilDevices, effectOn, familyOf, isInLine, settleOnce, wireForOne, wireToStop } from "../overflow-devices.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep, type Settle } from "../rule.js";
import { isSeen, linesOf } from "../second-line-end.js";

/** What there is of a method, and what it lacks. */
interface Standing {
  readonly protects: boolean | null;
  readonly settledBy: readonly Settle[];
  readonly lacks: readonly Lack[];
}

type Lack =
  | { readonly of: "device"; readonly device: number; readonly why: string }
  | { readonly of: "line"; readonly pipe: number; readonly why: string }
  | { readonly of: "pan" };

const YES: Standing = { protects: true, settledBy: [], lacks: [] };
const no = (...lacks: Lack[]): Standing => ({ protects: false, settledBy: [], lacks });
const unknown = (settledBy: readonly Settle[]): Standing => ({ protects: null, settledBy, lacks: [] });

/** The best of several: one that protects is enough, and what may protect is not denied. */
const best = (all: readonly Standing[]): Standing => {
  if (all.some(({ protects }) => protects === true)) return YES;
  const open = all.filter(({ protects }) => protects === null);
  return open.length > 0
    ? unknown(open.flatMap(({ settledBy }) => settledBy))
    : no(...all.flatMap(({ lacks }) => lacks));
};

const coilOf = ({ net }: Case, coil: number) => net.nodes[net.coils[coil]].coil!;
const pointerOf = ({ net }: Case, coil: number) => net.nodes[net.coils[coil]].pointer;

/** A device that, by its trip alone, ends the coil's water. */
const byDevice = (c: Case, coil: number, device: number): Standing => {
  const { stops, why, settledBy } = effectOn(c, device, coil);
  if (stops === null) return unknown(settledBy);
  if (!stops) return no({ of: "device", device, why });
  if (!isInLine(c, device) || c.profile.inLineDevice === "accepted") return YES;
  return inLine(c, coil, device);
};

/** A device in the drain line counts only where the coil has a second drain, or a pan beneath, or the place for one. */
const inLine = (c: Case, coil: number, device: number): Standing => {
  const { pan, auxiliaryPan } = coilOf(c, coil);
  const port = pan.secondary?.is ?? null;
  if ((port !== null && port !== "none") || auxiliaryPan?.present === true || linesOf(c)[coil].length > 0) return YES;
  const missing: Settle[] = [];
  if (port === null) missing.push({ pointer: `${pointerOf(c, coil)}/pan/secondary/is` });
  if ((auxiliaryPan?.present ?? null) === null) missing.push({ pointer: `${pointerOf(c, coil)}/auxiliaryPan/present` });
  return missing.length > 0 ? unknown(missing) : no({ of: "device", device, why: "in-line" });
};

/** A switch that the coil is said to have and that is not among the devices. */
const unlisted = (c: Case, coil: number): Standing[] => {
  const { pan, internalPump } = coilOf(c, coil);
  const hasOwn = coilDevices(c)[coil].some((device) => !isAuxiliary(c, device));
  return !hasOwn && (pan.secondary?.is === "switch" || internalPump?.switch === true)
    ? [unknown([{ pointer: "/overflowDevices" }])]
    : [];
};

/** A line of its own to where somebody sees it. */
const byLine = (c: Case, { pipe, meets, outlet }: SecondLine): Standing => {
  if (meets >= 0) return no({ of: "line", pipe, why: "meets" });
  if (outlet < 0) return no({ of: "line", pipe, why: "no-outlet" });
  const seen = isSeen(c, outlet);
  if (seen === null) return unknown([{ pointer: `${c.net.nodes[outlet].pointer}/discharge` }]);
  return seen ? YES : no({ of: "line", pipe, why: "unseen" });
};

const bySecondary = (c: Case, coil: number): Standing => {
  const { secondary } = coilOf(c, coil).pan;
  const lines = linesOf(c)[coil].filter(({ role }) => role === "secondary");
  if (lines.length === 0)
    return secondary?.is === "piped" ? unknown([{ pointer: `${pointerOf(c, coil)}/pan/secondary` }]) : no();
  if (secondary?.is === "plugged") return no({ of: "line", pipe: lines[0].pipe, why: "plugged" });
  if (secondary?.height != null && secondary.height <= EPSILON)
    return no({ of: "line", pipe: lines[0].pipe, why: "not-above" });
  return best(lines.map((line) => byLine(c, line)));
};

const settlePan = (c: Case, coil: number): Standing =>
  unknown([{ pointer: `${pointerOf(c, coil)}/auxiliaryPan/present` }]);

const byDrainedPan = (c: Case, coil: number): Standing => {
  const present = hasAuxiliaryPan(c, coil);
  if (present === null) return settlePan(c, coil);
  if (!present) return no();
  const lines = linesOf(c)[coil].filter(({ role }) => role === "auxiliary");
  if (lines.length > 0) return best(lines.map((line) => byLine(c, line)));
  return coilOf(c, coil).auxiliaryPan?.drain === "none"
    ? no({ of: "pan" })
    : unknown([{ pointer: `${pointerOf(c, coil)}/auxiliaryPan/drain` }]);
};

const byWatchedPan = (c: Case, coil: number): Standing => {
  const present = hasAuxiliaryPan(c, coil);
  if (present === null) return settlePan(c, coil);
  if (!present) return no();
  const devices = coilDevices(c)[coil].filter((device) => isAuxiliary(c, device));
  return devices.length === 0 ? no({ of: "pan" }) : best(devices.map((device) => byDevice(c, coil, device)));
};

const METHODS: Readonly<Record<OverflowMethod, (c: Case, coil: number) => Standing>> = {
  "level-device": (c, coil) =>
    best([
      ...coilDevices(c)
        [coil].filter((device) => !isAuxiliary(c, device))
        .map((device) => byDevice(c, coil, device)),
      ...unlisted(c, coil),
    ]),
  "secondary-drain": bySecondary,
  "auxiliary-pan-drained": byDrainedPan,
  "auxiliary-pan-device": byWatchedPan,
};

/** What there is, put right; where there is nothing, a switch, or a pan where the profile accepts no switch. */
const remedyFor = (c: Case, coil: number, lacks: readonly Lack[]): RemedyStep[] => {
  const { model } = c.net;
  const node = c.net.coils[coil];
  for (const lack of lacks) {
    if (lack.of !== "device") continue;
    const { device, why } = lack;
    const { circuit } = model.devices[device];
    if (why === "not-working") return [{ action: "repair-device", on: { device } }];
    if (why === "unwired" || why === "other-coils") return [{ action: "wire-device", on: { device } }];
    if (why === "several-needed") return [wireForOne(c, circuit!)];
    if (why === "water-goes-on") return [wireToStop(c, circuit!, [coil])];
  }
  const { rimHeight } = coilOf(c, coil).pan;
  if (c.profile.overflowMethods.some(({ method }) => method === "level-device"))
    return [
      { action: "add-device", on: { node }, ...(rimHeight === null ? {} : { amount: rimHeight, kind: "dimension" }) },
    ];
  return addPan(c, coil);
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  /** the method that protects it */
  readonly by: OverflowMethod | null;
  readonly lacks: readonly Lack[];
  readonly exempt: boolean;
}

const WORDS: Readonly<Record<OverflowMethod, string>> = {
  "level-device": "a device that stops its water",
  "secondary-drain": "a second drain of its own that ends where somebody sees it",
  "auxiliary-pan-drained": "an auxiliary pan that drains to where somebody sees it",
  "auxiliary-pan-device": "an auxiliary pan with a device that stops its water",
};

const WHY: Readonly<Record<string, string>> = {
  "not-working": "does not work",
  unwired: "is wired to nothing",
  "several-needed": "stops it only together with others",
  "water-goes-on": "does not end its water",
  "other-coils": "stops other coils",
  "in-line": "sits in the drain line, which the code does not accept for a coil without a second drain or pan",
  meets: "joins a primary drain",
  "no-outlet": "reaches no outlet",
  unseen: "ends where nobody is sure to see it",
  plugged: "leaves a plugged port",
  "not-above": "leaves the pan no higher than the primary drain",
};

export const overflowUnprotected = defineRule<Data>({
  id: "overflow.unprotected",
  title: "Coil without protection against overflow",
  question:
    "Has every coil that can do harm one of the protections that the profile accepts: a device that stops the water, an independent second drain to a conspicuous point, a drained or watched auxiliary pan?",
  why: "Drains block sooner or later. Without one of these the coil goes on making water until it comes through the ceiling.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: [
    "nodes.spillHarmless",
    "nodes.location",
    "nodes.pan.secondary",
    "nodes.auxiliaryPan",
    "overflowDevices.at",
    "overflowDevices.seat",
    "circuits.breaks",
    "circuits.arrangement",
    "circuits.stops",
    "pipes.role",
  ],
  limits: ["overflow.methods", "overflow.inLineDevice", "overflow.exemption"],
  notApplicable: HARMLESS_COILS,
  remedy:
    "Fit a level switch at the pan that stops the coil's water, or one of the other protections that the code accepts.",
  sources: ["imc-307.2.3", "imc-307.2.3.1", "upc-814.2", "upc-814.2-earlier", "common-practice"],
  anchor: "coil",
  *subjects(c) {
    for (let coil = 0; coil < c.net.coils.length; coil++) if (canHarm(c, coil)) yield coil;
  },
  judge(c, coil) {
    const open: Settle[] = [];
    const lacks: Lack[] = [];
    let by: OverflowMethod | null = null;
    for (const { method } of c.profile.overflowMethods) {
      const standing = METHODS[method](c, coil);
      if (standing.protects) {
        if (!c.wantPasses) return PASS;
        by = method;
        break;
      }
      open.push(...standing.settledBy);
      lacks.push(...standing.lacks);
    }
    const { location } = coilOf(c, coil);
    const exempt = c.profile.overflowExemption === "lay-in-tiles" && (location === "ceiling" || location === null);
    if (by === null && open.length === 0 && exempt)
      open.push({
        pointer: `${pointerOf(c, coil)}/spillHarmless`,
        decision: "Whether overflow here can wet anything but lay-in ceiling tiles that are replaced.",
      });
    const outcome: Outcome = by !== null ? "pass" : open.length > 0 ? "undetermined" : "fail";
    const node = c.net.coils[coil];
    const { source } = c.profile.overflowMethods[0];
    const count = by === null ? 0 : 1;
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: familyOf(open), settledBy: settleOnce(open) } : {}),
      data: { outcome, coil: node, by, lacks, exempt },
      anchor: coil,
      subject: { fanCoils: [node] },
      evidence:
        outcome === "undetermined"
          ? []
          : [
              {
                name: "protections",
                low: count,
                best: count,
                high: count,
                kind: "count",
                limit: { name: "overflow.methods", value: 1, source },
                margin: count - 1,
                from: [pointerOf(c, coil)],
              },
            ],
      remedy: outcome === "fail" ? remedyFor(c, coil, lacks) : [],
    };
  },
  say: ({ outcome, coil, by, lacks, exempt }, speak) => {
    const name = speak.node(coil);
    if (by !== null) return `${name} has ${WORDS[by]}.`;
    const flaws = lacks.map((lack) =>
      lack.of === "pan"
        ? "its auxiliary pan has neither a drain nor a device"
        : `${lack.of === "device" ? speak.device(lack.device) : speak.pipe(lack.pipe)} ${WHY[lack.why]}`,
    );
    const told = flaws.length === 0 ? "" : ` (${speak.list([...new Set(flaws)])})`;
    if (outcome === "fail")
      return `Nothing protects ${name} when its drain blocks${told}: it goes on making water until it spills.`;
    return exempt
      ? `Nothing that is known of protects ${name} when its drain blocks${told}; whether its overflow could do more than wet lay-in tiles is not known.`
      : `Whether anything protects ${name} when its drain blocks cannot be told${told}.`;
  },
});
