#pragma once
/// A known target read again: whether the instrument still stands, what such a check could miss, and what
/// the checks say has happened.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "book/facts.h"
#include "book/reading.h"

namespace deckmark {

/// Chi-square of two coordinates that holds 999 of 1,000: -2 ln 0.001.
inline constexpr double kCheckRegion = 13.815510557964274;
/// So many sds a shift must have to leave that region 95 times in 100: the root of the noncentrality at which
/// a chi-square of 2 degrees exceeds `kCheckRegion` with probability 0.95 (held by tests/unit/book by
/// integration).
inline constexpr double kSeenShift = 5.248097793160035;

/// What a check would see 95 times in 100; less may pass.
struct Missed {
  Angle turn = Angle::degrees(0);   ///< of the instrument about its axis
  Length move = Length::metres(0);  ///< of the instrument, in the direction in which it sees worst
};

/// What the first reading within of a target was in this standing: by the place and the zero of its set-up.
struct FirstReading {
  CircleReading circle = CircleReading::degrees(0);
  Length horizontal = Length::metres(0);
  std::optional<Elevation> elevation{};
};

struct CheckResult {
  bool by_first = false;              ///< against the first reading, else against coordinates
  Length along = Length::metres(0);   ///< read too far
  Length across = Length::metres(0);  ///< read too far clockwise
  double misfit = 0;                  ///< chi-square of both
  Verdict verdict = Verdict::within;
  SightCovariance covariance{};  ///< of along and across
  Azimuth sight = Azimuth::degrees(0);
  Length horizontal = Length::metres(0);
  std::optional<Length> up{}, up_sd{};  ///< read too high; judges nothing
  Missed missed{};
};

/// A check against what was read of the same target before, while it was left standing. Its sds are those of
/// two readings in one face: the constant part of the distance and the circle; no target_sd and no ppm, which
/// are the same both times.
CheckResult check_against(const FirstReading& first, const ReadPlace& read, Angle orientation,
                          const InstrumentOptions& instrument);
/// A check against coordinates: the setup's covariance, the target's own sd, distance, circle and target_sd.
CheckResult check_against(const ControlMark& target, const ReadPlace& read, const SetupResult& setup,
                          const InstrumentOptions& instrument);

/// What explains checks of one standing, the fewest assumptions first.
struct CheckCause {
  enum class Kind : std::uint8_t { turned, moved, sank, target };
  Kind kind = Kind::turned;
  Angle turn = Angle::degrees(0);    ///< turned: the circle reads so much too large
  std::optional<Vec<Site>> shift{};  ///< moved: of the instrument; target: of the target
  Length up = Length::metres(0);     ///< sank: of the instrument, negative downwards
  std::size_t check = 0;             ///< target: which
  double left = 0;                   ///< chi-square that it leaves
};
/// Causes that leave no more than 999 of 1,000 would, the likeliest first; empty where none explains what
/// was read. REQUIRES one check at least, some of them off.
std::vector<CheckCause> causes_of(std::span<const CheckResult> checks);

}  // namespace deckmark
