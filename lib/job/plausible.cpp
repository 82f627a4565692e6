#include "job/plausible.h"

#include <fmt/format.h>

#include "measure/verdict.h"
#include "table/message.h"

namespace deckmark {

namespace {

constexpr Length kLeastSd = Length::millimetres(0.1), kLeastTolerance = Length::millimetres(1),
                 kMost = Length::millimetres(50);
constexpr Length kLeastPossible = Length::millimetres(0.001), kMostPossibleSd = Length::metres(10),
                 kMostPossibleTolerance = Length::metres(10);

bool between(Length value, Length least, Length most) {
  return value >= least - kHair && value <= most + kHair;
}

}  // namespace

bool is_possible_sd(Length sd) {
  return sd == Length::metres(0) || (sd >= kLeastPossible && sd <= kMostPossibleSd);
}

bool is_possible_tolerance(Length tolerance) {
  return tolerance >= kLeastPossible && tolerance <= kMostPossibleTolerance;
}

std::string possible_sds(bool zero_allowed) {
  return zero_allowed ? "0, or a standard deviation from 0.001 mm to 10 m"
                      : "a standard deviation from 0.001 mm to 10 m";
}

std::string possible_tolerances() { return "a tolerance from 0.001 mm to 10 m"; }

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
