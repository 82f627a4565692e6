#include "hanger/spacing.h"

#include <algorithm>
#include <cmath>

#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr double kHairM = 1e-9;
constexpr double kMeetM = 2e-6;  // to which the ends of stretches and places are known
constexpr Length kMeet = Length::metres(kMeetM);

using Parts = std::vector<std::pair<double, double>>;

/// Takes an open interval out: its ends stay.
void take_out(Parts& free, double from, double to) {
  Parts left;
  for (const auto& [a, b] : free) {
    if (b <= from + kHairM || a >= to - kHairM) {
      left.push_back({a, b});
      continue;
    }
    if (a <= from + kHairM) left.push_back({std::min(a, from), from});
    if (b >= to - kHairM) left.push_back({to, std::max(b, to)});
  }
  free = std::move(left);
}

/// A ring is met again after a turn, before it and behind.
std::vector<double> turns_of(const SpacingTask& task) {
  const double turn = task.length.metres();
  return task.closed ? std::vector<double>{-turn, 0, turn} : std::vector<double>{0};
}

/// Where a hanger may stand: closed intervals in order, of which single places are the shortest.
class Allowed {
 public:
  /// `room`: so far off what has to be kept off.
  Allowed(const SpacingTask& task, double from, double to, const std::vector<Spot>& spots, Length room) {
    Parts free{{from, to}};
    const std::vector<double> turns = turns_of(task);
    for (const Fastening& f : task.fastenings) {
      // The ends are in the bay too: no place but the fastening lines is left of it.
      for (const double turn : turns)
        take_out(free, f.stretch.from.metres() + turn - 2 * kMeetM,
                 f.stretch.to.metres() + turn + 2 * kMeetM);
      for (const double turn : turns)
        for (const Length p : f.places)
          if (const double s = p.metres() + turn; s >= from - kHairM && s <= to + kHairM)
            free.push_back({s, s});
    }
    std::sort(free.begin(), free.end());
    for (const Spot& s : spots)
      if (s.clear > kHair) take_out(free, (s.at - s.clear).metres(), (s.at + s.clear).metres());
    for (const Stretch& k : task.keep_off)
      for (const double turn : turns)
        take_out(free, (k.from - room).metres() + turn, (k.to + room).metres() + turn);
    std::sort(free.begin(), free.end());
    parts_ = std::move(free);
  }
  /// The last place at or before x.
  std::optional<double> at_most(double x) const {
    auto after = std::upper_bound(parts_.begin(), parts_.end(), x + kHairM,
                                  [](double v, const auto& p) { return v < p.first; });
    if (after == parts_.begin()) return std::nullopt;
    --after;
    return std::min(x, after->second);
  }
  /// The first place at or behind x.
  std::optional<double> at_least(double x) const {
    const auto at = std::lower_bound(parts_.begin(), parts_.end(), x - kHairM,
                                     [](const auto& p, double v) { return p.second < v; });
    if (at == parts_.end()) return std::nullopt;
    return std::max(x, at->first);
  }
  /// The place nearest to x, the one before it of two.
  std::optional<double> nearest(double x) const {
    const auto down = at_most(x), up = at_least(x);
    if (!down || !up) return down ? down : up;
    return x - *down <= *up - x ? down : up;
  }

 private:
  Parts parts_;
};

/// Plans hangers between a first and a last place.
class Planner {
 public:
  Planner(const SpacingTask& task, std::vector<Spot> spots, double from, double to, Length room)
      : max_(task.max_spacing.metres()), spots_(std::move(spots)), allowed_(task, from, to, spots_, room) {
    std::sort(spots_.begin(), spots_.end(), [](const Spot& a, const Spot& b) { return a.at < b.at; });
  }
  const Allowed& allowed() const { return allowed_; }

