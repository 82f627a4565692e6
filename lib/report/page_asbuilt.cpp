// The as-built part of the page: differences on the plan, their histogram, the causes, the table of the
// worst.

#include <fmt/format.h>

#include <algorithm>

#include "measure/decimal.h"
#include "report/page_parts.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kRowsTold = 60, kVectors = 1200, kVectorNumbers = 24;

Verdict verdict_of(const AsbuiltRow& r) { return r.height ? worse(r.plan, *r.height) : r.plan; }

/// `40 of 1000` and the like, for a figure that is cut.
struct Shown {
  std::vector<std::size_t> lines;  ///< in the order in which they are drawn
  std::size_t all = 0;
};

/// Lines of a level, the worst last so that they stand on top.
Shown shown_of(const AsbuiltPage& page, const std::vector<std::size_t>& worst, AsbuiltLevel level) {
  Shown out;
  for (const std::size_t i : worst) {
    if (page.lines[i].row->level != level) continue;
    if (++out.all <= kVectors) out.lines.push_back(i);
  }
  std::ranges::reverse(out.lines);
  return out;
}

/// How many times longer than the plan differences are drawn, so that the longer ones are a finger's breadth.
double exaggeration(const AsbuiltPage& page, const Shown& shown, const PlanFrame& f) {
  std::vector<double> metres;
  for (const std::size_t i : shown.lines) metres.push_back(page.lines[i].row->offset.metres());
  std::ranges::sort(metres);
  const double long_one = std::max(metres[metres.size() * 9 / 10], 1e-6);
  return round_step(60 / (f.scale() * long_one));
}

void vector_bar(Markup& m, const PlanFrame& f, double times, LengthUnit unit) {
  const bool metric = short_unit(unit) == "mm";
  const double per = metric ? 0.001 : 0.0254, px_per = per * times * f.scale(),
               step = round_step(110 / px_per);
  const double x = f.left() + 260, y = f.bottom() + 54;
  m.empty("path", fmt::format("class=\"vector\" d=\"M{} {}h{}\"", px(x), px(y), px(step * px_per)));
  m.empty("path", fmt::format("class=\"bar\" d=\"M{} {}v8m{} 0v-8\"", px(x), px(y - 4), px(step * px_per)));
  m.element("text",
            fmt::format("difference of {} {}",
                        fixed(step, step >= 1     ? 0
                                    : step >= 0.1 ? 1
                                                  : 2),
                        short_unit(unit)),
            fmt::format("class=\"axis\" x=\"{}\" y=\"{}\"", px(x), px(y + 18)));
}

void difference_figure(Markup& m, const JobPage& page, AsbuiltLevel level,
                       const std::vector<std::size_t>& worst) {
  const AsbuiltPage& a = *page.asbuilt;
  const Shown shown = shown_of(a, worst, level);
  if (shown.lines.empty()) return;
  const PlanFrame f(page.plan);
  const double times = exaggeration(a, shown, f);
  m.open("figure");
  open_plan(m, f, page.plan, page.drawing_unit, fmt::format("differences on the {}", level_word(level)));
  vector_bar(m, f, times, page.site_unit);
  LabelPlaces places({f.left(), f.top(), f.right(), f.bottom()});
  struct End {
    double x, y;
  };
  std::vector<End> ends;
  for (const std::size_t i : shown.lines) {
    const AsbuiltRow& r = *a.lines[i].row;
    const double x = f.x(page.asbuilt_places[i].at.x), y = f.y(page.asbuilt_places[i].at.y);
    const double side = page.plan.mirrored ? 1 : -1, ex = x + r.off.by.x.metres() * times * f.scale(),
                 ey = y + side * r.off.by.y.metres() * times * f.scale();
    m.empty("path", fmt::format("class=\"vector\" d=\"M{} {}L{} {}\"", px(x), px(y), px(ex), px(ey)));
    draw(m, Shape::dot, x, y);
    draw(m, shape_of(verdict_of(r)), ex, ey, 0.7);
    ends.push_back({ex, ey});
    places.take({std::min(x, ex) - 3, std::min(y, ey) - 3, std::max(x, ex) + 3, std::max(y, ey) + 3});
    m.line();
  }
  for (std::size_t k = 0; k < shown.lines.size() && k < kVectorNumbers; ++k) {
    const std::size_t at = shown.lines.size() - 1 - k;
    places.put(m, ends[at].x, ends[at].y, fmt::format("{}", a.lines[shown.lines[at]].number), "no strong");
  }
  m.close().line();
  std::string text = fmt::format(
      "Differences on the {}, drawn {} times as long as the plan: from the design (dot) to what was found "
      "(sign of its verdict).",
      level_word(level), fixed(times, times >= 1 ? 0 : 2));
  if (shown.all > shown.lines.size())
    text += fmt::format(" The {} worst of {} are drawn.", shown.lines.size(), shown.all);
  m.element("figcaption", text).close().line();
}

