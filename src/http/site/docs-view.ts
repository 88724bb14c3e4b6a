// The interface as a page: what can be asked, how, and what comes back. Made from the description that is served as data.
import { type Html, html } from "../../core/index.js";

/** Of an OpenAPI document, what the page shows. */
export interface Described {
  readonly info: { readonly title: string; readonly version: string; readonly description?: string };
  readonly tags?: readonly { readonly name: string; readonly description?: string }[];
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Readonly<Record<string, Schema>> };
}

interface Operation {
  readonly operationId?: string;
  readonly tags?: readonly string[];
  readonly summary?: string;
  readonly description?: string;
  readonly security?: readonly unknown[];
  readonly parameters?: readonly {
    readonly name: string;
    readonly in: string;
    readonly required?: boolean;
    readonly description?: string;
    readonly schema?: Schema;
  }[];
  readonly requestBody?: { readonly content?: Content };
  readonly responses?: Readonly<Record<string, Response>>;
}

interface Response {
  readonly description?: string;
  readonly content?: Content;
}

type Content = Readonly<
  Record<
    string,
    {
      readonly schema?: Schema;
      readonly examples?: Readonly<Record<string, { readonly summary?: string; readonly value?: unknown }>>;
    }
  >
>;

interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly description?: string;
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly items?: Schema;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly additionalProperties?: Schema | boolean;
  readonly required?: readonly string[];
  readonly oneOf?: readonly Schema[];
  readonly anyOf?: readonly Schema[];
  readonly allOf?: readonly Schema[];
  readonly minimum?: number;
  readonly maximum?: number;
}

interface Call {
  readonly method: string;
  readonly path: string;
  readonly operation: Operation;
}

const PROBLEM = "application/problem+json";

export const DOCS_STYLE = `
.calls{list-style:none;padding:0;columns:2 24rem;column-gap:2rem}
.calls li{break-inside:avoid;margin-bottom:.5rem}
.call{border-top:1px solid var(--line);padding-top:1rem;margin-top:1.6rem}
.call h3{margin-bottom:.2rem}
.method{display:inline-block;min-width:4.8em;font-weight:700;font-size:.85rem}
.route{margin-bottom:.6rem}
dl.answers{display:grid;grid-template-columns:minmax(3.5rem,max-content) 1fr;gap:.25rem 1rem}
dl.answers dd{margin:0;min-width:0}
table.fields td{min-width:9rem}
table.fields td:last-child{min-width:14rem}
`;

/** @param description of the service, as `/openapi.json` gives it */
export const docsView = ({ info, tags = [], paths, components }: Described): Html => {
  const calls = Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]): Call => ({ method: method.toUpperCase(), path, operation })),
  );
  const groups = tags
    .map((tag) => ({ ...tag, calls: calls.filter(({ operation }) => operation.tags?.[0] === tag.name) }))
    .filter((group) => group.calls.length > 0);
  const schemas = Object.entries(components.schemas).sort(([a], [b]) => (a < b ? -1 : 1));
  return html`<p>${words(info.description ?? "")}</p>
<p>Version ${info.version}. The same as data: <a href="/openapi.json">/openapi.json</a>. What is kept can be looked at under <a href="/buildings">/buildings</a>.</p>
<section><h2 id="how">How to call it</h2>
<p>Calls send and get JSON unless it is said otherwise. A key goes along as <code>Authorization: Bearer …</code>; while no key was ever made, callers on the same machine need none.</p>
<div class="scroll" tabindex="0" role="group" aria-label="An example"><pre><code>curl -H 'Content-Type: application/json' --data @tower.json http://127.0.0.1:8080/v1/audits</code></pre></div>
</section>
<nav aria-label="Calls"><h2 id="calls">Calls</h2>
${groups.map(
  ({ name, calls: own }) => html`<h3><a href="#${tagId(name)}">${capital(name)}</a></h3>
