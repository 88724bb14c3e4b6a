// The demonstration as the README starts it: the built service in a process of its own, a tower over HTTP, findings.
import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";

const home = fileURLToPath(new URL("../../", import.meta.url));
const demo = (folder: string, env: Readonly<Record<string, string>> = {}) =>
  spawnSync(process.execPath, [join(folder, "dist/main/demo.js")], {
    cwd: tmpdir(),
    encoding: "utf8",
    env: { ...process.env, ...env },
  });

describe("the demonstration", () => {
  it("starts the service, posts the tower, prints what the command line prints, and stops it", () => {
    const { status, stdout, stderr } = demo(home, { HOST: "0.0.0.0", PORT: "1", LOG_LEVEL: "silent" });
    expect(stderr).toBe("");
    expect(status).toBe(0);
    const tower = join(home, "fixtures/buildings/tower-as-surveyed.json");
    const direct = spawnSync(process.execPath, [join(home, "dist/main/cli.js"), "audit", tower, "--width", "100"], {
      encoding: "utf8",
    });
    expect(direct.stdout).toContain(JSON.parse(readFileSync(tower, "utf8")).name);
    expect(stdout).toContain(direct.stdout.trimEnd());
    expect(stdout).toMatch(/^The service listens at http:\/\/127\.0\.0\.1:\d+;/);
    expect(stdout).toMatch(/\nThe service has stopped\.\n$/);
    const port = /127\.0\.0\.1:(\d+)/.exec(stdout)?.[1];
    expect(spawnSync(process.execPath, ["-e", `await fetch("http://127.0.0.1:${port}/livez")`]).status).not.toBe(0);
  });

  it("says in one line what is wrong where the service does not start, and fails", () => {
    const folder = mkdtempSync(join(tmpdir(), "drainward-demo-"));
    try {
      mkdirSync(join(folder, "dist/main"), { recursive: true });
      cpSync(join(home, "package.json"), join(folder, "package.json"));
      cpSync(join(home, "dist/core"), join(folder, "dist/core"), { recursive: true });
      cpSync(join(home, "dist/main/demo.js"), join(folder, "dist/main/demo.js"));
      cpSync(join(home, "fixtures/buildings"), join(folder, "fixtures/buildings"), { recursive: true });
      symlinkSync(join(home, "node_modules"), join(folder, "node_modules"));
      const { status, stderr } = demo(folder);
      expect(status).toBe(1);
      expect(stderr).toMatch(/^demo: the service ended before it listened$/m);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
