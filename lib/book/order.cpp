#include "book/order.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "issues/changes.h"
#include "station/stake.h"

namespace deckmark {

namespace {

std::uint64_t key_of(std::uint32_t floor, EntryLevel level) {
  return std::uint64_t{floor} * 2 + (level == EntryLevel::deck ? 1 : 0);
}

struct Flat {
  double n, e;
};
Flat flat(const Vec<Site>& v) { return {v.by.northing.metres(), v.by.easting.metres()}; }
double dot(Flat a, Flat b) { return a.n * b.n + a.e * b.e; }
double size(Flat a) { return std::hypot(a.n, a.e); }

constexpr double kNothing = 0.00005;  // m: less is not told

}  // namespace

WalkOrder::WalkOrder(const BookFacts& facts, const KnownNumbers& known,
                     const std::optional<Point<Site>>& start)
    : runs_{""} {
  Point<Site> from =
      start.value_or(Point<Site>{{.northing = Length::metres(0), .easting = Length::metres(0)}});
  if (!start && known.ledger().numbers() > 0)
    from = known.ledger().row(known.ledger().latest(0)).site.point();
  if (facts.does_floor) add(facts, known, EntryLevel::floor, from);
  if (facts.does_deck) add(facts, known, EntryLevel::deck, from);
  for (std::uint32_t i = 0; i < stops_.size(); ++i)
    by_number_.emplace_back(key_of(stops_[i].floor, stops_[i].level), i);
  std::sort(by_number_.begin(), by_number_.end());
}

void WalkOrder::add(const BookFacts& facts, const KnownNumbers& known, EntryLevel level, Point<Site>& from) {
  std::map<std::string, std::uint32_t> numbers_of;
  for (std::uint32_t r = 1; r < runs_.size(); ++r) numbers_of.emplace(runs_[r], r);
  std::vector<WalkStop> stops;
  std::vector<Point<Site>> points;
  std::vector<std::uint32_t> runs;
  const Ledger& ledger = known.ledger();
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t row = ledger.as_of(ledger.latest(i), known.issue());
    if (row == kNone32) continue;
    const LedgerRow r = ledger.row(row);
    if (!r.live || r.site.northing.is_none()) continue;
    if (level == EntryLevel::deck && r.deck.is_none()) continue;
    if (!facts.crew.empty() && !has_crew(r.crew, facts.crew)) continue;
    std::uint32_t run = 0;
    if (!r.run.empty()) {
      const auto [at, is_new] = numbers_of.emplace(r.run, static_cast<std::uint32_t>(runs_.size()));
      if (is_new) runs_.emplace_back(r.run);
      run = at->second;
    }
    stops.push_back({r.number, level, row, run});
    points.push_back(r.site.point());
    runs.push_back(run);
  }
  for (const std::size_t i : walk_by_run(points, runs, from).order) {
    stops_.push_back(stops[i]);
    places_.push_back(points[i]);
    from = points[i];
  }
}

std::optional<std::size_t> WalkOrder::find(std::uint32_t floor, EntryLevel level) const {
  const auto at = std::lower_bound(by_number_.begin(), by_number_.end(),
                                   std::pair(key_of(floor, level), std::uint32_t{0}));
  if (at == by_number_.end() || at->first != key_of(floor, level)) return std::nullopt;
  return at->second;
}

namespace {

/// Finds the two directions of one mark.
class Ways {
 public:
  Ways(const WalkOrder& order, const KnownNumbers& known, std::size_t stop)
      : order_(order), known_(known), stop_(stop), here_(order.stops()[stop]) {}

  std::vector<MoveWay> ways(Flat to_go) const {
    const auto neighbour = neighbour_toward(to_go);
    if (!neighbour) return {};
    const Flat to = flat(order_.place(*neighbour) - order_.place(stop_));
    const Flat along{to.n / size(to), to.e / size(to)};
    const double by = dot(to_go, along);
    std::vector<MoveWay> out;
    MoveWay way;
    way.toward = by < 0 ? MoveWay::Toward::from_mark : MoveWay::Toward::mark;
    way.by = Length::metres(std::fabs(by));
    way.mark = known_.typed(order_.stops()[*neighbour].floor, here_.level);
    if (std::fabs(by) >= kNothing) out.push_back(way);
    const Flat rest{to_go.n - by * along.n, to_go.e - by * along.e};
    if (size(rest) >= kNothing) out.push_back(sideways(rest, along, way.mark));
    return out;
  }

