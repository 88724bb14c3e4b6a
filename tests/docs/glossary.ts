type Schema = { readonly [key: string]: unknown };

/** The glossary of the network document as Markdown, made from its JSON Schema: every field, what it holds and means. */
export const glossary = (schema: Schema): string => {
  const tables = [
    { title: "The document", rows: rowsOf(schema, "") },
    ...Object.entries(propertiesOf(schema)).flatMap(([name, part]) => section(name, part)),
  ];
  const body = tables.map(({ title, note, rows }: Table) =>
    [`## ${title}`, ...(note ? [note] : []), table(rows)].join("\n\n"),
  );
  return `${[opening, ...body].join("\n\n")}\n`;
};

interface Table {
  readonly title: string;
  readonly note?: string;
  readonly rows: readonly Row[];
}

interface Row {
  readonly field: string;
  readonly needed: boolean;
  readonly holds: string;
  readonly meaning: string;
  readonly example: string;
}

const opening = `# Glossary of the network document

Made by \`npm run glossary\` from the schema that documents are checked against; do not edit it by hand.

A field in **bold** is required. A *figure* is a number in the document's unit system or text with its unit; the meaning says which unit a bare number has. A *level* is a figure, or relative to a floor or a node: \`{ "floor": "L4", "above": 2.75 }\`. Pointers in problems and findings name fields as they stand here.`;

/** A list or a group at the top level has a table of its own; nodes have one for what all share and one for each kind. */
const section = (name: string, part: Schema): Table[] => {
  const element = part.type === "array" ? asSchema(part.items) : part;
  const kinds = branchesOf(element).filter((branch) => "kind" in propertiesOf(branch));
  if (kinds.length > 0) return kindTables(name, kinds);
  const rows = rowsOf(element, "");
  return rows.length === 0 ? [] : [{ title: name, note: textOf(element.description), rows }];
};

const kindTables = (name: string, kinds: readonly Schema[]): Table[] => {
  const every = kinds.map((kind) => rowsOf(kind, ""));
  const same = (row: Row) => every.every((rows) => rows.some((other) => JSON.stringify(other) === JSON.stringify(row)));
  return [
    { title: `${name}: what every kind has`, rows: every[0].filter(same) },
    ...kinds.map((kind, place) => ({
      title: `${name}: ${String(asSchema(propertiesOf(kind).kind).const)}`,
      note: textOf(kind.description),
      rows: every[place].filter((row) => !same(row) && row.field !== "kind"),
    })),
  ];
};

const rowsOf = (schema: Schema, above: string): Row[] => {
  const required = Array.isArray(schema.required) ? schema.required : [];
  return Object.entries(propertiesOf(schema)).flatMap(([name, part]) => {
    const field = above === "" ? name : `${above}.${name}`;
    const row = {
      field,
      needed: above === "" && required.includes(name),
      holds: holds(part),
      meaning: textOf(part.description),
      example: exampleOf(part),
    };
    // What stands in a list, or in a table of its own, is told there.
    if (part.type === "array" || (above === "" && field === "site")) return [row];
    const groups = row.holds === "level" ? [] : [part, ...branchesOf(part)];
    return [row, ...groups.flatMap((group) => rowsOf(group, field))];
  });
};

const holds = (part: Schema): string => {
  if (Array.isArray(part.enum)) return part.enum.map((word) => code(String(word))).join(", ");
  if ("const" in part) return code(JSON.stringify(part.const));
  const branches = branchesOf(part);
  if (branches.some((branch) => "floor" in propertiesOf(branch))) return "level";
  if (branches.length > 0) return [...new Set(branches.map(holds))].join(" or ");
  if (Array.isArray(part.type)) return "figure";
  if (part.type === "array") return `list, at most ${String(part.maxItems)}`;
  if (part.type === "object") return "group";
  if (part.type === "string" && part.maxLength !== undefined) return `text, at most ${String(part.maxLength)}`;
  if (part.type === "number") return bounded(part);
  if (part.type === "boolean") return `${code("true")} or ${code("false")}`;
  return part.type === "string" ? "text" : "anything";
};

const bounded = (part: Schema): string =>
  part.minimum === undefined && part.maximum === undefined
    ? "number"
    : `number, ${String(part.minimum)} to ${String(part.maximum)}`;

const table = (rows: readonly Row[]): string =>
  [
    "| field | holds | means | for example |",
    "|---|---|---|---|",
    ...rows.map(({ field, needed, holds: what, meaning, example }) => {
      const name = needed ? `**${code(field)}**` : code(field);
      return `| ${[name, what, meaning, example].map(cell).join(" | ")} |`;
    }),
  ].join("\n");

const exampleOf = (part: Schema): string => {
  const examples = Array.isArray(part.examples) ? part.examples : [];
  return examples
    .map((example) => JSON.stringify(example))
    .filter((example) => example.length <= 60)
    .slice(0, 2)
    .map(code)
    .join(", ");
};

const code = (text: string): string => `\`${text}\``;
const cell = (text: string): string => text.replaceAll("|", "\\|").replace(/\s+/g, " ");
const textOf = (value: unknown): string => (typeof value === "string" ? value : "");
const asSchema = (value: unknown): Schema => (typeof value === "object" && value !== null ? (value as Schema) : {});
const propertiesOf = (schema: Schema): Readonly<Record<string, Schema>> =>
  asSchema(schema.properties) as Readonly<Record<string, Schema>>;
const branchesOf = (schema: Schema): readonly Schema[] => {
  const branches = schema.oneOf ?? schema.anyOf;
  return Array.isArray(branches) ? branches.map(asSchema) : [];
};
