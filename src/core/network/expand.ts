import { fromSi } from "../quantity/units.js";
import type { Draft } from "./draft.js";
import { pipeOfStub } from "./index-elements.js";
import type { Model, Problem } from "./model.js";
import { readDraft } from "./read.js";
import type { RawDocument, RawNode, RawPipe } from "./schema.js";

export type ExpandResult =
  | { readonly ok: true; readonly document: RawDocument }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** Metres as a bare number of the document, without the last digits of rounding. */
const lengthIn = (metres: number, model: Model): number =>
  Number(fromSi("length", metres, model.units).toPrecision(12));

/**
 * Writes typicals, placements and stubs out: a document of nodes and pipes alone, which reads as the given one does.
 * @returns the document, or every problem of the given one
 */
export const expand = (document: unknown): ExpandResult => {
  const { result, draft } = readDraft(document);
  if (!result.ok) return result;
  if (draft === null) throw new Error("a document that was read has a draft");
  const { typicals: _typicals, placements: _placements, ...rest } = document as RawDocument;
  const nodes = draft.nodes.map(withoutStubs);
  const pipes = [...draft.pipes];
  for (let stub = 0; stub < draft.stubHost.length; stub += 1) {
    nodes.push(stubNode(draft, result.model, stub));
    pipes.push(stubPipe(draft, result.model, stub));
  }
  return {
    ok: true,
    document: {
      ...rest,
      nodes,
      pipes,
      ...(draft.devices.length > 0 ? { overflowDevices: [...draft.devices] } : {}),
      ...(draft.circuits.length > 0 ? { circuits: [...draft.circuits] } : {}),
    },
  };
};

const withoutStubs = (raw: RawNode): RawNode => {
  if (raw.kind === "vent") return raw;
  const { vent: _vent, cleanout: _cleanout, ...rest } = raw;
  return rest;
};

/** A stub as a node of the document, where its node is. */
const stubNode = (draft: Draft, model: Model, stub: number): RawNode => {
  const host = draft.nodes[draft.stubHost[stub]];
  const made = model.nodes[draft.nodes.length + stub];
  const { floor, dwelling, owner, zone, x, y, accessible, spillHarmless } = host;
  const typical = made.typical ?? undefined;
  const place = Object.fromEntries(
    Object.entries({ floor, dwelling, owner, zone, x, y, accessible, spillHarmless, typical }).filter(
      ([, value]) => value !== undefined,
    ),
  );
  if (made.vent !== null && host.kind !== "vent" && host.vent !== undefined)
    return { id: made.id, kind: "vent", elevation: host.vent.top, ...place, ...made.vent };
  const rise = made.elevation - model.nodes[draft.stubHost[stub]].elevation;
  return {
    id: made.id,
    kind: "cleanout",
    elevation: { node: host.id, above: lengthIn(rise, model) },
    ...place,
    ...(host.tolerance === undefined ? {} : { tolerance: host.tolerance }),
    ...(made.cleanout?.opening === 0 ? { opening: 0 } : {}),
    ...(made.cleanout?.cappedStated ? { capped: made.cleanout.capped } : {}),
  };
};

const stubPipe = (draft: Draft, model: Model, stub: number): RawPipe => {
  const made = model.pipes[draft.pipes.length + stub];
  const like: RawPipe | undefined = draft.pipes[pipeOfStub(draft, draft.stubHost[stub])];
  const host = draft.nodes[draft.stubHost[stub]];
  const stated = host.kind === "vent" ? undefined : made.role === "vent" ? host.vent?.size : host.cleanout?.size;
  const size = stated ?? like?.size;
  return {
    id: made.id,
    from: model.nodes[made.from].id,
    to: model.nodes[made.to].id,
    role: made.role,
    ...(size === undefined ? {} : { size }),
    ...(like?.material === undefined ? {} : { material: like.material }),
    ...(made.insideDiameter === null || like?.insideDiameter === undefined
      ? {}
      : { insideDiameter: like.insideDiameter }),
    length: lengthIn(made.length, model),
    space: made.space,
    ...(host.zone === undefined ? {} : { zone: host.zone }),
    ...(host.owner === undefined ? {} : { owner: host.owner }),
    ...(made.typical === null ? {} : { typical: made.typical }),
  };
};
