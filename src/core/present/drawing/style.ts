/**
 * How every drawing looks: ink on paper, light or dark as the reader's machine is set. Nothing is told by color alone:
 * severities differ in shape, water and air in the pattern of their lines. Each class carries the drawing's own prefix, so
 * that a picture put into a page changes nothing around it.
 */
export const drawingStyle = `
.dw{--paper:#fdfcfa;--ink:#1d2327;--soft:#535d64;--line:#cdc9c0;--water:#5aa9d6;--deep:#0d5e8f;--air:#9a3f86;--way:#f2c230;
--critical:#9c2a06;--major:#7a5200;--minor:#155f8c;--advice:#4d575e;--undetermined:#6a3584;--on:#fff;
max-width:100%;height:auto;background:var(--paper);font-family:"Liberation Sans",Arial,Helvetica,sans-serif;font-variant-numeric:tabular-nums}
@media (prefers-color-scheme:dark){.dw{--paper:#15191c;--ink:#e6e4df;--soft:#a9b2b8;--line:#414a50;--water:#3f8fbd;--deep:#9fd3f0;--air:#e79ad2;--way:#8a6d00;
--critical:#ff9d78;--major:#eec35c;--minor:#86c6e6;--advice:#bcc4c9;--undetermined:#d5a6ec;--on:#15191c}}
`;
