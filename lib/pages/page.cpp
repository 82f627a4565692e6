#include "pages/page.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/extent.h"
#include "pages/overhead_lines.h"
#include "pages/parts.h"
#include "report/page.h"
#include "stages/stake.h"

namespace deckmark {

namespace {

constexpr std::size_t kLacks = 12;  // parts that a run lacks, by name
/// More marks than this are thinned, to about as many; a figure holds no more that an eye could part.
constexpr std::size_t kPlanMarks = 2500;

/// Whether a mark has a place on a level.
bool is_on(const JobMarks& marks, AsbuiltLevel level, std::size_t mark) {
  switch (level) {
    case AsbuiltLevel::floor:
      break;
    case AsbuiltLevel::deck:
      return marks.has_deck_point(mark);
    case AsbuiltLevel::bracket:
      return !marks->is_reference(mark);
  }
  return true;
}

/// The worst verdict of every mark that was measured on a level.
std::vector<PlanSymbol> symbols_of(const MarkTable& marks, const Plumbed* plumb, const AsbuiltFound* asbuilt,
                                   AsbuiltLevel level) {
  std::vector<PlanSymbol> out(marks.size(), PlanSymbol::not_measured);
  const auto take = [&](std::uint32_t mark, Verdict v) {
    const auto rank = [](PlanSymbol s) {
      return s == PlanSymbol::outside ? 3 : s == PlanSymbol::unsure ? 2 : s == PlanSymbol::within ? 1 : 0;
    };
    const PlanSymbol s = v == Verdict::outside  ? PlanSymbol::outside
                         : v == Verdict::unsure ? PlanSymbol::unsure
                                                : PlanSymbol::within;
    if (rank(s) > rank(out[mark])) out[mark] = s;
  };
  if (level == AsbuiltLevel::deck && plumb)
    for (std::size_t i = 0; i < plumb->rows.size(); ++i) take(plumb->marks[i], plumb->rows[i].verdict);
  if (asbuilt)
    for (const AsbuiltRow& r : asbuilt->rows)
      if (r.level == level) take(r.mark, r.height ? worse(r.plan, *r.height) : r.plan);
  for (std::size_t i = 0; i < out.size(); ++i)
    if (out[i] == PlanSymbol::not_measured && marks.is_reference(i)) out[i] = PlanSymbol::reference;
  return out;
}

bool has_shots(const AsbuiltFound* asbuilt, AsbuiltLevel level) {
  return asbuilt && std::ranges::find(asbuilt->rows, level, &AsbuiltRow::level) != asbuilt->rows.end();
}

bool has_deck_marks(const Plumbed* plumb) { return plumb && !plumb->rows.empty(); }

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

std::vector<PlanShape> shapes_of(const Overhead& overhead, const std::vector<StatedRun>& runs) {
  std::vector<PlanShape> out;
  const auto add = [&](PlanShape::Kind kind, std::string_view name, std::vector<Point<Drawing>> corners) {
    if (out.size() < kShapes) out.push_back({kind, name, std::move(corners)});
  };
  for (std::size_t i = 0; i < overhead.bays.outlines.size(); ++i)
    add(PlanShape::Kind::bay, overhead.bays.names[i], overhead.bays.outlines[i].corners());
  for (std::size_t i = 0; i < overhead.obstructions.size(); ++i)
    add(PlanShape::Kind::obstruction, overhead.obstruction_names[i],
        overhead.obstructions[i].outline.corners());
  for (std::size_t i = 0; i < overhead.runs.size(); ++i)
    add(PlanShape::Kind::run, runs[i].name, polyline(overhead.runs[i].path, Length::millimetres(5)));
  return out;
}

PlanMember::End end_of(RunEnd end) {
  switch (end) {
    case RunEnd::free:
      return PlanMember::End::free;
    case RunEnd::wall:
      return PlanMember::End::wall;
    case RunEnd::joined:
      break;
  }
  return PlanMember::End::joined;
}

/// More gaps than this an eye would not part.
constexpr std::size_t kGaps = 2000;

/// The members of a drawing that is not too full, and where one goes through another.
void add_members(const Overhead& overhead, PlanPage& plan) {
  const std::vector<Member>& all = overhead.members.members;
  if (all.size() > kShapes) return;
  std::vector<std::optional<Path>> paths;
  for (const Member& k : all) {
    const Path& run = overhead.runs[k.run].path;
    paths.push_back(run.parallel(k.left, k.from, k.to));
    if (!paths.back()) continue;
    PlanMember member{.line = polyline(*paths.back(), Length::millimetres(5)),
                      .is_of_pair = k.side != MemberSide::single};
    if (!run.is_closed()) member.start = end_of(k.start), member.finish = end_of(k.finish);
    plan.members.push_back(std::move(member));
  }
  if (overhead.members.meetings.size() > kGaps) return;
  for (const MemberMeeting& at : overhead.members.meetings) {
    if (at.through_ends || at.cut_ends || !paths[at.through]) continue;
    const Member& through = all[at.through];
    const Length along = through.along(at.on_through);
    const Point<Drawing> place = paths[at.through]->at(along);
    plan.through.push_back({place, place + paths[at.through]->direction_at(along), 2.0 * abs(through.left)});
  }
}

PlanLevel plan_level(const PageInput& input, const PlanPage& plan, AsbuiltLevel which) {
  const bool on_deck = which == AsbuiltLevel::deck;
  PlanLevel level{.level = which,
                  .by_plumb = on_deck && has_deck_marks(input.plumb),
                  .by_shots = has_shots(input.asbuilt, which)};
  const JobMarks& marks = input.laid.marks;
  const std::vector<PlanSymbol> symbols = symbols_of(*marks, input.plumb, input.asbuilt, which);
  std::optional<Thinning> thinning;
  if (marks.size() > kPlanMarks) {
    level.square = square_side(plan, input.head.drawing_unit);
    thinning.emplace(plan, *level.square);
  }
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!is_on(marks, which, i)) continue;
    ++level.total;
    ++level.count[static_cast<std::size_t>(symbols[i])];
    if (!thinning || thinning->draws(marks->places[i], symbols[i]))
      level.marks.push_back({marks->places[i], input.laid.numbers.at(i, on_deck), marks->runs.number(i),
                             symbols[i], marks->names[i]});
  }
  return level;
}

