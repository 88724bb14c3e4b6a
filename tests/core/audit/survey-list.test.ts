import { describe, expect, it } from "vitest";
import { audit, type SurveyList, surveyList, surveyListSchema } from "../../../src/core/index.js";
import { riserOfThree } from "../../builders/riser-of-three.js";
import { accepts } from "./accepts.js";

const listOf = (document: unknown): SurveyList => {
  const result = surveyList(document);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  expect(accepts(surveyListSchema(), result.list)).toEqual([]);
  return result.list;
};
/** floor / stop: element.attribute … */
const walk = ({ floors }: SurveyList): string[] =>
  floors.flatMap(({ floor, stops }) =>
    stops.flatMap(({ kind, fanCoil, asks }) =>
      asks.map(
        ({ node, pipe, device, circuit, attribute }) =>
          `${floor} ${fanCoil ?? kind} ${node ?? pipe ?? device ?? circuit ?? ""}.${attribute}`,
      ),
    ),
  );

const without = (document: ReturnType<typeof riserOfThree>, part: "nodes" | "pipes", id: string, field: string) => {
  const element = document[part].find((each) => each.id === id);
  if (element !== undefined) delete element[field];
};

describe("the survey list", () => {
  it("asks for each missing figure where one stands to measure it, from the roof down", () => {
    const document = riserOfThree();
    const known = new Set(walk(listOf(document)));
    without(document, "nodes", "F-1", "panStatic");
    without(document, "nodes", "F-3", "panStatic");
    without(document, "pipes", "R-2", "size");
    without(document, "pipes", "B-3", "size");
    const asked = walk(listOf(document)).filter((each) => !known.has(each));
    expect(asked).toEqual([
      "L3 F-3 F-3.panStatic",
      "L3 F-3 B-3.insideDiameter",
      "L3 F-3 B-3.size",
      "L2 common R-2.insideDiameter",
      "L2 common R-2.size",
      "L1 F-1 F-1.panStatic",
    ]);
  });

  it("asks for no more and no less than the audit", () => {
    const document = riserOfThree();
    without(document, "nodes", "F-2", "panStatic");
    const result = audit(document);
    if (!result.ok) throw new Error("the document does not read");
    const list = listOf(document);
    expect(list.asks).toBe(result.audit.toSurvey.length);
    const asks = list.floors.flatMap(({ stops }) => stops.flatMap((stop) => stop.asks));
    expect(asks).toHaveLength(list.asks);
    const ask = asks.find(({ node, attribute }) => node === "F-2" && attribute === "panStatic");
    const pointer = `/nodes/${document.nodes.findIndex(({ id }) => id === "F-2")}/panStatic`;
    expect(ask?.for).toEqual(result.audit.toSurvey.find((each) => each.pointer === pointer)?.for);
    expect(ask?.what).toMatch(/^Gauge pressure at the pan/);
  });

  it("asks at each of its places for what a typical leaves open", () => {
    const { nodes, pipes, ...rest } = riserOfThree();
    const document = {
      ...rest,
      overflowDevices: [],
      circuits: [],
      typicals: {
        unit: {
          name: "Unit",
          joints: ["main"],
          nodes: [
            {
              id: "coil",
              kind: "fan-coil",
              elevation: 0,
              condensateRate: 1,
              pan: { rimHeight: 50 },
            },
          ],
          pipes: [{ id: "branch", from: "coil", to: "main", length: 3, size: 20, material: "pvc-sch40" }],
        },
      },
      placements: [1, 2, 3].map((n) => ({
        id: `P-${n}`,
        typical: "unit",
        at: { floor: `L${n}`, above: 2.5 },
        dwelling: `0${n}01`,
        joins: { main: `J-${n}` },
      })),
      nodes: nodes.filter(({ kind }) => kind !== "fan-coil"),
      pipes: pipes.filter(({ id }) => !String(id).startsWith("B-")),
    };
    const asked = walk(listOf(document)).filter((each) => each.endsWith(".panStatic"));
    expect(asked).toEqual([3, 2, 1].map((n) => `L${n} P-${n}/coil P-${n}/coil.panStatic`));
  });
});
