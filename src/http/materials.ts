import type { FastifyInstance } from "fastify";
import { materials } from "../core/index.js";
import { addList } from "./catalogue-route.js";

export const addMaterials = (app: FastifyInstance): void =>
  addList(app, {
    path: "materials",
    one: "material",
    many: "materials",
    summary: "The pipe materials",
    description:
      "Every pipe material with its bores and roughness, its stiffness warm and after years, its density and conductivity, each with its source and how sure it is.",
    component: "Material",
    exampleId: "pvc-sch40",
    entries: materials,
  });
