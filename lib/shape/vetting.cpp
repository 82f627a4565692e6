#include "shape/vetting.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "marks/near_pairs.h"

namespace deckmark::shape_detail {

namespace {

constexpr double kLeastRegular = 0.6;          // of the points of longer runs, where shorter ones are judged
constexpr double kNeighbours = 1.5;            // metres
constexpr std::size_t kMostNeighbours = 5000;  // of so many one by one is no longer asked for
constexpr std::size_t kLeastEnds = 5;          // points of a run whose ends may be end bays
constexpr std::size_t kEvenRuns = 3;           // beside each run that is not: else the drawing is made so
constexpr std::size_t kLeastUneven = 7;        // points of a run whose spacing may be told not to be judged
constexpr std::size_t kManyEnds = 100;         // of other runs at one station: they need not be counted on
constexpr double kMostMoved = 0.5;             // a hanger moved on purpose stays within this

class Vetting {
 public:
  Vetting(std::vector<Candidate> candidates, std::span<const Seen> runs, std::span<const Family> families,
          const Learned& learned, const Telling& telling, double tolerance)
      : all_(std::move(candidates)),
        runs_(runs),
        families_(families),
        learned_(learned),
        telling_(telling),
        tolerance_(tolerance) {}

  Vetted left() {
    vet();
    return {std::move(all_), std::move(unsure_ends_)};
  }

 private:
  void vet();
  void join_same();
  bool is_shared_end(std::uint32_t seen, std::uint32_t k, bool by_many) const;
  bool is_beside_gap(const Candidate& c) const;
  void drop_ends();
  void drop_either();
  void drop_designs();
  void drop_moved_together();
  void drop_moved();

