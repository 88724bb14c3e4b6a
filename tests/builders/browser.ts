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

export const WIDTHS = [360, 1440] as const;
export const SCHEMES = ["light", "dark"] as const;

/** What is wrong with an open page, in words; empty: nothing. Looks at it wide and narrow, light and dark. */
export const faultsOf = async (page: Page): Promise<string[]> => {
  const faults: string[] = [];
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: 900 });
    const over = await page.evaluate<string | null>(OVERFLOW);
    if (over !== null) faults.push(`${width} px wide: the page runs over, ${over}`);
    for (const colorScheme of SCHEMES) {
      await page.emulateMedia({ colorScheme });
      for (const { id, nodes } of await violations(page))
        faults.push(`${width} px, ${colorScheme}: ${id} at ${nodes.slice(0, 3).join("; ")} (${nodes.length})`);
    }
  }
  return faults;
};

// As text: what runs in the browser has other globals than what runs here.
const OVERFLOW = `(({ scrollWidth, clientWidth }) =>
  scrollWidth > clientWidth ? scrollWidth + " px in " + clientWidth : null)(document.documentElement)`;
const AXE = `axe.run().then(({ violations }) =>
  violations.map(({ id, nodes }) => ({ id, nodes: nodes.map(({ target }) => String(target)) })))`;

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
