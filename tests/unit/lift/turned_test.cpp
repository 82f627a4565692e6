#include "lift/turned.h"

#include <doctest/doctest.h>

#include <vector>

using namespace deckmark;

namespace {

Length mm(double v) { return Length::millimetres(v); }
MarkAtTurn mark(std::size_t quarter, double north, double east, double sd = 2) {
  return {quarter, {{.northing = mm(north), .easting = mm(east)}}, mm(sd)};
}
double north(const TurnsResult& r) { return r.mean.by.northing.millimetres(); }
double east(const TurnsResult& r) { return r.mean.by.easting.millimetres(); }

}  // namespace

TEST_CASE("turned marks: a pair's mean, its sd, the lean of one mark") {
  const TurnsResult r = mean_of_turns(std::vector{mark(2, -1, 4), mark(0, 5, -4, 4)});
  CHECK(north(r) == doctest::Approx(2));
  CHECK(east(r) == doctest::Approx(0));
  CHECK(r.sd.millimetres() == doctest::Approx(2.2360680));  // sqrt(2^2 + 4^2) / 2
  CHECK(r.lean.millimetres() == doctest::Approx(5));        // half of (6, 8)
  CHECK_FALSE(r.apart);
  CHECK_FALSE(r.pairs_disagree);
  // the other pair alone is as good
  CHECK(north(mean_of_turns(std::vector{mark(1, 1, 1), mark(3, 3, 3)})) == doctest::Approx(2));
}

TEST_CASE("turned marks: two pairs weigh the same and are held against each other") {
  std::vector<MarkAtTurn> four{mark(0, 3, 0), mark(1, 0, 3), mark(2, -3, 0), mark(3, 0, -3)};
  TurnsResult r = mean_of_turns(four);
  CHECK(north(r) == doctest::Approx(0));
  CHECK(r.sd.millimetres() == doctest::Approx(1));  // 2 mm over the root of four
  CHECK(r.lean.millimetres() == doctest::Approx(3));
  CHECK(r.apart->millimetres() == doctest::Approx(0));
  // A pair whose sds are large counts for half all the same: its lean has to go out.
  for (const std::size_t i : {1U, 3U}) four[i].sd = mm(20), four[i].off.by.northing = mm(8);
  r = mean_of_turns(four);
  CHECK(north(r) == doctest::Approx(4));
  CHECK(r.sd.millimetres() == doctest::Approx(7.1063352));  // sqrt(4 + 4 + 400 + 400) / 4
  CHECK(r.apart->millimetres() == doctest::Approx(8));
  CHECK_FALSE(r.pairs_disagree);
  // At 2 mm the means differ with 2 mm an axis: limit 2 sqrt(13.8155) = 7.4339 mm.
  for (const auto& [off, disagree] : {std::pair{7.433, false}, {7.435, true}}) {
    for (const std::size_t i : {1U, 3U}) four[i].sd = mm(2), four[i].off.by.northing = mm(off);
    CHECK(mean_of_turns(four).pairs_disagree == disagree);
  }
}
