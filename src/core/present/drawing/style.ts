/**
 * How every drawing looks: ink on paper, light or dark as the reader's machine is set, black on white in print. Nothing is
 * told by color alone: severities differ in shape, water and air in the pattern of their lines. Each class carries a prefix
 * of the drawings' own, so that a picture put into a page changes nothing around it.
 */
export const drawingStyle = `
.dw{--paper:#fdfcfa;--ink:#1d2327;--soft:#535d64;--line:#cdc9c0;--faint:#efece6;--water:#7cc0e8;--deep:#0d5e8f;--air:#9a3f86;--way:#ffd75e;--critical:#9c2a06;--major:#7a5200;--minor:#155f8c;--advice:#4d575e;--undetermined:#6a3584;--on:#fff;max-width:100%;height:auto;font-family:"Liberation Sans",Arial,Helvetica,sans-serif;font-variant-numeric:tabular-nums}
@media (prefers-color-scheme:dark){.dw{--paper:#15191c;--ink:#e6e4df;--soft:#a9b2b8;--line:#414a50;--faint:#1f2529;--water:#2f7fae;--deep:#9fd3f0;--air:#e79ad2;--way:#7d6200;--critical:#ff9d78;--major:#eec35c;--minor:#86c6e6;--advice:#bcc4c9;--undetermined:#d5a6ec;--on:#15191c}}
@media print{.dw{--paper:#fff;--ink:#000;--soft:#444;--line:#aaa;--faint:#f2f2f2;--water:#9ccbe6;--deep:#0d5e8f;--air:#9a3f86;--way:#ffd75e;--critical:#9c2a06;--major:#7a5200;--minor:#155f8c;--advice:#4d575e;--undetermined:#6a3584;--on:#fff}}
.dw text{fill:var(--ink);font-size:10px;text-anchor:middle}
.dw .dw-start{text-anchor:start}
.dw .dw-end{text-anchor:end}
.dw .dw-small{font-size:9px}
.dw .dw-soft{fill:var(--soft)}
.dw .dw-strong{font-weight:700}
.dw .dw-title{font-size:17px;font-weight:700}
.dw .dw-subtitle{font-size:11px;fill:var(--soft)}
.dw .dw-head{font-size:11px;font-weight:700}
.dw-paper{fill:var(--paper)}
.dw-floor{stroke:var(--line);fill:none}
.dw-band{fill:var(--faint)}
.dw-pipe{fill:none;stroke:var(--ink);stroke-width:1.3;stroke-linejoin:round}
.dw-common{stroke-width:2.4}
.dw-vent{stroke-dasharray:4 2.5;stroke-width:1.1}
.dw-second{stroke-dasharray:7 2 1.5 2;stroke-width:1.1}
.dw-pressure{stroke-dasharray:9 3}
.dw-access{stroke-width:1.1}
.dw-symbol{fill:var(--paper);stroke:var(--ink);stroke-width:1.2;stroke-linejoin:round}
.dw-line{fill:none;stroke:var(--ink);stroke-width:1.2;stroke-linecap:round;stroke-linejoin:round}
.dw-solid{fill:var(--ink)}
.dw-dot{fill:var(--ink)}
.dw-wet{fill:none;stroke:var(--water);stroke-width:3}
.dw-sealed{fill:none;stroke:var(--water);stroke-width:7}
.dw-water{fill:var(--water)}
.dw-surface{fill:none;stroke:var(--deep);stroke-width:1.1}
.dw-air{fill:none;stroke:var(--air);stroke-width:4.5;stroke-dasharray:0 7;stroke-linecap:round}
.dw-way{fill:none;stroke:var(--way);stroke-width:9;stroke-linecap:round;stroke-linejoin:round}
.dw-flood{fill:none;stroke:var(--water);stroke-width:9;stroke-linecap:round;stroke-linejoin:round}
.dw-block{fill:var(--ink);stroke:var(--paper);stroke-width:1}
.dw-cross{fill:none;stroke:var(--paper);stroke-width:1.6}
.dw-drop{fill:var(--deep);stroke:var(--paper);stroke-width:.8}
.dw-tripped{fill:var(--deep)}
.dw-grid{fill:none;stroke:var(--line);stroke-width:.6}
.dw-leader{fill:none;stroke:var(--soft);stroke-width:.6}
.dw-needed{fill:none;stroke:var(--soft);stroke-width:1;stroke-dasharray:2 3}
.dw-body{fill:var(--faint);stroke:none}
.dw-invert{fill:none;stroke:var(--ink);stroke-width:2}
.dw-crown{fill:none;stroke:var(--ink);stroke-width:.8}
.dw-flooded{opacity:.85}
.dw-thin{stroke-width:5;stroke-linecap:butt}
.dw-flat{stroke-linecap:butt}
.dw-unknown{stroke-dasharray:3 3}
.dw-tube{fill:none;stroke:var(--ink);stroke-width:7}
.dw-tube-in{fill:none;stroke:var(--faint);stroke-width:5}
.dw-tube-water{fill:none;stroke:var(--water);stroke-width:5}
.dw-seal{fill:var(--water);stroke:none}
.dw-gap{fill:var(--paper)}
.dw .dw-tiny{font-size:8px}
.dw-dim{opacity:.45}
.dw-mark text{font-size:9px;font-weight:700}
.dw-mark .dw-mark-text{fill:var(--on)}
.dw-critical path{fill:var(--critical)}
.dw-major rect{fill:var(--major)}
.dw-minor rect{fill:var(--minor)}
.dw-advice rect{fill:var(--paper);stroke:var(--advice);stroke-width:1.3}
.dw-advice .dw-mark-text{fill:var(--advice)}
.dw-undetermined rect{fill:var(--paper);stroke:var(--undetermined);stroke-width:1.3;stroke-dasharray:3 2}
.dw-undetermined .dw-mark-text{fill:var(--undetermined)}
.dw-halo{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}
`.trim();
