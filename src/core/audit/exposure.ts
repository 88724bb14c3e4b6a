import { BACKUP_OUTCOME, type Facts } from "../analysis/facts.js";
import type { Compiled } from "../graph/compiled.js";
import type { Audit } from "./answer.js";

const [CONTAINED, TOLD, HARMLESS, UNCONTAINED] = BACKUP_OUTCOME.keys();
const SAFE: ReadonlySet<number> = new Set([CONTAINED, TOLD, HARMLESS]);

/** What a blockage of a drain below a coil would do: read from the backups of all of them. null: there is none. */
export function exposureOf(net: Compiled, { backups }: Facts): Audit["exposure"] {
  let judged = 0;
  let open = 0;
  let pipes = 0;
  let worst = -1;
  const rank = (p: number) => (Number.isNaN(backups.inflowAfterTrips[p]) ? -1 : backups.inflowAfterTrips[p]);
  for (let p = 0; p < net.pipeCount; p++) {
    const outcome = backups.outcome[p];
    if (outcome >= BACKUP_OUTCOME.length) continue;
    judged++;
    if (outcome === UNCONTAINED) {
      pipes++;
      if (worst < 0 || rank(p) > rank(worst)) worst = p;
    } else if (!SAFE.has(outcome)) open++;
  }
  if (judged === 0) return null;
  if (worst < 0) return { state: open > 0 ? "undetermined" : "contained", worst: null, pipes: 0 };
  const { openings } = backups.ofPipe(worst)!;
  const inflow = backups.inflowAfterTrips[worst];
  return {
    state: "exposed",
    worst: {
      pipe: net.pipes[worst].id,
      openings: [...new Set(openings.map(({ node }) => net.nodes[node].id))],
      inflowAfterTrips: Number.isNaN(inflow) ? null : inflow,
    },
    pipes,
  };
}
