// Measures how well blockages are located, prints the figures and writes them into docs/locating.md. A number of towers
// as argument: prints only.
import { readFileSync, writeFileSync } from "node:fs";
import { locatingFigures, locatingScore, TOWERS } from "../properties/locating-score.js";
import { figuresOf } from "./locating-page.js";

const asked = process.argv[2];
const figures = locatingFigures(locatingScore(asked === undefined ? TOWERS : Number(asked)));
console.log(figures);
if (asked === undefined) {
  const page = new URL("../../docs/locating.md", import.meta.url);
  const text = readFileSync(page, "utf8");
  const old = figuresOf(text);
  writeFileSync(
    page,
    old === "" ? text.replace("<!-- figures -->\n", `<!-- figures -->\n${figures}`) : text.replace(old, figures),
  );
}
