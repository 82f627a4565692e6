#include "marks/number_ranges.h"

#include <doctest/doctest.h>

#include <set>
#include <tuple>

using namespace deckmark;

namespace {

using Ranges = std::vector<std::tuple<std::uint32_t, std::uint32_t, std::uint32_t>>;

Ranges ranges_of(std::vector<std::uint32_t> numbers) {
  Ranges out;
  for (const NumberRange& r : number_ranges(std::move(numbers))) out.emplace_back(r.first, r.last, r.step);
  return out;
}

}  // namespace

TEST_CASE("numbers in short") {
  struct Row {
    std::vector<std::uint32_t> numbers;
    Ranges want;
  };
  for (const Row& r :
       {Row{{}, {}}, Row{{7}, {{7, 7, 1}}}, Row{{8, 7}, {{7, 8, 1}}},
        Row{{1001, 1002, 1003, 1038, 1039}, {{1001, 1003, 1}, {1038, 1039, 1}}},
        Row{{1, 6, 11, 16}, {{1, 16, 5}}}, Row{{1, 6}, {{1, 1, 1}, {6, 6, 1}}},
        Row{{1, 6, 7, 8}, {{1, 1, 1}, {6, 8, 1}}}, Row{{1, 2, 3, 5, 7, 9}, {{1, 3, 1}, {5, 9, 2}}},
        Row{{999999999, 999999998, 999999999}, {{999999998, 999999999, 1}}}})
    CHECK(ranges_of(r.numbers) == r.want);
}

TEST_CASE("ranges hold each number once and no other") {
  std::uint32_t state = 1;
  const auto random = [&](std::uint32_t below) {
    state = state * 1664525U + 1013904223U;
    return (state >> 8U) % below;
  };
  for (int trial = 0; trial < 2000; ++trial) {
    std::set<std::uint32_t> numbers;
    const std::uint32_t count = random(40), step = 1 + random(4);
    for (std::uint32_t k = 0; k < count; ++k) numbers.insert(1001 + step * random(60));
    std::vector<std::uint32_t> shuffled(numbers.begin(), numbers.end()), back;
    for (std::size_t k = shuffled.size(); k > 1; --k)
      std::swap(shuffled[k - 1], shuffled[random(static_cast<std::uint32_t>(k))]);
    for (const NumberRange& r : number_ranges(shuffled)) {
      std::size_t held = 0;
      for (std::uint32_t n = r.first; n <= r.last; n += r.step) back.push_back(n), ++held;
      CHECK(held == r.count());
      CHECK(back.back() == r.last);
    }
    CHECK(back == std::vector<std::uint32_t>(numbers.begin(), numbers.end()));
  }
}
