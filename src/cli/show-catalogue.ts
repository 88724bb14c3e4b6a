import { nearest } from "./nearest.js";
import { outline } from "./outline.js";
import type { Listed, Surroundings } from "./surroundings.js";

export type Catalogue = "rules" | "profiles" | "materials" | "calculations";

/**
 * Prints a catalogue: as JSON what the service answers at the path of the same name; as text one line for each entry, or
 * one entry in full. `complain` ends the run over an unknown id.
 */
export const showCatalogue = async (
  name: Catalogue,
  id: string | undefined,
  format: "text" | "json",
  around: Surroundings,
  complain: (message: string) => never,
): Promise<void> => {
  const items = (await around.core())[name]();
  const ids = items.map((item) => item.id);
  if (id === undefined) {
    await around.stdout.write(
      format === "json" ? `${JSON.stringify({ items, next: null }, null, 2)}\n` : listing(items),
    );
    return;
  }
  const item = items.find((candidate) => candidate.id === id);
  if (item === undefined) complain(`error: there is no ${name.slice(0, -1)} '${id}'${nearest(id, ids)}`);
  else
    await around.stdout.write(
      format === "json" ? `${JSON.stringify(item, null, 2)}\n` : `${outline(item).join("\n")}\n`,
    );
};

const listing = (items: readonly Listed[]): string => {
  const width = Math.max(...items.map(({ id }) => id.length)) + 2;
  return items
    .map(({ id, title }) => `${id.padEnd(width)}${title ?? ""}`.trimEnd())
    .join("\n")
    .concat("\n");
};
