import type { Facts } from "../analysis/facts.js";
import { hostOf } from "../analysis/trip-cover.js";
import type { Compiled } from "../graph/compiled.js";
import { expand } from "../network/expand.js";
import { fieldWords } from "../network/field-words.js";
import type { ModelFloor, Problem } from "../network/model.js";
import { naturalOrder } from "../quantity/natural-order.js";
import { floorFinder } from "./floor-finder.js";
import { soleCoils } from "./places.js";
import { auditedCase } from "./run.js";

/** One figure to bring back. */
export interface SurveyAsk {
  /** what it is a figure of; all null: of the whole building */
  readonly node: string | null;
  readonly pipe: string | null;
  readonly device: string | null;
  readonly circuit: string | null;
  readonly name: string | null;
  /** the field to fill in, its parts joined by dots: what an inspection names as its attribute */
  readonly attribute: string;
  /** what it means */
  readonly what: string | null;
  /** m (or the figure's SI unit): how closely; null: as well as can be */
  readonly within: number | null;
  /** rules that wait for it */
  readonly for: readonly string[];
}

/** Where somebody stands: along common drains, at one fan coil and its drain, or nowhere in particular. */
export interface SurveyStop {
  readonly kind: "common" | "fan-coil" | "building";
  readonly fanCoil: string | null;
  readonly dwelling: string | null;
  readonly asks: readonly SurveyAsk[];
}

/** What is missing of a network, in the order in which one walks through the building: from the roof down. */
export interface SurveyList {
  readonly format: 1;
  readonly network: { readonly id: string; readonly name: string | null };
  readonly asks: number;
  readonly floors: readonly {
    /** null: where no floor is known, and what concerns the whole building */
    readonly floor: string | null;
    readonly name: string | null;
    readonly stops: readonly SurveyStop[];
  }[];
}

export type SurveyListResult =
  | { readonly ok: true; readonly list: SurveyList }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * What the next survey must bring. What a typical leaves open is asked for at each of its places. On a floor the common
 * drains come first, then the fan coils in natural order, each from its pan along its drain.
 * @param document a network document (parsed JSON)
 */
export function surveyList(document: unknown): SurveyListResult {
  const expanded = expand(document);
  if (!expanded.ok) return expanded;
  const made = auditedCase(expanded.document);
  if (!made.ok) return made;
  const { audit, net, facts } = made.audited;
  const walkOf = walker(net, facts);
  const placed = audit.toSurvey.map(({ pointer, within, for: rules }): Placed => {
    const { ask, node, pipe } = askOf(net, placeOf(expanded.document, pointer));
    return { ask: { ...ask, within, for: rules }, ...walkOf(node, pipe) };
  });
  placed.sort(
    (a, b) =>
      (b.floor?.elevation ?? LAST) - (a.floor?.elevation ?? LAST) ||
      naturalOrder(a.floor?.id ?? "", b.floor?.id ?? "") ||
      Number(b.isCommon) - Number(a.isCommon) ||
      a.coil - b.coil ||
      a.order - b.order ||
      naturalOrder(idOf(a.ask), idOf(b.ask)),
  );
  const floors: { floor: ModelFloor | null; stops: Map<number, { first: Placed; asks: SurveyAsk[] }> }[] = [];
  for (const each of placed) {
    let last = floors[floors.length - 1];
    if (last === undefined || last.floor !== each.floor) {
      last = { floor: each.floor, stops: new Map() };
      floors.push(last);
    }
    const key = each.isCommon ? COMMON : each.coil;
    const stop = last.stops.get(key);
    if (stop === undefined) last.stops.set(key, { first: each, asks: [each.ask] });
    else stop.asks.push(each.ask);
  }
  return {
    ok: true,
    list: {
      format: 1,
      network: { id: net.model.id, name: net.model.name },
      asks: placed.length,
      floors: floors.map(({ floor, stops }) => ({
        floor: floor?.id ?? null,
        name: floor?.name ?? null,
        stops: [...stops.values()].map(({ first: { coil, isCommon }, asks }) => ({
          kind: isCommon ? "common" : coil < 0 ? "building" : "fan-coil",
          fanCoil: coil < 0 ? null : net.nodes[coil].id,
          dwelling: coil < 0 ? null : (net.nodes[coil].coil!.serves ?? net.nodes[coil].dwelling),
          asks,
        })),
      })),
    },
  };
}