struct Bins {
  double width = 1;  ///< in the small unit
  std::vector<std::size_t> within, other;
  bool open_end = false;  ///< the last one holds all above
};

/// Offsets in bins of a round width, about a third of the tolerance; a bin's upper end belongs to it, as a
/// limit does.
Bins bins_of(const AsbuiltPage& page, double unit_metres) {
  constexpr std::size_t kMost = 24;
  Bins b;
  const double tolerance = std::max(page.options.plan.metres() / unit_metres, 1e-3);
  b.width = round_step(tolerance / 2.5);
  double most = tolerance;
  for (const AsbuiltLine& l : page.lines) most = std::max(most, l.row->offset.metres() / unit_metres);
  const auto wanted = static_cast<std::size_t>(std::min(std::ceil(most / b.width - 1e-9) + 1, 1e6));
  b.open_end = wanted > kMost;
  b.within.assign(std::min(wanted, kMost), 0);
  b.other = b.within;
  for (const AsbuiltLine& l : page.lines) {
    const double at = std::ceil(l.row->offset.metres() / unit_metres / b.width - 1e-6) - 1;
    const auto i = static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(b.within.size() - 1)));
    ++(l.row->plan == Verdict::within ? b.within : b.other)[i];
  }
  return b;
}

void histogram(Markup& m, const JobPage& page) {
  const AsbuiltPage& a = *page.asbuilt;
  const bool metric = short_unit(page.site_unit) == "mm";
  const Bins b = bins_of(a, metric ? 0.001 : 0.0254);
  std::size_t most = 1;
  for (std::size_t i = 0; i < b.within.size(); ++i) most = std::max(most, b.within[i] + b.other[i]);
  const double left = 40, right = 700, base = 210, high = 160,
               step = (right - left) / static_cast<double>(b.within.size());
  m.open("figure", "class=\"low\"")
      .open("svg",
            "class=\"plan\" viewBox=\"0 0 740 262\" style=\"width:74%\" role=\"img\" aria-label=\"histogram "
            "of offsets\"");
  const int decimals = b.width >= 1 ? 0 : static_cast<int>(std::ceil(-std::log10(b.width) - 1e-9));
  for (std::size_t i = 0; i < b.within.size(); ++i) {
    const double x = left + static_cast<double>(i) * step, per = high / static_cast<double>(most);
    const double w = static_cast<double>(b.within[i]) * per, o = static_cast<double>(b.other[i]) * per;
    if (b.within[i] > 0)
      m.empty("rect", fmt::format("class=\"bar-ok\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"", px(x + 2),
                                  px(base - w), px(step - 4), px(w)));
    if (b.other[i] > 0)
      m.empty("rect", fmt::format("class=\"bar-bad\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"", px(x + 2),
                                  px(base - w - o), px(step - 4), px(o)));
    if (b.within[i] + b.other[i] > 0)
      m.element("text", fmt::format("{}", b.within[i] + b.other[i]),
                fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(x + step / 2), px(base - w - o - 5)));
    if (!(b.open_end && i + 1 == b.within.size()))
      m.element("text", fixed(static_cast<double>(i + 1) * b.width, decimals),
                fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(x + step), px(base + 15)));
    else
      m.element("text", "more",
                fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(x + step / 2), px(base + 15)));
  }
  m.element("text", "0", fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(left), px(base + 15)));
  m.empty("path", fmt::format("class=\"tick\" d=\"M{} {}H{}\"", px(left), px(base), px(right)));
  const double limit = left + a.options.plan.metres() / (metric ? 0.001 : 0.0254) / b.width * step;
  m.empty("path", fmt::format("class=\"limit\" d=\"M{} 22V{}\"", px(limit), px(base + 20)));
  m.element("text",
            fmt::format("permitted {} {}", short_length(a.options.plan, page.site_unit),
                        short_unit(page.site_unit)),
            fmt::format("class=\"name\" x=\"{}\" y=\"30\"", px(limit + 6)));
  m.element("text", fmt::format("offset in plan, {}", short_unit(page.site_unit)),
            fmt::format("class=\"axis end\" x=\"{}\" y=\"{}\"", px(right), px(base + 34)));
  m.close()
      .element("figcaption",
               "How many shots have which offset. Full bars: within; hatched bars: outside or unsure.")
      .close()
      .line();
}

