/** What the page needs of a rule; the library lists more. */
export interface RuleEntry {
  readonly id: string;
  readonly title: string;
  readonly question: string;
  readonly why: string;
  readonly severity: string;
  readonly kind: string;
  readonly stage: string;
  readonly needs: readonly string[];
  readonly limits: readonly string[];
  readonly notApplicable: string;
  readonly remedy: string;
  readonly sources: readonly string[];
}

export interface ProfileEntry {
  readonly id: string;
  readonly title: string;
  readonly edition: string;
  /** the figure that a rule of this profile judges against, in words with its source; null where it names none */
  readonly limit: (name: string) => { readonly figure: string; readonly source: string } | null;
  /** the severity of a rule, where the profile sets its own */
  readonly severity: (rule: string) => string | null;
}

export interface SourceEntry {
  readonly id: string;
  readonly title: string;
  readonly what: string;
  readonly seen: "read" | "quoted" | "memory" | "none";
}

/** Every rule as Markdown, made from the rules' own data and the limits of each profile. */
export const rulesPage = (
  rules: readonly RuleEntry[],
  profiles: readonly ProfileEntry[],
  sources: readonly SourceEntry[],
): string => {
  const groups = [...new Set(rules.map(({ id }) => groupOf(id)))];
  const contents = groups.map((group) => {
    const links = rules.filter(({ id }) => groupOf(id) === group).map(({ id }) => `[${id}](#${anchorOf(id)})`);
    return `- **${group}**: ${links.join(", ")}`;
  });
  return `${[
    opening,
    contents.join("\n"),
    `Profiles: ${profiles.map(({ id, title, edition }) => `\`${id}\` ${title}, ${edition}`).join("; ")}.`,
    ...rules.map((rule) => entry(rule, profiles)),
    sourceList(rules, profiles, sources),
  ].join("\n\n")}\n`;
};

const opening = `# The rules

Made by \`npm run docs\` from the rules' own data; do not edit it by hand. A rule answers pass, fail or undetermined for each thing it looks at. *critical*: as it stands, water will escape, a coil will not drain or sewer air can enter; *major*: a code limit is broken, or it will fail in foreseeable use; *minor*: a margin of good practice is missing; *advice*. A *condition* is so now; a *contingency* follows if something blocks, fails or dries out; a *record* only a visit can know.`;

const entry = (rule: RuleEntry, profiles: readonly ProfileEntry[]): string => {
  const facts = [
    `**${rule.severity}** ${rule.kind}, from stage ${rule.stage} on.`,
    rule.why,
    `- Needs: ${listed(rule.needs.map(code))}`,
    `- Not applicable: ${rule.notApplicable}`,
    `- What to do: ${rule.remedy}`,
    `- Rests on: ${listed(rule.sources.map(code))}`,
  ];
  const [severity, why, ...points] = facts;
  const own = profiles.flatMap((profile) => {
    const changed = profile.severity(rule.id);
    return changed === null ? [] : [`- Profile \`${profile.id}\`: ${changed}`];
  });
  const parts = [`## ${rule.id}`, `${rule.title}. *${rule.question}*`, severity, why, [...points, ...own].join("\n")];
  if (rule.limits.length > 0) parts.push(limitTable(rule.limits, profiles));
  return parts.join("\n\n");
};

const limitTable = (limits: readonly string[], profiles: readonly ProfileEntry[]): string =>
  [
    `| limit | ${profiles.map(({ id }) => id).join(" | ")} |`,
    `|---|${profiles.map(() => "---").join("|")}|`,
    ...limits.map((name) => {
      const cells = profiles.map((profile) => {
        const limit = profile.limit(name);
        return limit === null ? "none" : `${limit.figure} (\`${limit.source}\`)`;
      });
      return `| \`${name}\` | ${cells.map((cell) => cell.replaceAll("|", "\\|")).join(" | ")} |`;
    }),
  ].join("\n");

const seenWords = {
  read: "read",
  quoted: "known from another text that quotes it",
  memory: "from memory: check an official copy",
  none: "",
} as const;

/** What the rules and their limits rest on, each source once. */
const sourceList = (
  rules: readonly RuleEntry[],
  profiles: readonly ProfileEntry[],
  sources: readonly SourceEntry[],
): string =>
  sourceChapter(
    rules.flatMap((rule) => [
      ...rule.sources,
      ...rule.limits.flatMap((name) => profiles.flatMap((profile) => profile.limit(name)?.source ?? [])),
    ]),
    sources,
  );

/** The sources of these ids in the register's order, each once, with how each is known. */
export const sourceChapter = (ids: readonly string[], sources: readonly SourceEntry[]): string => {
  const used = new Set(ids);
  const lines = sources
    .filter(({ id }) => used.has(id))
    .map(({ id, title, what, seen }) => {
      const how = seenWords[seen] === "" ? "" : ` (${seenWords[seen]})`;
      return `- ${code(id)} ${title}${how}. ${what}`;
    });
  return ["## Sources", lines.join("\n")].join("\n\n");
};

const groupOf = (id: string): string => id.slice(0, id.indexOf("."));
const anchorOf = (id: string): string => id.replaceAll(".", "");
const code = (text: string): string => `\`${text}\``;
const listed = (parts: readonly string[]): string => (parts.length === 0 ? "nothing" : parts.join(", "));