<ul class="calls">${own.map((call) => html`<li><span class="method">${call.method}</span> <a href="#${callId(call)}"><code>${call.path}</code></a><br><small>${call.operation.summary}</small></li>`)}</ul>
`,
)}</nav>
${groups.map(
  ({ name, description, calls: own }) => html`<section><h2 id="${tagId(name)}">${capital(name)}</h2>
<p>${words(description ?? "")}</p>
${own.map(callArticle)}</section>
`,
)}
<section><h2 id="problems">What can go wrong</h2>
<p>An error is <code>${PROBLEM}</code> (RFC 9457): its <code>code</code> stays the same for ever, its <code>errors</code> point at what is wrong.</p>
<dl class="facts">${problemsOf(calls).map(
    ([code, { status, title, detail }]) =>
      html`<dt id="problem-${code}"><code>${code}</code> ${status}</dt><dd>${title}. ${words(detail)}</dd>
`,
  )}</dl>
</section>
<section><h2 id="schemas">What is sent and answered</h2>
<p>A field marked with a star must be there.</p>
${schemas.map(([name, schema]) => schemaArticle(name, schema))}</section>`;
};

const callArticle = (call: Call): Html => {
  const { method, path, operation } = call;
  const { summary = "", description = "", parameters = [], requestBody, responses = {}, security } = operation;
  return html`<article class="call" id="${callId(call)}">
<h3>${summary}</h3>
<p class="route"><span class="method">${method}</span> <code>${path}</code>${security?.length === 0 && html` <small>needs no key</small>`}</p>
<p>${words(description)}</p>
${
  parameters.length > 0 &&
  table(
    `Parameters of ${method} ${path}`,
    parameters.map(({ name, in: where, required, schema, description: said }) => ({
      name,
      needed: required === true,
      type: html`${typeOf(schema ?? {})}, in the ${where}`,
      said: said ?? schema?.description,
    })),
  )
}${requestBody !== undefined && html`<p>It takes ${bodyOf(requestBody.content ?? {})}.</p>`}
<dl class="answers">${Object.entries(responses).map(
    ([status, response]) => html`<dt><code>${status}</code></dt><dd>${answerOf(response)}</dd>
`,
  )}</dl>
</article>
`;
};

const answerOf = ({ description = "", content = {} }: Response): Html => {
  const codes = Object.keys(content[PROBLEM]?.examples ?? {});
  if (codes.length > 0)
    return html`${codes.map((code, k) => html`${k > 0 && ", "}<a href="#problem-${code}"><code>${code}</code></a>`)}`;
  const types = Object.keys(content).length === 0 ? null : html` ${bodyOf(content)}.`;
  return html`${words(description)}${types}`;
};

/** `application/json`: Audit; or `text/html`, `image/svg+xml` */
const bodyOf = (content: Content): Html =>
  html`${Object.entries(content).map(([type, { schema }], k) => {
    const named = schema?.$ref !== undefined || schema?.anyOf !== undefined;
    return html`${k > 0 && ", or "}<code>${type}</code>${named && html` (${typeOf(schema ?? {})})`}`;
  })}`;

const problemsOf = (calls: readonly Call[]) => {
  const found = new Map<string, { status: number; title: string; detail: string }>();
  for (const { operation } of calls)
    for (const { content } of Object.values(operation.responses ?? {}))
      for (const [code, { value }] of Object.entries(content?.[PROBLEM]?.examples ?? {}))
        found.set(code, value as { status: number; title: string; detail: string });
  return [...found].sort(([a, one], [b, other]) => one.status - other.status || (a < b ? -1 : 1));
};

interface Field {
  readonly name: string;
  readonly needed: boolean;
  readonly type: Html;
  readonly said: string | undefined;
}

const table = (label: string, fields: readonly Field[]): Html =>
  html`<div class="scroll" tabindex="0" role="group" aria-label="${label}"><table class="fields"><thead><tr><th scope="col">Name</th><th scope="col">What</th><th scope="col">Meaning</th></tr></thead>
<tbody>${fields.map(
    ({ name, needed, type, said }) =>
      html`<tr><td><code>${name}</code>${needed && html`<abbr title="must be there">*</abbr>`}</td><td>${type}</td><td>${words(said ?? "")}</td></tr>
