import type { FastifyInstance } from "fastify";
import { profiles } from "../core/index.js";
import { addEntry, addList, type Catalogue } from "./catalogue-route.js";

const catalogue: Catalogue<ReturnType<typeof profiles>[number]> = {
  path: "profiles",
  one: "profile",
  many: "profiles",
  summary: "The code profiles",
  description: "Every code profile: its limits and sizing tables, each with its source.",
  component: "Profile",
  exampleId: "imc",
  entries: profiles,
};

export const addProfiles = (app: FastifyInstance): void => {
  addList(app, catalogue);
  addEntry(app, catalogue);
};
