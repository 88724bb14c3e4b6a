import { createHash } from "node:crypto";
import type { Audit } from "../audit/answer.js";
import { type Content, Html, html } from "./html.js";
import { severityShapes } from "./severity-marks.js";

export interface Page {
  readonly title: string;
  readonly body: Content;
  /** added to the sheet that all pages share */
  readonly style?: string;
  /** a page of the service: it shows pictures from there and sends forms back */
  readonly served?: true;
  /** s until the page is to be asked for again */
  readonly again?: number;
}

/** One whole HTML document without script, pictures or type from elsewhere; it says so itself, so that no later hand adds any. */
export const htmlPage = ({ title, body, style = "", served, again }: Page): string => {
  const sheet = pageStyle + style;
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policyOf(sheet, served)}">${
    again !== undefined &&
    html`
<meta http-equiv="refresh" content="${again}">`
  }
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="generator" content="Drainward">
<title>${title}</title>
<style>${new Html(sheet)}</style>
</head>
<body>
${severityShapes}
${body}
</body>
</html>
`.toString();
};

/**
 * What a browser may load for a page of this sheet: nothing but the sheet, and of a served page pictures from where it is.
 * Drawings set widths of lines on the lines themselves.
 */
const policyOf = (sheet: string, served = false): string => {
  const look = `default-src 'none'; style-src 'sha256-${createHash("sha256").update(sheet).digest("base64")}'; style-src-attr 'unsafe-inline'; base-uri 'none'`;
  return served ? `${look}; img-src 'self'; form-action 'self'` : `${look}; form-action 'none'`;
};

/** The same for the header of a served page. */
export const servedPolicy = (style: string): string => `${policyOf(pageStyle + style, true)}; frame-ancestors 'none'`;

/** At the foot of each printed page: what it belongs to, and which page it is. Neither id nor digest can hold a quote. */
export const runningFoot = ({ id, digest }: Audit["network"], date: string | undefined): string =>
  `@page{@bottom-left{content:"${id} · ${digest.slice(0, 19)}${date === undefined ? "" : ` · ${date.slice(0, 10)}`}";font:7pt sans-serif}@bottom-right{content:counter(page) " / " counter(pages);font:7pt sans-serif}}`;

/**
 * What every page looks like: ink on paper, light or dark as the reader's machine is set, black on white in print. Each
 * severity has a color apart from the others in lightness as well as in hue; a mark and a word always stand beside it.
 */
export const pageStyle = `
:root{color-scheme:light dark;--paper:#fdfcfa;--panel:#f3f1ec;--ink:#1d2327;--soft:#535d64;--line:#cdc9c0;--link:#0a5273;--focus:#0a5273;
--critical:#9c2a06;--major:#7a5200;--minor:#155f8c;--advice:#4d575e;--undetermined:#6a3584;--pass:#2f6b3f}
@media (prefers-color-scheme:dark){:root{--paper:#15191c;--panel:#1f2529;--ink:#e6e4df;--soft:#a9b2b8;--line:#414a50;--link:#86c6e6;--focus:#86c6e6;
--critical:#ff9d78;--major:#eec35c;--minor:#86c6e6;--advice:#bcc4c9;--undetermined:#d5a6ec;--pass:#93d3a2}}
*{box-sizing:border-box}
html{font-size:100%;-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0 auto;max-width:76rem;padding:1.5rem 1rem 4rem;background:var(--paper);color:var(--ink);font-family:"Segoe UI","Helvetica Neue",Arial,"Liberation Sans",sans-serif;line-height:1.5;overflow-wrap:break-word}
.shapes{position:absolute}
h1,h2,h3,h4{line-height:1.2;margin:0 0 .5em;break-after:avoid;break-inside:avoid;text-wrap:balance}
h1{font-size:1.9rem;letter-spacing:-.01em}
h2{font-size:1.35rem;margin-top:2.6rem;padding-top:.6rem;border-top:3px solid var(--ink)}
h3{font-size:1.05rem}
h4{font-size:.95rem;color:var(--soft)}
p,ul,ol,dl{margin:0 0 .8rem;orphans:3;widows:3}
ul,ol{padding-left:1.3rem}
li{margin-bottom:.25rem}
a{color:var(--link);text-underline-offset:.15em}
a:focus-visible,[tabindex]:focus-visible,input:focus-visible,button:focus-visible,summary:focus-visible{outline:3px solid var(--focus);outline-offset:2px}
code,.id{font-family:ui-monospace,"Liberation Mono",Menlo,Consolas,monospace;font-size:.88em;overflow-wrap:anywhere}
bdi.id{display:inline-block;max-width:100%}
small,.soft{color:var(--soft)}
small{font-size:.85rem}
.kicker{margin:0 0 .2rem;font-size:.85rem;font-weight:600;color:var(--soft)}
.mark{width:1.5em;height:1.125em;vertical-align:-.15em;flex:none}
.critical{color:var(--critical)}.major{color:var(--major)}.minor{color:var(--minor)}.advice{color:var(--advice)}.undetermined{color:var(--undetermined)}.pass{color:var(--pass)}
.tag{display:inline-flex;gap:.45em;align-items:baseline;font-weight:650}
.tag .mark{align-self:center}
.scroll{overflow-x:auto;max-width:100%;margin-bottom:1rem}
table{border-collapse:collapse;width:100%;font-size:.875rem;font-variant-numeric:tabular-nums lining-nums}
caption{text-align:left;padding:.2rem 0 .5rem;color:var(--soft);caption-side:top}
th,td{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;border-bottom:1px solid var(--line)}
thead th{border-bottom:2px solid var(--ink);vertical-align:bottom;line-height:1.2;font-weight:650}
th[scope=row]{font-weight:500}
.number{text-align:right;white-space:nowrap}
dl.facts{display:grid;grid-template-columns:minmax(7.5rem,max-content) 1fr;gap:.25rem 1rem}
dl.facts dt{color:var(--soft)}
dl.facts dd{margin:0;min-width:0}
@media (max-width:34rem){dl.facts{grid-template-columns:1fr;gap:0}dl.facts dd{margin-bottom:.5rem}h1{font-size:1.5rem}}
figure{margin:1rem 0;break-inside:avoid}
figure svg{max-width:100%;height:auto}
figcaption{font-size:.85rem;color:var(--soft);margin-top:.3rem}
.skip{position:absolute;left:-100vw;top:0;background:var(--paper);padding:.5rem 1rem}
.skip:focus{left:0;z-index:1}
@page{margin:15mm 14mm 18mm}
@media print{
:root{color-scheme:light;--paper:#fff;--panel:#fff;--ink:#000;--soft:#000;--line:#777;--link:#000;
--critical:#000;--major:#000;--minor:#000;--advice:#000;--undetermined:#000;--pass:#000}
html{font-size:9.5pt}
body{max-width:none;padding:0;line-height:1.35}
a{text-decoration:none}
.scroll{overflow:visible}
thead{display:table-header-group}
tr,li,dt{break-inside:avoid}
dt{break-after:avoid}
.screen{display:none}
}
`;
