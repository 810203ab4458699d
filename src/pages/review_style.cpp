// SPDX-License-Identifier: Apache-2.0
// What the pages over many sheets need besides kPageStyle.
#include "pages/review_parts.h"

namespace truepull {

const char* const kReviewStyle = R"css(
.grid{display:grid;gap:14px;grid-template-columns:repeat(auto-fill,minmax(240px,1fr))}
.grid figure{background:var(--card);border:1px solid var(--line);border-radius:8px;padding:8px}
.grid figcaption b{color:var(--ink)}
.plots{display:grid;gap:14px;grid-template-columns:1fr}
@media (min-width:760px){.plots{grid-template-columns:1fr 1fr}}
main h3{font-size:1rem;margin:1.1em 0 .5em}
.plot{display:block;width:100%;height:auto;background:var(--card);border:1px solid var(--line);border-radius:8px}
.plot text{fill:var(--ink);font-family:system-ui,"DejaVu Sans",sans-serif}
.plot .small{fill:var(--soft)}
.plot .axis{stroke:var(--line);fill:none}
.plot .middle{stroke:var(--ink);stroke-width:1;fill:none}
.plot .limit{stroke:var(--soft);stroke-width:1;stroke-dasharray:5 4;fill:none}
.plot .step{stroke:var(--ink);stroke-width:1.5;stroke-dasharray:2 3;fill:none}
.plot .line{stroke:var(--ink);stroke-width:1.5;fill:none}
.plot .dot{fill:var(--ink)}
.plot .mark{fill:var(--card);stroke:var(--out);stroke-width:2.5}
.plot .bar{fill:var(--tile)}
.plot .whisker{stroke:var(--ink);stroke-width:1.5;fill:none}
.map .weakring{fill:none;stroke:var(--ink)}
td.words{white-space:normal;min-width:11em}
table.sites td.words{white-space:normal;min-width:11em;max-width:26em}
table.sites td img{display:block;width:110px;height:auto;border:1px solid var(--line);border-radius:3px}
figure.narrow{max-width:640px}
.lookhere{font-weight:700}
.count{font-size:1.05rem}
.person{break-after:page;page-break-after:always;max-width:640px}
.person .who{font-size:1.5rem;margin:.2em 0}
.person h3{font-size:1.05rem;margin:1.2em 0 .2em}
.person p.big{font-size:1.2rem;line-height:1.4}
.person+.person{border-top:1px solid var(--line);margin-top:24px;padding-top:12px}
a{color:inherit}
a:focus-visible,button:focus-visible,summary:focus-visible,.wide:focus-visible{outline:3px solid var(--note-line);outline-offset:2px}
@media (max-width:640px){main{padding:10px}
 table.sites.cards thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
 table.sites.cards,table.sites.cards tbody,table.sites.cards tr,table.sites.cards td,table.sites.cards th{display:block}
 table.sites.cards tr{border-bottom:2px solid var(--line);padding:8px 0}
 table.sites.cards td,table.sites.cards tbody th{border:0;padding:2px 12px;white-space:normal;text-align:left;position:static}
 table.sites.cards tbody th{font-size:1.15rem}
 table.sites.cards td[data-name]::before{content:attr(data-name) ": ";color:var(--soft)}
 table.sites.cards td.words{max-width:none}}
@media print{.grid{grid-template-columns:repeat(3,1fr)}.plots{grid-template-columns:1fr 1fr}.plot,.grid figure{break-inside:avoid}
 tr{break-inside:avoid}.noprint{display:none}table.sites td img{width:70px}
 .person+.person{border:0;margin:0;padding:0}
 *{-webkit-print-color-adjust:exact;print-color-adjust:exact}}
)css";

}  // namespace truepull
