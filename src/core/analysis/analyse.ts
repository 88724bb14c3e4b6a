import type { Compiled } from "../graph/compiled.js";
import type { Profile } from "../profiles/profile.js";
import { access } from "./access.js";
import { airSpaces } from "./air.js";
import { backupStories } from "./backup-story.js";
import { backups } from "./backups.js";
import { capacities } from "./capacity.js";
import { circuits } from "./circuits.js";
import type { Facts } from "./facts.js";
import { fallFacts } from "./fall.js";
import { geometry } from "./geometry.js";
import { loads } from "./loads.js";
import { lockedAir } from "./locked-air.js";
import { outlets } from "./outlets.js";
import { reversePush } from "./reverse-push.js";
import { seals } from "./seals.js";
import { secondLines } from "./second-lines.js";
import { standingWater } from "./standing-water.js";
import { supports } from "./support.js";
import { sweating } from "./sweat.js";
import { topology } from "./topology.js";
import { zones } from "./zones.js";

/** Every analysis, each on what those before it found. */
export function analyse(net: Compiled, profile: Profile): Facts {
  const shape = geometry(net);
  const water = standingWater(net, profile, shape);
  const ways = topology(net, water);
  const fall = fallFacts(net, profile, shape, ways);
  const load = loads(net, profile, ways);
  const capacity = capacities(net, profile, shape, ways, load);
  const circuitFacts = circuits(net, ways);
  const sealFacts = seals(net, profile, shape, water, ways);
  const zoneFacts = zones(net, ways);
  const air = airSpaces(net, shape, water, ways, load, capacity);
  const backupFacts = backups(net, shape, water, ways, load, circuitFacts);
  return {
    geometry: shape,
    water,
    topology: ways,
    fall,
    seals: sealFacts,
    loads: load,
    capacity,
    air,
    reversePush: reversePush(net, water, ways, sealFacts, air),
    circuits: circuitFacts,
    secondLines: secondLines(net, ways),
    outlets: outlets(net, profile, shape, ways),
    backups: backupFacts,
    stories: backupStories(
      { net, shape, water, ways, load, capacity, circuits: circuitFacts, backups: backupFacts },
      profile,
    ),
    zones: zoneFacts,
    access: access(net, profile, shape, ways, zoneFacts),
    lockedAir: lockedAir(net, shape, water, ways, sealFacts, air, circuitFacts),
    supports: supports(net, profile, shape),
    sweating: sweating(net, profile, ways),
  };
}
