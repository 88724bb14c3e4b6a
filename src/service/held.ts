import { Refused } from "./refused.js";
import type { Building, Shelves } from "./shelves.js";

/** A building, held against any other change until the transaction ends. @throws Refused not-found */
export const held = async (shelves: Shelves, id: string): Promise<Building> => {
  const building = await shelves.buildings.hold(id);
  if (building === null) throw new Refused("not-found", "There is no such building.");
  return building;
};

/** @throws Refused not-found */
export const found = async (shelves: Shelves, id: string): Promise<Building> => {
  const building = await shelves.buildings.get(id);
  if (building === null) throw new Refused("not-found", "There is no such building.");
  return building;
};