  std::vector<Candidate> all_;
  std::vector<std::uint32_t> unsure_ends_;
  std::span<const Seen> runs_;
  std::span<const Family> families_;
  const Learned& learned_;
  const Telling& telling_;
  double tolerance_;
};

/// What several runs have alike is the design's: points moved at one station, ends that differ.
void Vetting::drop_designs() {
  std::vector<bool> drop(all_.size());
  std::vector<std::pair<std::uint32_t, std::pair<double, std::size_t>>> at;  // family, station, candidate
  std::size_t ends = 0;
  for (std::size_t i = 0; i < all_.size(); ++i) {
    const Candidate& c = all_[i];
    if (c.why != ShapeWhy::spacing || !c.at) continue;
    ends += c.is_end && !c.is_either;
    const Seen& s = runs_[c.seen];
    if (s.family) at.push_back({*s.family, {families_[*s.family].along(s.points[*c.at]), i}});
  }
  std::sort(at.begin(), at.end());
  for (std::size_t i = 0; i + 1 < at.size(); ++i)
    if (at[i].first == at[i + 1].first && at[i + 1].second.first - at[i].second.first <= 2 * tolerance_ &&
        all_[at[i].second.second].seen != all_[at[i + 1].second.second].seen)
      drop[at[i].second.second] = drop[at[i + 1].second.second] = true;
  if (ends >= 2 && ends * 5 >= std::max<std::size_t>(learned_.patterns, 1))
    for (std::size_t i = 0; i < all_.size(); ++i)
      if (all_[i].why == ShapeWhy::spacing && all_[i].is_end && !all_[i].is_either) drop[i] = true;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < all_.size(); ++i)
    if (!drop[i]) all_[kept++] = all_[i];
  all_.resize(kept);
}

/// Whether a point stands where another run of its family begins or ends; `by_many`: a third of them, which
/// is no chance.
bool Vetting::is_shared_end(std::uint32_t seen, std::uint32_t k, bool by_many) const {
  const Seen& s = runs_[seen];
  if (!s.family) return false;
  const Family& f = families_[*s.family];
  const std::size_t least = by_many ? std::min(f.members.size() / 3, kManyEnds) : 0;
  return f.ends_of_others(runs_, f.along(s.points[k]), seen, tolerance_) >= std::max<std::size_t>(least, 1);
}

/// Whole spaces from where it is expected, at a station of other runs and none of its own run's: another
/// hanger was left out beside it.
bool Vetting::is_beside_gap(const Candidate& c) const {
  const Seen& s = runs_[c.seen];
  if (!c.at || c.why != ShapeWhy::spacing || s.even.kind != Evenness::Kind::even || !s.family) return false;
  const Family& f = families_[*s.family];
  const Plan at = s.points[*c.at];
  const double by = size(c.expected - at), step = std::abs(s.even.lattice->step);
  if (by < step / 2 || std::abs(std::remainder(by, step)) > 2 * tolerance_) return false;
  for (std::uint32_t k = 0; k < s.points.size(); ++k)
    if (k != *c.at && size(s.points[k] - at) <= 2 * tolerance_) return false;
  return f.shared(f.along(at), c.seen, tolerance_) > 0;
}

/// An end that stands where other runs end is right. In a drawing with end bays the other end may have been
/// slipped to the whole space as well: this one is wrong only where that one stands as other runs do.
void Vetting::drop_ends() {
  const bool has_bays =
      std::any_of(runs_.begin(), runs_.end(), [](const Seen& s) { return !s.even.end_bays.empty(); });
  std::erase_if(all_, [&](const Candidate& c) {
    if (!c.is_end || c.is_either || !c.at || c.why != ShapeWhy::spacing) return false;
    const std::size_t n = runs_[c.seen].points.size();
    if (n < kLeastEnds) return false;
    if (is_shared_end(c.seen, *c.at, false)) return true;
    if (!has_bays || is_shared_end(c.seen, *c.at == 0 ? static_cast<std::uint32_t>(n - 1) : 0, true))
      return false;
    unsure_ends_.push_back(c.seen);
    return true;
  });
}

/// Of two ends that differ the one is right that stands where other runs end, or whose space is the end bay
/// of all others. Where rows have end bays of their own, neither is told.
void Vetting::drop_either() {
  std::vector<double> bays;
  for (const Seen& s : runs_) bays.insert(bays.end(), s.even.end_bays.begin(), s.even.end_bays.end());
  std::sort(bays.begin(), bays.end());
  if (!bays.empty() && bays.back() - bays.front() > 2 * tolerance_) bays.clear();
  const auto is_bay = [&](const Candidate& c) {
    const Seen& s = runs_[c.seen];
    const auto next = static_cast<std::uint32_t>(*c.at == 0 ? 1 : *c.at - 1);
    const double bay = size(s.points[next] - s.points[*c.at]);
    const auto at = std::lower_bound(bays.begin(), bays.end(), bay - 2 * tolerance_);
    return is_shared_end(c.seen, *c.at, true) || (at != bays.end() && *at <= bay + 2 * tolerance_);
  };
  // Where other runs differ at their last point alone, this one's does so by design.
  std::size_t firsts = 0, lasts = 0;
  for (const Candidate& c : all_)
    if (c.is_end && !c.is_either && c.at && c.why == ShapeWhy::spacing) ++(*c.at == 0 ? firsts : lasts);
  const bool differ_first = firsts >= 2 && lasts == 0, differ_last = lasts >= 2 && firsts == 0;
  std::vector<Candidate> kept;
  for (std::size_t i = 0; i < all_.size(); ++i) {
    const Candidate& c = all_[i];
    const bool has_other = c.is_either && c.at && i + 1 < all_.size() && all_[i + 1].is_either &&
                           all_[i + 1].seen == c.seen && all_[i + 1].at;
    if (!has_other) {
      if (!c.is_either) kept.push_back(c);
      continue;
    }
    const bool first = is_bay(c) || differ_first, last = is_bay(all_[i + 1]) || differ_last;
    if (first != last) kept.push_back(first ? all_[i + 1] : c);
    if (!first && !last) unsure_ends_.push_back(c.seen);
    if (first != last && (differ_first || differ_last)) kept.back().expected = kept.back().by_step;
    ++i;
  }
  all_ = std::move(kept);
}

/// Neighbours that are off are moved round something on purpose, unless a slip of the pen explains them.
void Vetting::drop_moved_together() {
  std::vector<Plan> places;
  std::vector<std::size_t> of;
  for (std::size_t i = 0; i < all_.size(); ++i) {
    const Candidate& c = all_[i];
    if (!c.at || c.is_slip) continue;
    places.push_back(c.expected);
    of.push_back(i);
  }
  if (places.size() > kMostNeighbours) return;
  std::vector<Point<Drawing>> at;
  for (const Plan& p : places) at.push_back(point(p));
  std::vector<bool> drop(all_.size());
  for (const PairWithin& pair : pairs_within(at, at, Length::metres(kNeighbours)))
    if (pair.of != pair.among) drop[of[pair.of]] = true;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < all_.size(); ++i)
    if (!drop[i]) all_[kept++] = all_[i];
  all_.resize(kept);
}

/// One candidate a point; a run that stands aside across and along is told once.
void Vetting::join_same() {
  std::size_t kept = 0;
  for (const Candidate& c : all_) {
    if (kept == 0 || all_[kept - 1].seen != c.seen || all_[kept - 1].at != c.at) {
      all_[kept++] = c;
      continue;
    }
    Candidate& first = all_[kept - 1];
    first.is_square = false;
    if (!c.at) first.expected = first.expected + (c.expected - runs_[c.seen].points[0]);
  }
  all_.resize(kept);
}

/// Leaves what the rest of the drawing speaks for, one a point.
void Vetting::vet() {
  std::stable_sort(all_.begin(), all_.end(), [](const Candidate& a, const Candidate& b) {
    return std::pair(a.seen, a.at) < std::pair(b.seen, b.at);
  });
  join_same();
  std::erase_if(all_, [this](const Candidate& c) {
    return c.turned == 0 && size(c.expected - runs_[c.seen].points[c.at.value_or(0)]) <= 2 * tolerance_;
  });
  for (Candidate& c : all_) c.is_slip = telling_.is_slip(runs_[c.seen], c);
  std::erase_if(all_, [this](const Candidate& c) { return is_beside_gap(c); });
  drop_ends();
  drop_either();
  drop_designs();
  drop_moved_together();
  const bool believes_weak = learned_.regular >= kLeastRegular && learned_.patterns >= 2;
  std::erase_if(
      all_, [&](const Candidate& c) { return (c.is_weak && !believes_weak) || (c.is_far && !c.is_slip); });
  const auto points = static_cast<std::size_t>(
      std::count_if(all_.begin(), all_.end(), [](const Candidate& c) { return c.at.has_value(); }));
  if (too_many(points, learned_.points))
    std::erase_if(all_, [](const Candidate& c) { return c.at && !c.is_slip; });
  drop_moved();
}

