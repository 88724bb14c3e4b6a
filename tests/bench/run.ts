// Times the whole audit and its stages on towers of growing size, against two floors that any machine can repeat.
// node --expose-gc --import tsx tests/bench/run.ts [--quick] [--seed N] [--runs N] [--json FILE]
import { execFileSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { cpus, totalmem } from "node:os";
import { dirname } from "node:path";
import { parseArgs } from "node:util";
import { tower, towerOfCoils } from "../builders/tower.js";
import { timeEpanet } from "./epanet-tree.js";
import { measure, type Timing, timingOf } from "./measure.js";
import { auditorFrom, STAGES, type StageName } from "./stages.js";

const { values } = parseArgs({
  options: {
    quick: { type: "boolean", default: false },
    seed: { type: "string", default: "1" },
    runs: { type: "string", default: "7" },
    json: { type: "string", default: "bench-results/latest.json" },
  },
});
const auditor = await auditorFrom("dist");
const seed = Number(values.seed);
const runs = Number(values.runs);
const sizes = values.quick ? [200, 2_000] : [200, 2_000, 20_000];
/** Coils whose tower has about 20 000 pipes, as many as the water network it is compared with. */
const COMPARED = values.quick ? 400 : 4_000;

const row = (cells: readonly (string | number)[]): string => cells.map((cell) => String(cell).padStart(11)).join(" ");
const ms = ({ median, least, most }: Timing): string =>
  `${median.toFixed(1)} ms (${least.toFixed(1)} to ${most.toFixed(1)})`;

const commit = (): string => {
  try {
    return execFileSync("git", ["rev-parse", "HEAD"], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }).trim();
  } catch {
    return "unknown";
  }
};

const results: Record<string, unknown>[] = [];
console.log(
  `median of ${runs} runs after warm-up; processor time; spread = quickest to slowest; 5 % faulty coils; seed ${seed}`,
);
console.log(row(["coils", "pipes", "whole ms", "spread", "µs per pipe", "floor ms", "whole:floor", ...STAGES]));
for (const coils of sizes) {
  const text = JSON.stringify(towerOfCoils(coils, seed));
  const bytes = new TextEncoder().encode(text);
  const { audit } = auditor.whole(bytes);
  const { pipes } = auditor.stages(bytes);
  const whole = measure(() => auditor.whole(bytes), runs);
  const floor = measure(() => {
    JSON.parse(text);
    JSON.stringify(audit);
  }, runs);
  const stages: Record<StageName, number[]> = { read: [], validate: [], compile: [], analyse: [], judge: [] };
  for (let run = 0; run < runs; run++) {
    const { took } = auditor.stages(bytes);
    for (const stage of STAGES) stages[stage].push(took[stage]);
  }
  const stageMedians = Object.fromEntries(STAGES.map((stage) => [stage, timingOf(stages[stage]).median])) as Record<
    StageName,
    number
  >;
  const perPipe = (whole.median * 1000) / pipes;
  const ratio = whole.median / floor.median;
  console.log(
    row([
      coils,
      pipes,
      whole.median.toFixed(1),
      `${whole.least.toFixed(0)}-${whole.most.toFixed(0)}`,
      perPipe.toFixed(2),
      floor.median.toFixed(1),
      ratio.toFixed(2),
      ...STAGES.map((stage) => stageMedians[stage].toFixed(1)),
    ]),
  );
  results.push({ coils, pipes, whole, microsecondsPerPipe: perPipe, floor, wholeToFloor: ratio, stages: stageMedians });
}

const compared = new TextEncoder().encode(JSON.stringify(towerOfCoils(COMPARED, seed)));
const prepared = auditor.stages(compared);
const analyses = measure(prepared.analyseAgain, runs);
const epanet = await timeEpanet(prepared.pipes, seed, runs);
const toEpanet = analyses.median / epanet.median;
console.log(`\nall analyses of ${prepared.pipes} pipes: ${ms(analyses)}`);
console.log(`EPANET opens and solves a tree of ${prepared.pipes} pipes: ${ms(epanet)}`);
console.log(`analyses : EPANET = ${toEpanet.toFixed(2)}`);
const falls = measure(prepared.fallsAgain, runs);
const spills = measure(prepared.firstSpillsAgain, runs);
const toFalls = spills.median / falls.median;
console.log(`first spill behind each of ${prepared.pipes} pipes: ${ms(spills)}`);
console.log(`their falls: ${ms(falls)}`);
console.log(`first spills : falls = ${toFalls.toFixed(2)}`);
const looked = tower({ id: "reedlight-40", name: "Reedlight", storeys: 40, risers: 10, seed, faultShare: 0.05 });
const lookedBytes = new TextEncoder().encode(JSON.stringify(looked));
const audits = measure(() => auditor.whole(lookedBytes), runs);
const drawings = measure(() => auditor.draw(looked), runs);
const reports = measure(() => auditor.report(looked), runs);
const toAudit = { drawing: drawings.median / audits.median, report: reports.median / audits.median };
console.log(`audit of 800 coils on 40 storeys: ${ms(audits)}`);
console.log(`their riser diagram: ${ms(drawings)}`);
console.log(`riser diagram : audit = ${toAudit.drawing.toFixed(2)}`);
console.log(`their report: ${ms(reports)}`);
console.log(`report : audit = ${toAudit.report.toFixed(2)}`);
const [smallest, largest] = [results[0]!, results[results.length - 1]!];
const growth = (largest.microsecondsPerPipe as number) / (smallest.microsecondsPerPipe as number);
console.log(`time per pipe, largest : smallest = ${growth.toFixed(2)}`);

mkdirSync(dirname(values.json), { recursive: true });
writeFileSync(
  values.json,
  `${JSON.stringify(
    {
      seed,
      runs,
      quick: values.quick,
      commit: commit(),
      machine: { node: process.version, cpu: cpus()[0]?.model ?? "unknown", cores: cpus().length, memory: totalmem() },
      sizes: results,
      perPipeGrowth: growth,
      analyses: { pipes: prepared.pipes, analyses, epanet, ratio: toEpanet },
      pictures: { coils: 800, audits, drawings, reports, ratios: toAudit },
      firstSpills: { pipes: prepared.pipes, spills, falls, ratio: toFalls },
    },
    null,
    2,
  )}\n`,
);
console.log(`written to ${values.json}`);
