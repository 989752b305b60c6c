"""How a sheet looks: on a desk, on a telephone, in the dark, and on paper."""

STYLE = """
:root { color-scheme: light dark; --ground: #ffffff; --ink: #1a1a1a; --soft: #474747; --line: #767676; --band: #f1ede6;
  --go: #0b4f8a; }
@media screen and (prefers-color-scheme: dark) {
  :root { --ground: #171717; --ink: #ededed; --soft: #c4c4c4; --line: #8a8a8a; --band: #2a2723;
    --go: #9cc9f5; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 72rem; background: var(--ground); color: var(--ink);
  font: 1rem/1.5 Arial, Helvetica, "Liberation Sans", "DejaVu Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 0.5rem 0; }
h2 { font-size: 1.35rem; line-height: 1.25; margin: 2rem 0 0.5rem; border-bottom: 2px solid var(--line); }
h3 { font-size: 1.15rem; margin: 1.5rem 0 0.5rem; }
h4 { font-size: 1rem; margin: 0.75rem 0 0.25rem; }
p, ul, ol { margin: 0.25rem 0 0.5rem; }
li { margin: 0.15rem 0; }
.soft, caption, figcaption { color: var(--soft); }
.care { background: var(--band); border-left: 0.4rem solid var(--line); padding: 0.5rem 0.75rem; }
.care ul { padding-left: 1.2rem; }
.steps { list-style: none; padding: 0; }
.steps > li { border-top: 1px solid var(--line); padding: 0.25rem 0; }
.box { overflow-x: auto; margin: 0.75rem 0; }
.box:focus-visible { outline: 3px solid var(--go); }
table { border-collapse: collapse; font-size: 0.875rem; }
caption { text-align: left; padding: 0.25rem 0; }
caption span { display: block; max-width: calc(100vw - 2rem); }
th, td { border: 1px solid var(--line); padding: 0.25rem 0.5rem; text-align: left; vertical-align: top; }
td, tbody th { white-space: nowrap; }
.list td, .list th { white-space: normal; min-width: 7rem; }
thead th { min-width: 4.5rem; background: var(--band); vertical-align: bottom; }
.pictures { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 24rem), 1fr)); }
.panels { display: flex; flex-wrap: wrap; list-style: none; padding: 0; }
.pictures, .panels { gap: 1rem; align-items: flex-start; margin: 0.75rem 0; }
.panels > * { margin: 0; min-width: min(100%, 13rem); max-width: 100%; }
figure { margin: 0; }
figcaption { font-size: 0.875rem; padding-top: 0.25rem; }
figure svg { display: block; max-width: 100%; height: auto; background: #ffffff; border: 1px solid var(--line); }
.square { display: block; }
@page { margin: 12mm 14mm 14mm; }
@media print {
  body { padding: 0; max-width: none; font-size: 10pt; line-height: 1.35; }
  table { font-size: 8pt; }
  th, td { padding: 0.6mm 1.2mm; }
  td, tbody th { white-space: normal; }
  thead th { min-width: 0; }
  .box { overflow: visible; padding-right: 0.5mm; }
  thead { display: table-header-group; }
  tr, figure, svg, .care, .check, .whole, .steps li li { break-inside: avoid; }
  h1, h2, h3, h4, h2 + p, caption { break-after: avoid; }
  figure svg { max-height: 215mm; }
  .pictures svg { max-height: 102mm; }
}
"""
"""Soft ink on its ground has a contrast of 9 to 1, in the dark 10 to 1; lines at least 4.5 to 1. A4 and Letter both hold
215 mm and a caption, or two pictures of 102 mm."""
