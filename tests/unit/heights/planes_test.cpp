// What one standing of a laser closes to, and the tilt that two housings show.
#include <doctest/doctest.h>

#include <cmath>

#include "heights_support.h"

using namespace heights_test;

TEST_CASE("a standing that reads two benchmarks, or a target twice, closes") {
  Book book;
  book.benchmark(0, 10).benchmark(1, 11).benchmark(2, 13, mm(2));
  book.laser(0, 0, 2.000)        // plane 12.000
      .laser(0, 1, 1.004)        // 12.004
      .laser(0, 2, 0.998, true)  // 12.002
      .laser(0, 3, 1.000)        //
      .laser(0, 3, 1.005)        // plane 5 mm higher by it
      .laser(0, 4, 1.000, true)  //
      .laser(0, 4, 1.002, true)  // 2 mm lower
      .laser(1, 0, 2.000)        // one benchmark from another standing: nothing to close
      .laser(1, 3, 1.000);
  const HeightsResult r = book.run();
  REQUIRE(r.planes.size() == 4);
  struct Row {
    std::size_t first, second;
    double closure;
    bool within;
  };
  const Row want[] = {{0, 1, 4, false}, {0, 2, 2, true}, {3, 4, 5, false}, {5, 6, -2, true}};
  for (std::size_t i = 0; i < 4; ++i) {
    CAPTURE(i);
    CHECK(r.planes[i].first == want[i].first);
    CHECK(r.planes[i].second == want[i].second);
    CHECK(r.planes[i].closure.millimetres() == doctest::Approx(want[i].closure));
    CHECK(r.planes[i].is_within() == want[i].within);
  }
  book.options.loop_limit = mm(5.1);
  for (const PlaneClosure& p : book.run().planes) CHECK(p.is_within());
}

TEST_CASE("two housings of a benchmark count by their mean, two of one housing close") {
  Book book;
  book.benchmark(0, 10).benchmark(1, 10);
  book.laser(0, 0, 1.000).pair(0, 1, 1.010, 0.994, 20).laser(0, 1, 1.011, false, 20, Housing::straight);
  const HeightsResult r = book.run();
  REQUIRE(r.planes.size() == 2);
  CHECK(r.planes[0].closure.millimetres() == doctest::Approx(2));  // 1.002 against 1.000
  CHECK(r.planes[1].first == 1);
  CHECK(r.planes[1].second == 3);
  CHECK(r.planes[1].closure.millimetres() == doctest::Approx(1));
  CHECK(r.tilts.size() == 1);
  CHECK(r.laser_residuals[1] == r.laser_residuals[2]);
  CHECK(r.laser_residuals[1] != r.laser_residuals[3]);
}

TEST_CASE("tilt is half the difference over the distance, above zero where the plane is high at housing 0") {
  struct Row {
    bool above, turned_first;
    double straight, turned, want;  // want in units of 1e-4 rad
  };
  for (const Row& row : {Row{false, false, 1.003, 1.001, 1}, Row{false, true, 1.003, 1.001, 1},
                         Row{true, false, 1.003, 1.001, -1}, Row{false, false, 1.001, 1.003, -1}}) {
    Book book;
    book.benchmark(0, 10);
    for (const bool turned : {row.turned_first, !row.turned_first})
      book.laser(0, 0, turned ? row.turned : row.straight, row.above, 10,
                 turned ? Housing::turned : Housing::straight);
    const HeightsResult r = book.run();
    REQUIRE(r.tilts.size() == 1);
    CHECK(r.tilts[0].straight == (row.turned_first ? 1 : 0));
    CHECK(r.tilts[0].turned == (row.turned_first ? 0 : 1));
    CHECK(r.tilts[0].tilt.radians() == doctest::Approx(row.want * 1e-4).epsilon(1e-6));
    CHECK(r.tilts[0].apart.millimetres() == doctest::Approx(2 * row.want));
    CHECK(r.planes.empty());  // the tilt is of the instrument: nothing that a limit is held to
    CHECK(r.spare == 0);
  }
}

TEST_CASE("two housings may be apart by what two readings and the beam allow, and no more") {
  // 3.29 x hypot(sqrt(2) x 1 mm, 2 x 20 m x 1e-4): 13.958 mm; without a beam 4.653 mm.
  struct Row {
    double beam, apart;
    bool within;
  };
  for (const Row& row : {Row{1e-4, 13.9, true}, Row{1e-4, 14.0, false}, Row{1e-4, -14.0, false},
                         Row{0, 4.6, true}, Row{0, 4.7, false}}) {
    CAPTURE(row.apart);
    Book book;
    book.options.beam_sd = Angle::radians(row.beam);
    book.benchmark(0, 10)
        .laser(0, 0, 1 + row.apart / 1000, false, 25, Housing::straight)
        .laser(0, 0, 1, false, 15, Housing::turned);
    const HeightsResult r = book.run();
    REQUIRE(r.tilts.size() == 1);
    CHECK(r.tilts[0].limit.millimetres() == doctest::Approx(row.beam > 0 ? 13.958 : 4.653).epsilon(1e-3));
    CHECK(r.tilts[0].is_within() == row.within);
    CHECK(r.wrong.empty());
  }
}
