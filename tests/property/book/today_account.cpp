#include "today_account.h"

#include <algorithm>
#include <cmath>

namespace deckmark_test {

namespace {

/// Nearer to a limit than this, either side is right: what is kept is rounded to a micrometre.
constexpr double kHair = 3e-6;
constexpr double kSamePlace = 0.001;

double to_segment(const Corner& a, const Corner& b, const Corner& p) {
  const double ux = b.x - a.x, uy = b.y - a.y, square = ux * ux + uy * uy;
  const double t = square > 0 ? std::clamp(((p.x - a.x) * ux + (p.y - a.y) * uy) / square, 0.0, 1.0) : 0.0;
  return std::hypot(a.x + t * ux - p.x, a.y + t * uy - p.y);
}

class Reckoning {
 public:
  Reckoning(const IssuedNumbers& issued, const Standing& standing, const TodayRules& rules)
      : issued_(issued), s_(standing), r_(rules) {}

  Today reckoned() {
    collect();
    for (const char* level : {"floor", "hole", "deck"}) judge_things(level);
    drills();
    rods();
    static const std::map<std::string, int> kOrder = {{"floor", 0}, {"deck", 1}, {"hole", 2}, {"rod", 3}};
    std::stable_sort(out_.rows.begin(), out_.rows.end(), [](const TodayRow& a, const TodayRow& b) {
      return std::pair(a.number, kOrder.at(a.thing)) < std::pair(b.number, kOrder.at(b.thing));
    });
    return std::move(out_);
  }

 private:
  using Key = std::pair<std::int64_t, std::string>;

  void collect() {
    for (const Thing& t : s_.things)
      if (!t.gone) open_[{t.number, t.hole ? "hole" : t.level}].push_back(&t);
  }

  const IssuedPlace* live(std::int64_t number) const {
    const IssuedPlace* p = issued_.now(number);
    return p != nullptr && p->live ? p : nullptr;
  }
  /// The place where the number wants this thing; none where it wants none.
  const IssuedPlace* wanted(std::int64_t number, const std::string& thing) const {
    const IssuedPlace* p = live(number);
    return p != nullptr && (thing == "floor" || p->deck) ? p : nullptr;
  }
  double limit(const std::string& thing) const { return thing == "floor" ? r_.plan : r_.plumb; }
  bool beyond(double value, double most) {
    if (std::abs(value - most) < kHair) out_.unclear = true;
    return value > most;
  }
  bool is_hung(std::int64_t number) const {
    const auto rod = s_.rods.find(number);
    return rod != s_.rods.end() && rod->second.hung;
  }
  static double apart(const Thing& t, const IssuedPlace& p) {
    return std::hypot(t.northing - static_cast<double>(p.northing) / 1e6,
                      t.easting - static_cast<double>(p.easting) / 1e6);
  }

  TodayRow measured(const Thing& t, const IssuedPlace& p, const std::string& thing) const {
    TodayRow row;
    row.thing = thing;
    row.judged = true;
    const double north = static_cast<double>(p.northing) / 1e6 - t.northing,
                 east = static_cast<double>(p.easting) / 1e6 - t.easting;
    row.dx = north * r_.axes.x_north + east * r_.axes.x_east;
    row.dy = north * r_.axes.y_north + east * r_.axes.y_east;
    row.distance = std::hypot(north, east);
    row.permitted = limit(thing);
    row.sd = t.sd;
    row.of = &t;
    return row;
  }
  static TodayRow plain(std::int64_t number, const std::string& thing, const std::string& what,
                        const std::string& why, const Thing* of = nullptr) {
    TodayRow row;
    row.number = number;
    row.thing = thing;
    row.what = what;
    row.why = why;
    row.of = of;
    return row;
  }

  /// One that stands at a number that wants it, from doubtful on.
  TodayRow judged(const Thing& t, const std::string& thing) {
    const IssuedPlace& today = *wanted(t.number, thing);
    TodayRow row = measured(t, today, thing);
    row.number = t.number;
    const auto decide = [&](const char* what, const char* why) { row.what = what, row.why = why; };
    if (t.doubtful) {
      decide("measure", "doubtful");
      return row;
    }
    const double most = limit(thing);
    if (const IssuedPlace* own = issued_.at(t.number, t.issue)) {
      const double moved = std::hypot(static_cast<double>(own->northing - today.northing),
                                      static_cast<double>(own->easting - today.easting)) /
                           1e6;
      if (!beyond(moved, kSamePlace) && !beyond(apart(t, *own), most)) {
        decide("leave", "unchanged");
        return row;
      }
    }
    if (!beyond(row.distance, most - 2 * t.sd))
      decide("leave", "within");
    else if (beyond(row.distance, most + 2 * t.sd))
      decide(thing == "hole" ? "fill" : "mark-again", "beyond");
    else
      decide("measure", "near-limit");
    return row;
  }

