import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { refTo } from "./components.js";
import { addDocumentRoute } from "./document-routes.js";

export const addBackups = (app: FastifyInstance, auditor: Auditor): void =>
  addDocumentRoute(app, auditor, {
    path: "/v1/backups",
    work: "backup",
    operationId: "tellBackup",
    tag: "blockages",
    summary: "Tell in time what follows if one pipe or node blocks",
    description:
      "Says how the water of the coils above rises behind the blockage, through which pipes, risers, vents and pans, when each overflow device trips and what it stops, where the water comes out first, after how many minutes and how much an hour, what still comes once everything has stopped, and what would contain it. What cannot be told names the figure that would settle it.",
    body: refTo("BackupRequest"),
    answer: { description: "The story.", schema: refTo("Backup") },
  });
