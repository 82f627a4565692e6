#include "job/plausible.h"

#include <fmt/format.h>

#include "measure/verdict.h"
#include "table/message.h"

namespace deckmark {

namespace {

constexpr Length kLeastSd = Length::millimetres(0.1), kLeastTolerance = Length::millimetres(1),
                 kMost = Length::millimetres(50);

bool between(Length value, Length least, Length most) {
  return value >= least - kHair && value <= most + kHair;
}

}  // namespace

bool is_plausible_sd(Length sd) { return between(sd, kLeastSd, kMost); }

bool is_plausible_tolerance(Length tolerance) { return between(tolerance, kLeastTolerance, kMost); }

std::string odd_sd_text(std::string_view stated) {
  return fmt::format(
      "{} is hard to believe: a standard deviation is seldom under 0.1 mm or over 50 mm (common practice, no "
      "source); check its unit",
      in_quotes(stated));
}

std::string odd_tolerance_text(std::string_view stated) {
  return fmt::format(
      "{} is hard to believe: a tolerance is seldom under 1 mm or over 50 mm (common practice, no source); "
      "check its unit",
      in_quotes(stated));
}

}  // namespace deckmark
