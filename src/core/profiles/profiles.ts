import { imc } from "./imc.js";
import { metric } from "./metric.js";
import type { Profile } from "./profile.js";
import { upc } from "./upc.js";

/** Every profile, in the order in which they are listed. */
export const profiles: readonly Profile[] = [imc, upc, metric];

const byId: ReadonlyMap<string, Profile> = new Map(profiles.map((each) => [each.id, each]));

/** The profile of an id; undefined for an unknown one. */
export const profileById = (id: string): Profile | undefined => byId.get(id);