  /// How far the next hanger may stand from one at s: the rules of spacing and of spots ahead.
  double furthest(double s) const {
    double limit = s + max_;
    auto at = std::lower_bound(spots_.begin(), spots_.end(), s,
                               [](const Spot& p, double v) { return p.at.metres() < v; });
    for (; at != spots_.end() && at->at.metres() <= limit; ++at)
      if (at->support && at->at.metres() - s > at->support->metres() + kHairM)
        limit = std::min(limit, (at->at + *at->support).metres());
    return limit;
  }
  /// The same, backward.
  double nearest_before(double s) const {
    double limit = s - max_;
    auto at = std::upper_bound(spots_.begin(), spots_.end(), s,
                               [](double v, const Spot& p) { return v < p.at.metres(); });
    while (at != spots_.begin() && (--at)->at.metres() >= limit)
      if (at->support && s - at->at.metres() > at->support->metres() + kHairM)
        limit = std::max(limit, (at->at - *at->support).metres());
    return limit;
  }
  /// Going on as far as may be; nothing where there is no way.
  std::optional<std::size_t> fewest(double first, double last) const {
    std::size_t n = 1;
    for (double s = first; s < last - kHairM; ++n) {
      const double limit = furthest(s);
      if (limit >= last - kHairM) return n + 1;
      const auto next = allowed_.at_most(limit);
      if (!next || *next <= s + kHairM || n > kMostHangers) return std::nullopt;
      s = *next;
    }
    return n;
  }
  /// n hangers from first to last, each as near as may be to its place at equal spaces.
  std::optional<std::vector<double>> place(double first, double last, std::size_t n) const {
    std::vector<double> earliest(n, last), out{first};
    for (std::size_t i = n - 1; i-- > 1;) {
      const auto e = allowed_.at_least(nearest_before(earliest[i + 1]));
      if (!e || *e >= earliest[i + 1] - kHairM) {
        // Fewer would do from here: anywhere behind the first serves.
        earliest[i] = first;
        continue;
      }
      earliest[i] = std::max(*e, first);
    }
    for (std::size_t i = 1; i + 1 < n; ++i) {
      const double wanted = first + (last - first) * static_cast<double>(i) / static_cast<double>(n - 1);
      const double low = earliest[i], high = std::min(furthest(out.back()), last);
      const auto down = allowed_.at_most(std::min(wanted <= high + kHairM ? wanted : high, last));
      const auto up = allowed_.at_least(std::max(wanted >= low - kHairM ? wanted : low, first));
      const bool down_fits = down && *down >= low - kHairM && *down > out.back() + kHairM;
      const bool up_fits = up && *up <= high + kHairM && *up > out.back() + kHairM;
      if (!down_fits && !up_fits) return std::nullopt;
      out.push_back(!up_fits || (down_fits && wanted - *down <= *up - wanted) ? *down : *up);
    }
    if (n > 1) out.push_back(last);
    return out;
  }

 private:
  double max_;
  std::vector<Spot> spots_;
  Allowed allowed_;
};

double end_of(const SpacingTask& t) {
  return t.closed ? 0.0 : std::min(t.end_distance, 0.5 * t.length).metres();
}

/// Equal spaces alone.
std::vector<double> equal_places(const SpacingTask& task, double first, std::size_t n) {
  std::vector<double> out;
  const double span = task.closed ? task.length.metres() : task.length.metres() - 2 * end_of(task);
  const auto spaces = static_cast<double>(task.closed ? n : std::max<std::size_t>(n, 2) - 1);
  for (std::size_t i = 0; i < n; ++i) out.push_back(first + span * static_cast<double>(i) / spaces);
  return out;
}

/// Joints of a ring are met again after a turn.
std::vector<Spot> turned(const SpacingTask& task) {
  std::vector<Spot> spots = task.spots;
  if (!task.closed) return spots;
  for (const Spot& s : task.spots)
    for (const Length by : {-task.length, task.length}) {
      spots.push_back(s);
      spots.back().at += by;
    }
  return spots;
}

/// One hanger for a run that is no longer than twice its end distance, where one place does for all.
std::optional<double> single(const SpacingTask& task, const Planner& planner) {
  const double length = task.length.metres(), low = std::max(0.0, length - task.end_distance.metres()),
               high = std::min(length, task.end_distance.metres());
  double from = low, to = high;
  for (const Spot& s : task.spots)
    if (s.support)
      from = std::max(from, (s.at - *s.support).metres()), to = std::min(to, (s.at + *s.support).metres());
  if (from > to + kHairM) return std::nullopt;
  const double wanted = std::clamp(length / 2, from, std::max(from, to));
  const auto down = planner.allowed().at_most(wanted), up = planner.allowed().at_least(wanted);
  if (down && *down >= from - kHairM && (!up || *up > to + kHairM || wanted - *down <= *up - wanted))
    return down;
  if (up && *up <= to + kHairM) return up;
  return std::nullopt;
}

