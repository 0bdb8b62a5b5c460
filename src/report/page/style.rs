//! The page's look.

/// CSS. Selectors of drawings name no ancestor, as a shape that is defined once and used many times
/// has none where it is used. Classes: `n` number cell, `w` what is lost, `p` pieces, `k` kept, `m` dimension lines,
/// `bare` a shape without its line, `o` a cell of many words, `many` a table of many columns, `drawn` drawings of which two
/// stand beside each other on paper, `s` a label that is too small for paper.
pub const STYLE: &str = "
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;padding:12px;max-width:1120px;background:#fff;color:#000;
font:15px/1.45 'Helvetica Neue',Arial,'Liberation Sans','Nimbus Sans',sans-serif;overflow-wrap:break-word}
h1{font-size:1.5em;margin:0;font-weight:600}
h2{font-size:1.2em;margin:2.2em 0 .6em;padding-top:.4em;border-top:2px solid #000;font-weight:600}
h3{font-size:1em;margin:1.6em 0 .4em;font-weight:600}
p,ul,ol{max-width:46em;margin:.5em 0}
li{margin:.25em 0}
a{color:inherit}
.title{border:2px solid #000;display:flex;flex-wrap:wrap;overflow:hidden}
.title>div{flex:1 1 150px;padding:6px 10px;border:solid #000;border-width:0 1px 1px 0;margin:0 -1px -1px 0}
.title .wide{flex-basis:100%}
.title small,figcaption small{display:block;font-size:.8em}
nav{margin:1em 0;line-height:2}
nav a{margin-right:.9em;display:inline-block;min-width:24px}
.scroll:focus-visible{outline:2px solid #000}
.scroll{overflow-x:auto;margin:.6em 0}
table{border-collapse:collapse;font-size:.9em;font-variant-numeric:tabular-nums}
td:first-child{min-width:5em}
.o{min-width:11em}
th,td{border:1px solid #000;padding:3px 7px;text-align:left;vertical-align:top}
th{font-weight:600;vertical-align:bottom}
th.n{white-space:normal}
tfoot td{border-top:2px solid #000;font-weight:600}
.n{text-align:right;white-space:nowrap}
.sheet{display:flex;flex-wrap:wrap;gap:20px 24px;align-items:flex-start}
figure{margin:0;break-inside:avoid}
.sheet figure{width:332px;max-width:100%}
figcaption{margin-bottom:4px}
.list{font-size:.82em;margin:3px 0 0;line-height:1.5}
.list b{font-weight:600}
svg{display:block;max-width:100%;height:auto;overflow:hidden}
text{text-anchor:middle;font-family:inherit;fill:#000}
path{stroke:var(--line,#000);stroke-width:1px;vector-effect:non-scaling-stroke;fill:none}
.w{fill:url(#lost)}
.p{fill:#fff}
.bare{--line:none}
.k{fill:#fff;stroke-dasharray:5 3}
.m{stroke-width:.6px}
.pulls .m{marker:url(#tick)}
.roll path{stroke-width:.5px}
.roll text{paint-order:stroke;stroke:#fff;stroke-width:5px;vector-effect:non-scaling-stroke}
@media screen and (max-width:760px){
.chart{overflow-x:auto}
.chart svg{min-width:540px}
}
@media screen and (max-width:1120px){
.chart,.scroll,.ticket{background:linear-gradient(90deg,#fff 40%,#fff0) 0 0/36px 100% local no-repeat,
linear-gradient(270deg,#fff 40%,#fff0) 100% 0/36px 100% local no-repeat,
linear-gradient(90deg,#0006,#0000) 0 0/12px 100% scroll no-repeat,
linear-gradient(270deg,#0006,#0000) 100% 0/12px 100% scroll no-repeat}
}
@media screen and (max-width:560px){
.chart::before{content:'Wider than the screen: scroll it sideways.';display:block;position:sticky;left:0;width:max-content;font-size:.8em}
td:first-child{min-width:0}
.o{min-width:8em}
table{font-size:.84em}
td,th{padding:3px 4px}
}
.chart:focus-visible{outline:2px solid #000}
.sheet{--px:1px}
.sheet svg{width:calc(var(--w)*var(--px))}
.pulls svg{font-size:var(--f)}
.sheet figure,.roll-figure,.scroll{content-visibility:auto}
.sheet figure{contain-intrinsic-size:auto 332px auto 420px}
.roll-figure{contain-intrinsic-size:auto none auto 180px}
.scroll{contain-intrinsic-size:auto none auto 600px}
svg.roll{min-height:14px}
.roll-figure{margin:1.4em 0}
.ticket{content-visibility:auto;contain-intrinsic-size:auto none auto 460px;overflow-x:auto}
.ticket table{width:100%}
.ticket td p{margin:.3em 0 0;font-size:.92em}
@media print,(min-width:640px){
.ticket th:nth-child(1){width:22%}
.ticket th:nth-child(2){width:8%}
.ticket th:nth-child(3){width:21%}
.ticket th:nth-child(4){width:8%}
}
.ticket tbody td:first-child::before{content:'';display:inline-block;width:.8em;height:.8em;border:1px solid #000;margin-right:.5em;vertical-align:-.05em}
@media print{
body{padding:0;max-width:none;font-size:9.5pt}
.sheet figure,.roll-figure,.scroll,.ticket{content-visibility:visible}
nav{display:none}
.scroll{overflow:visible}
table{font-size:8pt}
th,td{padding:1.5pt 4pt}
td:first-child{min-width:0}
.o{min-width:7em}
.many{font-size:6.5pt}
.many th,.many td{padding:1.5pt 2.5pt}
.ticket{overflow:visible;break-inside:avoid}
thead{display:table-header-group}
tr,li{break-inside:avoid}
h2,h3{break-after:avoid}
#pulls{break-before:page}
.sheet{display:block;columns:3;column-gap:5mm}
.sheet.drawn{columns:2}
.pulls{--px:.68px}
.s{display:none}
.sheet figure{width:auto;margin-bottom:5mm;display:inline-block;font-size:8pt}
.sheet table{font-size:6.5pt}
.sheet th,.sheet td{padding:1pt 2pt}
a{text-decoration:none}
}
";
