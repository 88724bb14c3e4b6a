import type { Page } from "playwright-core";
import { getDocumentProxy } from "unpdf";

export const PAPERS = { A4: [595.28, 841.89], Letter: [612, 792] } as const;
export type Paper = keyof typeof PAPERS;

export interface PrintedPage {
  /** points */
  readonly width: number;
  readonly height: number;
  /** what stands on it from the top down, the foot left out */
  readonly lines: readonly string[];
  /** the same in the order in which it was written, without blanks: a cell's text is in one piece */
  readonly text: string;
}

/** Height in points below which the running foot stands. */
const FOOT = 40;

const bare = (text: string): string => text.replace(/\s/g, "");

/** Prints an open page as people do, and reads what came out. */
export const printed = async (page: Page, paper: Paper): Promise<PrintedPage[]> => {
  const pdf = await getDocumentProxy(new Uint8Array(await page.pdf({ format: paper, preferCSSPageSize: true })));
  const pages: PrintedPage[] = [];
  for (let number = 1; number <= pdf.numPages; number++) {
    const one = await pdf.getPage(number);
    const [, , width = 0, height = 0] = one.view;
    const { items } = await one.getTextContent();
    const rows = new Map<number, string>();
    let text = "";
    for (const item of items) {
      if (!("str" in item) || item.str.trim() === "") continue;
      const y = Math.round(item.transform[5] as number);
      if (y < FOOT) continue;
      text += bare(item.str);
      rows.set(y, `${rows.get(y) ?? ""}${item.str}`);
    }
    const lines = [...rows].sort(([a], [b]) => b - a).map(([, line]) => line.trim());
    pages.push({ width, height, lines, text });
  }
  return pages;
};

// As text: what runs in the browser has other globals than what runs here.
const HEADINGS = `[...document.querySelectorAll("h1,h2,h3,.part")].map((each) => each.innerText)`;
const FIGURES = `[...document.querySelectorAll("figure")].map((figure) => [...figure.querySelectorAll("svg text")].map((text) => text.textContent))`;
const ROWS = `[...document.querySelectorAll("tbody tr")].map((row) => [...row.cells].map((cell) => cell.textContent))`;

/** What is wrong with how a page was broken into sheets; empty: nothing. */
export const badBreaks = async (page: Page, pages: readonly PrintedPage[]): Promise<string[]> => {
  const headings = new Set((await page.evaluate<string[]>(HEADINGS)).map(bare));
  const rows = await page.evaluate<string[][]>(ROWS);
  const faults: string[] = [];
  pages.forEach(({ lines, text }, k) => {
    const last = lines.at(-1);
    if (last === undefined || text === "") faults.push(`sheet ${k + 1} is empty`);
    else if (headings.has(bare(last))) faults.push(`sheet ${k + 1} ends in the heading ${last}`);
  });
  const sheets = pages.map(({ text }) => text);
  for (const cells of rows) {
    const longest = bare(cells.reduce((long, cell) => (cell.length > long.length ? cell : long), ""));
    if (longest.length > 0 && !sheets.some((sheet) => sheet.includes(longest)))
      faults.push(`torn, or lost: ${longest.slice(0, 80)}`);
  }
  for (const texts of await page.evaluate<string[][]>(FIGURES)) {
    const all = texts.map(bare);
    if (!sheets.some((sheet) => all.every((text) => sheet.includes(text))))
      faults.push(`a picture is cut, or lost: ${texts.slice(0, 3).join(", ")}`);
  }
  return faults;
};