const LAST = Number.NEGATIVE_INFINITY;
const COMMON = -2;

interface Placed {
  readonly ask: SurveyAsk;
  readonly floor: ModelFloor | null;
  /** node of the fan coil whose drain it is of, -1 none */
  readonly coil: number;
  readonly isCommon: boolean;
  /** along the way, less comes first */
  readonly order: number;
}

const idOf = ({ node, pipe, device, circuit }: SurveyAsk): string => node ?? pipe ?? device ?? circuit ?? "";

const PARTS = ["nodes", "pipes", "overflowDevices", "circuits"] as const;

interface AskedPlace {
  readonly part: (typeof PARTS)[number] | null;
  readonly element: { readonly id?: unknown; readonly kind?: unknown; readonly name?: unknown };
  readonly path: readonly string[];
  readonly field: readonly string[];
}

function placeOf(document: object, pointer: string): AskedPlace {
  const path = pointer
    .split("/")
    .slice(1)
    .map((step) => step.replace(/~1/g, "/").replace(/~0/g, "~"));
  const part = PARTS.find((each) => each === path[0]) ?? null;
  if (part === null) return { part, element: {}, path, field: path };
  const list = (document as Readonly<Record<string, AskedPlace["element"][] | undefined>>)[part] ?? [];
  return { part, element: list[Number(path[1])] ?? {}, path, field: path.slice(2) };
}

function askOf(net: Compiled, { part, element, path, field }: AskedPlace) {
  const id = typeof element.id === "string" ? element.id : null;
  const { devices, circuits } = net.model;
  const nodeOfDevice = (device: number): number => (device < 0 ? -1 : net.nodeRank[devices[device].at]);
  const node =
    part === "nodes"
      ? net.nodes.findIndex((each) => each.id === id)
      : part === "overflowDevices"
        ? nodeOfDevice(devices.findIndex((each) => each.id === id))
        : part === "circuits"
          ? nodeOfDevice(circuits.find((each) => each.id === id)?.devices[0] ?? -1)
          : -1;
  const pipe = part === "pipes" ? net.pipes.findIndex((each) => each.id === id) : -1;
  const ask = {
    node: part === "nodes" ? id : null,
    pipe: part === "pipes" ? id : null,
    device: part === "overflowDevices" ? id : null,
    circuit: part === "circuits" ? id : null,
    name: typeof element.name === "string" ? element.name : null,
    attribute: field.join("."),
    what: fieldWords(path, typeof element.kind === "string" ? element.kind : null),
  };
  return { ask, node, pipe };
}

/** From where a node or a pipe (-1: none) is looked at; of neither, from anywhere. */
function walker(net: Compiled, facts: Facts): (node: number, pipe: number) => Omit<Placed, "ask"> {
  const floorAt = floorFinder(net);
  const sole = soleCoils(net, facts);
  const along = alongDrains(net, facts);
  return (node, pipe) => {
    if (node < 0 && pipe < 0) return { floor: null, coil: -1, isCommon: false, order: 0 };
    const host = node < 0 ? net.from[pipe] : hostOf(net, node);
    const next = facts.topology.next[host];
    const own = pipe >= 0 ? sole[pipe] : net.coilAt[node] >= 0 ? node : next >= 0 ? sole[next] : -1;
    const order = own < 0 ? -net.z[host] : along(own, host, pipe);
    return { floor: floorAt(own < 0 ? host : own), coil: own, isCommon: own < 0, order };
  };
}

/** Where a node or the pipe below it comes on the way of a fan coil's water. */
function alongDrains(net: Compiled, { topology }: Facts): (coil: number, node: number, pipe: number) => number {
  let known = -1;
  let places = new Map<number, number>();
  return (coil, node, pipe) => {
    if (known !== coil) {
      known = coil;
      places = new Map([[coil, 0]]);
      for (const p of topology.path(net.coilAt[coil])) places.set(net.to[p], 2 * places.size);
    }
    return (places.get(node) ?? Number.MAX_SAFE_INTEGER) + (pipe < 0 ? 0 : 1);
  };
}