void causes(Markup& m, const JobPage& page) {
  const AsbuiltPage& a = *page.asbuilt;
  open_section(m, "Likely causes");
  if (a.causes.empty())
    for (const std::string& text : no_cause_words(a.noise, a.lines.size(), a.tried, page.site_unit))
      paragraph(m, sentence(text));
  if (!a.causes.empty()) m.open("ol", "class=\"causes\"");
  for (std::size_t k = 0; k < a.causes.size() && k < kCausesTold; ++k) {
    const CauseWords w = cause_words(a.causes[k], page.site_unit);
    const std::vector<std::uint32_t>& numbers = a.causes[k].numbers;
    m.open("li")
        .open("p")
        .element("strong", a.causes[k].cause->points == 1
                               ? fmt::format("{}: {}", numbers.front(), sentence(w.what))
                               : sentence(w.what))
        .close();
    m.open("p").text(fmt::format("{}. {}", w.marks, sentence(w.rms)));
    if (!w.also.empty()) m.text(" " + sentence(w.also));
    m.close().open("p").element("b", "Confirm by: ").text(sentence(w.confirm)).close().close().line();
  }
  if (!a.causes.empty()) m.close();
  if (const std::string left = causes_left_words(a.causes); !left.empty())
    paragraph(m, sentence(left), "class=\"told\"");
  if (!a.unplaced.empty())
    paragraph(
        m,
        fmt::format(
            "Not looked for: reflector constant and backsight of {}; the job does not say where they stood.",
            some_names(a.unplaced)),
        "class=\"told\"");
  paragraph(m,
            "Nothing is corrected. A cause is a lead, not a finding, until the check beside it confirms it.",
            "class=\"told\"");
  m.close().line();
}

void worst_table(Markup& m, const JobPage& page, const std::vector<std::size_t>& worst) {
  const AsbuiltPage& a = *page.asbuilt;
  const LengthUnit unit = page.site_unit;
  const std::string_view u = short_unit(unit);
  open_section(m, "Shots, worst first");
  open_table(m, {"#number", "point", "on", fmt::format("#along +X, {}", u), fmt::format("#along +Y, {}", u),
                 fmt::format("#offset, {}", u), fmt::format("#± {} (95 %)", u), fmt::format("#up, {}", u),
                 "#sure", "verdict", "marked from", "shot from"});
  for (std::size_t k = 0; k < worst.size() && k < kRowsTold; ++k) {
    const AsbuiltLine& l = a.lines[worst[k]];
    const AsbuiltRow& r = *l.row;
    m.open("tr", verdict_of(r) == Verdict::outside ? "class=\"bad\"" : "");
    number_cell(m, fmt::format("{}", l.number));
    name_cell(m, l.point);
    m.element("td", level_word(r.level));
    number_cell(m, signed_length(r.off.by.x, unit));
    number_cell(m, signed_length(r.off.by.y, unit));
    number_cell(m, short_length(r.offset, unit));
    number_cell(m, short_length(2.0 * r.sd, unit));
    number_cell(m, r.up ? signed_length(*r.up, unit) : "-");
    number_cell(m, sure_words(r) + " %");
    verdict_cell(m, verdict_of(r), asbuilt_verdict_words(r));
    text_cell(m, l.marked_from);
    text_cell(m, l.shot_from);
    m.close().line();
  }
  close_table(m);
  if (worst.size() > kRowsTold)
    paragraph(m, fmt::format("{} more in asbuilt.csv.", worst.size() - kRowsTold), "class=\"told\"");
  paragraph(m,
            "As built minus design along the drawing's axes, lengths on site. Sure: chance that the true "
            "place lies within the tolerance, from the standard deviations.",
            "class=\"told\"");
  m.close().line();
}

