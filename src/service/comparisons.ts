// Two networks compared, each a document or a revision that is kept.
import type { Auditor } from "./auditor.js";
import { type Reference, type References, SIDES, WANTING } from "./comparison-work.js";
import type { Fault, Reply } from "./refusal.js";
import { Refused } from "./refused.js";
import type { Shelves, Store } from "./shelves.js";

export const makeComparisons = (store: Store, auditor: Auditor) => ({
  /**
   * Compares what `{ before, after }` names, both by the rules of today.
   * @throws Refused not-found for every revision that is not there
   */
  async compare(organization: string, body: Uint8Array, signal?: AbortSignal): Promise<Reply> {
    const options = { work: "comparison", ...(signal && { signal }) } as const;
    // what is handed to a thread is gone
    const first = await auditor.perform({ ...options, body: new Uint8Array(body) });
    if (!first.ok || !startsWith(first.body, WANTING)) return first;
    const { wanted } = JSON.parse(new TextDecoder().decode(first.body)) as { wanted: References };
    const networks = await store.within(organization, (shelves) => networksOf(shelves, wanted));
    const beside = `{${networks.map(([side, network]) => `${JSON.stringify(side)}:${network}`).join(",")}}`;
    return auditor.perform({ ...options, body, beside });
  },
});
export type Comparisons = ReturnType<typeof makeComparisons>;

const startsWith = (bytes: Uint8Array, text: string): boolean =>
  Buffer.from(bytes.buffer, bytes.byteOffset, Math.min(bytes.byteLength, text.length)).toString("latin1") === text;

async function networksOf(shelves: Shelves, wanted: References): Promise<(readonly [side: string, network: string])[]> {
  const faults: Fault[] = [];
  const networks: [string, string][] = [];
  for (const side of SIDES) {
    const reference = wanted[side];
    if (reference === undefined) continue;
    const network = await networkOf(shelves, reference);
    if (network !== null) networks.push([side, network]);
    else
      faults.push({
        pointer: `/${side}`,
        detail: "there is no such revision",
        hint: "see the revisions of the building",
      });
  }
  if (faults.length > 0) throw new Refused("not-found", "There is no such revision.", faults);
  return networks;
}

/** null: there is none */
async function networkOf(shelves: Shelves, { building, revision }: Reference): Promise<string | null> {
  // no id has it, and no database takes it
  const known = building.includes("\0") ? null : await shelves.buildings.get(building);
  if (known === null) return null;
  const kept = await shelves.revisions.get(building, revision === "latest" ? known.revision : revision);
  return kept?.network ?? null;
}
