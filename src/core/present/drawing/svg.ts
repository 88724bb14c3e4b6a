import { plain } from "../plain.js";

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Text between tags: what steers is shown as its code point, what XML reads as markup is an entity. */
export const escaped = (text: string): string => plain(text).replace(/[&<>"']/g, (character) => ENTITIES[character]!);

/** What a caller's system looks up by, as it stands in the document; ids hold no character that XML cannot hold. */
const attribute = (value: string | number): string =>
  typeof value === "number"
    ? rounded(value)
    : value.replace(/[\p{Cc}\p{Cs}\ufffe\uffff]/gu, "\ufffd").replace(/[&<>"']/g, (character) => ENTITIES[character]!);

/** Coordinates to a tenth of a unit. */
export const rounded = (value: number): string => {
  const tenths = Math.round(value * 10) / 10;
  return String(tenths === 0 ? 0 : tenths);
};

export type Attributes = Readonly<Record<string, string | number | undefined>>;

/** An element whose attribute names are this program's own; undefined leaves an attribute out. */
export const element = (name: string, attributes: Attributes, content = ""): string => {
  let tag = `<${name}`;
  for (const key of Object.keys(attributes)) {
    const value = attributes[key];
    if (value !== undefined) tag += ` ${key}="${attribute(value)}"`;
  }
  return content === "" ? `${tag}/>` : `${tag}>${content}</${name}>`;
};

/** What a pointer resting on an element is told, and what a screen reader says of it. */
export const told = (text: string): string => `<title>${escaped(text)}</title>`;

export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly title: string;
  readonly description: string;
  readonly style: string;
  readonly attributes?: Attributes;
  readonly content: string;
}

/** One whole picture: it scales to the room it is given, and its first words are its title and its description. */
export const svgDocument = ({ width, height, title, description, style, attributes = {}, content }: Frame): string =>
  `${element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      class: "dw",
      viewBox: `0 0 ${rounded(width)} ${rounded(height)}`,
      width: rounded(width),
      height: rounded(height),
      role: "img",
      "aria-label": plain(title),
      lang: "en",
      ...attributes,
    },
    `${told(title)}<desc>${escaped(description)}</desc><style>${style}</style>${element("rect", { class: "dw-paper", width, height })}${content}`,
  )}\n`;