  /// Dropped or its deck gone: of a number that has none and wants one, nearest first.
  void renumber(const std::string& thing, std::vector<const Thing*>& lost) {
    struct Pair {
      double d;
      const Thing* t;
      std::int64_t to;
    };
    std::vector<Pair> pairs;
    for (const std::int64_t number : issued_.numbers()) {
      const IssuedPlace* place = wanted(number, thing);
      if (place == nullptr || has_.contains({number, thing})) continue;
      if (thing == "deck" && no_deck_.contains(number)) continue;
      for (const Thing* t : lost)
        if (!t->doubtful && !is_hung(t->number)) {
          const double d = apart(*t, *place);
          if (d < 1 && !beyond(d, limit(thing) - 2 * t->sd)) pairs.push_back({d, t, number});
        }
    }
    std::stable_sort(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.d < b.d; });
    for (std::size_t i = 0; i + 1 < pairs.size(); ++i)
      if (pairs[i + 1].d - pairs[i].d < kHair) out_.unclear = true;
    for (const Pair& pair : pairs) {
      const auto at = std::find(lost.begin(), lost.end(), pair.t);
      if (at == lost.end() || has_.contains({pair.to, thing})) continue;
      lost.erase(at);
      TodayRow row = measured(*pair.t, *wanted(pair.to, thing), thing);
      row.number = pair.to;
      row.what = "renumber";
      row.why = "was " + std::to_string(pair.t->number);
      took(row);
    }
  }

  void took(const TodayRow& row) {
    has_.insert({row.number, row.thing});
    if (row.what == "leave" || row.what == "renumber") good_[{row.number, row.thing}] = row.of;
    if (row.thing == "hole" && row.what != "fill") no_deck_.insert(row.number);
    if (row.thing == "hole" && row.of != nullptr && (row.what == "leave" || row.what == "renumber"))
      good_holes_.insert(row.of);
    out_.rows.push_back(row);
  }
  void fill_or_void(const Thing& t, const std::string& thing, TodayRow row) {
    if (thing == "hole" && is_hung(t.number)) {
      row.what = "stop";
      row.why = "hung";
    }
    took(row);
  }

  void judge_things(const std::string& thing) {
    std::vector<const Thing*> lost;
    for (const auto& [key, things] : open_) {
      if (key.second != thing) continue;
      if (wanted(key.first, thing) == nullptr) {
        lost.insert(lost.end(), things.begin(), things.end());
      } else {
        judge_number(things, thing);
      }
    }
    renumber(thing, lost);
    for (const Thing* t : lost)
      fill_or_void(*t, thing,
                   plain(t->number, thing, thing == "hole" ? "fill" : "void",
                         live(t->number) != nullptr ? "gone" : "dropped", t));
    if (thing == "hole") return;
    for (const std::int64_t number : issued_.numbers())
      if (wanted(number, thing) != nullptr && !has_.contains({number, thing}) &&
          !(thing == "deck" && no_deck_.contains(number)))
        took(plain(number, thing, "mark", "not made"));
  }

  /// Of several the newest that is left counts, else the newest.
  void judge_number(const std::vector<const Thing*>& things, const std::string& thing) {
    std::vector<TodayRow> rows;
    for (const Thing* t : things) rows.push_back(judged(*t, thing));
    std::size_t chosen = rows.size() - 1;
    for (std::size_t i = 0; i < rows.size(); ++i)
      if (rows[i].what == "leave") chosen = i;
    for (std::size_t i = 0; i < rows.size(); ++i)
      fill_or_void_or_keep(*things[i], thing, i == chosen, rows[i]);
  }
  void fill_or_void_or_keep(const Thing& t, const std::string& thing, bool chosen, const TodayRow& row) {
    if (!chosen)
      fill_or_void(t, thing, plain(t.number, thing, thing == "hole" ? "fill" : "void", "second", &t));
    else if (row.what == "fill")
      fill_or_void(t, thing, row);
    else
      took(row);
  }

