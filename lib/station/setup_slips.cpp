// Slips that spoil a whole setup: control with its axes exchanged, angles in another notation.
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "adjust/statistics.h"
#include "station/setup_wrong.h"

namespace deckmark {

namespace {

constexpr double kSound = 0.001;  // what is left must be nothing to wonder at

/// A number as it was typed, from what it was read as; and the other way round. Nothing where packed minutes
/// or seconds would be 60 or more. 1e-7 of packed text is a thousandth of a second.
double as_typed(Angle value, AngleNotation read_as) {
  const double degrees = value.degrees();
  if (read_as == AngleNotation::degrees) return degrees;
  if (read_as == AngleNotation::gon) return degrees / 0.9;
  const auto thousandths = static_cast<long long>(std::llround(degrees * 3600e3));
  const long long seconds = thousandths % 60000, minutes = thousandths / 60000 % 60,
                  whole = thousandths / 3600000;
  return static_cast<double>(whole) + static_cast<double>(minutes) / 100 + static_cast<double>(seconds) / 1e7;
}
std::optional<Angle> read_as(double typed, AngleNotation notation) {
  if (notation == AngleNotation::degrees) return Angle::degrees(typed);
  if (notation == AngleNotation::gon) return Angle::degrees(typed * 0.9);
  const auto all = static_cast<long long>(std::llround(typed * 1e7));
  const long long seconds = all % 100000, minutes = all / 100000 % 100, whole = all / 10000000;
  if (minutes >= 60 || seconds >= 60000) return std::nullopt;
  return Angle::degrees(static_cast<double>(whole) + static_cast<double>(minutes) / 60 +
                        static_cast<double>(seconds) / 3600e3);
}

std::optional<std::vector<Reading>> reread(std::span<const Reading> readings, AngleNotation from,
                                           AngleNotation to) {
  std::vector<Reading> out(readings.begin(), readings.end());
  for (Reading& r : out) {
    if (r.circle) {
      const auto circle = read_as(as_typed(Angle::degrees(r.circle->degrees()), from), to);
      if (!circle) return std::nullopt;
      r.circle = CircleReading::degrees(Azimuth::degrees(circle->degrees()).degrees());
    }
    if (r.zenith) {
      const auto zenith = read_as(as_typed(*r.zenith, from), to);
      if (!zenith) return std::nullopt;
      r.zenith = *zenith;
    }
    if (!face_agrees(r)) return std::nullopt;
  }
  return out;
}

std::optional<ControlMark> exchanged(std::optional<ControlMark> mark) {
  if (mark) std::swap(mark->at.at.northing, mark->at.at.easting);
  return mark;
}

}  // namespace

std::optional<double> with_axes_exchanged(const SetupInput& input, const SetupOptions& options) {
  std::vector<std::optional<ControlMark>> targets;
  for (const auto& t : input.targets) targets.push_back(exchanged(t));
  SetupInput right = input;
  right.targets = targets;
  right.mark = exchanged(input.mark);
  const PlanFit plan(right, options);
  const PlanSolution s = plan.run(plan.everything());
  if (!s.enough || !s.fit.converged || s.fit.degrees_of_freedom == 0 || s.places.size() > 1)
    return std::nullopt;
  const double chance =
      chi_squared_upper_tail(s.fit.square_sum, static_cast<double>(s.fit.degrees_of_freedom));
  return chance < kSound ? std::nullopt : std::optional(s.fit.square_sum);
}

std::optional<AngleNotation> angles_meant(std::span<const Reading> readings, const SetupInput& input,
                                          const SetupOptions& options, AngleNotation read_as) {
  for (const AngleNotation meant : {AngleNotation::degrees, AngleNotation::gon, AngleNotation::packed}) {
    if (meant == read_as) continue;
    const auto other = reread(readings, read_as, meant);
    if (!other) continue;
    const Reduction reduction = reduce(*other, options.instrument);
    SetupInput again = input;
    again.sights = reduction.sights;
    const SetupResult result = adjust_setup(again, options);
    if (result.status == SetupStatus::solved && result.degrees_of_freedom > 0 &&
        result.verdict == Verdict::within)
      return meant;
  }
  return std::nullopt;
}

}  // namespace deckmark
