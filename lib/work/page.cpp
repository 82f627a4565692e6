#include "work/page.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/extent.h"
#include "report/page.h"
#include "work/asbuilt_causes.h"
#include "work/ground.h"
#include "work/output_tables.h"

namespace deckmark {

namespace {

/// More marks than this are thinned, to about as many; a figure holds no more that an eye could part.
constexpr std::size_t kPlanMarks = 2500;

/// Whether a mark has a place on a level.
bool is_on(const Job& job, const Found& found, AsbuiltLevel level, std::size_t mark) {
  switch (level) {
    case AsbuiltLevel::floor:
      break;
    case AsbuiltLevel::deck:
      return has_deck_point(job, found, mark);
    case AsbuiltLevel::bracket:
      return !job.marks.is_reference(mark);
  }
  return true;
}

/// The worst verdict of every mark that was measured on a level.
std::vector<PlanSymbol> symbols_of(const Job& job, const Found& found, AsbuiltLevel level) {
  std::vector<PlanSymbol> out(job.marks.size(), PlanSymbol::not_measured);
  const auto take = [&](std::uint32_t mark, Verdict v) {
    const auto rank = [](PlanSymbol s) {
      return s == PlanSymbol::outside ? 3 : s == PlanSymbol::unsure ? 2 : s == PlanSymbol::within ? 1 : 0;
    };
    const PlanSymbol s = v == Verdict::outside  ? PlanSymbol::outside
                         : v == Verdict::unsure ? PlanSymbol::unsure
                                                : PlanSymbol::within;
    if (rank(s) > rank(out[mark])) out[mark] = s;
  };
  if (level == AsbuiltLevel::deck)
    for (std::size_t i = 0; i < found.plumb.size(); ++i) take(found.plumb_marks[i], found.plumb[i].verdict);
  for (const AsbuiltRow& r : found.asbuilt.rows)
    if (r.level == level) take(r.mark, r.height ? worse(r.plan, *r.height) : r.plan);
  for (std::size_t i = 0; i < out.size(); ++i)
    if (out[i] == PlanSymbol::not_measured && job.marks.is_reference(i)) out[i] = PlanSymbol::reference;
  return out;
}

bool has_shots(const Found& found, AsbuiltLevel level) {
  return std::ranges::find(found.asbuilt.rows, level, &AsbuiltRow::level) != found.asbuilt.rows.end();
}

/// The least of 1, 2, 5 times a power of ten of the unit that is not under the value.
Length round_up(Length value, LengthUnit unit) {
  const double count = in_unit(value, unit), ten = std::pow(10.0, std::floor(std::log10(count)));
  for (const double k : {1.0, 2.0, 5.0})
    if (k * ten >= count) return from_unit(k * ten, unit);
  return from_unit(10 * ten, unit);
}

/// The side of squares of which about as many as marks may be drawn cover the drawing.
Length square_side(const PlanPage& plan, LengthUnit unit) {
  const double w = (plan.high.at.x - plan.low.at.x).metres(), h = (plan.high.at.y - plan.low.at.y).metres(),
               most = static_cast<double>(kPlanMarks);
  return round_up(Length::metres(std::max({std::sqrt(w * h / most), std::max(w, h) / most, 1e-4})), unit);
}

/// Which marks of a large drawing are drawn: the first of every symbol in every square.
class Thinning {
 public:
  Thinning(const PlanPage& plan, Length side) : low_(plan.low), per_metre_(1 / side.metres()) {
    columns_ = static_cast<std::size_t>((plan.high.at.x - plan.low.at.x).metres() * per_metre_) + 1;
    seen_.assign(
        columns_ * (static_cast<std::size_t>((plan.high.at.y - plan.low.at.y).metres() * per_metre_) + 1), 0);
  }
  bool draws(const Point<Drawing>& p, PlanSymbol symbol) {
    const auto column = static_cast<std::size_t>((p.at.x - low_.at.x).metres() * per_metre_),
               row = static_cast<std::size_t>((p.at.y - low_.at.y).metres() * per_metre_);
    const auto bit = static_cast<std::uint8_t>(1U << static_cast<unsigned>(symbol));
    std::uint8_t& seen = seen_[row * columns_ + column];
    return !(std::exchange(seen, static_cast<std::uint8_t>(seen | bit)) & bit);
  }

