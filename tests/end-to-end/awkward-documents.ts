import { type Element, type NetworkDocument, toMillimetre, writtenOut } from "../builders/network-document.js";
import { tower } from "../builders/tower.js";

/** Three storeys on one riser: six coils, nothing wrong. */
export const smallTower = (): NetworkDocument =>
  writtenOut(tower({ id: "small", name: "Small", storeys: 3, risers: 1, seed: 7 }));

/** 130 things wrong, each of a kind of its own place: 50 unknown fields, 40 unknown references, 40 units that do not fit. */
export const hundredErrors = (): { document: NetworkDocument; sound: NetworkDocument; pointers: string[] } => {
  const document = writtenOut(tower({ id: "errors", name: "Errors", storeys: 10, risers: 5, seed: 3 }));
  const sound = structuredClone(document);
  const pointers: string[] = [];
  for (let index = 0; index < 50; index++) {
    document.nodes[index]!.elevatoin = 1;
    pointers.push(`/nodes/${index}/elevatoin`);
  }
  // pieces from tee to riser, whose loss leaves no trap without its drains
  const pieces = document.pipes
    .map((_, index) => index)
    .filter((index) => document.pipes[index]!.id.endsWith("/branch"));
  for (const [count, index] of pieces.slice(0, 40).entries()) {
    document.pipes[index]!.to = `NOWHERE-${count}`;
    pointers.push(`/pipes/${index}/to`);
  }
  for (const index of pieces.slice(40, 80)) {
    document.pipes[index]!.length = "3 ton";
    pointers.push(`/pipes/${index}/length`);
  }
  return { document, sound, pointers };
};

/** The wye of the lowest storey drains into a ring of three nodes that never ends; the outlet gets nothing. */
export const cycle = (): { document: NetworkDocument; ring: string[] } => {
  const document = smallTower();
  const ring = ["Y-1", "Y-2", "Y-3"];
  const last = document.pipes.find(({ id }) => id === "R1-01/lower")!;
  last.to = ring[0];
  const level = 5;
  ring.forEach((id, index) => {
    document.nodes.push({ id, kind: "point", elevation: toMillimetre(level - index * 0.05) });
    document.pipes.push(drain(`Y-${id}`, id, ring[(index + 1) % 3]!, 2));
  });
  const { floor, above } = document.nodes.find(({ id }) => id === "R1-01/wye-B")!.elevation as Record<string, unknown>;
  const storey = document.floors.find(({ id }) => id === floor)!;
  last.length = toMillimetre((storey.elevation as number) + (above as number) - level);
  return { document, ring };
};

/** Two further pieces that touch nothing else: a drain between two points, and a node alone. */
export const islands = (): { document: NetworkDocument; deadLeg: string; orphan: string } => {
  const document = smallTower();
  document.nodes.push(
    { id: "I-1", kind: "point", elevation: 2 },
    { id: "I-2", kind: "point", elevation: 1.9 },
    { id: "I-3", kind: "point", elevation: 1 },
  );
  document.pipes.push(drain("I", "I-1", "I-2", 1.2));
  return { document, deadLeg: "I", orphan: "I-3" };
};

/** Names that plain objects already have. */
const HOSTILE = ["__proto__", "constructor", "toString", "hasOwnProperty", "valueOf", "prototype", "__defineGetter__"];

/** The document with the ids of its first nodes and pipes replaced by names that plain objects already have. */
export const hostileIds = (document: NetworkDocument): { text: string; renamed: Map<string, string> } => {
  const renamed = new Map<string, string>();
  document.nodes.slice(0, HOSTILE.length).forEach(({ id }, index) => {
    renamed.set(id, HOSTILE[index]!);
  });
  const pipes = new Map(document.pipes.slice(0, HOSTILE.length).map(({ id }, index) => [id, HOSTILE[index]!]));
  const name = (id: unknown) => renamed.get(id as string) ?? (id as string);
  const changed = {
    ...document,
    nodes: document.nodes.map((node) => ({ ...node, id: name(node.id) })),
    pipes: document.pipes.map((pipe) => ({
      ...pipe,
      id: pipes.get(pipe.id) ?? pipe.id,
      from: name(pipe.from),
      to: name(pipe.to),
    })),
    overflowDevices: document.overflowDevices.map((device) => ({ ...device, at: name(device.at) })),
    circuits: document.circuits.map((circuit) => ({ ...circuit, stops: (circuit.stops as string[]).map(name) })),
  };
  for (const [id, to] of pipes) renamed.set(id, to);
  return { text: JSON.stringify(changed), renamed };
};

export const nestedBrackets = (depth: number): string => `${"[".repeat(depth)}${"]".repeat(depth)}`;

const drain = (id: string, from: string, to: string, length: number): Element => ({
  id,
  from,
  to,
  size: 50,
  material: "pvc-sch40",
  length,
});
