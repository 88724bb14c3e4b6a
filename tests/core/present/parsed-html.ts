import { type DefaultTreeAdapterMap, parse, parseFragment } from "parse5";

type Node = DefaultTreeAdapterMap["node"];
export type Element = DefaultTreeAdapterMap["element"];

/** Every element of a page or of a picture, in its order. */
export const elementsOf = (markup: string): Element[] => {
  const faults: string[] = [];
  const options = {
    onParseError: ({ code, startLine }: { readonly code: string; readonly startLine: number }) =>
      faults.push(`${code} in line ${startLine}`),
  };
  const document = markup.startsWith("<svg") ? parseFragment(markup, options) : parse(markup, options);
  if (faults.length > 0) throw new Error(`not well-formed: ${faults.slice(0, 5).join("; ")}`);
  const found: Element[] = [];
  const walk = (node: Node): void => {
    if ("tagName" in node) found.push(node);
    if ("childNodes" in node) for (const child of node.childNodes) walk(child);
  };
  walk(document);
  return found;
};

export const attribute = (element: Element, name: string): string | undefined =>
  element.attrs.find((each) => each.name === name)?.value;

/** What is read in an element, blanks run together. */
export const textOf = (node: Node): string => {
  if ("value" in node) return node.value;
  return "childNodes" in node ? node.childNodes.map(textOf).join("").replace(/\s+/g, " ") : "";
};

/** Each element with the names of its attributes, and how often it stands there. */
export const census = (markup: string): Record<string, number> => {
  const counts: Record<string, number> = {};
  for (const { tagName, attrs } of elementsOf(markup)) {
    const kind = [tagName, ...attrs.map(({ name }) => name)].join(" ");
    counts[kind] = (counts[kind] ?? 0) + 1;
  }
  return counts;
};
