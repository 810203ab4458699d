// SPDX-License-Identifier: Apache-2.0
// How a reading's page looks: on a phone, on a wide screen, in the dark and on paper.
#include "pages/page_parts.h"

namespace truepull {

const char* const kPageStyle = R"css(
:root{color-scheme:light dark;--ink:#1b1b1b;--soft:#5c5c5c;--line:#c9c5bd;--ground:#f6f4ef;--card:#fff;
 --sheet:#fff;--out:#b00020;--tile:#8d8a84;--fill:#efece5;--note:#fff4d6;--note-line:#c58a00}
@media (prefers-color-scheme:dark){:root{--ink:#eceae6;--soft:#b3afa8;--line:#4b4843;--ground:#191816;--card:#23211f;
 --sheet:#2b2927;--out:#ff8a80;--tile:#8d8a84;--fill:#34312e;--note:#3a2f12;--note-line:#e0ad3c}}
*{box-sizing:border-box}
body{margin:0;background:var(--ground);color:var(--ink);font:17px/1.5 system-ui,-apple-system,"DejaVu Sans",sans-serif}
main{max-width:1080px;margin:0 auto;padding:16px}
h1{font-size:1.5rem;line-height:1.25;margin:.3em 0 .1em}
h2{font-size:1.15rem;margin:1.6em 0 .5em}
p{margin:.5em 0}
.soft,figcaption{color:var(--soft);font-size:.9rem}
.card{background:var(--card);border:1px solid var(--line);border-radius:8px;padding:4px 16px;margin:12px 0}
.card ul{margin:.5em 0;padding-left:1.2em}
.card li{margin:.35em 0}
.look{background:var(--note);border-color:var(--note-line);border-left-width:6px}
figure{margin:0}
figure img{display:block;width:100%;height:auto;border:1px solid var(--line);border-radius:4px}
.under{position:relative;border:1px solid var(--line);border-radius:4px;overflow:hidden}
.under img{border:0;border-radius:0}
.layer{position:absolute;left:0;top:0;width:100%;height:auto}
.layers:not(:checked)~figure .layer{visibility:hidden}
.layers{width:1.1em;height:1.1em;vertical-align:-.15em;margin:.4em .3em .6em 0}
#colour-shapes{fill-rule:evenodd;fill-opacity:var(--flat,0);stroke:#fff;stroke-width:.3;stroke-opacity:var(--line-on,1)}
#colour-shapes .edge,#colour-shapes .whole{stroke:none}
#colour-shapes .bare{stroke:#ffe94a}
#colour-shapes .other{stroke:#6ff}
.flat{--flat:1;--line-on:0;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.map text.on{fill:#000;stroke:#fff;stroke-width:.25em;paint-order:stroke;stroke-linejoin:round}
.cover{-webkit-print-color-adjust:exact;print-color-adjust:exact}
.cover .t9{fill:#7d8b98}.cover .t8{fill:#95a1ac}.cover .t7{fill:#a8b2bb}.cover .t6{fill:#b8c0c8}.cover .t5{fill:#c7cdd4}
.cover .t4{fill:#d4d9de}.cover .t3{fill:#dfe3e7}.cover .t2{fill:#e9ecef}.cover .t1{fill:#f2f4f5}.cover .t0{fill:#fff}
.map.cover .tile{fill:none;stroke:#222}
.maps{display:grid;gap:20px;grid-template-columns:1fr}
@media (min-width:900px){.maps{grid-template-columns:1fr 1fr}}
.map{display:block;width:100%;height:auto;border:1px solid var(--line);border-radius:4px;background:var(--ground)}
.map .ground{fill:var(--ground)}
.map .sheet{fill:var(--sheet);stroke:var(--line);stroke-width:1}
.map .tile{fill:var(--fill);stroke:var(--tile);stroke-width:.7}
.map .faint{stroke-dasharray:3 2;stroke-width:1.4}
.map .gone{fill:none;stroke-dasharray:1 2}
.map text{fill:var(--ink);text-anchor:middle;font-family:system-ui,"DejaVu Sans",sans-serif;font-weight:600}
.map text.left{text-anchor:start;font-weight:400}
.map text.pale{fill:var(--soft);font-weight:400}
.map .arrow line,.cross{stroke:var(--ink);fill:none}
.map .arrow polygon,.map .dot{fill:var(--ink)}
.map .out line{stroke:var(--out)}
.map .out polygon{fill:var(--out)}
.map ellipse{fill:none;stroke:var(--soft);stroke-width:.6}
.map .seam circle{stroke:#000;stroke-width:.8}
.map .gap circle{fill:#fff}
.map .gap text{fill:#000}
.map .overlap circle{fill:#000;stroke:#fff}
.map .overlap text{fill:#fff}
.map .closed circle{fill:none;stroke:var(--soft)}
.wide{overflow-x:auto;border:1px solid var(--line);border-radius:8px;background:var(--card)}
table{border-collapse:collapse;width:100%;font-size:.88rem;white-space:nowrap}
th,td{padding:6px 10px;text-align:left;border-bottom:1px solid var(--line)}
thead th{vertical-align:bottom;white-space:normal;font-weight:600;min-width:4.2em;line-height:1.25}
tbody th{position:sticky;left:0;background:var(--card)}
td.n{text-align:right;font-variant-numeric:tabular-nums}
tr.out td,tr.out th{font-weight:700}
.files{color:var(--soft)}
.swatch{display:inline-block;width:1.1em;height:1.1em;margin-right:.4em;vertical-align:-.2em;border:1px solid var(--ink);border-radius:3px;
 -webkit-print-color-adjust:exact;print-color-adjust:exact}
code{font-size:.92em}
th button{font:inherit;color:inherit;background:none;border:0;padding:0;text-align:left;cursor:pointer;
 text-decoration:underline dotted;text-underline-offset:3px}
summary{cursor:pointer;padding:6px 0}
@media print{:root{--ground:#fff;--card:#fff;--sheet:#fff}body{font-size:11pt}.wide{overflow:visible}table{font-size:8pt}
 h2{break-after:avoid}figure,.map{break-inside:avoid}}
)css";

// Sorting only: a click on a heading sorts by it, a second one the other way round.
const char* const kPageScript = R"js(
for(const t of document.querySelectorAll("table.sites"))t.querySelectorAll("thead th").forEach((h,i)=>{
 const b=document.createElement("button");b.type="button";b.title="sort by this";b.append(...h.childNodes);h.append(b);let up=false;
 b.onclick=()=>{up=!up;const v=r=>{const c=r.children[i],d=c.dataset.v;return d===undefined?c.textContent:+d};
  const rows=[...t.tBodies[0].rows].sort((p,q)=>{const a=v(p),c=v(q);if(a===""||c==="")return (a==="")-(c==="");
   return (a<c?-1:a>c?1:0)*(up?1:-1)});t.tBodies[0].append(...rows);
  t.querySelectorAll("thead th").forEach(x=>x.removeAttribute("aria-sort"));h.setAttribute("aria-sort",up?"ascending":"descending")}});
)js";

}  // namespace truepull
