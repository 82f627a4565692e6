// Tables of the page: plumb check, baselines, numbers, provenance.

#include <fmt/format.h>

#include <algorithm>

#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "report/page_parts.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kPlumbTold = 200, kBaselineRows = 240, kRunsTold = 200, kRangesTold = 12;

void left_out(Markup& m, std::size_t all, std::size_t told, std::string_view file) {
  if (all > told) paragraph(m, fmt::format("{} more in {}.", all - told, file), "class=\"told\"");
}

/// Outside first, then unsure, then by size; equal ones in their order.
template <class Row, class Less>
void worst_first(std::vector<Row>& rows, Less size_of) {
  const auto rank = [](Verdict v) { return v == Verdict::outside ? 0 : v == Verdict::unsure ? 1 : 2; };
  std::stable_sort(rows.begin(), rows.end(), [&](const Row& a, const Row& b) {
    const auto [va, sa] = size_of(a);
    const auto [vb, sb] = size_of(b);
    return rank(va) != rank(vb) ? rank(va) < rank(vb) : sa > sb + kHair;
  });
}

std::string with_sign(const std::string& text) {
  return text.front() == '-' || text.find_first_not_of("0.") == std::string::npos ? text : "+" + text;
}

/// Whose limit decides, and the other where there are two.
std::string limit_words(const PageLine& line, LengthUnit unit) {
  std::string text(permitted_words(line.by));
  if (!line.by_job || !line.by_setout) return text;
  const bool by_job = *line.by_job <= *line.by_setout;
  return text + fmt::format("; {} {} {}", by_job ? "the set-out limit is" : "the job's is",
                            short_length(by_job ? *line.by_setout : *line.by_job, unit), short_unit(unit));
}

void baseline_rows(Markup& m, const BaselinePage& page, const std::vector<std::size_t>& rows) {
  for (const std::size_t i : rows) {
    const PageLine& l = page.lines[i];
    m.open("tr", l.verdict == Verdict::outside ? "class=\"bad\"" : "");
    text_cell(m, l.what);
    number_cell(m, stated_text(page, l));
    number_cell(m, found_text(page, l));
    number_cell(m, with_sign(off_text(page, l)));
    number_cell(m, short_length(l.permitted, page.small_unit()));
    number_cell(m, l.good_to ? short_length(*l.good_to, page.small_unit()) : "-");
    verdict_cell(m, l.verdict, verdict_word(l.verdict));
    text_cell(m, limit_words(l, page.small_unit()));
    m.close().line();
  }
}

void signature(Markup& m, const JobPage& page, Acceptance acceptance) {
  const std::string words = acceptance_words(acceptance, std::string(page.revision));
  if (!can_be_accepted(acceptance)) return paragraph(m, words);
  m.open("div", "class=\"sign-off\"");
  paragraph(m, words);
  m.open("p", "class=\"lines\"");
  if (acceptance == Acceptance::with_reason) m.element("span", "reason").element("span", "");
  for (const std::string_view what :
       {std::string_view("name"), std::string_view("signature"), std::string_view("date"),
        measured_with(page.baselines), std::string_view("stop and call")})
    m.element("span", what);
  m.close();
  paragraph(m, "Numbers are computed; the signature is yours.", "class=\"told\"");
  m.close().line();
}

}  // namespace

std::string signed_length(Length value, LengthUnit unit) { return with_sign(short_length(value, unit)); }

void open_section(Markup& m, std::string_view heading) { m.open("section").element("h2", heading).line(); }

void open_table(Markup& m, std::initializer_list<std::string_view> heads) {
  m.open("table").open("thead").open("tr");
  for (const std::string_view h : heads)
    if (h.starts_with('#'))
      m.element("th", h.substr(1), "class=\"n\" scope=\"col\"");
    else
      m.element("th", h, "scope=\"col\"");
  m.close().close().open("tbody").line();
}
void close_table(Markup& m) { m.close().close().line(); }
void number_cell(Markup& m, std::string_view text) { m.element("td", text, "class=\"n\""); }
void name_cell(Markup& m, std::string_view name) {
  m.open("td", shown_width(name) <= 24 ? "class=\"name\"" : "").name(name).close();
}
void text_cell(Markup& m, std::string_view user_text) { m.open("td").name(user_text).close(); }
void paragraph(Markup& m, std::string_view text, std::string_view attributes) {
  m.element("p", text, attributes).line();
}

std::string sentence(std::string_view text) {
  std::string out(text);
  if (!out.empty() && out.front() >= 'a' && out.front() <= 'z')
    out.front() = static_cast<char>(out.front() - 'a' + 'A');
  return out.empty() || out.back() == '.' ? out : out + ".";
}

