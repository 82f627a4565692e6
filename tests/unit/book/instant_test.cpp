#include <doctest/doctest.h>

#include <string>

#include "book/book.h"

using namespace deckmark;

TEST_CASE("an instant is counted from 1970, its offset taken out") {
  // 2026-11-28 is day 20,785: 56 years of 365 days, 14 leap days, and 331 days of the year.
  constexpr std::int64_t kDay = 20785LL * 86'400'000;
  const struct {
    std::string text;
    std::int64_t want;
  } kRows[] = {{"1970-01-01T00:00Z", 0},
               {"2026-11-28T00:00:00Z", kDay},
               {"2026-11-28T07:30:15+01:00", kDay + ((6 * 60 + 30) * 60 + 15) * 1000},
               {"2026-11-27T22:30-0130", kDay},
               {"2026-11-28T00:00:00.25Z", kDay + 250},
               {"2026-11-28 14:00+14", kDay},
               {"2024-02-29T00:00Z", (54LL * 365 + 13 + 59) * 86'400'000}};
  for (const auto& row : kRows) {
    CAPTURE(row.text);
    REQUIRE(instant_of(row.text));
    CHECK(*instant_of(row.text) == row.want);
  }
}

TEST_CASE("the offset of an instant is what stands behind its time of day") {
  for (const std::string text : {"2026-11-28T07:30", "2026-11-28T07:30:15", "2026-11-28 07:30:15.25"})
    for (const std::string offset : {"Z", "+01:00", "-0130", "+14"})
      CHECK(without_offset(text + offset) == text);
}

TEST_CASE("what is no instant with an offset is none") {
  for (const std::string text :
       {"", "2026-11-28", "2026-11-28T07:30", "07:30+01:00", "2026-02-29T00:00Z", "2026-13-01T00:00Z",
        "2026-11-28T24:00Z", "2026-11-28T07:60Z", "2026-11-28T07:30:60Z", "2026-11-28T07:30Zx",
        "2026-11-28T07:30+15", "2026-11-28T07:30+01:60", "2026-11-28T07:30:.5Z", "28.11.2026T07:30Z"}) {
    CAPTURE(text);
    CHECK_FALSE(instant_of(text));
  }
}