void statistics(Markup& m, const JobPage& page) {
  const AsbuiltPage& a = *page.asbuilt;
  const LengthUnit unit = page.site_unit;
  const std::string_view u = short_unit(unit);
  open_table(m, {"on", "#shots", "#within", "#outside", "#unsure", fmt::format("#mean along +X, {}", u),
                 fmt::format("#mean along +Y, {}", u), fmt::format("#rms in plan, {}", u),
                 fmt::format("#95 % by count, {}", u), "#outside in elevation"});
  for (const LevelStatistics& s : a.levels) {
    m.open("tr").element("td", level_word(s.level));
    for (const std::size_t n : {s.shots, s.within, s.outside, s.unsure}) number_cell(m, fmt::format("{}", n));
    number_cell(m, signed_length(s.x.bias, unit));
    number_cell(m, signed_length(s.y.bias, unit));
    number_cell(m, short_length(s.rms_plan, unit));
    const CountedWithin most = counted_within(a, s);
    number_cell(m, fmt::format("{} ({} of {})", short_length(most.distance, unit), most.shots, most.all));
    number_cell(m, s.heights > 0 ? fmt::format("{} of {}", s.heights_outside, s.heights) : "-");
    m.close().line();
  }
  close_table(m);
}

void lists(Markup& m, const AsbuiltPage& a) {
  const auto list = [&](std::string_view what, const std::vector<std::string_view>& names) {
    if (!names.empty())
      m.open("p")
          .text(fmt::format("{} ({}): ", what, names.size()))
          .name(some_names(names))
          .text(".")
          .close()
          .line();
  };
  list(a.options.by_nearest ? "Too far from every point" : "Shots that are not in the drawing", a.unmatched);
  list("Ambiguous, not judged", a.ambiguous);
  list("Points without a shot", a.missing);
  list("Shot more than once at one level", a.doubled);
}

/// Lines of a text for a terminal as one sentence.
std::string unfolded(std::string_view text) {
  std::string out;
  for (const char c : text)
    if (const char k = c == '\n' ? ' ' : c; k != ' ' || (!out.empty() && out.back() != ' ')) out += k;
  while (!out.empty() && out.back() == ' ') out.pop_back();
  return sentence(out);
}

}  // namespace

void asbuilt_sections(Markup& m, const JobPage& page) {
  if (!page.asbuilt) return;
  const AsbuiltPage& a = *page.asbuilt;
  open_section(m, fmt::format("As built: {} against the design", plural(a.shots, "shot", "shots")));
  for (const OtherFloor& f : a.other_floors)
    paragraph(m, fmt::format("Not judged: {}", sentence(other_floor_words(f, page.site_unit))));
  if (a.lines.empty()) {
    paragraph(m, a.other_floors.empty() ? "No shot meets a point of the drawing." : "No shot is judged.");
    lists(m, a);
    m.close().line();
    return;
  }
  const std::vector<std::size_t> worst = worst_first(a);
  Length sd = Length::metres(0);
  for (const LevelStatistics& s : a.levels) sd = std::max(sd, s.largest_sd);
  const std::string_view u = short_unit(page.site_unit);
  paragraph(m, fmt::format(
                   "Permitted in plan: {} {}, {} acceptance. The check is good to {} {} (95 %){}.",
                   short_length(a.options.plan, page.site_unit), u, a.options.guarded ? "guarded" : "simple",
                   short_length(2.0 * sd, page.site_unit), u,
                   2.0 * sd > a.options.plan ? ", more than the tolerance: in plan it decides nothing" : ""));
  for (const std::string& text : common_error_texts(a)) paragraph(m, unfolded(text));
  statistics(m, page);
  lists(m, a);
  for (const LevelStatistics& s : a.levels) difference_figure(m, page, s.level, worst);
  histogram(m, page);
  m.close().line();
  causes(m, page);
  worst_table(m, page, worst);
}

}  // namespace deckmark
