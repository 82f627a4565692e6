#include "marks/check_pair.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>
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

namespace {

/// By how much a pair's distance changed most; every pair is looked at.
double most_changed(const std::vector<Point<Site>>& marks, const std::vector<MarkThen>& then) {
  double most = 0;
  for (std::size_t i = 0; i < then.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      most = std::max(most, std::abs((distance(marks[then[i].mark], marks[then[j].mark]) -
                                      distance(then[i].then, then[j].then))
                                         .metres()));
  return most;
}

}  // namespace

TEST_CASE("the pair whose distance changed most, where it did by over 2 mm") {
  struct Row {
    std::string why;
    std::vector<MarkThen> then;
    bool is_there;
    std::size_t from = 0, to = 0;
    double before = 0;
  };
  const std::vector<Point<Site>> marks = {at(0, 0), at(0, 10), at(0, 20), at(5, 5)};
  const std::vector<std::uint32_t> numbers = {1004, 1002, 1003, 1001};
  for (const Row& r : std::vector<Row>{
           {"none was there", {}, false},
           {"one was there", {{2, at(9, 9)}}, false},
           {"none moved", {{0, at(0, 0)}, {1, at(0, 10)}, {2, at(0, 20)}}, false},
           {"all shifted", {{0, at(7, 3)}, {1, at(7, 13)}, {2, at(7, 23)}}, false},
           {"all turned", {{0, at(0, 0)}, {1, at(10, 0)}, {2, at(20, 0)}}, false},
           {"2 mm", {{0, at(0, 0)}, {1, at(0, 10.001999)}}, false},
           {"over 2 mm", {{0, at(0, 0)}, {1, at(0, 10.002001)}}, true, 1, 0, 10.002001},
           {"nearer before", {{1, at(0, 10)}, {2, at(0, 19)}}, true, 1, 2, 9},
           {"the most of three", {{0, at(0, 0)}, {1, at(0, 10.1)}, {2, at(0, 19.8)}}, true, 1, 2, 9.7},
           {"not all were there", {{3, at(5, 5)}, {2, at(0, 20.5)}}, true, 3, 2, std::hypot(5, 15.5)}}) {
    CAPTURE(r.why);
    const auto pair = changed_pair(marks, numbers, r.then);
    REQUIRE(pair.has_value() == r.is_there);
    if (!pair) continue;
    CHECK(pair->from == r.from);
    CHECK(pair->to == r.to);
    CHECK(pair->before.metres() == doctest::Approx(r.before).epsilon(1e-12));
  }
}

TEST_CASE("no pair changed more than the one that is told, whatever moved and how") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-50, 50), unit(-1, 1);
  for (int round = 0; round < 300; ++round) {
    const double shift = round % 3 == 0 ? 5 * unit(random) : 0;
    const double size = (round % 4 + 1) * 0.0008;
    std::vector<Point<Site>> marks;
    std::vector<std::uint32_t> numbers;
    std::vector<MarkThen> then;
    for (std::uint32_t k = 0; k < 25; ++k) {
      const double n = place(random), e = place(random);
      marks.push_back(at(n, e));
      numbers.push_back(1001 + (k * 7) % 25);
      if (k % 5 == 0) continue;
      const double by = k % 3 == 0 ? size : 0;
      then.push_back({k, at(n + shift + by * unit(random), e - shift + by * unit(random))});
    }
    const double most = most_changed(marks, then);
    const auto pair = changed_pair(marks, numbers, then);
    REQUIRE(pair.has_value() == (most > 0.002));
    if (!pair) continue;
    CHECK(numbers[pair->from] < numbers[pair->to]);
    const double told = std::abs((distance(marks[pair->from], marks[pair->to]) - pair->before).metres());
    CHECK(told == doctest::Approx(most).epsilon(1e-9));
  }
}
