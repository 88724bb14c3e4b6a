import type { FastifyInstance } from "fastify";
import { rules } from "../core/index.js";
import { addEntry, addList, type Catalogue } from "./catalogue-route.js";

const catalogue: Catalogue<ReturnType<typeof rules>[number]> = {
  path: "rules",
  one: "rule",
  many: "rules, in the order of the documentation",
  summary: "The rules",
  description: "Every rule that exists: its question, severity, limits in each profile, sources and remedy.",
  component: "Rule",
  exampleId: "fall.reverse",
  entries: rules,
};

export const addRules = (app: FastifyInstance): void => {
  addList(app, catalogue);
  addEntry(app, catalogue);
};
