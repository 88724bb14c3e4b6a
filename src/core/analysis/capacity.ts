import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { cleanManningN, sizesOf, bore as tableBore } from "../materials/materials.js";
import { nominalClass } from "../materials/nominal-class.js";
import { flowArea } from "../physics/circle.js";
import { froudeNumber, fullFlow, manningFlow, normalDepth, OVER_CAPACITY_RATIO } from "../physics/part-full-flow.js";
import { filmThickness, riserFlow, riserFraction, terminalVelocity } from "../physics/riser-flow.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { sizeByTable } from "../profiles/size-by-table.js";
import type { CapacityFacts, LoadFacts, RiserBase, Topology } from "./facts.js";
import type { Geometry } from "./geometry.js";
import { alongMainWays, upToPumps } from "./topology.js";

/** What each drain can carry against what it must, in sloping pipes and in risers, and the sizes that would do. */
export function capacities(
  net: Compiled,
  profile: Profile,
  shape: Geometry,
  ways: Topology,
  load: LoadFacts,
): CapacityFacts {
  const m = net.pipeCount;
  const nan = () => new Float64Array(m).fill(NaN);
  const facts = {
    bore: shape.bore,
    capacity: nan(),
    utilisation: nan(),
    flowDepth: nan(),
    fillRatio: nan(),
    velocity: nan(),
    froude: nan(),
    codeSize: new Uint16Array(m),
    hydraulicSize: new Uint16Array(m),
    requiredSize: new Uint16Array(m),
    aboveTable: new Uint8Array(m),
  };
  const fill = limitOf(profile, "capacity.maximumFill").value;
  const fraction = limitOf(profile, "capacity.riserFraction").value;
  const leastN = limitOf(profile, "capacity.manningN").value;
  for (let p = 0; p < m; p++) {
    if (net.role[p] !== ROLE.drain) continue;
    const D = shape.bore[p];
    const Q = load.designFlow[p];
    const clean = net.pipes[p].material === null ? NaN : cleanManningN(net.pipes[p].material!);
    const n = Number.isNaN(clean) ? leastN : Math.max(leastN, clean);
    const S = shape.grade[p];
    const carries = (d: number) => (shape.vertical[p] ? riserFlow(d, fraction) : manningFlow(d, fill * d, S, n));
    if (!(shape.fall[p] > 0)) facts.capacity[p] = 0;
    else if (!Number.isNaN(D)) {
      facts.capacity[p] = carries(D);
      facts.utilisation[p] = Q / facts.capacity[p];
      if (Q === 0) facts.flowDepth[p] = facts.fillRatio[p] = facts.velocity[p] = 0;
      else if (shape.vertical[p]) {
        const r = riserFraction(D, Q);
        facts.fillRatio[p] = r;
        facts.flowDepth[p] = filmThickness(D, r);
        facts.velocity[p] = terminalVelocity(D, Q);
      } else if (Q > OVER_CAPACITY_RATIO * fullFlow(D, S, n)) {
        facts.flowDepth[p] = D;
        facts.fillRatio[p] = 1;
        facts.velocity[p] = Q / ((Math.PI * D * D) / 4);
      } else if (Q > 0) {
        const y = normalDepth(D, S, n, Q);
        facts.flowDepth[p] = y;
        facts.fillRatio[p] = y / D;
        facts.velocity[p] = Q / flowArea(D, y);
        facts.froude[p] = froudeNumber(D, y, Q);
      }
    }
    if (ways.coilsAbove[p] > 0 && profile.codeTable !== null && !Number.isNaN(load.connected[p])) {
      const size = sizeByTable(profile.codeTable, load.connected[p]);
      if (Number.isNaN(size)) facts.aboveTable[p] = 1;
      else facts.codeSize[p] = size;
    }
    const material = net.pipes[p].material;
    if (shape.fall[p] > 0 && material !== null && !Number.isNaN(Q))
      facts.hydraulicSize[p] =
        sizesOf(material).find((size) => Q <= carries(tableBore(material, size)) * (1 + 1e-9)) ?? 0;
  }
  requiredSizes(net, profile, ways, facts);
  return { ...facts, riserBases: riserBases(net, shape, facts) };
}

