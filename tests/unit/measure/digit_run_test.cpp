#include "measure/digit_run.h"

#include <doctest/doctest.h>

#include <random>
#include <string>

using namespace deckmark;

namespace {

/// Digit by digit.
DigitRun counted(const std::string& text, int most) {
  DigitRun run{0, 0};
  while (run.count < most && text[static_cast<std::size_t>(run.count)] >= '0' &&
         text[static_cast<std::size_t>(run.count)] <= '9')
    run.value =
        run.value * 10 + static_cast<std::uint64_t>(text[static_cast<std::size_t>(run.count++)] - '0');
  return run;
}

}  // namespace

TEST_CASE("digits taken together are the digits taken one by one, whatever byte ends them") {
  std::mt19937 random(1);
  for (int byte = 0; byte < 256; ++byte)
    for (std::size_t digits = 0; digits <= 8; ++digits)
      for (int k = 0; k < 20; ++k) {
        std::string text;
        for (std::size_t i = 0; i < 8; ++i)
          text += i < digits    ? static_cast<char>('0' + random() % 10)
                  : i == digits ? static_cast<char>(byte)
                                : static_cast<char>(random() % 256);
        const int most = 1 + static_cast<int>(random() % 8);
        for (const int limit : {most, 8}) {
          const DigitRun got = leading_digits(text.data(), limit), want = counted(text, limit);
          CAPTURE(text);
          CAPTURE(limit);
          REQUIRE(got.count == want.count);
          REQUIRE(got.value == want.value);
        }
      }
}
