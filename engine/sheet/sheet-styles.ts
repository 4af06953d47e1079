import { cssString } from './sheet-markup.ts';

/** Styles of a sheet: black on white, for A4 and for paper of US letter size. @param footer Stands below every page. */
export function sheetStyles(footer: string): string {
  return `@page { size: A4; margin: 14mm 14mm 16mm;
  @bottom-left { content: ${cssString(footer)}; font: 7.5pt Arial, sans-serif; color: #000; }
  @bottom-right { content: counter(page) " / " counter(pages); font: 7.5pt Arial, sans-serif; color: #000; } }
@page turned { size: A4 landscape; }
* { box-sizing: border-box; }
body { max-width: 182mm; margin: 0 auto; padding: 6mm 0; color: #000; background: #fff; font: 9.5pt/1.35 'IBM Plex Sans', 'Source Sans Pro', 'Helvetica Neue', Arial, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 17pt; line-height: 1.2; margin: 0 0 2mm; }
h2 { font-size: 13pt; margin: 6mm 0 2mm; padding-bottom: 0.5mm; border-bottom: 0.4mm solid #000; }
h3 { font-size: 10.5pt; margin: 4mm 0 1mm; }
h1, h2, h3 { break-after: avoid; break-inside: avoid; }
h2 + p, h3 + p, p:has(+ table) { break-after: avoid; }
p { margin: 1mm 0; orphans: 3; widows: 3; }
ul { margin: 1mm 0; padding-left: 5mm; }
li { margin: 0.7mm 0; break-inside: avoid; }
.pedal > h1 { margin-top: 5mm; }
.facts { display: grid; grid-template-columns: 30mm 1fr; gap: 0.5mm 4mm; margin: 0; }
.facts dt { font-weight: 600; }
.facts dd { margin: 0; }
.source { font-size: 8pt; }
figure { margin: 2mm 0; break-inside: avoid; }
figure > svg { display: block; max-width: 100%; max-height: 225mm; }
figure.turned { page: turned; }
figure.wide > svg { width: 100%; height: auto; }
table { width: 100%; table-layout: fixed; border-collapse: collapse; font-size: 8.5pt; line-height: 1.25; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
tbody:first-of-type tr:nth-child(-n + 3) { break-after: avoid; }
tbody:last-of-type tr:nth-last-child(-n + 2) { break-before: avoid; }
.group { break-after: avoid; }
.whole { break-inside: avoid; }
th, td { padding: 0.7mm 1.5mm 0.7mm 0; text-align: left; vertical-align: top; border-bottom: 0.15mm solid #888; font-weight: 400; }
thead th, .group th { font-weight: 600; }
thead th { border-bottom: 0.3mm solid #000; }
.group th { padding-top: 2mm; border-bottom-color: #000; }
.code { display: flex; gap: 1.5mm; align-items: start; margin: 0.4mm 0; font-size: 8pt; }
.bands { flex: none; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.box { display: inline-block; width: 3mm; height: 3mm; border: 0.25mm solid #000; }
.schematic path, .schematic circle, .schematic rect { fill: none; stroke: #000; stroke-width: 0.13; stroke-linecap: round; stroke-linejoin: round; }
.schematic .thin { stroke-width: 0.09; }
.schematic .body, .schematic .contact { fill: #fff; }
.schematic .solid, .schematic .junction { fill: #000; }
.schematic .junction { stroke: none; }
.schematic .frame { stroke-width: 0.08; stroke-dasharray: 0.4 0.4; }
.schematic .lifted { stroke-dasharray: 0.3 0.25; }
.schematic .unfitted path, .schematic .unfitted circle { stroke-dasharray: 0.25 0.25; }
.schematic .bridge { stroke-width: 0.2; }
.schematic text { fill: #000; font-family: inherit; }
.schematic .ref { font-weight: 600; }
.schematic .flag { font-size: 0.95px; }
.schematic .heading { font-size: 1.25px; font-weight: 600; }
.pedal + .pedal { break-before: page; }
.pedal + .pedal > h1 { margin-top: 0; }
td ul { padding-left: 3.5mm; }
.cautions, .changes { break-inside: avoid; }
@media print { body { max-width: none; padding: 0; } }
`;
}
