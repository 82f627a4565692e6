// The plan: baselines, hangers by verdict, numbers where there is room.

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <numbers>

#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "measure/length_text.h"
#include "report/page_parts.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

double round_step(double value) {
  const double ten = std::pow(10.0, std::floor(std::log10(value)));
  const double lead = value / ten;
  return (lead >= 5 - 1e-9 ? 5 : lead >= 2 - 1e-9 ? 2 : 1) * ten;
}

namespace {

constexpr double kWidest = 832, kTallest = 640;  // of the drawing in a figure
constexpr std::size_t kAllNumbers = 150, kTitles = 1500, kRunLines = 200, kMarked = 120;

/// Takes 0 into a range that lies near it.
void take_near(double& low, double& high, double value, double reach) {
  if (value < low && value >= low - reach) low = value;
  if (value > high && value <= high + reach) high = value;
}

/// A run's own unit for coordinates round the frame: whole feet, metres or what the drawing is keyed in.
double axis_unit(LengthUnit unit) {
  return unit == LengthUnit::feet_inches ? metres_in(LengthUnit::foot) : metres_in(unit);
}
std::string_view axis_word(LengthUnit unit) {
  return unit == LengthUnit::feet_inches ? "ft" : unit_word(unit);
}
std::string round_text(double value, double step) {
  return fixed(value, step >= 1 ? 0 : static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
}

void ticks(Markup& m, const PlanFrame& f, LengthUnit unit) {
  const double metre = axis_unit(unit), step = round_step(1.6 * 110 / f.scale() / metre);
  const auto each = [&](double low, double high, auto draw_one) {
    for (double k = std::ceil(low / metre / step - 1e-9); k * step * metre <= high + 1e-9; ++k)
      draw_one(Length::metres(k * step * metre), round_text(k * step + 0.0, step));
  };
  each(f.low_x(), f.high_x(), [&](Length v, const std::string& text) {
    m.empty("path", fmt::format("class=\"tick\" d=\"M{0} {1}v-7M{0} {2}v7\"", px(f.x(v)), px(f.bottom()),
                                px(f.top())));
    m.element("text", text,
              fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(f.x(v)), px(f.bottom() + 15)));
  });
  each(f.low_y(), f.high_y(), [&](Length v, const std::string& text) {
    m.empty("path", fmt::format("class=\"tick\" d=\"M{1} {0}h7M{2} {0}h-7\"", px(f.y(v)), px(f.left()),
                                px(f.right())));
    m.element("text", text,
              fmt::format("class=\"axis end\" x=\"{}\" y=\"{}\"", px(f.left() - 6), px(f.y(v) + 4)));
  });
  m.element("text", fmt::format("X, Y in {}", axis_word(unit)),
            fmt::format("class=\"axis end\" x=\"{}\" y=\"{}\"", px(f.left() - 6), px(f.bottom() + 15)));
}

/// The baselines as lines with their names at the ends; one that lies off the plan is told beside it.
void baselines(Markup& m, const PlanFrame& f, const PlanPage& plan, LengthUnit unit) {
  const Length zero = Length::metres(0);
  const bool has_x = f.low_y() <= 0 && f.high_y() >= 0, has_y = f.low_x() <= 0 && f.high_x() >= 0;
  const double end = f.right() + 16, tip = plan.mirrored ? f.bottom() + 24 : f.top() - 12;
  if (has_x) {
    m.empty("path",
            fmt::format("class=\"base\" d=\"M{} {}H{}\"", px(f.left() - 4), px(f.y(zero)), px(end - 8)));
    m.empty("path", fmt::format("class=\"tip\" d=\"M{} {}l-10 -4v8z\"", px(end), px(f.y(zero))));
    m.element("text", "X baseline",
              fmt::format("class=\"name\" x=\"{}\" y=\"{}\"", px(f.right() + 12), px(f.y(zero) - 9)));
  }
  if (has_y) {
    m.empty("path", fmt::format("class=\"base\" d=\"M{} {}V{}\"", px(f.x(zero)),
                                px(plan.mirrored ? f.top() - 4 : f.bottom() + 4),
                                px(plan.mirrored ? tip - 8 : tip + 8)));
    m.empty("path", fmt::format("class=\"tip\" d=\"M{} {}l-4 {}h8z\"", px(f.x(zero)), px(tip),
                                plan.mirrored ? "-10" : "10"));
    m.element("text", "Y baseline",
              fmt::format("class=\"name\" x=\"{}\" y=\"{}\"", px(f.x(zero) + 10),
                          px(plan.mirrored ? tip + 2 : tip + 6)));
  }
  if (has_x && has_y)
    m.empty("circle",
            fmt::format("class=\"cross\" cx=\"{}\" cy=\"{}\" r=\"8\"", px(f.x(zero)), px(f.y(zero))));
  std::string off;
  const auto tell = [&](std::string_view line, double low, double high, std::string_view below,
                        std::string_view above) {
    off += fmt::format("{}The {} baseline lies off this plan, {} {}.", off.empty() ? "" : " ", line,
                       length_words(Length::metres(low > 0 ? low : -high), unit), low > 0 ? below : above);
  };
  if (!has_x)
    tell("X", f.low_y(), f.high_y(), plan.mirrored ? "above" : "below", plan.mirrored ? "below" : "above");
  if (!has_y) tell("Y", f.low_x(), f.high_x(), "to the left", "to the right");
  if (!off.empty())
    m.element("text", off, fmt::format("class=\"name\" x=\"{}\" y=\"{}\"", px(f.left()), px(f.top() - 10)));
}

void scale_bar(Markup& m, const PlanFrame& f, LengthUnit unit) {
  const double metre = axis_unit(unit), step = round_step(200 / f.scale() / metre),
               length = step * metre * f.scale();
  const double x = f.left(), y = f.bottom() + 46;
  m.empty("path", fmt::format("class=\"bar\" d=\"M{0} {1}v8h{2}v-8\"", px(x), px(y), px(length)));
  m.empty("rect", fmt::format("class=\"fill\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"4\"", px(x), px(y + 4),
                              px(length / 2)));
  m.element("text", "0", fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(x), px(y + 22)));
  m.element("text", fmt::format("{} {}", round_text(step, step), axis_word(unit)),
            fmt::format("class=\"axis mid\" x=\"{}\" y=\"{}\"", px(x + length), px(y + 22)));
}