 private:
  Point<Drawing> low_;
  double per_metre_;
  std::size_t columns_ = 1;
  std::vector<std::uint8_t> seen_;  // a bit for every symbol
};

/// More than this an eye would not part.
constexpr std::size_t kShapes = 500;

std::vector<PlanShape> shapes_of(const Job& job, const OverheadFound& overhead) {
  std::vector<PlanShape> out;
  const auto add = [&](PlanShape::Kind kind, std::string_view name, std::vector<Point<Drawing>> corners) {
    if (out.size() < kShapes) out.push_back({kind, name, std::move(corners)});
  };
  for (std::size_t i = 0; i < overhead.bays.outlines.size(); ++i)
    add(PlanShape::Kind::bay, overhead.bays.names[i], overhead.bays.outlines[i].corners());
  for (std::size_t i = 0; i < overhead.obstruction_outlines.size(); ++i)
    add(PlanShape::Kind::obstruction, overhead.obstruction_names[i],
        overhead.obstruction_outlines[i].corners());
  for (std::size_t i = 0; i < overhead.runs.size(); ++i)
    add(PlanShape::Kind::run, job.overhead.runs[i].name,
        polyline(overhead.runs[i].path, Length::millimetres(5)));
  return out;
}

PlanLevel plan_level(const Job& job, const Found& found, const PlanPage& plan, AsbuiltLevel which) {
  PlanLevel level{.level = which,
                  .by_plumb = which == AsbuiltLevel::deck && !found.plumb.empty(),
                  .by_shots = has_shots(found, which)};
  const MarkTable& marks = job.marks;
  const std::vector<PlanSymbol> symbols = symbols_of(job, found, which);
  const auto deck = static_cast<std::uint32_t>(which == AsbuiltLevel::deck ? job.numbers.deck_offset : 0);
  std::optional<Thinning> thinning;
  if (marks.size() > kPlanMarks) {
    level.square = square_side(plan, job.drawing_unit);
    thinning.emplace(plan, *level.square);
  }
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!is_on(job, found, which, i)) continue;
    ++level.total;
    ++level.count[static_cast<std::size_t>(symbols[i])];
    if (!thinning || thinning->draws(marks.places[i], symbols[i]))
      level.marks.push_back(
          {marks.places[i], found.issue.numbers[i] + deck, marks.runs.number(i), symbols[i], marks.names[i]});
  }
  return level;
}

PlanPage plan_of(const Job& job, const Found& found) {
  PlanPage plan;
  Extent<Drawing> extent;
  for (const Point<Drawing>& p : job.marks.places) extent.take(p);
  plan.low = extent.least(), plan.high = extent.most();
  // The floor, and what else was measured.
  plan.levels.push_back(plan_level(job, found, plan, AsbuiltLevel::floor));
  if (!found.plumb.empty() || has_shots(found, AsbuiltLevel::deck))
    plan.levels.push_back(plan_level(job, found, plan, AsbuiltLevel::deck));
  if (has_shots(found, AsbuiltLevel::bracket))
    plan.levels.push_back(plan_level(job, found, plan, AsbuiltLevel::bracket));
  plan.shapes = shapes_of(job, found.overhead);
  const Transform<Site, Drawing>& map = found.placed.fit->site_from_drawing;
  const Transform<Drawing, Site> back = map.inverse();
  for (const NamedTie& t : job.ties) plan.ties.push_back({t.name, back(t.tie.at)});
  for (const ControlPoint& c : job.control) plan.control.push_back({c.name, back(c.at)});
  plan.azimuth_x = map.parts().azimuth_x;
  plan.mirrored = map.parts().mirrored;
  plan.north = north_word(job);
  plan.origin = map(Point<Drawing>{{.x = Length::metres(0), .y = Length::metres(0)}});
  return plan;
}

