import { defineConfig } from "vitest/config";

/** What needs nothing but the library: its files share their worker's modules, which halves the time of a run. */
const LIBRARY = ["core", "published", "properties"].map((room) => `tests/${room}/**/*.test.ts`);

export default defineConfig({
  test: {
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: "forks",
    // one more than cores that can be counted on: many tests wait for a process or a disk
    maxWorkers: 3,
    projects: [
      { extends: true, test: { name: "library", include: LIBRARY, isolate: false } },
      { extends: true, test: { name: "service", include: ["tests/**/*.test.ts"], exclude: LIBRARY } },
    ],
  },
});
