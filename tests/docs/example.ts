// Prints the four cases of docs/four-cases.md: each answer in full, what it asks for, and the verdict once that is done.
import { renderText } from "../../src/core/index.js";
import { fourCases } from "./four-cases.js";

const { stdout } = process;
const screen = { width: stdout.columns ?? 100, color: stdout.isTTY === true && process.env.NO_COLOR === undefined };
for (const { file, answer, done, after } of fourCases()) {
  stdout.write(`fixtures/examples/${file}\n\n${renderText(answer, screen)}\n`);
  stdout.write(`Once this is done:\n${done.map((step) => `  - ${step}\n`).join("")}`);
  const failing = after.findings.filter(({ outcome }) => outcome === "fail").length;
  const open = after.findings.length - failing;
  stdout.write(`the verdict is ${after.verdict}, with ${failing} failing and ${open} open.\n\n\n`);
}
