// Published unit ratios and parsing examples: tests/vectors/reference/units_examples.csv.

#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>

#include "measure/angle_text.h"
#include "measure/length_text.h"
#include "support/vector_file.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

double read_dms(const std::string& text) {
  const auto angle = read_angle(text, {});
  REQUIRE(bool(angle));
  return angle->degrees();
}

Angle whole_or_dms(const std::string& text) {
  return text.find(':') == std::string::npos ? Angle::degrees(std::strtod(text.c_str(), nullptr))
                                             : Angle::degrees(read_dms(text));
}

double read_in(const std::string& text, LengthUnit unit) {
  const auto length = read_length(text, {LengthUnit::feet_inches, false, false});
  REQUIRE(bool(length));
  return in_unit(length->value, unit);
}

double computed(const std::string& kind, const std::string& x) {
  const double number = std::strtod(x.c_str(), nullptr);
  if (kind == "ft_in_m") return Length::feet(number).metres();
  if (kind == "ftUS_in_m") return Length::survey_feet(number).metres();
  if (kind == "m_to_ftUS") return in_unit(Length::metres(number), LengthUnit::survey_foot);
  if (kind == "m_to_ft") return in_unit(Length::metres(number), LengthUnit::foot);
  if (kind == "ftUS_minus_ft_ppm")
    return (metres_in(LengthUnit::survey_foot) / metres_in(LengthUnit::foot) - 1) * 1e6;
  if (kind == "gon_in_deg") return Angle::gon(number).degrees();
  if (kind == "deg_to_rad") return whole_or_dms(x).radians();
  if (kind == "sec_to_rad") return Angle::arc_seconds(number).radians();
  if (kind == "dms_to_deg") return read_dms(x);
  if (kind == "ft_in_frac") return read_in(x, LengthUnit::foot);  // 16-10-5/8 is a form that the reader knows
  if (kind == "ft_to_in") return in_unit(Length::feet(number), LengthUnit::inch);
  if (kind == "frac_to_dec") {
    // A fraction of one is refused with the whole inch that it is.
    const auto length = read_length(x + "\"", {LengthUnit::feet_inches, false, false});
    return read_in(length ? x + "\"" : length.fault().suggestion, LengthUnit::inch);
  }
  FAIL("no way to compute ", kind);
  return 0;
}

}  // namespace

TEST_CASE("published unit examples") {
  int not_read = 0;
  for (const VectorRow& row : read_vectors("vectors/reference/units_examples.csv")) {
    CAPTURE(row.at("id"));
    auto inputs = split_inputs(row.at("inputs"));
    // The program knows no angular mil.
    if (inputs["kind"] == "mil6400_per_deg") {
      ++not_read;
      continue;
    }
    const double want = std::strtod(row.at("expected").c_str(), nullptr);
    // Half a unit of the last published digit; exact rows allow one rounding of a double.
    const double tolerance = std::max(std::strtod(row.at("tol").c_str(), nullptr), 2e-16 * std::abs(want));
    CHECK(std::abs(computed(inputs["kind"], inputs["x"]) - want) <= tolerance);
  }
  CHECK(not_read == 1);
}
