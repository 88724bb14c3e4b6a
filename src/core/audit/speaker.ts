import type { Compiled } from "../graph/compiled.js";
import type { Profile } from "../profiles/profile.js";
import { formatAgainst, formatQuantity } from "../quantity/format.js";
import { sizeName } from "../quantity/sizes.js";
import type { Speaker } from "../quantity/speaker.js";

/** Speaks of this network: figures in the document's units, nodes with their names and floors. */
export function speakerFor(net: Compiled, profile: Profile): Speaker {
  const { units } = net.model;
  const floors = new Map(net.model.floors.map((floor) => [floor.id, floor]));
  const figure: Speaker["figure"] = (si, kind, toward) => formatQuantity(si, kind, units, toward, profile.sizeSystem);
  return {
    figure,
    against: (si, limit, kind) => formatAgainst(si, limit, kind, units, profile.sizeSystem),
    elevation: (si, node) => {
      const level = figure(si, "length");
      const floor = node === undefined ? undefined : floors.get(net.nodes[node].floor ?? "");
      if (floor === undefined) return level;
      const above = si - floor.elevation;
      return `${level} (${floor.name ?? floor.id} ${above < 0 ? "−" : "+"} ${figure(Math.abs(above), "length")})`;
    },
    node: (i) => {
      const { id, name, floor: floorId } = net.nodes[i];
      const floor = floorId === null ? undefined : floors.get(floorId);
      const more = [name, floor?.name ?? floor?.id].filter((part) => part !== null && part !== undefined);
      return more.length === 0 ? id : `${id} (${more.join(", ")})`;
    },
    pipe: (p) => net.pipes[p].id,
    device: (d) => net.model.devices[d].id,
    circuit: (i) => net.model.circuits[i].id,
    size: (dn) => sizeName(dn, profile.sizeSystem),
    list: (parts, most = 4) => {
      if (parts.length > most) return `${parts.slice(0, most).join(", ")} and ${parts.length - most} more`;
      if (parts.length < 2) return parts[0] ?? "";
      return `${parts.slice(0, -1).join(", ")} and ${parts[parts.length - 1]}`;
    },
  };
}

/** Says the figures of this network and leaves the names out, levels among them: two places alike are told alike. */
export function namelessSpeaker(net: Compiled, profile: Profile): Speaker {
  const named = speakerFor(net, profile);
  const name = (): string => "…";
  return {
    ...named,
    figure: (si, kind, toward) => (kind === "elevation" ? name() : named.figure(si, kind, toward)),
    against: (si, limit, kind) =>
      kind === "elevation" ? { figure: name(), limit: name() } : named.against(si, limit, kind),
    elevation: name,
    node: name,
    pipe: name,
    device: name,
    circuit: name,
    list: (parts) => named.list(parts, parts.length),
  };
}
