// Writes the generated pages under docs/ anew: all of them, or those whose name starts with the word given.
import { writeFileSync } from "node:fs";
import { pages } from "./pages.js";

const word = process.argv[2] ?? "";
for (const [name, text] of pages())
  if (name.startsWith(word)) writeFileSync(new URL(`../../docs/${name}`, import.meta.url), text);
