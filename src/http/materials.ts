import type { FastifyInstance } from "fastify";
import { materials } from "../core/index.js";
import { addList } from "./catalogue-route.js";

export const addMaterials = (app: FastifyInstance): void =>
  addList(app, {
    path: "materials",
    one: "material",
    many: "materials",
    summary: "The pipe materials",
    description: "Every pipe material with its bores and roughness, each with its source.",
    component: "Material",
    exampleId: "pvc-sch40",
    entries: materials,
  });
