// What every page for people has around what it shows.
import { type Content, type Html, html, htmlPage, type Mark, servedPolicy, severityMark } from "../../core/index.js";
import type { HealthState, HealthStep } from "../../service/health.js";

export interface Frame {
  readonly title: string;
  /** the pages above it: names and paths */
  readonly trail?: readonly (readonly [name: string, path: string])[];
  readonly body: Content;
  /** it was opened by a key that the browser keeps, and may forget it */
  readonly withKey: boolean;
  /** s until it is asked for again */
  readonly again?: number;
}

const STYLE = `
nav.trail{display:flex;flex-wrap:wrap;gap:.3rem .8rem;align-items:baseline;justify-content:space-between;margin-bottom:1.2rem}
nav.trail ol{list-style:none;display:flex;flex-wrap:wrap;gap:.2rem .5rem;padding:0;margin:0}
nav.trail li:not(:last-child)::after{content:"›";margin-left:.5rem;color:var(--soft)}
form{margin:0}
button{font:inherit;color:var(--paper);background:var(--link);border:0;border-radius:3px;padding:.5rem 1.1rem;min-height:2.75rem}
nav.trail button{background:none;color:var(--link);text-decoration:underline;padding:.2rem 0;min-height:0}
input{font:inherit;color:inherit;background:var(--paper);border:1px solid var(--soft);border-radius:3px;padding:.5rem;min-height:2.75rem;width:100%;max-width:32rem}
.state{font-size:1.15rem}
.entries{list-style:none;padding:0}
.entries>li{border-bottom:1px solid var(--line);padding:.55rem 0}
.entries>li p{margin:0}
.entries h2{font-size:1.15rem;border:0;margin:0;padding:0}
.entries ul{padding-left:1.3rem;margin:0}
.links{display:flex;flex-wrap:wrap;gap:.4rem .9rem;list-style:none;padding:0}
.links a{display:inline-block;padding:.2rem 0}
.picture{overflow:auto;max-height:85vh;border:1px solid var(--line)}
.picture img{display:block;min-width:60rem;width:100%;height:auto}
`;

/** What a browser may do with these pages. */
export const SITE_POLICY = servedPolicy(STYLE);

export const sitePage = ({ title, trail = [], body, withKey, again }: Frame): string =>
  htmlPage({
    title: `${title} · Drainward`,
    style: STYLE,
    served: true,
    ...(again !== undefined && { again }),
    body: html`<a class="skip" href="#content">To the content</a>
${
  (trail.length > 0 || withKey) &&
  html`<nav class="trail" aria-label="Where this is"><ol>${trail.map(([name, path]) => html`<li><a href="${path}">${name}</a></li>`)}<li aria-current="page">${title}</li></ol>${
    withKey &&
    html`<form method="post" action="/buildings"><button name="forget" value="key">Forget the key</button></form>`
  }</nav>`
}
<main id="content">
<h1>${title}</h1>
${body}
</main>`,
  });

const STATES: Readonly<Record<HealthState, readonly [mark: Mark, words: string]>> = {
  act: ["critical", "Act"],
  watch: ["major", "Watch"],
  unknown: ["undetermined", "Not known"],
  good: ["pass", "Good"],
};

/** How it is, as a mark and in words. */
export const stateTag = (state: HealthState): Html => {
  const [mark, words] = STATES[state];
  return html`<span class="tag ${mark}">${severityMark(mark)}<span>${words}</span></span>`;
};

/** What to do, where, and who. @param most how many steps are told before the rest is counted */
export const steps = (next: readonly HealthStep[], most: number): Html =>
  next.length === 0
    ? html`<p>Nothing.</p>`
    : html`<ul>${next
        .slice(0, most)
        .map(
          ({ do: what, at, who }) =>
            html`<li>${sentence(what)}${at !== "" && html`: <bdi class="id">${at}</bdi>`}${who !== null && html` (<bdi>${who}</bdi>)`}</li>`,
        )}${next.length > most && html`<li>${`and ${next.length - most} more`}</li>`}</ul>`;

export const sentence = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** `26 November 2026, 14:05`, as clocks in the building go. */
export const timeIn =
  (timeZone: string) =>
  (time: Date | string): string => {
    const parts = new Intl.DateTimeFormat("en-GB", {
      timeZone,
      day: "numeric",
      month: "long",
      year: "numeric",
      hour: "2-digit",
      minute: "2-digit",
      hourCycle: "h23",
    }).formatToParts(typeof time === "string" ? new Date(time) : time);
    const part = (type: Intl.DateTimeFormatPartTypes) => parts.find((each) => each.type === type)?.value ?? "";
    return `${part("day")} ${part("month")} ${part("year")}, ${part("hour")}:${part("minute")}`;
  };

/** A path of ids. */
export const pathTo = (...ids: readonly string[]): string => ids.map((id) => `/${encodeURIComponent(id)}`).join("");