`,
  )}</tbody></table></div>
`;

const schemaArticle = (name: string, schema: Schema): Html => {
  const fields = fieldsOf(schema, "", DEEPEST);
  return html`<article class="call" id="schema-${name}">
<h3>${name}</h3>
<p>${words(schema.description ?? "")}${fields.length === 0 && html` ${capitalType(schema)}`}</p>
${fields.length > 0 && table(`Fields of ${name}`, fields)}</article>
`;
};

const capitalType = (schema: Schema): Html => html`It is ${typeOf(schema)}.`;

/** How far fields within fields are listed. */
const DEEPEST = 4;

/** Fields of an object, and of objects in it that have no name of their own: `a.b`, `list[].c`. */
const fieldsOf = (schema: Schema, under: string, deep: number): Field[] => {
  if (schema.$ref !== undefined || deep === 0) return [];
  const own = Object.entries(schema.properties ?? {}).flatMap(([name, each]) => {
    const path = under === "" ? name : `${under}.${name}`;
    const field = {
      name: path,
      needed: schema.required?.includes(name) === true,
      type: typeOf(each),
      said: each.description,
    };
    return [field, ...fieldsOf(each, path, deep - 1)];
  });
  const branches = [...(schema.oneOf ?? []), ...(schema.anyOf ?? []), ...(schema.allOf ?? [])];
  const list = schema.items === undefined ? [] : fieldsOf(schema.items, `${under}[]`, deep - 1);
  const values =
    typeof schema.additionalProperties === "object"
      ? fieldsOf(schema.additionalProperties, `${under}.…`, deep - 1)
      : [];
  const seen = new Set<string>();
  return [...own, ...branches.flatMap((branch) => fieldsOf(branch, under, deep - 1)), ...list, ...values].filter(
    ({ name }) => !seen.has(name) && seen.add(name),
  );
};

const typeOf = (schema: Schema): Html => {
  const { $ref, type, items, oneOf, anyOf, allOf } = schema;
  if ($ref !== undefined) {
    const name = $ref.slice($ref.lastIndexOf("/") + 1);
    return html`<a href="#schema-${name}">${name}</a>`;
  }
  if (schema.const !== undefined) return html`<code>${JSON.stringify(schema.const)}</code>`;
  if (schema.enum !== undefined)
    return html`${schema.enum.map((value, k) => html`${k > 0 && " or "}<code>${JSON.stringify(value)}</code>`)}`;
  const forms = oneOf ?? anyOf ?? allOf;
  if (forms !== undefined) {
    const between = allOf === undefined ? " or " : " and ";
    const told = forms.map(typeOf);
    return html`${told.filter((form, k) => told.findIndex((each) => each.toString() === form.toString()) === k).map((form, k) => html`${k > 0 && between}${form}`)}`;
  }
  if (type === "array" || items !== undefined) return html`list of ${typeOf(items ?? {})}`;
  const names = (Array.isArray(type) ? type : [type ?? "anything"]) as readonly string[];
  const range = rangeOf(schema);
  return html`${names.join(" or ")}${range !== "" && ` ${range}`}`;
};

const rangeOf = ({ minimum, maximum }: Schema): string =>
  minimum !== undefined && maximum !== undefined
    ? `from ${minimum} to ${maximum}`
    : minimum !== undefined
      ? `from ${minimum}`
      : maximum !== undefined
        ? `up to ${maximum}`
        : "";

/** Text in which what stands between back quotes is code. */
const words = (text: string): Html =>
  html`${text.split("`").map((part, k) => (k % 2 === 1 ? html`<code>${part}</code>` : part))}`;

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
const tagId = (name: string): string => `tag-${name.replaceAll(" ", "-")}`;
const callId = ({ operation, method, path }: Call): string =>
  `call-${operation.operationId ?? `${method}${path}`.replace(/\W+/g, "-")}`;
