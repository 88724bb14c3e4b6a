import { Project, Workspace } from "epanet-js";
import { seeded } from "../builders/seeded.js";
import { stopwatch, type Timing, timingOf } from "./measure.js";

/** A branched water network of so many pipes, each junction hung on one before it, as an EPANET input file. */
export const treeInput = (pipes: number, seed: number): string => {
  const random = seeded(seed);
  const junctions: string[] = [];
  const links: string[] = [];
  for (let n = 1; n <= pipes; n++) {
    // hung on one of the last fifty, so that the tree is deep as well as wide
    const parent = n === 1 ? "R" : `J${Math.max(1, n - 1 - Math.floor(random() * 50))}`;
    junctions.push(`J${n} 0 ${(0.001 * (1 + random())).toFixed(6)}`);
    links.push(`P${n} ${parent} J${n} 10 300 130 0 Open`);
  }
  return `[TITLE]
tree
[JUNCTIONS]
${junctions.join("\n")}
[RESERVOIRS]
R 100
[PIPES]
${links.join("\n")}
[TIMES]
Duration 0
[OPTIONS]
Units LPS
Headloss H-W
[END]
`;
};

/** Opening the tree and solving it once, as the engine's own users would. */
export const timeEpanet = async (pipes: number, seed: number, runs: number): Promise<Timing> => {
  const workspace = new Workspace();
  await workspace.loadModule();
  workspace.writeFile("tree.inp", treeInput(pipes, seed));
  const times: number[] = [];
  for (let run = -2; run < runs; run++) {
    const project = new Project(workspace);
    const taken = stopwatch();
    project.open("tree.inp", "tree.rpt", "tree.bin");
    project.openH();
    project.initH(0);
    project.runH();
    const took = taken();
    project.closeH();
    project.close();
    if (run >= 0) times.push(took);
  }
  return timingOf(times);
};