/// A ring begins at the place nearest to its start: wherever hangers keep the rules, one more may stand
/// there.
std::optional<std::vector<double>> plan_ring(const SpacingTask& task, const std::vector<Spot>& spots,
                                             Length room) {
  const double length = task.length.metres();
  const Planner line(task, spots, -length, 2 * length, room);
  const auto behind = line.allowed().at_least(0), before = line.allowed().at_most(0);
  if (!behind || !before) return std::nullopt;
  const std::optional<double> first = *behind <= -*before ? behind : before;
  const auto n = line.fewest(*first, *first + length);
  auto at = n ? line.place(*first, *first + length, std::max<std::size_t>(*n, 2)) : std::nullopt;
  if (!at) return std::nullopt;
  at->pop_back();  // the first again
  for (double& s : *at) s = s < 0 ? s + length : s >= length ? s - length : s;
  std::sort(at->begin(), at->end());
  return at;
}

std::optional<std::vector<double>> plan(const SpacingTask& task, Length room) {
  const double length = task.length.metres();
  const std::vector<Spot> spots = turned(task);
  if (task.closed) return plan_ring(task, spots, room);
  const Planner line(task, spots, 0, length, room);
  const double end = end_of(task);
  if (2 * task.end_distance.metres() >= length - kHairM)
    if (const auto one = single(task, line)) return std::vector<double>{*one};
  // The first hanger also serves what lies before it, the last what lies behind.
  double first_most = end, last_least = length - end;
  for (const Spot& s : task.spots)
    if (s.support) {
      first_most = std::min(first_most, (s.at + *s.support).metres());
      last_least = std::max(last_least, (s.at - *s.support).metres());
    }
  const auto first = line.allowed().at_most(first_most), last = line.allowed().at_least(last_least);
  if (!first || !last || *first < -kHairM || *last > length + kHairM) return std::nullopt;
  const auto n = line.fewest(*first, *last);
  return n ? line.place(*first, *last, *n) : std::nullopt;
}

/// How far a hanger stands off the nearest stretch that it has to keep off; 0 in one.
Length off_stretches(const SpacingTask& task, Length h) {
  Length nearest = Length::metres(INFINITY);
  for (const Stretch& k : task.keep_off)
    for (const double turn : turns_of(task)) {
      const Length at = h + Length::metres(turn);
      nearest = std::min(nearest, std::max({k.from - at, at - k.to, Length::metres(0)}));
    }
  return nearest;
}

/// n hangers at equal spaces from a first place to a last one (of a ring, round it).
std::vector<double> equal_between(const SpacingTask& task, double first, double last, std::size_t n) {
  if (n == 1) return {task.closed ? first : 0.5 * (first + last)};
  const double spaces = static_cast<double>(task.closed ? n : n - 1);
  std::vector<double> out;
  for (std::size_t i = 0; i < n; ++i) out.push_back(first + (last - first) * static_cast<double>(i) / spaces);
  return out;
}

/// Equal spaces, the fewest, of which no hanger stands where it has to keep off. Where no number does that,
/// those that would stand there are moved to the nearest place beside it.
std::vector<double> equal_off_stretches(const SpacingTask& task) {
  constexpr std::size_t kMore = 12;  // hangers more than the fewest
  const double length = task.length.metres();
  const Allowed beside({task.length, task.closed, task.max_spacing, task.end_distance, {}, {}, task.keep_off},
                       task.closed ? -length : 0, task.closed ? 2 * length : length, {}, kRoomBeside);
  const auto free = [&](double s) { return off_stretches(task, Length::metres(s)) >= kOffStretch - kHair; };
  const auto off = [&](double s) { return free(s) ? s : beside.nearest(s).value_or(s); };
  const std::size_t fewest = equal_count(task);
  const double end = end_of(task), first = off(end), last = task.closed ? first + length : off(length - end);
  std::vector<double> out;
  for (std::size_t n = fewest; n <= fewest + kMore; ++n) {
    std::vector<double> at = equal_between(task, first, last, n);
    if (n == fewest) out = at;
    if (std::all_of(at.begin(), at.end(), free)) {
      out = std::move(at);
      break;
    }
  }
  for (double& s : out) s = off(s);
  if (task.closed)
    for (double& s : out) s = s < 0 ? s + length : s >= length ? s - length : s;
  std::sort(out.begin(), out.end());
  return out;
}