/** The larger of both sizes, of the pan outlets above and of the drawn sizes of the drains above; unknown where one is. */
function requiredSizes(
  net: Compiled,
  profile: Profile,
  ways: Topology,
  facts: Omit<CapacityFacts, "riserBases">,
): void {
  const above = new Float64Array(net.nodeCount);
  const { rows } = profile.nominalEquivalents;
  const classOf = (material: string | null, size: number | null, inside: number) =>
    nominalClass(material, size, inside, rows);
  const require = (p: number, drawnAbove: number) => {
    const { material } = net.pipes[p];
    const byFlow = facts.hydraulicSize[p];
    const byCode = facts.codeSize[p];
    const codeIsOut =
      profile.codeTable === null ||
      ways.coilsAbove[p] === 0 ||
      (facts.aboveTable[p] === 1 && profile.aboveTable === "hydraulic");
    if (byFlow === 0 || (byCode === 0 && !codeIsOut)) return;
    const size = Math.max(byCode, classOf(material, byFlow, tableBore(material!, byFlow)), drawnAbove);
    if (!Number.isNaN(size)) facts.requiredSize[p] = size;
  };
  // A second way out of a node carries no water by the model, but what it joins must still not be smaller than it is drawn.
  for (let p = 0; p < net.pipeCount; p++) {
    if (net.role[p] !== ROLE.drain || ways.next[net.from[p]] === p || net.kind[net.to[p]] === KIND.pump) continue;
    above[net.to[p]] = Math.max(above[net.to[p]], classOf(net.pipes[p].material, net.pipes[p].size, facts.bore[p]));
  }
  const order = alongMainWays(net, upToPumps(net, ways.next));
  for (let k = order.length - 1; k >= 0; k--) {
    const node = order[k];
    if (net.kind[node] === KIND.coil) above[node] = Math.max(above[node], net.nodes[node].coil!.pan.outletSize ?? 0);
    const p = ways.next[node];
    if (p < 0 || net.role[p] !== ROLE.drain) continue;
    require(p, above[node]);
    // A pump is where one gravity system ends.
    const below = net.to[p];
    if (net.kind[below] === KIND.pump) continue;
    const { material, size } = net.pipes[p];
    above[below] = Math.max(above[below], above[node], classOf(material, size, facts.bore[p]));
  }
  for (let p = 0; p < net.pipeCount; p++) if (net.role[p] === ROLE.drain && ways.next[net.from[p]] !== p) require(p, 0);
}

/** The foot of each riser: room for the water to turn without another drain entering, a rise or a full bore. */
function riserBases(net: Compiled, shape: Geometry, facts: Omit<CapacityFacts, "riserBases">): RiserBase[] {
  const bases: RiserBase[] = [];
  for (let riser = 0; riser < net.pipeCount; riser++) {
    if (net.role[riser] !== ROLE.drain || !shape.vertical[riser] || shape.fall[riser] <= 0) continue;
    const foot = net.to[riser];
    const first = onlyDrain(net, foot);
    if (first < 0 || shape.vertical[first]) continue;
    const needed = 10 * shape.bore[first];
    const pipes: number[] = [];
    const entries: number[] = [];
    const poor: number[] = [];
    let unknown = Number.isNaN(needed);
    let firstEntry = NaN;
    let distance = 0;
    if (net.drainsIn.start[foot + 1] - net.drainsIn.start[foot] > 1) {
      entries.push(foot);
      firstEntry = 0;
    }
    for (let p = first, hops = 0; p >= 0 && hops <= net.pipeCount; hops++) {
      if (shape.vertical[p]) break;
      pipes.push(p);
      if (shape.fall[p] <= 0 || facts.utilisation[p] > 1 + 1e-9) poor.push(p);
      else if (Number.isNaN(facts.utilisation[p])) unknown = true;
      distance += net.length[p];
      if (!(distance < needed - 1e-6)) break;
      const node = net.to[p];
      if (net.kind[node] === KIND.outlet || net.kind[node] === KIND.pump) break;
      if (net.drainsIn.start[node + 1] - net.drainsIn.start[node] > 1) {
        entries.push(node);
        if (Number.isNaN(firstEntry)) firstEntry = distance;
      }
      p = onlyDrain(net, node);
    }
    bases.push({ riser, node: foot, pipes, entries, firstEntry, needed, poor, unknown });
  }
  return bases;
}

const onlyDrain = (net: Compiled, node: number): number =>
  net.drainsOut.start[node + 1] > net.drainsOut.start[node] ? net.drainsOut.list[net.drainsOut.start[node]] : -1;
