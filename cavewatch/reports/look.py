"""How reports look on a screen and on paper."""

POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""The content security policy: a browser that heeds it loads nothing and runs nothing."""

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 62rem; padding: 1.5rem; background: #fff; color: #000;
  font: 10.5pt/1.4 system-ui, "Liberation Sans", Arial, sans-serif; }
h1 { font-size: 1.5em; margin: 0 0 .2em; }
h2 { font-size: 1.15em; margin: 1.8em 0 .5em; border-bottom: 1px solid #000; }
h1, h2, h3, figcaption, caption { break-after: avoid; }
h3, figcaption, caption { font-size: 1em; font-weight: 600; text-align: left; }
p { margin: .3em 0; max-width: 46rem; }
figure { margin: 1em 0; break-inside: avoid; }
svg { display: block; width: 100%; height: auto; }
table { border-collapse: collapse; margin: .6em 0 1.2em; width: 100%;
  font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .15em .6em .15em 0;
  border-bottom: 1px solid #bbb; overflow-wrap: anywhere; }
th { font-weight: 600; border-bottom: 1px solid #000; }
.short, th { white-space: nowrap; }
td.number, th.number { text-align: right; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .1em 1em; margin: .5em 0; }
dt { font-weight: 600; }
dd { margin: 0; overflow-wrap: anywhere; }
.caution { border: 1.5px solid #000; padding: .4em .8em; }
@page { size: A4; margin: 15mm 14mm; }
@media print {
  body { max-width: none; padding: 0; font-size: 8.5pt; }
  h2 { margin-top: 1.2em; }
}
"""