/// Points to north: azimuth 0 lies by the azimuth of +X counter-clockwise from +X.
void north_arrow(Markup& m, const PlanFrame& f, const PlanPage& plan) {
  const double x = f.right() - 30, y = f.bottom() + 56, turn = 90 - plan.azimuth_x.degrees();
  m.open("g", fmt::format("transform=\"translate({} {}) rotate({})\"", px(x), px(y), px(turn)));
  m.empty("path", "class=\"north\" d=\"M0 -26L7 20L0 13z\"");
  m.empty("path", "class=\"open\" d=\"M0 -26L-7 20L0 13z\"").close();
  m.element("text", plan.north, fmt::format("class=\"name end\" x=\"{}\" y=\"{}\"", px(x - 34), px(y + 4)));
}

std::string mark_title(const PlanMark& k, const JobPage& page) {
  static constexpr std::string_view kWords[] = {"within", "outside", "unsure", "not measured",
                                                "reference point"};
  std::string text = fmt::format("{} {}", k.number, k.point);
  if (k.run != 0 && k.run < page.run_names.size()) text += fmt::format(", run {}", page.run_names[k.run]);
  return text + fmt::format(", X {}, Y {}, {}", length_words(k.at.at.x, page.drawing_unit),
                            length_words(k.at.at.y, page.drawing_unit),
                            kWords[static_cast<std::size_t>(k.symbol)]);
}

Shape shape_of(PlanSymbol symbol) {
  switch (symbol) {
    case PlanSymbol::within:
      return Shape::within;
    case PlanSymbol::outside:
      return Shape::outside;
    case PlanSymbol::unsure:
      return Shape::unsure;
    case PlanSymbol::reference:
      return Shape::cross;
    case PlanSymbol::not_measured:
      break;
  }
  return Shape::dot;
}

