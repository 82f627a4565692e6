#include "baseline/length_slips.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace deckmark {

namespace {

constexpr double kFarOff = 5;  // times what is permitted
constexpr LengthUnit kUnits[] = {LengthUnit::metre, LengthUnit::millimetre, LengthUnit::centimetre,
                                 LengthUnit::foot, LengthUnit::inch};
/// Units nearer than this to one another are told apart by no tape.
constexpr double kSameUnit = 0.01;

Length off(const MeasuredSide& s, std::span<const Point<Drawing>> places, double times = 1) {
  return abs(times * s.length.value - distance(places[s.from], places[s.to]));
}

}  // namespace

std::vector<MarkPair> exchanged_names(std::span<const MeasuredSide> sides,
                                      std::span<const Point<Drawing>> places,
                                      std::span<const Length> permitted) {
  bool any_far = false;
  std::set<std::size_t> marks;
  for (std::size_t i = 0; i < sides.size(); ++i) {
    any_far = any_far || off(sides[i], places) > kFarOff * permitted[i];
    marks.insert({sides[i].from, sides[i].to});
  }
  constexpr std::size_t kMirrored = 2;
  std::vector<MarkPair> out;
  if (!any_far || marks.size() > LengthsTogether::kMostMarks) return out;
  for (auto a = marks.begin(); a != marks.end(); ++a)
    for (auto b = std::next(a); b != marks.end(); ++b) {
      const auto meant = [&](std::size_t m) { return m == *a ? *b : m == *b ? *a : m; };
      bool all_within = true;
      for (std::size_t i = 0; i < sides.size() && all_within; ++i)
        all_within = off({meant(sides[i].from), meant(sides[i].to), sides[i].length}, places) <= permitted[i];
      if (all_within) out.emplace_back(*a, *b);
    }
  if (out.size() > kMirrored) out.clear();
  return out;
}

LengthUnitSlip unit_slip(std::span<const MeasuredSide> sides, std::span<const Point<Drawing>> places,
                         std::span<const Length> permitted, LengthUnit read_as) {
  LengthUnitSlip best;
  for (const LengthUnit unit : kUnits) {
    const double times = metres_in(unit) / metres_in(read_as);
    if (std::abs(times - 1) < kSameUnit) continue;
    LengthUnitSlip mended{{}, unit};
    for (std::size_t i = 0; i < sides.size(); ++i)
      if (off(sides[i], places) > kMostMove && off(sides[i], places, times) <= permitted[i])
        mended.sides.push_back(i);
    if (mended.sides.size() > best.sides.size()) best = std::move(mended);
  }
  return best;
}

}  // namespace deckmark