/// Hangers are moved along their run on purpose, to clear something: where runs with one that may be are not
/// few beside those without, that is how the drawing is made.
void Vetting::drop_moved() {
  const auto may_be_moved = [&](const Candidate& c) {
    return c.at && c.why == ShapeWhy::spacing &&
           size(c.expected - runs_[c.seen].points[*c.at]) <= kMostMoved && !c.is_slip;
  };
  std::size_t moved = 0;
  for (std::size_t i = 0; i < all_.size(); ++i)
    moved += may_be_moved(all_[i]) && (i == 0 || all_[i - 1].seen != all_[i].seen);
  if ((learned_.uneven > 0 || moved >= 2) && learned_.whole < 2 * (moved + learned_.uneven))
    std::erase_if(all_, may_be_moved);
}

}  // namespace

/// Which spaces runs have, and how regular the drawing is.
Learned learned_of(std::span<const Seen> runs, std::span<const Family> families) {
  Learned out;
  double all = 0, regular = 0;
  for (const Seen& s : runs) {
    if (s.is_stated) continue;
    const auto n = static_cast<double>(s.points.size());
    out.points += s.points.size();
    const bool is_even = s.even.kind == Evenness::Kind::even;
    const bool is_whole = is_even && s.even.odd.empty() && s.shape.off.empty();
    if (n >= 3) all += n;
    if ((s.even.kind != Evenness::Kind::none && !s.even.is_weak) || is_whole) {
      regular += n;
      ++out.patterns;
    }
    out.whole +=
        is_whole || (s.even.kind == Evenness::Kind::parts && s.even.odd.empty() && s.shape.off.empty());
    // A run that half keeps to one space was even until hangers were moved on purpose.
    out.uneven +=
        s.points.size() >= 5 && s.even.kind == Evenness::Kind::none && 2 * s.even.kept >= s.points.size();
    if (is_even && (s.even.kept >= 4 || is_whole)) out.steps.push_back(std::abs(s.even.lattice->step));
  }
  for (const Family& f : families) {  // runs of two have no spaces: that several lie alike is their pattern
    if (f.members.size() < 3) continue;
    out.patterns += 2;
    out.whole +=
        static_cast<std::size_t>(std::count_if(f.members.begin(), f.members.end(), [runs](std::uint32_t m) {
          return !runs[m].is_stated && runs[m].points.size() == 2;
        }));
  }
  out.regular = all > 0 ? regular / all : 1;
  std::sort(out.steps.begin(), out.steps.end());
  return out;
}

bool Learned::is_step(double step, double tolerance) const {
  const auto at = std::lower_bound(steps.begin(), steps.end(), step - 2 * tolerance);
  return at != steps.end() && *at <= step + 2 * tolerance;
}

Vetted vetted(std::vector<Candidate> candidates, std::span<const Seen> runs, std::span<const Family> families,
              const Learned& learned, const Telling& telling, double tolerance) {
  return Vetting(std::move(candidates), runs, families, learned, telling, tolerance).left();
}

std::vector<ShapeUnsure> unsure_of(std::span<const Seen> runs, const Learned& learned,
                                   std::vector<std::uint32_t> ends) {
  std::vector<ShapeUnsure> out;
  const auto with_bays = static_cast<std::size_t>(
      std::count_if(runs.begin(), runs.end(), [](const Seen& s) { return !s.even.end_bays.empty(); }));
  if (with_bays < kEvenRuns * ends.size()) ends.clear();
  const bool judges_spacing = learned.whole >= kEvenRuns * learned.uneven;
  std::sort(ends.begin(), ends.end());
  for (std::uint32_t i = 0; i < runs.size(); ++i) {
    const Seen& s = runs[i];
    const std::size_t n = s.points.size();
    const auto bay = [&](std::size_t a, std::size_t b) {
      return Length::metres(size(s.points[a] - s.points[b]));
    };
    const bool has_ends = std::binary_search(ends.begin(), ends.end(), i);
    const bool is_uneven = judges_spacing && n >= kLeastUneven && s.even.kind == Evenness::Kind::none &&
                           s.shape.kind == RunShape::Kind::line && s.even.kept * 10 >= 7 * n;
    if (!has_ends && !is_uneven) continue;
    ShapeUnsure u{has_ends ? ShapeUnsure::Kind::ends : ShapeUnsure::Kind::spacing,
                  s.run,
                  s.points.index(0),
                  s.points.index(n - 1),
                  bay(0, 1),
                  bay(n - 1, n - 2)};
    if (!has_ends) u.differ = n - s.even.kept, u.points = n;
    out.push_back(u);
  }
  return out;
}

}  // namespace deckmark::shape_detail