/// Marks of each run in the order of the drawing.
std::vector<std::vector<const PlanMark*>> by_run(const JobPage& page, const PlanLevel& level) {
  std::vector<std::vector<const PlanMark*>> runs(page.run_names.size());
  for (const PlanMark& k : level.marks)
    if (k.run != 0 && k.run < runs.size()) runs[k.run].push_back(&k);
  return runs;
}

/// Bays, what hangs in the way, and runs whose line is known; cut off at the frame.
void shapes(Markup& m, const PlanPage& plan, const PlanFrame& f) {
  if (plan.shapes.empty() && plan.members.empty()) return;
  const std::string box = fmt::format("{} {} {} {}", px(f.left()), px(f.top()), px(f.right() - f.left()),
                                      px(f.bottom() - f.top()));
  m.open("svg",
         fmt::format("class=\"shapes\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"{}\"",
                     px(f.left()), px(f.top()), px(f.right() - f.left()), px(f.bottom() - f.top()), box));
  static constexpr std::string_view kClass[] = {"run", "bay", "blocked"};
  for (const PlanShape& s : plan.shapes) {
    std::string d;
    for (const Point<Drawing>& p : s.corners)
      d += fmt::format("{}{} {}", d.empty() ? "M" : "L", px(f.x(p.at.x)), px(f.y(p.at.y)));
    m.empty("path", fmt::format("class=\"{}\" d=\"{}{}\"", kClass[static_cast<std::size_t>(s.kind)], d,
                                s.kind == PlanShape::Kind::run ? "" : "z"));
  }
  draw_members(m, plan, f);
  m.close().line();
}

/// In the middle of an obstruction, at a corner of a bay; where there is room.
void shape_names(Markup& m, const PlanPage& plan, const PlanFrame& f, LabelPlaces& places) {
  for (const PlanShape& s : plan.shapes) {
    if (s.kind == PlanShape::Kind::run) continue;
    double low_x = f.right(), high_x = f.left(), low_y = f.bottom(), high_y = f.top();
    for (const Point<Drawing>& p : s.corners) {
      low_x = std::min(low_x, f.x(p.at.x)), high_x = std::max(high_x, f.x(p.at.x));
      low_y = std::min(low_y, f.y(p.at.y)), high_y = std::max(high_y, f.y(p.at.y));
    }
    if (s.kind == PlanShape::Kind::bay)
      places.put(m, std::max(low_x, f.left()) + 4, std::max(low_y, f.top()) + 4, s.name, "place", 11);
    else
      places.put(m, (low_x + high_x) / 2, (low_y + high_y) / 2, s.name, "place strong", 11,
                 std::max(high_y - low_y, 8.0) / 2 + 2);
  }
}

void run_lines(Markup& m, const JobPage& page, const PlanLevel& level, const PlanFrame& f) {
  const auto drawn = [&](std::string_view name) {
    return std::ranges::any_of(page.plan.shapes, [&](const PlanShape& s) {
      return s.kind == PlanShape::Kind::run && same_name(s.name, name);
    });
  };
  for (const auto& run : by_run(page, level)) {
    if (run.size() < 2 || drawn(page.run_names[run.front()->run])) continue;
    std::string d;
    for (const PlanMark* k : run)
      if (k->symbol != PlanSymbol::reference)
        d += fmt::format("{}{} {}", d.empty() ? "M" : "L", px(f.x(k->at.at.x)), px(f.y(k->at.at.y)));
    m.empty("path", fmt::format("class=\"run\" d=\"{}\"", d));
  }
}

void marks(Markup& m, const JobPage& page, const PlanLevel& level, const PlanFrame& f) {
  const bool titled = level.marks.size() <= kTitles;
  // Sound and unmeasured marks first: what is outside stands on top.
  for (const bool top : {false, true})
    for (const PlanMark& k : level.marks) {
      if ((k.symbol == PlanSymbol::outside || k.symbol == PlanSymbol::unsure) != top) continue;
      if (titled) m.open("g").element("title", mark_title(k, page));
      draw(m, shape_of(k.symbol), f.x(k.at.at.x), f.y(k.at.at.y));
      if (titled) m.close();
      m.line();
    }
}