  Corner drawn(const Thing& t) const {
    const double north = t.northing - r_.axes.north, east = t.easting - r_.axes.east;
    return {north * r_.axes.x_north + east * r_.axes.x_east, north * r_.axes.y_north + east * r_.axes.y_east};
  }

  /// Where the deck cross is good and there is no hole.
  void drills() {
    for (const std::int64_t number : issued_.numbers()) {
      const auto cross = good_.find({number, "deck"});
      if (cross == good_.end() || has_.contains({number, "hole"})) continue;
      const std::string why = stopped(number, *cross->second);
      TodayRow row = plain(number, "hole", why.empty() ? "drill" : "stop", why.empty() ? "not made" : why,
                           cross->second);
      out_.rows.push_back(row);
    }
  }
  std::string stopped(std::int64_t number, const Thing& cross) {
    const Thing* nearest = nullptr;
    double least = r_.old_hole;
    for (const Thing& t : s_.things) {
      if (!t.hole || (t.gone && !t.filled) || good_holes_.contains(&t)) continue;
      const double d = std::hypot(t.northing - cross.northing, t.easting - cross.easting);
      if (std::abs(d - r_.old_hole) < kHair) out_.unclear = true;
      if (d < least) nearest = &t, least = d;
    }
    if (nearest != nullptr) return "old hole " + std::to_string(nearest->number);
    for (const DrillZone& zone : r_.zones) {
      const double d = distance_to(zone, drawn(cross));
      if (std::abs(d - zone.clearance) < kHair) out_.unclear = true;
      if (d < zone.clearance || d == 0) return "zone " + zone.name;
    }
    return is_released(number) ? "" : "not released";
  }
  bool is_released(std::int64_t number) const {
    const IssuedPlace& p = *issued_.now(number);
    if (r_.released.contains("all") || (!p.run.empty() && r_.released.contains(p.run))) return true;
    const Corner at{static_cast<double>(p.x) / 1e6, static_cast<double>(p.y) / 1e6};
    return std::any_of(r_.bays.begin(), r_.bays.end(), [&](const auto& bay) {
      return r_.released.contains(bay.first) && is_within(bay.second, at);
    });
  }

  void rods() {
    for (const auto& [number, rod] : s_.rods) {
      const IssuedPlace* now = live(number);
      if (now == nullptr || !now->cut) {
        out_.rows.push_back(plain(number, "rod", "stop", now == nullptr ? "dropped" : "gone"));
        continue;
      }
      const IssuedPlace* then = issued_.at(number, rod.issue);
      if (then == nullptr || !then->cut) continue;
      TodayRow row = plain(number, "rod", "leave", "unchanged");
      row.judged = true;
      row.dx = static_cast<double>(*now->cut - *then->cut) / 1e6;
      row.permitted = r_.rod;
      if (beyond(std::abs(row.dx), r_.rod)) {
        row.what = "recut";
        row.why = row.dx > 0 ? "longer" : "shorter";
      }
      out_.rows.push_back(row);
    }
  }

  const IssuedNumbers& issued_;
  const Standing& s_;
  const TodayRules& r_;
  std::map<Key, std::vector<const Thing*>> open_;  // oldest first
  std::set<Key> has_;                              // that has its row
  std::map<Key, const Thing*> good_;               // left or renumbered
  std::set<std::int64_t> no_deck_;                 // whose hole is left, renumbered, measured, stopped
  std::set<const Thing*> good_holes_;
  Today out_;
};

}  // namespace

bool Today::is_work() const {
  static const std::set<std::string> kWork = {"mark-again", "void", "renumber", "fill", "recut", "stop"};
  return std::any_of(rows.begin(), rows.end(), [](const TodayRow& row) { return kWork.contains(row.what); });
}

Today today_of(const IssuedNumbers& issued, const Standing& standing, const TodayRules& rules) {
  return Reckoning(issued, standing, rules).reckoned();
}

bool is_within(const std::vector<Corner>& outline, const Corner& at) {
  bool in = false;
  for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
    const Corner &a = outline[i], &b = outline[j];
    if ((a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x)) in = !in;
  }
  return in;
}

double distance_to(const DrillZone& zone, const Corner& at) {
  if (zone.corners.size() > 2 && is_within(zone.corners, at)) return 0;
  double least = INFINITY;
  const std::size_t n = zone.corners.size();
  for (std::size_t i = 0; i < (n > 2 ? n : n - 1); ++i)
    least = std::min(least, to_segment(zone.corners[i], zone.corners[(i + 1) % n], at));
  return least;
}

}  // namespace deckmark_test
