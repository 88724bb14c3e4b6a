import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

/** What waits for processes, disks and browsers. */
const WAITING = /\/tests\/(reliability|main|pages|end-to-end|docs|cli)\//;

/** What waits begins first: at the end of a run nothing would be left to do meanwhile. */
class WaitingFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    const waits = ({ moduleId }: TestSpecification) => WAITING.test(moduleId);
    return [...sorted.filter(waits), ...sorted.filter((file) => !waits(file))];
  }
}

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: "forks",
    // one more than cores that can be counted on: many tests wait for a process or a disk
    maxWorkers: 3,
    // files share their worker's modules: loading them anew for each takes a third of a run
    isolate: false,
    sequence: { sequencer: WaitingFirst },
  },
});
