// Writes the two tower fixtures anew: npx tsx tests/builders/write-buildings.ts
import { writeFileSync } from "node:fs";
import { printDocument } from "./print-document.js";
import { designTower, surveyedTower } from "./surveyed-tower.js";

const folder = new URL("../../fixtures/buildings/", import.meta.url);
writeFileSync(new URL("tower-design.json", folder), printDocument(designTower()));
writeFileSync(new URL("tower-as-surveyed.json", folder), printDocument(surveyedTower()));
