// The pages for people in a browser: the key, the buildings, one of them, one dwelling, and the interface.
import { readFileSync } from "node:fs";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { chromiumHere, complaintsOf, faultsOf, NO_BROWSER, openBrowser, PATIENCE } from "../builders/browser.js";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const fixture = (name: string): { readonly name: string } =>
  JSON.parse(readFileSync(new URL(`../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));

vi.setConfig({ testTimeout: PATIENCE, hookTimeout: PATIENCE });
if (chromiumHere === null) console.warn(NO_BROWSER);

/** What a browser says by itself of a page that is answered with such a status. */
const answered = (status: number): RegExp => new RegExp(`^Failed to load resource: .* status of ${status} `);

describe.skipIf(chromiumHere === null)("the pages for people", () => {
  let service: StoredApp;
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  let complaints: string[];
  let key: string;
  const now = new Date("2026-07-14T06:05:00Z");
  const to = (path: string) => page.goto(`${service.base}${path}`, { waitUntil: "networkidle" });
  const text = () => page.evaluate<string>("document.body.innerText");

  beforeAll(async () => {
    service = await storedApp(engines[0]!, { now: () => now });
    key = await service.keyFor("quillmere", "write");
    const ask = async (request: string, body: object) => {
      const reply = await service.ask(request, { key, body });
      expect([request, reply.status]).toEqual([request, 201]);
    };
    for (const [id, name, file] of [
      ["boathouse", "Reedlight Boathouse", "three-coils"],
      ["tower", "Reedlight Tower", "tower-as-surveyed"],
    ] as const) {
      await ask(`PUT /v1/buildings/${id}`, { name, timeZone: "Europe/Lisbon" });
      await ask(`POST /v1/buildings/${id}/revisions`, fixture(file));
    }
    await ask("PUT /v1/buildings/bare", { name: `Bare <b>"&'</b> Wharf`, timeZone: "UTC" });
    await ask("POST /v1/buildings/tower/observations", {
      id: "seen",
      type: "water-seen",
      time: "2026-07-14T05:00:00Z",
      fanCoil: "0302-B/coil",
      source: "tenant",
    });
    browser = await openBrowser();
    context = await browser.newContext();
    page = await context.newPage();
    complaints = complaintsOf(page);
  });
  afterAll(async () => {
    await browser?.close();
    await service?.close();
  });

  it("ask for a key, and say so when it opens nothing", async () => {
    const reply = (await to("/buildings/tower"))!;
    expect(reply.status()).toBe(401);
    expect(reply.headers()["content-security-policy"]).toMatch(/^default-src 'none'; style-src 'sha256-/);
    expect(reply.headers()["content-security-policy"]).not.toContain("script");
    expect(await faultsOf(page)).toEqual([]);
    await page.fill("#key", "no such key");
    await page.keyboard.press("Enter");
    await page.waitForSelector("[role=alert]");
    expect(await faultsOf(page)).toEqual([]);
    expect(complaints.filter((each) => !answered(401).test(each))).toEqual([]);
    complaints.length = 0;
  });

  it("are opened by a key that the browser keeps for them alone", async () => {
    await page.fill("#key", key);
    await Promise.all([page.waitForURL("**/buildings/tower"), page.keyboard.press("Enter")]);
    const [cookie] = await context.cookies();
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: "Strict", path: "/buildings" });
    const sent = { cookie: `${cookie!.name}=${cookie!.value}` };
    expect((await service.ask("GET /v1/buildings", { headers: sent })).status).toBe(401);
    expect((await service.ask("GET /buildings", { headers: sent })).status).toBe(200);
  });

  it.each<[string, string, readonly string[]]>([
    [
      "/buildings",
      "Buildings",
      ["Reedlight Tower", "Reedlight Boathouse", `Bare <b>"&'</b> Wharf`, "Act", "Not known"],
    ],
    ["/buildings/bare", `Bare <b>"&'</b> Wharf`, ["No network was posted yet", "14 July 2026"]],
    ["/buildings/boathouse", "Reedlight Boathouse", ["1 · water will escape", "seal.missing~f:FC-3", "Riser diagram"]],
    ["/buildings/tower/dwellings/0302", "Dwelling 0302", ["Water was seen at 0302-B/coil", "R2-03/lower"]],
  ])("show %s without a complaint, at any width, light and dark, to everybody", async (path, title, told) => {
    expect((await to(path))!.status()).toBe(200);
    expect(await page.title()).toBe(`${title} · Drainward`);
    const words = await text();
    for (const each of told) expect(words).toContain(each);
    expect(await faultsOf(page)).toEqual([]);
    expect(complaints).toEqual([]);
  });

  it("show a tower with its picture, under the numbers of its audit, and a sheet for each riser", async () => {
    await to("/buildings/tower");
    expect(await faultsOf(page, { bars: false })).toEqual([]);
    const isShown = "((image) => image.complete && image.naturalWidth > 900)(document.querySelector('.picture img'))";
    expect(await page.evaluate(isShown)).toBe(true);
    const audit = (await service.ask("GET /v1/buildings/tower/revisions/latest/audit", { key })).json;
    const words = await text();
    expect(audit.findings.length).toBeGreaterThan(40);
    audit.findings.forEach(({ outcome, message }: { outcome: string; message: string }, position: number) => {
      if (outcome !== "fail") return;
      const at = words.indexOf(message);
      expect(at, message).toBeGreaterThan(0);
      expect(words.slice(at - 40, at)).toMatch(new RegExp(`\\b${position + 1} · [a-z ]+\\s*$`));
    });
    const links = `[...document.querySelectorAll("a[href*='riser=']")].map((link) => link.textContent)`;
    const sheets = await page.evaluate<string[]>(links);
    expect(sheets).toEqual(["B-01", "B-02", "B-03", "B-04"]);
    await to("/buildings/tower/riser.svg?riser=B-02");
    expect(await page.evaluate("document.documentElement.nodeName")).toBe("svg");
    expect(complaints).toEqual([]);
  });

  it("are gone through with the keyboard alone, from the way past what stands above", async () => {
    await to("/buildings/tower");
    const focused = () => page.evaluate<string>("document.activeElement.textContent.trim()");
    await page.keyboard.press("Tab");
    expect(await focused()).toBe("To the content");
    const seen = new Set<string>();
    for (let step = 0; step < 12; step++) {
      await page.keyboard.press("Tab");
      seen.add(await focused());
      const outline = "getComputedStyle(document.activeElement).outlineStyle";
      expect(await page.evaluate(outline), await focused()).not.toBe("none");
    }
    for (const each of ["Buildings", "Forget the key", "The diagram by itself", "B-04"]) expect(seen).toContain(each);
  });

  it("say what there is not, of another's building as of none", async () => {
    const other = await service.keyFor("elsewhere", "admin");
    await service.ask("PUT /v1/buildings/theirs", { key: other, body: { name: "Theirs", timeZone: "UTC" } });
    const said: string[] = [];
    for (const path of ["/buildings/theirs", "/buildings/none", "/buildings/tower/dwellings/none"]) {
      expect((await to(path))!.status()).toBe(404);
      said.push(await text());
    }
    expect(said[0]).toBe(said[1]);
    expect(await faultsOf(page)).toEqual([]);
    expect(complaints.filter((each) => !answered(404).test(each))).toEqual([]);
    complaints.length = 0;
  });

  it("forget the key when they are told to", async () => {
    await to("/buildings");
    await Promise.all([page.waitForSelector("#key"), page.click("text=Forget the key")]);
    expect(await context.cookies()).toEqual([]);
    complaints.length = 0;
  });

  it("tell the interface at /docs to anybody", async () => {
    expect((await to("/docs"))!.status()).toBe(200);
    expect(await text()).toContain("/v1/buildings/{building}/riser.svg");
    // what it is made of stands in its first tenth
    await page.evaluate("document.querySelectorAll('article:nth-of-type(n + 4)').forEach((each) => each.remove())");
    expect(await faultsOf(page)).toEqual([]);
    expect(complaints).toEqual([]);
  });
});