/// Before its first mark, in the direction of the run, further off where something stands there; else
/// beside the mark.
void run_name(Markup& m, const PlanFrame& f, const std::vector<const PlanMark*>& run, std::string_view name,
              LabelPlaces& places) {
  const double x = f.x(run.front()->at.at.x), y = f.y(run.front()->at.at.y);
  const PlanMark& next = run.size() > 1 ? *run[1] : *run[0];
  const double dx = f.x(next.at.at.x) - x, dy = f.y(next.at.at.y) - y, apart = std::hypot(dx, dy);
  const auto before = [&](double by) {
    return LabelPlaces::Place{x - (apart > 0 ? dx * by / apart : 0), y - (apart > 0 ? dy * by / apart : 0)};
  };
  if (!places.put_over(m, {before(22), before(30), before(38)}, name, "runname", 12))
    places.put(m, x, y, name, "runname", 12, 14);
}

void labels(Markup& m, const JobPage& page, const PlanLevel& level, const PlanFrame& f, LabelPlaces& places) {
  const PlanPage& plan = page.plan;
  const std::vector<PlanMark>& all = level.marks;
  const auto put = [&](const PlanMark& k, std::string_view style) {
    return places.put(m, f.x(k.at.at.x), f.y(k.at.at.y), fmt::format("{}", k.number), style);
  };
  std::vector<bool> done(all.size(), false);
  std::size_t marked = 0;
  for (std::size_t i = 0; i < all.size() && marked < kMarked; ++i)
    if (all[i].symbol == PlanSymbol::outside || all[i].symbol == PlanSymbol::unsure) {
      done[i] = put(all[i], "no strong");
      ++marked;
    }
  for (const PlanPlace& t : plan.ties)
    if (f.holds(t.at)) places.put(m, f.x(t.at.at.x), f.y(t.at.at.y), t.name, "place", 11);
  for (const PlanPlace& c : plan.control)
    if (f.holds(c.at)) places.put(m, f.x(c.at.at.x), f.y(c.at.at.y), c.name, "place", 11);
  if (level.square) return;
  const auto runs = by_run(page, level);
  if (runs.size() <= kRunLines) {
    for (const auto& run : runs)
      if (!run.empty()) run_name(m, f, run, page.run_names[run.front()->run], places);
    for (const auto& run : runs) {
      if (run.empty()) continue;
      for (const PlanMark* end : {run.front(), run.back()})
        if (const auto i = static_cast<std::size_t>(end - all.data()); !done[i]) done[i] = put(*end, "no");
    }
  }
  if (all.size() > kAllNumbers) return;
  for (std::size_t i = 0; i < all.size(); ++i)
    if (!done[i]) put(all[i], "no");
}

/// Whether something of a shape is drawn in the frame: near enough its box.
bool is_drawn(const PlanShape& s, const PlanFrame& f) {
  double low_x = f.high_x(), high_x = f.low_x(), low_y = f.high_y(), high_y = f.low_y();
  for (const Point<Drawing>& p : s.corners) {
    low_x = std::min(low_x, p.at.x.metres()), high_x = std::max(high_x, p.at.x.metres());
    low_y = std::min(low_y, p.at.y.metres()), high_y = std::max(high_y, p.at.y.metres());
  }
  return low_x < f.high_x() && high_x > f.low_x() && low_y < f.high_y() && high_y > f.low_y();
}