PlanPage plan_of(const PageInput& input) {
  PlanPage plan;
  Extent<Drawing> extent;
  for (const Point<Drawing>& p : input.laid.marks->places) extent.take(p);
  plan.shapes = shapes_of(input.laid.overhead, input.overhead.runs);
  add_members(input.laid.overhead, plan);
  for (const PlanMember& k : plan.members)
    for (const Point<Drawing>& p : k.line) extent.take(p);
  plan.low = extent.least(), plan.high = extent.most();
  // The floor, and what else was measured.
  plan.levels.push_back(plan_level(input, plan, AsbuiltLevel::floor));
  if (has_deck_marks(input.plumb) || has_shots(input.asbuilt, AsbuiltLevel::deck))
    plan.levels.push_back(plan_level(input, plan, AsbuiltLevel::deck));
  if (has_shots(input.asbuilt, AsbuiltLevel::bracket))
    plan.levels.push_back(plan_level(input, plan, AsbuiltLevel::bracket));
  const Transform<Site, Drawing>& map = input.laid.placed.fit.site_from_drawing;
  const Transform<Drawing, Site> back = map.inverse();
  for (const NamedTie& t : input.baselines.ties) plan.ties.push_back({t.name, back(t.tie.at)});
  for (const ControlPoint& c : input.control) plan.control.push_back({c.name, back(c.at)});
  plan.azimuth_x = map.parts().azimuth_x;
  plan.mirrored = map.parts().mirrored;
  plan.north = input.head.north;
  plan.origin = map(Point<Drawing>{{.x = Length::metres(0), .y = Length::metres(0)}});
  return plan;
}

/// Numbers of every run that is listed, in the order of their first mark, and of all.
void add_numbers(const LaidOut& laid, const std::vector<std::string>& only, JobPage& page) {
  struct OfRun {
    std::vector<std::uint32_t> floor, deck;
  };
  const JobMarks& marks = laid.marks;
  std::vector<OfRun> by_word(marks->runs.words().size());
  std::vector<std::uint32_t> order, all;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!only.empty() && !is_listed(*marks, only, i)) continue;
    OfRun& run = by_word[marks->runs.number(i)];
    const std::uint32_t number = laid.numbers.of(i);
    if (run.floor.empty()) order.push_back(marks->runs.number(i));
    run.floor.push_back(number);
    all.push_back(number);
    if (laid.heights.is_lifted(i)) run.deck.push_back(number);
  }
  for (const std::uint32_t word : order) {
    OfRun& run = by_word[word];
    RunNumbers out{.run = marks->runs.words()[word]};
    out.count = run.floor.size(), out.on_deck = run.deck.size();
    out.floor = number_ranges(std::move(run.floor));
    out.deck = number_ranges(std::move(run.deck));
    page.runs.push_back(std::move(out));
  }
  page.numbers = number_ranges(std::move(all));
}

/// What is hung: a hanger in an obstruction hangs on two supports, or not at all.
void count_hung(const JobMarks& marks, const Overhead& overhead, JobPage& page) {
  for (const TrapezeFound& t : overhead.trapezes) page.trapezes += t.first.has_value();
  if (page.trapezes == 0) return;
  const std::size_t own = std::min(marks.supports, marks.size());
  for (std::size_t m = 0; m < own; ++m) page.straight += marks.has_deck_point(m);
}

}  // namespace

std::string page_of(const PageInput& input, std::string_view line, std::string_view program,
                    std::string_view points_sha256) {
  const JobHead& head = input.head;
  const LaidOut& laid = input.laid;
  const JobMarks& marks = laid.marks;
  JobPage page{.program = program,
               .title = head.title,
               .revision = head.revision,
               .line = line,
               .list_id = points_sha256.substr(0, 8)};
  page.release = head.release;
  page.drawing_unit = head.drawing_unit;
  page.site_unit = head.site_unit;
  page.list_unit = head.list_unit;
  page.plan = plan_of(input);
  for (std::uint32_t w = 0; w < marks->runs.words().size(); ++w)
    page.run_names.push_back(marks->runs.words()[w]);
  page.baselines =
      baseline_page(head, input.baselines, laid.placed.by, marks, &laid.placed, input.checked, input.offsets);
  if (input.plumb) page.plumb = plumb_lines(laid, *input.plumb);
  page.plumb_options = input.plumb_options;
  std::optional<AsbuiltPage> asbuilt;
  if (input.asbuilt) {
    page.asbuilt = &asbuilt.emplace(asbuilt_page(input.asbuilt_stated, laid, *input.asbuilt));
    for (const AsbuiltRow& r : input.asbuilt->rows) page.asbuilt_places.push_back(marks->places[r.mark]);
  }
  add_numbers(laid, input.only, page);
  count_hung(marks, laid.overhead, page);
  page.deck_offset = laid.numbers.deck_offset.value_or(0);
  page.hung = run_lines(input.overhead, laid);
  page.crossings = crossing_lines(input.overhead, laid.overhead);
  page.pieces = piece_lines(input.overhead, laid);
  page.bill = bill_words(input.overhead, input.bill, kLacks);
  page.heights = input.heights;
  page.inputs = input.inputs;
  return page_html(page);
}

}  // namespace deckmark