std::vector<Length> lengths(const std::vector<double>& metres) {
  std::vector<Length> out;
  out.reserve(metres.size());
  for (const double m : metres) out.push_back(Length::metres(m));
  return out;
}

}  // namespace

std::size_t equal_count(const SpacingTask& task) {
  const double end = end_of(task), span = task.length.metres() - 2 * end;
  if (!task.closed && span <= kHairM) return 1;
  const double spaces = std::max(1.0, std::ceil((span - kHairM) / task.max_spacing.metres()));
  if (spaces > static_cast<double>(kMostHangers)) return kMostHangers + 1;
  return static_cast<std::size_t>(spaces) + (task.closed ? 0 : 1);
}

SpacingResult space_hangers(const SpacingTask& task) {
  SpacingResult out;
  const auto equal = [&](std::size_t n) {
    return lengths(n == 1 && !task.closed ? std::vector<double>{task.length.metres() / 2}
                                          : equal_places(task, end_of(task), n));
  };
  out.at = out.equal = equal(equal_count(task));
  if (task.spots.empty() && task.fastenings.empty() && task.keep_off.empty()) return out;
  out.breaches = breaches_of(task, out.at);
  if (out.breaches.empty()) return out;
  for (const Length room : {kRoomBeside, kOffStretch}) {
    if (room != kRoomBeside && task.keep_off.empty()) break;
    const auto planned = plan(task, room);
    if (!planned) continue;
    const std::vector<Length> at = lengths(*planned);
    if (!breaches_of(task, at).empty()) continue;
    out.equal = equal(at.size());
    out.at = at;
    out.breaches.clear();
    return out;
  }
  if (!task.keep_off.empty()) {
    out.at = lengths(equal_off_stretches(task));
    out.equal = equal(out.at.size());
    out.breaches = breaches_of(task, out.at);
  }
  out.solved = out.breaches.empty();
  return out;
}

std::vector<SpacingBreach> breaches_of(const SpacingTask& task, const std::vector<Length>& at) {
  using Kind = SpacingBreach::Kind;
  std::vector<SpacingBreach> out;
  if (at.empty()) return out;
  const Length zero = Length::metres(0);
  for (std::size_t i = 0; i + 1 < at.size(); ++i)
    if (const Length space = at[i + 1] - at[i]; space > task.max_spacing + kHair)
      out.push_back({Kind::wide, at[i], space});
  if (task.closed) {
    if (const Length space = at.front() + task.length - at.back(); space > task.max_spacing + kHair)
      out.push_back({Kind::wide, at.back(), space});
  } else {
    const Length before = at.front(), behind = task.length - at.back();
    const Length most = task.end_distance;
    if (before > most + kHair) out.push_back({Kind::far_from_end, at.front(), before});
    if (behind > most + kHair) out.push_back({Kind::far_from_end, at.back(), behind});
  }
  for (const Spot& s : task.spots) {
    const auto behind = std::lower_bound(at.begin(), at.end(), s.at);
    Length nearest = Length::metres(INFINITY), where = zero;
    const auto look = [&](Length hanger, Length by) {
      if (abs(hanger + by - s.at) < nearest) nearest = abs(hanger + by - s.at), where = hanger;
    };
    if (behind != at.end()) look(*behind, zero);
    if (behind != at.begin()) look(*(behind - 1), zero);
    if (task.closed) look(at.front(), task.length), look(at.back(), -task.length);
    if (nearest < s.clear - kHair) out.push_back({Kind::near_spot, where, nearest});
    if (s.support && nearest > *s.support + kHair) out.push_back({Kind::unsupported, s.at, nearest});
  }
  for (const Fastening& f : task.fastenings)
    for (const Length h : at) {
      if (h < f.stretch.from - kMeet || h > f.stretch.to + kMeet) continue;
      Length nearest = Length::metres(INFINITY);
      const auto behind = std::lower_bound(f.places.begin(), f.places.end(), h);
      if (behind != f.places.end()) nearest = *behind - h;
      if (behind != f.places.begin()) nearest = std::min(nearest, h - *(behind - 1));
      if (nearest > kHair) out.push_back({Kind::between_places, h, nearest});
    }
  for (const Length h : at)
    if (const Length off = off_stretches(task, h); off < kOffStretch - kHair)
      out.push_back({Kind::kept_off, h, off});
  return out;
}

}  // namespace deckmark
