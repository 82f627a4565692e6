#include "measure/decimal.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>

using namespace deckmark;

TEST_CASE("fixed decimals round half away from zero on the binary value") {
  struct Row {
    double value;
    int decimals;
    const char* want;
  };
  for (const Row& r : {Row{0, 0, "0"},
                       Row{-0.0, 3, "0.000"},
                       Row{0.5, 0, "1"},
                       Row{-0.5, 0, "-1"},
                       Row{1.5, 0, "2"},
                       Row{2.5, 0, "3"},
                       Row{0.125, 2, "0.13"},
                       Row{-0.125, 2, "-0.13"},
                       Row{0.375, 2, "0.38"},
                       Row{-0.0004, 3, "0.000"},
                       Row{0.0005, 3, "0.001"},
                       Row{1.005, 2, "1.00"},      // 1.00499999999999989... in binary
                       Row{2.675, 2, "2.67"},      // 2.67499999999999982...
                       Row{1.115, 2, "1.11"},      // 1.11499999999999999...
                       Row{0.045, 2, "0.04"},      // 0.04499999999999999...
                       Row{9.9995, 3, "9.999"},    // 9.99949999999999939...
                       Row{1.845, 2, "1.84"},      // 1.84499999999999997...
                       Row{19.9995, 3, "20.000"},  // 19.9995000000000011...
                       Row{999999.9999996, 6, "1000000.000000"},
                       Row{3.04, 2, "3.04"},
                       Row{12.5, 1, "12.5"},
                       Row{412305.1234, 4, "412305.1234"},
                       Row{1828803.6576073153, 5, "1828803.65761"},
                       Row{1e15, 3, "1000000000000000.000"},
                       Row{4503599627370495.5, 0, "4503599627370496"},
                       Row{4503599627370495.5, 1, "4503599627370495.5"},
                       Row{9007199254740993.0, 2, "9007199254740992.00"},
                       Row{1e22, 1, "10000000000000000000000.0"},
                       Row{-1e22, 0, "-10000000000000000000000"},
                       Row{123456789012.123456, 12, "123456789012.123458862305"},
                       Row{5e-324, 12, "0.000000000000"},
                       Row{0.999999999999949, 12, "1.000000000000"},
                       Row{4503599627370.4955, 3, "4503599627370.495"}}) {
    CAPTURE(r.value);
    CAPTURE(r.decimals);
    CHECK(fixed(r.value, r.decimals) == r.want);
  }
}

TEST_CASE("the largest double fits the buffer") {
  std::array<char, kFixedMax> out{};
  const double largest = std::numeric_limits<double>::max();
  for (const double value : {largest, -largest}) {
    const auto length = write_fixed(out.data(), value, 12) - out.data();
    CHECK(length <= kFixedMax);
    CHECK(length == 309 + 13 + (value < 0 ? 1 : 0));
  }
}

TEST_CASE("integers") {
  std::array<char, kFixedMax> out{};
  struct Row {
    std::int64_t value;
    const char* want;
  };
  for (const Row& r :
       {Row{0, "0"}, Row{7, "7"}, Row{-7, "-7"}, Row{10, "10"}, Row{99, "99"}, Row{100, "100"},
        Row{999999999, "999999999"}, Row{std::numeric_limits<std::int64_t>::max(), "9223372036854775807"},
        Row{std::numeric_limits<std::int64_t>::min(), "-9223372036854775808"}}) {
    CHECK(std::string(out.data(), write_integer(out.data(), r.value)) == r.want);
  }
}