/// The signs of this plan and no other.
void plan_key(Markup& m, const PlanPage& plan, const PlanLevel& level, const PlanFrame& f) {
  m.open("ul", "class=\"key\"");
  const auto item = [&](Shape shape, std::string_view words, std::optional<std::size_t> count) {
    m.open("li");
    inline_symbol(m, shape);
    m.text(count ? fmt::format("{}: {}", words, *count) : std::string(words)).close();
  };
  static constexpr std::string_view kWords[] = {"within", "outside", "unsure", "not measured",
                                                "reference point"};
  for (std::size_t i = 0; i < kPlanSymbols; ++i)
    if (level.count[i] > 0) item(shape_of(static_cast<PlanSymbol>(i)), kWords[i], level.count[i]);
  const auto holds = [&f](const PlanPlace& p) { return f.holds(p.at); };
  if (std::ranges::any_of(plan.ties, holds)) item(Shape::tie, "tie", std::nullopt);
  if (std::ranges::any_of(plan.control, holds)) item(Shape::control, "control point", std::nullopt);
  const auto has = [&](PlanShape::Kind kind) {
    return std::ranges::any_of(plan.shapes,
                               [&](const PlanShape& s) { return s.kind == kind && is_drawn(s, f); });
  };
  const auto swatch = [&](std::string_view style, std::string_view words) {
    m.open("li")
        .open("svg", "class=\"sign\" viewBox=\"0 0 16 12\" aria-hidden=\"true\"")
        .empty("path", fmt::format("class=\"{}\" d=\"M1 1h14v10h-14z\"", style))
        .close()
        .text(words)
        .close();
  };
  if (has(PlanShape::Kind::obstruction)) swatch("blocked", "obstruction");
  if (has(PlanShape::Kind::bay)) swatch("bay", "bay of the deck");
  members_key(m, plan, f);
  m.close().line();
}

}  // namespace

PlanFrame::PlanFrame(const PlanPage& plan) : mirrored_(plan.mirrored) {
  double high_x = plan.high.at.x.metres(), high_y = plan.high.at.y.metres();
  low_x_ = plan.low.at.x.metres(), low_y_ = plan.low.at.y.metres();
  const double size = std::max({high_x - low_x_, high_y - low_y_, 1.0});
  for (const PlanPlace& t : plan.ties) {
    take_near(low_x_, high_x, t.at.at.x.metres(), 0.25 * size);
    take_near(low_y_, high_y, t.at.at.y.metres(), 0.25 * size);
  }
  take_near(low_x_, high_x, 0, 0.4 * size);
  take_near(low_y_, high_y, 0, 0.4 * size);
  const double edge = 0.035 * std::max({high_x - low_x_, high_y - low_y_, 1.0});
  low_x_ -= edge, low_y_ -= edge;
  span_x_ = std::max(high_x + edge - low_x_, 0.08 * size),
  span_y_ = std::max(high_y + edge - low_y_, 0.08 * size);
  scale_ = std::min(kWidest / span_x_, kTallest / span_y_);
  // A narrow drawing leaves room for the scale bar and the arrow below it.
  if (const double least = 420; span_x_ * scale_ < least) {
    const double more = least / scale_ - span_x_;
    low_x_ -= more / 2;
    span_x_ += more;
  }
}

bool PlanFrame::holds(const Point<Drawing>& p) const {
  return p.at.x.metres() >= low_x_ && p.at.x.metres() <= high_x() && p.at.y.metres() >= low_y_ &&
         p.at.y.metres() <= high_y();
}

void open_plan(Markup& m, const PlanFrame& f, const PlanPage& plan, LengthUnit unit, std::string_view label) {
  m.open("svg", fmt::format(
                    "class=\"plan\" viewBox=\"0 0 {} {}\" style=\"width:{}%\" role=\"img\" aria-label=\"{}\"",
                    px(f.width()), px(f.height()), px(f.width() / 10), escaped(label)));
  m.empty("rect", fmt::format("class=\"neat\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"", px(f.left()),
                              px(f.top()), px(f.right() - f.left()), px(f.bottom() - f.top())));
  ticks(m, f, unit);
  baselines(m, f, plan, unit);
  scale_bar(m, f, unit);
  if (!plan.north.empty()) north_arrow(m, f, plan);
  m.line();
}