/// Numbers of every run that is listed, in the order of their first mark, and of all.
void add_numbers(const Job& job, const Found& found, JobPage& page) {
  struct Numbers {
    std::vector<std::uint32_t> floor, deck;
  };
  std::vector<Numbers> by_word(job.marks.runs.words().size());
  std::vector<std::uint32_t> order, all;
  const bool every = job.list.only.empty();
  for (std::size_t i = 0; i < job.marks.size(); ++i) {
    if (!every && !is_listed(job, i)) continue;
    Numbers& run = by_word[job.marks.runs.number(i)];
    const std::uint32_t number = found.issue.numbers[i];
    if (run.floor.empty()) order.push_back(job.marks.runs.number(i));
    run.floor.push_back(number);
    all.push_back(number);
    if (found.deck && has_deck_point(job, found, i)) run.deck.push_back(number);
  }
  for (const std::uint32_t word : order) {
    Numbers& run = by_word[word];
    RunNumbers out{.run = job.marks.runs.words()[word]};
    out.count = run.floor.size(), out.on_deck = run.deck.size();
    out.floor = number_ranges(std::move(run.floor));
    out.deck = number_ranges(std::move(run.deck));
    page.runs.push_back(std::move(out));
  }
  page.numbers = number_ranges(std::move(all));
}

/// What is hung: a hanger in an obstruction hangs on two supports, or not at all.
void count_hung(const Job& job, const Found& found, JobPage& page) {
  for (const TrapezeFound& t : found.overhead.trapezes) page.trapezes += t.first.has_value();
  if (page.trapezes == 0) return;
  const std::size_t own = std::min(found.overhead.supports, job.marks.size());
  for (std::size_t m = 0; m < own; ++m) page.straight += has_deck_point(job, found, m);
}

/// Inputs but the ledger, which every run replaces: the page of an unchanged job stays as it is.
std::vector<InputLine> inputs_of(const Job& job) {
  std::vector<InputLine> out;
  for (const auto& source : job.inputs)
    if (!job.ledger_table.table || source != job.ledger_table.table->source())
      out.push_back({source->name(), source->sha256()});
  return out;
}

}  // namespace

std::vector<PlumbLine> plumb_lines(const Job& job, const Found& found) {
  std::vector<PlumbLine> lines;
  for (std::size_t i = 0; i < found.plumb.size(); ++i) {
    const std::uint32_t m = found.plumb_marks[i];
    lines.push_back({found.issue.numbers[m], job.marks.names[m], &found.plumb[i]});
  }
  return lines;
}

std::string page_of(const Job& job, const Found& found, std::string_view line, std::string_view program,
                    std::string_view points_sha256) {
  JobPage page{.program = program,
               .title = job.title,
               .revision = job.revision,
               .line = line,
               .list_id = points_sha256.substr(0, 8)};
  page.drawing_unit = job.drawing_unit;
  page.site_unit = job.site_unit;
  page.list_unit = *job.list.unit;
  page.plan = plan_of(job, found);
  for (std::uint32_t w = 0; w < job.marks.runs.words().size(); ++w)
    page.run_names.push_back(job.marks.runs.words()[w]);
  page.baselines = baseline_page(job, found);
  page.plumb = plumb_lines(job, found);
  page.plumb_options = job.plumb;
  std::optional<AsbuiltPage> asbuilt;
  if (job.asbuilt.table) {
    page.asbuilt = &asbuilt.emplace(asbuilt_page(job, found));
    for (const AsbuiltRow& r : found.asbuilt.rows) page.asbuilt_places.push_back(job.marks.places[r.mark]);
  }
  add_numbers(job, found, page);
  count_hung(job, found, page);
  page.deck_offset = found.deck ? job.numbers.deck_offset : 0;
  page.inputs = inputs_of(job);
  return page_html(page);
}

}  // namespace deckmark
