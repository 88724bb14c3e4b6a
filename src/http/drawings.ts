import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { refTo } from "./components.js";
import { addDocumentRoute, FILE_POLICY, SVG_TYPE } from "./document-routes.js";

const picture = (description: string) => ({
  description,
  schema: { type: "string" },
  type: SVG_TYPE,
  policy: FILE_POLICY,
});

export const addDrawings = (app: FastifyInstance, auditor: Auditor): void => {
  addDocumentRoute(app, auditor, {
    path: "/v1/drawings/riser",
    work: "riserDrawing",
    operationId: "drawRiser",
    tag: "drawings",
    summary: "Draw the risers of a network",
    description:
      "Draws floors as levels, risers, mains, branches and coils in their places, with sizes and grades, traps, vents, cleanouts, switches and outlets, standing water and locked air, and the findings of the audit by their place in its list. Floors that look alike are drawn once; `riser` asks for the sheet of one riser with every floor of it, `highlight` marks the way out of one coil, what fills behind a blockage, or what one finding speaks of. Every element carries the id of its node (`data-node`), pipe (`data-pipe`), overflow device (`data-device`), floor (`data-floor`), riser (`data-riser`) or finding (`data-finding`).",
    body: refTo("RiserDrawingRequest"),
    answer: picture("The riser diagram, light or dark as the reader's machine is set."),
  });
  addDocumentRoute(app, auditor, {
    path: "/v1/drawings/path",
    work: "pathDrawing",
    operationId: "drawPath",
    tag: "drawings",
    summary: "Draw the long section of one coil's way out",
    description:
      "Draws the sloping parts of the path to scale, heights exaggerated as stated on each, with invert, crown, grade and names, standing water, the pan with its rim and switches, vents and the level that they must rise over, each trap with the fan off, starting and running, and the margins; `blocked` adds the water behind a blockage at the level at which it first comes out. Elements carry the ids of their nodes, pipes, devices and findings as in the riser diagram.",
    body: refTo("PathDrawingRequest"),
    answer: picture("The long section, light or dark as the reader's machine is set."),
  });
};
