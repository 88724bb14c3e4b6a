import { plain } from "./plain.js";

/** Markup that was made here, apart from text that somebody wrote: only the former is printed as it is. */
export class Html {
  readonly #markup: string;

  constructor(markup: string) {
    this.#markup = markup;
  }

  toString(): string {
    return this.#markup;
  }
}

export type Content = Html | string | number | false | null | undefined | readonly Content[];

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Text as it may stand between tags and in a quoted attribute; characters that steer are shown as their code point. */
const escaped = (text: string): string => plain(text).replace(/[&<>"']/g, (character) => ENTITIES[character]!);

const markupOf = (content: Content): string => {
  if (content instanceof Html) return content.toString();
  if (typeof content === "string") return escaped(content);
  if (typeof content === "number") return String(content);
  if (content === false || content === null || content === undefined) return "";
  let markup = "";
  for (const each of content) markup += markupOf(each);
  return markup;
};

/**
 * HTML from a template. What is put in is escaped unless it is markup made by this function; lists are joined, `false`,
 * `null` and `undefined` leave nothing. Attributes must be written in double quotes.
 */
export const html = (markup: TemplateStringsArray, ...contents: readonly Content[]): Html => {
  let text = markup[0]!;
  for (let i = 0; i < contents.length; i++) text += markupOf(contents[i]) + markup[i + 1]!;
  return new Html(text);
};

/** Markup from a place that escapes what it prints, such as a drawing. */
export const drawn = (svg: string): Html => new Html(svg);