void plumb_section(Markup& m, const JobPage& page) {
  if (page.plumb.empty()) return;
  const LengthUnit unit = page.site_unit, small = small_unit(unit, page.drawing_unit);
  const std::string_view u = short_unit(small);
  open_section(m, "Plumb check: deck mark against floor mark");
  Length sd = Length::metres(0);
  for (const PlumbLine& l : page.plumb) sd = std::max(sd, l.row->sd);
  paragraph(
      m, fmt::format(
             "Permitted {} {}{}. The check is good to {} {} (95 %){}.",
             short_length(page.plumb_options.tolerance, small), u,
             page.plumb_options.slope
                 ? fmt::format(", and a slope of {} over the drop (a bigger n in 1:n is better)",
                               slope_words(*page.plumb_options.slope))
                 : "",
             short_length(2.0 * sd, small), u,
             2.0 * sd > page.plumb_options.tolerance ? ", more than the tolerance: it decides nothing" : ""));
  std::vector<PlumbLine> lines = page.plumb;
  worst_first(lines, [](const PlumbLine& l) { return std::pair(l.row->verdict, l.row->offset); });
  open_table(m, {"#number", "point", fmt::format("#along +X, {}", u), fmt::format("#along +Y, {}", u),
                 fmt::format("#offset, {}", u), fmt::format("#± {} (95 %)", u),
                 fmt::format("#drop, {}", unit_word(unit)), "#slope", "verdict"});
  for (std::size_t i = 0; i < lines.size() && i < kPlumbTold; ++i) {
    const PlumbRow& r = *lines[i].row;
    m.open("tr", r.verdict == Verdict::outside ? "class=\"bad\"" : "");
    number_cell(m, fmt::format("{}", lines[i].number));
    name_cell(m, lines[i].point);
    number_cell(m, signed_length(r.off.by.x, small));
    number_cell(m, signed_length(r.off.by.y, small));
    number_cell(m, r.by_tolerance == Verdict::outside
                       ? short_length_beyond(r.offset, page.plumb_options.tolerance, small)
                       : short_length(r.offset, small));
    number_cell(m, short_length(2.0 * r.sd, small));
    number_cell(m, r.drop ? fixed(in_unit(*r.drop, unit), unit == LengthUnit::millimetre ? 0 : 3) : "-");
    number_cell(m, r.ratio ? *r.ratio >= 1000 ? "1:1000+" : fmt::format("1:{}", fixed(*r.ratio, 0)) : "-");
    std::string words(verdict_word(r.verdict));
    if (r.verdict == Verdict::outside && r.by_tolerance == Verdict::within) words += ", by slope";
    verdict_cell(m, r.verdict, words);
    m.close().line();
  }
  close_table(m);
  left_out(m, lines.size(), kPlumbTold, "plumb.csv");
  paragraph(m, "Worst first. Deck mark minus floor mark along the drawing's axes, lengths on site.",
            "class=\"told\"");
  m.close().line();
}

void baseline_section(Markup& m, const JobPage& job) {
  const BaselinePage& page = job.baselines;
  const Acceptance acceptance = acceptance_of(page, job.line);
  open_section(m, "Baselines");
  if (!page.fit)
    paragraph(m, sentence(without_ties_text(page.without_ties, page.mirrored)) +
                     (page.without_ties == WithoutTies::strings ? "" : " Nothing checks that."));
  if (!page.lines.empty()) {
    const std::string_view u = short_unit(page.small_unit()), w = unit_word(page.site_unit);
    open_table(m, {"what", fmt::format("#stated, {}", w), fmt::format("#found, {}", w),
                   fmt::format("#off, {}", u), fmt::format("#permitted, {}", u),
                   fmt::format("#good to, {} (95 %)", u), "verdict", "limit from"});
    const std::vector<std::size_t> rows =
        shown_rows(page.lines, can_be_accepted(acceptance) ? page.lines.size() : kBaselineRows);
    baseline_rows(m, page, rows);
    close_table(m);
    const std::string left = left_out_words(page.lines, rows, "see baseline.csv and checks.csv");
    if (!left.empty()) paragraph(m, sentence(left), "class=\"told\"");
    paragraph(m,
              "Off: drawing minus site for ties, site minus drawing for the rest. Good to: how well the "
              "others know it.",
              "class=\"told\"");
  }
  if (const std::vector<std::string> findings = baseline_findings(page); !findings.empty()) {
    m.open("ul");
    for (const std::string& finding : findings) m.element("li", finding);
    m.close().line();
  }
  signature(m, job, acceptance);
  m.close().line();
}

void numbers_section(Markup& m, const JobPage& page) {
  open_section(m, "Numbers of the lists, by run");
  const bool deck = page.deck_offset > 0;
  if (deck)
    open_table(m, {"run", "numbers on the floor", "#marks", "numbers on the deck", "#points"});
  else
    open_table(m, {"run", "numbers on the floor", "#marks"});
  for (std::size_t i = 0; i < page.runs.size() && i < kRunsTold; ++i) {
    const RunNumbers& r = page.runs[i];
    m.open("tr");
    if (r.run.empty())
      m.element("td", "(no run)");
    else
      text_cell(m, r.run);
    m.element("td", ranges_text(r.floor, kRangesTold));
    number_cell(m, fmt::format("{}", r.count));
    if (deck) {
      m.element("td", r.on_deck > 0 ? ranges_text(r.deck, kRangesTold, page.deck_offset) : "-");
      number_cell(m, fmt::format("{}", r.on_deck));
    }
    m.close().line();
  }
  close_table(m);
  left_out(m, page.runs.size(), kRunsTold, "points.csv");
  if (deck)
    paragraph(m, fmt::format("A deck number is the floor number plus {}.", page.deck_offset),
              "class=\"told\"");
  if (deck && page.trapezes > 0)
    paragraph(
        m,
        fmt::format("{} up; {} on a trapeze: the mark on the floor has no deck number, its two supports, "
                    "-a and -b, have.",
                    page.straight == 1 ? "1 hanger goes straight"
                                       : fmt::format("{} hangers go straight", page.straight),
                    page.trapezes == 1 ? "1 hangs" : fmt::format("{} hang", page.trapezes)),
        "class=\"told\"");
  m.close().line();
}

void provenance_section(Markup& m, const JobPage& page) {
  open_section(m, "What was read");
  open_table(m, {"file", "SHA-256"});
  for (const InputLine& in : page.inputs) {
    m.open("tr");
    text_cell(m, in.name);
    m.element("td", in.sha256, "class=\"hash\"").close().line();
  }
  close_table(m);
  paragraph(m,
            fmt::format("Made by {}. The files written and their digests stand in summary.txt; the ledger of "
                        "numbers, which is read and replaced, stands there too.",
                        page.program),
            "class=\"told\"");
  m.close().line();
}

}  // namespace deckmark
