/** Fields that hold what people call things, and what refers to them. */
const NAMES: ReadonlySet<string> = new Set([
  "id",
  "name",
  "from",
  "to",
  "at",
  "node",
  "floor",
  "dwelling",
  "owner",
  "serves",
  "circuit",
  "notes",
  "devices",
  "stops",
]);

/** Markup, quotes, and ends of every element that text stands in; without blanks. */
export const HOSTILE = `"'><img/src=x/onerror=alert(1)>&lt;</title></style></svg><script>a()</script>`;

/** A written-out network document whose every name is followed by markup; the document's own id can hold none. */
export const withHostileNames = (document: object): object => {
  const renamed = (value: unknown, field: string): unknown => {
    if (typeof value === "string") return NAMES.has(field) && value !== "all-upstream" ? `${value}${HOSTILE}` : value;
    if (Array.isArray(value)) return value.map((each) => renamed(each, field));
    if (typeof value !== "object" || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, renamed(each, key)]));
  };
  const { id, ...rest } = document as { readonly id: string };
  return { id, ...(renamed(rest, "") as object) };
};