namespace {

/// One level: figure, key, and what is left out.
void level_plan(Markup& m, const JobPage& page, const PlanLevel& level) {
  const PlanPage& plan = page.plan;
  const PlanFrame f(plan);
  open_plan(
      m, f, plan, page.drawing_unit,
      fmt::format("plan of {} on the {}", plural(level.total, "mark", "marks"), level_word(level.level)));
  LabelPlaces places({f.left(), f.top(), f.right(), f.bottom()});
  const double x0 = f.x(Length::metres(0)), y0 = f.y(Length::metres(0));
  places.take({x0 - 8, y0 - 8, x0 + 8, y0 + 8});
  if (!level.square)
    for (const PlanMark& k : level.marks) {
      const double x = f.x(k.at.at.x), y = f.y(k.at.at.y),
                   r = k.symbol == PlanSymbol::not_measured ? 2.5 : 5.5;
      places.take({x - r, y - r, x + r, y + r});
    }
  if (level.marks.size() <= kAllNumbers) spare_members(plan, f, places);
  shapes(m, plan, f);
  if (!level.square && page.run_names.size() <= kRunLines) run_lines(m, page, level, f);
  for (const PlanPlace& t : plan.ties)
    if (f.holds(t.at)) draw(m, Shape::tie, f.x(t.at.at.x), f.y(t.at.at.y));
  for (const PlanPlace& c : plan.control)
    if (f.holds(c.at)) draw(m, Shape::control, f.x(c.at.at.x), f.y(c.at.at.y));
  marks(m, page, level, f);
  labels(m, page, level, f, places);
  shape_names(m, plan, f, places);
  m.close().line();
  plan_key(m, plan, level, f);
  if (level.square)
    paragraph(m,
              fmt::format("Thinned: {} of {} marks are drawn, one of every sign in every square of {}; all "
                          "marks stand in points.csv.",
                          level.marks.size(), level.total, length_words(*level.square, page.drawing_unit)),
              "class=\"told\"");
}

std::string_view level_heading(AsbuiltLevel level) {
  switch (level) {
    case AsbuiltLevel::deck:
      return "Plan of the deck points, seen from above";
    case AsbuiltLevel::bracket:
      return "Plan of the brackets, seen from above";
    case AsbuiltLevel::floor:
      break;
  }
  return "Plan of the floor marks, seen from above";
}

/// Whose numbers these are, and whose verdicts the signs.
std::string level_note(const PlanLevel& level) {
  const std::string numbers = level.level == AsbuiltLevel::deck ? "Deck numbers" : "Floor numbers";
  if (!level.by_plumb && !level.by_shots) return numbers + "; nothing was shot on this level.";
  return fmt::format("{}; signs by {}.", numbers,
                     !level.by_plumb   ? "the as-built shots"
                     : !level.by_shots ? "the plumb check"
                                       : "the plumb check and the as-built shots, the worse of both");
}

/// Where the drawing lies on site.
std::string place_note(const JobPage& page) {
  const PlanPage& plan = page.plan;
  const std::string_view mirrored = plan.mirrored ? "; mirrored drawing, +Y to the right of +X" : "";
  if (plan.north.empty()) return fmt::format("Laid out from strings{}: see the offset sheet.", mirrored);
  const int decimals = page.list_unit == LengthUnit::millimetre ? 1 : 4;
  return fmt::format("The baselines cross at N {} E {} {}. +X runs at azimuth {} from {}{}.",
                     fixed(in_unit(plan.origin.at.northing, page.list_unit), decimals),
                     fixed(in_unit(plan.origin.at.easting, page.list_unit), decimals),
                     unit_word(page.list_unit), dms_text(plan.azimuth_x, 1), plan.north, mirrored);
}

}  // namespace

void plan_section(Markup& m, const JobPage& page) {
  const PlanPage& plan = page.plan;
  for (const PlanLevel& level : plan.levels) {
    open_section(m, level_heading(level.level));
    level_plan(m, page, level);
    if (plan.levels.size() > 1) paragraph(m, level_note(level), "class=\"told\"");
    if (&level == &plan.levels.front()) members_note(m, plan);
    if (&level == &plan.levels.front()) paragraph(m, place_note(page));
    m.close().line();
  }
}

}  // namespace deckmark
