#include "marks/check_pair.h"

#include <doctest/doctest.h>

#include <random>
#include <vector>

using namespace deckmark;

namespace {

Point<Site> at(double n, double e) { return {{.northing = Length::metres(n), .easting = Length::metres(e)}}; }

}  // namespace

TEST_CASE("the pair for a loaded list shows exchanged axes where any pair from the first number can") {
  struct Row {
    std::vector<Point<Site>> marks;
    std::vector<std::uint32_t> numbers;
    std::vector<std::uint8_t> listed;
    std::size_t from, to;
    bool shows;
  };
  for (const Row& r :
       {Row{{at(0, 0), at(1, 9), at(1, 1)}, {1001, 1002, 1003}, {}, 0, 1, true},
        Row{{at(5, 5), at(0, 0), at(9, 9)}, {1003, 1001, 1002}, {}, 1, 2, false},  // all on one line at 45
                                                                                   // degrees
        Row{{at(0, 0), at(0, 0)}, {1001, 1002}, {}, 0, 0, false},                  // one place
        Row{{at(4, 4)}, {1001}, {}, 0, 0, false},
        Row{{at(0, 0), at(0, 3), at(3, 0), at(3, 3)}, {4, 3, 2, 1}, {}, 3, 2, true},  // two as good: the
                                                                                      // lower number
        Row{{at(0, 0), at(0, 30), at(3, 0)}, {1, 2, 3}, {1, 0, 1}, 0, 2, true}}) {
    const CheckPair p = check_pair(r.marks, r.numbers, r.listed);
    CHECK(p.from == r.from);
    CHECK(p.to == r.to);
    CHECK(p.shows_exchange == r.shows);
  }
}

TEST_CASE("what is told to show does show: the exchanged list has another inverse") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-50, 50);
  for (int i = 0; i < 500; ++i) {
    std::vector<Point<Site>> marks;
    std::vector<std::uint32_t> numbers;
    for (std::uint32_t k = 0; k < 12; ++k)
      marks.push_back(at(place(random), place(random))), numbers.push_back(1001 + k);
    const CheckPair p = check_pair(marks, numbers);
    REQUIRE(p.shows_exchange);
    const Vec<Site> by = marks[p.to] - marks[p.from],
                    exchanged{{.northing = by.by.easting, .easting = by.by.northing}};
    const double turn = (azimuth_of(exchanged) - azimuth_of(by)).radians();
    CHECK(std::abs(2 * std::sin(turn / 2)) * norm(by).metres() > 0.01);
  }
}
