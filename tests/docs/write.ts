// Writes the generated pages under docs/ anew: all of them, or those whose name starts with the word given.
import { writeFileSync } from "node:fs";
import { pages } from "./pages.js";

const word = process.argv[2] ?? "";
const write = (name: string, text: string) => writeFileSync(new URL(`../../docs/${name}`, import.meta.url), text);
for (const [name, text] of pages()) if (name.startsWith(word)) write(name, text);
// it starts a service and a database
if ("a-year.md".startsWith(word)) write("a-year.md", await (await import("./a-year-page.js")).aYearPage());
