/** What the report adds to the sheet that all pages share. Schedules lie across the paper. */
export const reportStyle = `
.verdict{background:var(--panel);padding:1rem;border-left:4px solid var(--ink)}
.counts{list-style:none;padding:0;margin:0;display:flex;flex-wrap:wrap;gap:.2rem 1.2rem}
.finding{border-top:1px solid var(--line);padding-top:1rem;margin-top:1.4rem}
.finding h3{margin-bottom:.2rem}
.finding .named{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;align-items:baseline;justify-content:space-between}
.told dl.facts{grid-template-columns:1fr;gap:0}
.told dl.facts dd{margin-bottom:.45rem}
.told figure{margin:0 0 .8rem}
@media print,(min-width:60rem){.told{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1.3fr);gap:0 1.5rem}}
table.first td:last-child{width:36%}
table.schedule{font-size:.8125rem}
table.schedule th.number{white-space:normal}
table.schedule th:first-child,table.schedule td:nth-child(2){min-width:9.5em}
table.schedule td:last-child{min-width:4.5em}
tr.part th{background:var(--panel);padding:.45rem .4rem;font-weight:650;break-after:avoid}
.sign td{width:70%;height:2.4rem}
.sources dt{font-weight:600;margin-top:.5rem}
.sources dd{margin:0 0 .3rem}
nav.contents{margin-top:2rem}
nav.contents ol{columns:2 14rem}
@media screen{.picture .dw{max-width:none}}
.sheets{display:none}
@media print{
.sheets{display:block}
.sheet{display:block;width:100%;break-inside:avoid;break-after:page}
.sheet:last-child{break-after:auto}
#diagram{break-before:page}
#fails{break-before:page}
.verdict{border:1px solid #000;border-left-width:3pt;background:none}
tr.part th{background:none;border-bottom:1px solid #000}
table.schedule{font-size:7pt}
table.schedule th,table.schedule td{padding:1.5pt 4pt 1.5pt 0}
.across{page:across}
.finding>h3,.finding>p:first-of-type{break-after:avoid}
h3+p,h3+.scroll,h3+ul,caption{break-before:avoid}
.signing{break-inside:avoid}
}
@page across{size:landscape}
`;
