import { existsSync } from "node:fs";
import axe from "axe-core";
import { type Browser, chromium, type Page } from "playwright-core";

/** A Chromium that is installed here: the one that CHROMIUM names, else the usual places. null: none. */
export const chromiumHere: string | null =
  [
    process.env.CHROMIUM,
    "/usr/bin/chromium",
    "/usr/bin/chromium-browser",
    "/usr/bin/google-chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  ].find((path) => path !== undefined && existsSync(path)) ?? null;

/** Said where tests of pages are skipped. */
export const NO_BROWSER =
  "no Chromium was found (install Debian's chromium, or set CHROMIUM): pages were not looked at";

export const openBrowser = (): Promise<Browser> =>
  chromium.launch({ executablePath: chromiumHere!, args: ["--no-sandbox", "--disable-gpu"] });

/** A phone in the day, a desk in the night. */
const LOOKS = [
  [360, "light"],
  [1440, "dark"],
] as const;

/** Every picture and page, and each for everybody in every light, not some of each: `PAGES=all` (npm run pages). */
export const ALL = process.env.PAGES === "all";
/** ms that a test of pages may take: browsers beside each other on two cores are slow, and what hangs is noticed still. */
export const PATIENCE = 600_000;
let looked = 0;

/**
 * What is wrong with an open page, in words; empty: nothing. Looks at it narrow and wide, light and dark; for what bars
 * people, in the everyday run, one page in the one light and the next in the other.
 * @param bars also looks for what bars people, which takes a while on a page of many elements
 */
export const faultsOf = async (page: Page, { bars = true }: { readonly bars?: boolean } = {}): Promise<string[]> => {
  const faults: string[] = [];
  const turn = looked++ % LOOKS.length;
  for (const [look, [width, colorScheme]] of LOOKS.entries()) {
    await page.setViewportSize({ width, height: 900 });
    await page.emulateMedia({ colorScheme });
    const over = await page.evaluate<string | null>(OVERFLOW);
    if (over !== null) faults.push(`${width} px wide: the page runs over, ${over}`);
    for (const { id, nodes } of bars && (ALL || look === turn) ? await violations(page) : [])
      faults.push(`${width} px, ${colorScheme}: ${id} at ${nodes.slice(0, 3).join("; ")} (${nodes.length})`);
  }
  return faults;
};

// As text: what runs in the browser has other globals than what runs here.
const OVERFLOW = `(({ scrollWidth, clientWidth }) =>
  scrollWidth > clientWidth ? scrollWidth + " px in " + clientWidth : null)(document.documentElement)`;
// without what is not asked for, such as a way to each element, it takes a third less
const AXE = `axe.run(document, { resultTypes: ["violations"], selectors: false, preload: false }).then(({ violations }) =>
  violations.map(({ id, nodes }) => ({ id, nodes: nodes.map(({ html }) => html.slice(0, 120)) })))`;

const violations = async (page: Page): Promise<readonly { id: string; nodes: readonly string[] }[]> => {
  await page.evaluate(axe.source);
  return page.evaluate(AXE);
};

/** What the page complains of while it is used: errors, warnings of its policy, what it could not load. */
export const complaintsOf = (page: Page): string[] => {
  const complaints: string[] = [];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("requestfailed", (request) => complaints.push(`not loaded: ${request.url()}`));
  return complaints;
};
