import { expect, test } from "vitest";
import { analyse } from "../../../src/core/analysis/analyse.js";
import { compile } from "../../../src/core/graph/compile.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { resolveProfile } from "../../../src/core/profiles/resolve-profile.js";
import { type NetworkDocument, writtenOut } from "../../builders/network-document.js";
import { tower } from "../../builders/tower.js";

const factsOf = (document: NetworkDocument) => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const profile = resolveProfile("imc", {}, "si");
  if (!profile.ok) throw new Error("no profile");
  return analyse(compile(read.model), profile.profile);
};

const surveyed = (surveyTolerance: number) =>
  writtenOut(tower({ id: "t", name: "T", storeys: 3, risers: 1, seed: 1, stage: "as-built", surveyTolerance }));

test("the tolerance of a dry vent's own level drowns no vent", () => {
  const { air } = factsOf(surveyed(0.005));
  expect(air.closed).toBe(air.best);
  expect(air.open).toBe(air.best);
  expect(air.best.spaces).toEqual(factsOf(surveyed(0)).air.best.spaces);
});

test("a vent whose top may be below the standing water is open in one reading and drowned in the other", () => {
  const document = surveyed(0);
  // an outlet under water to 20 mm over the main's end, and a vent there with its top within the tolerance of that level
  const outlet = document.nodes.find(({ id }) => id === "O-01")!;
  outlet.waterLevel = 3.8;
  document.nodes.push({ id: "V", kind: "vent", elevation: 3.802, tolerance: 0.003 });
  document.pipes.push({ id: "V", from: "MC-01", to: "V", role: "vent", size: 20, material: "pvc-sch40", length: 0.2 });
  const net = readNetwork(document);
  if (!net.ok) throw new Error(JSON.stringify(net.problems));
  const compiled = compile(net.model);
  const profile = resolveProfile("imc", {}, "si");
  if (!profile.ok) throw new Error("no profile");
  const { air } = analyse(compiled, profile.profile);
  const node = compiled.nodes.findIndex(({ id }) => id === "V");
  const isOpen = (partition: typeof air.best) => partition.spaces.some(({ openings }) => openings.includes(node));
  expect([isOpen(air.best), isOpen(air.closed), isOpen(air.open)]).toEqual([true, false, true]);
});
