#include "report/page.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/page_parts.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

// Black ink on white paper; one colour, which is never alone in saying anything.
constexpr std::string_view kStyle = R"(
:root{--ink:#16181a;--soft:#55595e;--line:#b9bcc0;--bad:#a3140c}
*{box-sizing:border-box}
html{background:#e9e8e4}
body{margin:0 auto;max-width:1060px;padding:26px 30px 40px;background:#fff;color:var(--ink);
  font:15px/1.45 "DejaVu Sans","Liberation Sans",Arial,sans-serif}
h1{font-size:22px;margin:0}
h2{font-size:16px;margin:30px 0 8px;padding-bottom:3px;border-bottom:2px solid var(--ink);break-after:avoid}
p{margin:6px 0;max-width:92ch}
.told{color:var(--soft);font-size:13px}
.standing{margin:14px 0 16px;padding:10px 14px;border:2px solid var(--ink);font-size:16px;max-width:none}
.standing.stop{border:6px double var(--bad)}
.standing.open{border-style:dashed}
.standing strong{font-size:21px;letter-spacing:.02em}
.facts{display:grid;grid-template-columns:repeat(auto-fit,minmax(190px,1fr));margin:0;
  border:1px solid var(--ink);border-width:1px 0 0 1px}
.facts div{border:1px solid var(--ink);border-width:0 1px 1px 0;padding:3px 8px 4px}
.facts dt{font-size:11px;color:var(--soft)}
.facts dd{margin:0;font-weight:600;overflow-wrap:anywhere}
table{border-collapse:collapse;margin:8px 0;font-size:14px;font-variant-numeric:tabular-nums}
th{font-weight:600;font-size:12px;line-height:1.25;text-align:left;vertical-align:bottom;
  border-bottom:1.5px solid var(--ink)}
th,td{padding:3px 13px 3px 0}
th:last-child,td:last-child{padding-right:0}
th.n,td.n{text-align:right}
td{border-bottom:1px solid var(--line);vertical-align:top}
td.v,td.n,td.name{white-space:nowrap}
td.strong{font-weight:700}
td.hash{font:12px/1.5 "DejaVu Sans Mono","Liberation Mono",monospace;overflow-wrap:anywhere}
thead{display:table-header-group}
tr,figure,.sign-off,.causes li{break-inside:avoid}
svg.plan{display:block;max-width:100%;height:auto;margin:6px auto 0;break-inside:avoid}
svg.sign{width:14px;height:14px;vertical-align:-2px;margin-right:5px}
figure{margin:10px 0 14px}
figcaption{font-size:13px;color:var(--soft);text-align:center}
.key{display:flex;flex-wrap:wrap;gap:2px 22px;list-style:none;margin:4px 0 8px;padding:0;
  justify-content:center;font-size:14px}
.labels{list-style:none;margin:8px 0;padding:0;columns:2 380px;column-gap:26px;font-size:13.5px;
  font-variant-numeric:tabular-nums}
.labels li{margin:0 0 7px;padding-left:22px;text-indent:-22px;break-inside:avoid}
.labels .box{margin-right:8px}
.causes{padding-left:24px}
.causes li{margin:10px 0}
.causes p{margin:2px 0}
.sign-off{margin:16px 0 0;padding:8px 12px 10px;border:1px solid var(--ink)}
.lines{display:grid;grid-template-columns:1fr 1fr;gap:26px 26px;margin:26px 0 6px;max-width:none}
.lines span{border-top:1px solid var(--ink);font-size:11px;color:var(--soft)}
.neat{fill:none;stroke:var(--ink);stroke-width:1}
.tick,.bar{fill:none;stroke:var(--ink);stroke-width:1}
.fill,.tip,.north{fill:var(--ink);stroke:var(--ink);stroke-width:1}
.base{fill:none;stroke:var(--ink);stroke-width:1.3;stroke-dasharray:16 4 3 4}
.cross{fill:none;stroke:var(--ink);stroke-width:1.5}
.run{fill:none;stroke:#9da1a6;stroke-width:.8}
.member{fill:none;stroke:#3c4044;stroke-width:1.3}
.gap{fill:none;stroke:#fff;stroke-width:5}
.wall{fill:none;stroke:var(--ink);stroke-width:4}
.bay{fill:none;stroke:#8a8f95;stroke-width:1;stroke-dasharray:2 4}
.blocked{fill:url(#crossed);stroke:#44484d;stroke-width:1.2}
.ok{fill:var(--ink)}
.dot{fill:#5c6167}
.bad{fill:var(--bad);stroke:var(--bad)}
tr.bad{fill:inherit;stroke:none}
.open{fill:#fff;stroke:var(--ink);stroke-width:1.6}
.fine{fill:none;stroke:var(--ink);stroke-width:1.3}
.vector{fill:none;stroke:var(--ink);stroke-width:1.4}
.limit{fill:none;stroke:var(--ink);stroke-width:1.6;stroke-dasharray:6 3}
.bar-ok{fill:#5c6167}
.bar-bad{fill:url(#hatch);stroke:var(--bad);stroke-width:1.2}
svg text{font:12px "DejaVu Sans","Liberation Sans",Arial,sans-serif;fill:var(--ink)}
svg.plan text{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}
svg text.mid{text-anchor:middle}
svg text.end{text-anchor:end}
svg text.axis{fill:#3c4044}
svg text.strong{font-weight:700}
svg text.place{font-size:11px;font-style:italic;fill:#3c4044}
svg text.runname{font-weight:700;fill:#5c6167}
.pattern{position:absolute;width:0;height:0}
@media print{
html{background:#fff}
body{max-width:none;padding:0;font-size:10.5pt}
h1{font-size:15pt}
h2{font-size:11.5pt;margin-top:16pt}
table{font-size:9pt}
th,td{padding-right:8pt}
th{font-size:8pt}
p.told,figcaption{font-size:8.5pt}
svg *{print-color-adjust:exact;-webkit-print-color-adjust:exact}
}
@media (max-width:700px){body{padding:14px 12px}section{overflow-x:auto}}
)";

void style(Markup& m, const JobPage& page) {
  m.open("style").raw(kStyle);
  std::string left(page.title.empty() ? "deckmark" : style_string(page.title));
  if (!page.revision.empty()) left += " \\00007c  revision " + style_string(page.revision);
  if (!page.list_id.empty()) left += " \\00007c  points.csv " + style_string(page.list_id);
  // Every sheet of a printed page says in its head that the job is not ready.
  const std::string head =
      page.line.starts_with(kReady) ? "" : style_string(cut(page.line, 600));  // what a margin of 24 mm holds
  m.raw(fmt::format(
      "@page{{margin:{} 12mm 16mm;{}@bottom-left{{content:\"{}\";font:8pt "
      "sans-serif}}@bottom-right{{content:\"page \" counter(page) \" of \" "
      "counter(pages);font:8pt sans-serif}}}}\n",
      head.empty() ? "13mm" : "24mm",
      head.empty() ? ""
                   : fmt::format("@top-left{{content:\"{}\";width:100%;text-align:left;font:bold 8pt "
                                 "sans-serif}}",
                                 head),
      left));
  m.close().line();
}

void standing(Markup& m, std::string_view line) {
  const std::size_t colon = std::min(line.find(": "), line.size());
  const std::string_view word = line.substr(0, colon), reason = line.substr(colon);
  const bool stop = word.starts_with(kStop), ready = word == kReady;
  m.open("p", stop ? "class=\"standing stop\"" : ready ? "class=\"standing\"" : "class=\"standing open\"");
  m.element("strong", word).text(reason).close().line();
}

void facts(Markup& m, const JobPage& page) {
  m.open("dl", "class=\"facts\"");
  const auto fact = [&](std::string_view what, std::string_view value) {
    m.open("div").element("dt", what).open("dd").name(value).close().close();
  };
  fact("revision", page.revision.empty() ? "none stated" : page.revision);
  if (!page.runs.empty()) {
    std::size_t count = 0;
    for (const RunNumbers& r : page.runs) count += r.count;
    fact("marks on the floor", fmt::format("{}: {}", count, ranges_text(page.numbers, 3)));
  }
  fact("digest of points.csv", page.list_id);
  fact("unit of the drawing",
       page.drawing_unit == LengthUnit::feet_inches ? "feet and inches" : unit_word(page.drawing_unit));
  fact(page.plan.north.empty() ? "unit of the tables" : "unit of the lists", unit_word(page.list_unit));
  m.close().line();
}

void cautions(Markup& m, bool from_strings) {
  open_section(m, "Before anyone drills");
  m.open("ul");
  constexpr std::string_view kAnchors =
      "Anchors are structural: hanger type, load, spacing and anchor belong to the engineer of record and "
      "the "
      "local code.";
  const std::string_view cautions[] = {
      kAnchors,
      "Before drilling a deck, locate tendons, reinforcement and services.",
      "Never look into a laser.",
      "Work at height under the site's rules.",
      from_strings ? "Heights count from the design floor, not from the slab under a mark."
                   : "The floor list gives the design floor, not the slab under a mark.",
      "Numbers are computed; a licensed person signs for them."};
  for (const std::string_view text : cautions) m.element("li", text);
  m.close().close().line();
}

}  // namespace

std::string page_html(const JobPage& page) {
  Markup m;
  m.raw("<!DOCTYPE html>\n")
      .open("html", "lang=\"en\"")
      .open("head")
      .empty("meta", "charset=\"utf-8\"")
      .empty("meta", "name=\"viewport\" content=\"width=device-width, initial-scale=1\"");
  m.element("title",
            page.title.empty() ? std::string("Layout report") : fmt::format("{}: layout report", page.title))
      .line();
  style(m, page);
  m.close().open("body").line();
  m.raw(
      "<svg class=\"pattern\" aria-hidden=\"true\"><defs><pattern id=\"hatch\" width=\"6\" height=\"6\" "
      "patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">"
      "<rect width=\"6\" height=\"6\" fill=\"#fff\"/><rect width=\"2.4\" height=\"6\" "
      "fill=\"#a3140c\"/></pattern>"
      "<pattern id=\"crossed\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" "
      "patternTransform=\"rotate(-45)\"><rect width=\"1\" height=\"7\" "
      "fill=\"#c3c6ca\"/></pattern></defs></svg>\n");
  m.open("header").element("h1", page.title.empty() ? "Hanger layout" : page.title).line();
  standing(m, page.line);
  facts(m, page);
  for (const std::string& line : page.release) m.element("p", line).line();
  m.close();
  m.open("main").line();
  plan_section(m, page);
  asbuilt_sections(m, page);
  plumb_section(m, page);
  baseline_section(m, page);
  heights_section(m, page);
  numbers_section(m, page);
  bill_section(m, page);
  members_sections(m, page);
  cautions(m, page.plan.north.empty());
  provenance_section(m, page);
  return m.close().finish() + "\n";
}

}  // namespace deckmark