 private:
  /// Of the marks before and behind it in its run the one on whose side it has to go; else the one there is;
  /// of a mark without a run the nearest.
  std::optional<std::size_t> neighbour_toward(Flat to_go) const {
    std::optional<std::size_t> out;
    double best = -2;
    const auto look = [&](std::size_t other) {
      const Flat to = flat(order_.place(other) - order_.place(stop_));
      if (size(to) < 1e-3) return;
      const double cosine = dot(to, to_go) / size(to) / std::max(size(to_go), 1e-12);
      if (cosine > best) best = cosine, out = other;
    };
    if (here_.run != 0) {
      if (stop_ > 0 && is_beside(stop_ - 1)) look(stop_ - 1);
      if (stop_ + 1 < order_.stops().size() && is_beside(stop_ + 1)) look(stop_ + 1);
    }
    if (out) return out;
    double nearest = 0;
    for (std::size_t i = 0; i < order_.stops().size(); ++i) {
      if (i == stop_ || order_.stops()[i].level != here_.level) continue;
      const double away = distance(order_.place(i), order_.place(stop_)).metres();
      if (away >= 1e-3 && (!out || away < nearest)) nearest = away, out = i;
    }
    return out;
  }
  bool is_beside(std::size_t other) const {
    return order_.stops()[other].run == here_.run && order_.stops()[other].level == here_.level;
  }

  /// Toward the nearest mark of another run on that side, else away from the nearest on the other one, else
  /// to the left or right of the way to the neighbour.
  MoveWay sideways(Flat rest, Flat along, std::uint32_t facing) const {
    MoveWay out;
    out.by = Length::metres(size(rest));
    double nearest[2] = {0, 0};
    std::uint32_t run[2] = {0, 0};
    for (std::size_t i = 0; i < order_.stops().size(); ++i) {
      const WalkStop& s = order_.stops()[i];
      if (s.run == 0 || s.run == here_.run || s.level != here_.level) continue;
      const Flat to = flat(order_.place(i) - order_.place(stop_));
      const double cosine = dot(to, rest) / size(to) / size(rest);
      if (std::fabs(cosine) < 0.5) continue;
      const std::size_t side = cosine > 0 ? 0 : 1;
      if (run[side] == 0 || size(to) < nearest[side]) nearest[side] = size(to), run[side] = s.run;
    }
    for (const std::size_t side : {std::size_t{0}, std::size_t{1}}) {
      if (run[side] == 0) continue;
      out.toward = side == 0 ? MoveWay::Toward::run : MoveWay::Toward::from_run;
      out.run = std::string(order_.run_name(run[side]));
      return out;
    }
    // Northing to easting is clockwise.
    const bool is_right = along.n * rest.e - along.e * rest.n > 0;
    out.toward = is_right ? MoveWay::Toward::right : MoveWay::Toward::left;
    out.mark = facing;
    return out;
  }

  const WalkOrder& order_;
  const KnownNumbers& known_;
  std::size_t stop_;
  const WalkStop& here_;
};

}  // namespace

std::vector<MoveWay> move_ways(const WalkOrder& order, const KnownNumbers& known, std::size_t stop,
                               const Vec<Site>& to_go, const Vec<Drawing>& in_drawing) {
  std::vector<MoveWay> out = Ways(order, known, stop).ways(flat(to_go));
  if (!out.empty() || norm(to_go) < Length::metres(kNothing)) return out;
  for (const auto& [toward, by] :
       {std::pair(MoveWay::Toward::x, in_drawing.by.x), std::pair(MoveWay::Toward::y, in_drawing.by.y)}) {
    if (abs(by) < Length::metres(kNothing)) continue;
    MoveWay way;
    way.toward = toward;
    way.by = by;
    out.push_back(way);
  }
  return out;
}

}  // namespace deckmark
