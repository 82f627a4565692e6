#include "baseline/corners.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace deckmark {

namespace {

constexpr Length kAlong = Length::millimetres(1);  // a leg runs along an axis of the drawing

class CornerSearch {
 public:
  CornerSearch(std::span<const Point<Drawing>> places, Length baseline, const SquarenessOptions& options)
      : places_(places), baseline_(baseline), options_(options) {}

  void add(const MeasuredSide& s) {
    const auto [at, is_first] = lengths_.try_emplace(std::minmax(s.from, s.to), s.length);
    if (is_first) return;
    SdLength& mean = at->second;
    const double before = 1 / (mean.sd.metres() * mean.sd.metres()),
                 more = 1 / (s.length.sd.metres() * s.length.sd.metres());
    mean = {mean.value + (s.length.value - mean.value) * (more / (before + more)),
            Length::metres(1 / std::sqrt(before + more))};
  }

  std::optional<CornerCheck> best() {
    for (const auto& [ends, x_leg] : lengths_)
      for (const auto& [corner, x] :
           {std::pair(ends.first, ends.second), std::pair(ends.second, ends.first)}) {
        if (!runs_along_x(corner, x)) continue;
        for (std::size_t y = 0; y < places_.size(); ++y)
          if (runs_along_y(corner, y) && side(corner, y) && side(x, y)) {
            triangle(corner, x, y);
            rectangle(corner, x, y);
          }
      }
    return best_;
  }

 private:
  const SdLength* side(std::size_t a, std::size_t b) const {
    const auto at = lengths_.find(std::minmax(a, b));
    return at == lengths_.end() ? nullptr : &at->second;
  }
  Vec<Drawing> between(std::size_t a, std::size_t b) const { return places_[b] - places_[a]; }
  bool runs_along_x(std::size_t a, std::size_t b) const {
    return abs(between(a, b).by.y) <= kAlong && abs(between(a, b).by.x) > kAlong;
  }
  bool runs_along_y(std::size_t a, std::size_t b) const {
    return abs(between(a, b).by.x) <= kAlong && abs(between(a, b).by.y) > kAlong;
  }

  template <class Result>
  void take(const Result& r, std::vector<std::size_t> marks, CornerCheck found) {
    SquarenessResult& s = found.square;
    const Vec<Drawing> x = between(marks[0], marks[1]),
                       y = between(marks[0], marks.size() == 3 ? marks[2] : marks[3]);
    // Legs along -X and +Y enclose what +X and +Y lack to a straight angle.
    const double turn = (x.by.x > Length::metres(0)) == (y.by.y > Length::metres(0)) ? 1 : -1;
    s.deviation = Angle::radians(turn * (r.included - Angle::degrees(90)).radians());
    s.included = Angle::degrees(90) + *s.deviation;
    s.sd = r.sd;
    s.shorter = baseline_;
    s.deviation_over = turn * r.over_baseline;
    s.sd_over = r.sd_over_baseline;
    s.limit = r.limit;
    s.verdict = r.verdict;
    found.too_small = r.too_small;
    found.marks = std::move(marks);
    if (!best_ || s.sd->radians() < best_->square.sd->radians()) best_ = std::move(found);
  }

  void triangle(std::size_t corner, std::size_t x, std::size_t y) {
    const CornerResult r = corner_from_sides(*side(corner, x), *side(corner, y), *side(x, y), baseline_,
                                             options_.setout, options_.tolerance);
    if (r.possible) take(r, {corner, x, y}, {});
  }

  void rectangle(std::size_t corner, std::size_t x, std::size_t y) {
    for (std::size_t across = 0; across < places_.size(); ++across) {
      if (!runs_along_y(x, across) || !runs_along_x(y, across) || !side(x, across) || !side(y, across) ||
          !side(corner, across))
        continue;
      const std::array<SdLength, 6> lengths{*side(corner, x), *side(x, across),      *side(across, y),
                                            *side(y, corner), *side(corner, across), *side(x, y)};
      const QuadrilateralResult r =
          corner_from_quadrilateral(lengths, baseline_, options_.setout, options_.tolerance);
      if (!r.solved) continue;
      CornerCheck found;
      found.variance_factor = r.variance_factor;
      found.diagonal_difference = r.diagonal_difference;
      found.sides_unequal = r.sides_unequal;
      take(r, {corner, x, across, y}, std::move(found));
    }
  }

  std::span<const Point<Drawing>> places_;
  Length baseline_;
  const SquarenessOptions& options_;
  std::map<std::pair<std::size_t, std::size_t>, SdLength> lengths_;
  std::optional<CornerCheck> best_;
};

}  // namespace

std::optional<CornerCheck> find_corner(std::span<const MeasuredSide> sides, const LengthsTogether& together,
                                       std::span<const Point<Drawing>> places, Length baseline,
                                       const SquarenessOptions& options) {
  CornerSearch agreeing(places, baseline, options), all(places, baseline, options);
  const std::vector<std::size_t> first = first_alike(sides);
  for (std::size_t i = 0; i < sides.size(); ++i) {
    if (first[i] != i) continue;
    all.add(sides[i]);
    if (together.agree(i)) agreeing.add(sides[i]);
  }
  if (auto found = agreeing.best()) return found;
  auto found = all.best();
  if (!found) return std::nullopt;
  CornerCheck out;  // there is a corner, but its lengths cannot all be right
  out.marks = std::move(found->marks);
  out.square.contradicted = true;
  out.square.shorter = baseline;
  out.square.limit = found->square.limit;
  return out;
}

}  // namespace deckmark
