//! The look of the pages that the shop prints.

/// CSS of tickets and kit lists.
pub const TICKETS: &str = "
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;padding:10px;max-width:900px;background:#fff;color:#000;
font:17px/1.35 'Helvetica Neue',Arial,'Liberation Sans','Nimbus Sans',sans-serif;overflow-wrap:break-word}
h1{font-size:2em;margin:0 0 .1em}
h2{font-size:1.5em;margin:0}
.head{display:flex;flex-wrap:wrap;gap:0 1.4em;align-items:baseline;border-bottom:4px solid #000;padding-bottom:4px;margin-bottom:6px}
.head b{font-size:1.9em}
.head span{font-size:1.15em}
.sum{margin:.3em 0}
.care{font-size:.78em;margin:.4em 0;border:1px solid #000;padding:3px 7px}
.sheet{margin:0 0 3em}
.block{border-top:3px solid #000;padding:5px 0 9px;break-inside:avoid}
.block h3{margin:0;font-size:1.2em}
.back{border:2px solid #000;padding:2px 8px;font-weight:700;margin:6px 0}
.run{margin:.2em 0;font-size:1.05em;font-variant-numeric:tabular-nums}
.run span.pull{display:inline-block;margin:0 .9em .15em 0;white-space:nowrap}
.run b{font-size:1.15em}
.write{display:inline-block;width:11em;max-width:100%;border-bottom:1px solid #000}
.box{display:inline-block;width:.95em;height:.95em;border:2px solid #000;vertical-align:-.12em}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums;margin-top:3px}
th,td{border:1px solid #000;padding:2px 7px;text-align:left;vertical-align:top}
th{font-size:.8em;font-weight:600}
td.code{font-size:1.45em;font-weight:700;white-space:nowrap;line-height:1.1}
td.n,th.n{text-align:right;white-space:nowrap}
td.big{font-size:1.15em;white-space:nowrap}
.goes{margin:0;padding:0;list-style:none}
.goes li,.head span{overflow-wrap:anywhere}
.head span{min-width:0}
.lies{display:inline-block;max-width:15em;white-space:normal}
small{font-size:.8em}
thead{display:table-header-group}
tr{break-inside:avoid}
@media screen and (max-width:640px){body{font-size:15px;padding:6px}
.head b{font-size:1.5em}
table{table-layout:fixed}
.block:not(.kit) th:nth-child(1){width:17%}
.block:not(.kit) th:nth-child(2){width:27%}
.block:not(.kit) th:nth-child(3){width:18%}
th,td{padding:2px 3px;overflow-wrap:anywhere}
td.code,td.n,th.n,td.big,.run span.pull{white-space:normal}
td.code{font-size:1.1em}td.big{font-size:1em}.kit table{table-layout:auto;font-size:.78em}.kit th,.kit td{overflow-wrap:break-word}}
@media screen and (max-width:340px){.kit table{font-size:.7em}.kit th,.kit td{padding:2px}.kit td.code{font-size:1em}}
@media print{body{padding:0;max-width:none;font-size:10pt}.sheet{break-after:page;margin:0}.block{padding:3px 0 5px}}
";

/// CSS of what is there to be heard alone.
pub const UNSEEN: &str =
    ".unseen{position:absolute;width:1px;height:1px;margin:0;overflow:hidden;clip-path:inset(50%)}";

/// CSS of labels; how large sheets are is told by [`super::labels`].
pub const LABELS: &str = "
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0;background:#fff;color:#000;
font:8.5pt/1.15 'Helvetica Neue',Arial,'Liberation Sans','Nimbus Sans',sans-serif}
.about{padding:4mm 8mm;font-size:9pt}
.labels{display:grid;break-after:page;overflow:hidden}
.label{width:70mm;height:36mm;padding:2.5mm 3mm 2mm 4mm;overflow:hidden;position:relative}
.label svg{position:absolute;right:2.5mm;top:2mm;width:21mm;height:21mm}
.label b{display:block;font-size:23pt;line-height:1;letter-spacing:-.01em;max-width:43mm;overflow:hidden;white-space:nowrap}
.label b.long{font-size:15pt}
.label i{display:block;font-style:normal;font-size:11pt;font-weight:700;max-width:43mm;white-space:nowrap;overflow:hidden}
.label span{display:block;max-width:43mm;overflow:hidden;white-space:nowrap}
.label span.below{max-width:63mm}
.label em{position:absolute;left:4mm;right:3mm;bottom:2mm;font-style:normal;display:flex;justify-content:space-between;font-size:8pt}
@media print{.about{display:none}}
@media screen and (max-width:218mm){.labels{width:auto;height:auto;padding:4mm 0;grid-template-columns:repeat(auto-fill,70mm);justify-content:center}}
@media screen{.labels{border-bottom:1px dashed #000;margin:0 auto}.about{max-width:210mm;margin:0 auto}}
";
