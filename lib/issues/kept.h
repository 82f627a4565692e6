#pragma once
/// Lengths and places as the ledger keeps them: whole micrometres, so that two are equal or they are not, and
/// what was written compares with what is computed again.

#include <cmath>
#include <cstdint>
#include <limits>

#include "measure/frame.h"

namespace deckmark {

/// A length of whole micrometres, or none. Rounds half away from zero. REQUIRES less than 9,000,000 km.
class Kept {
 public:
  static constexpr Kept none() { return Kept(kNone); }
  static constexpr Kept micrometres(std::int64_t value) { return Kept(value); }
  static Kept of(Length l) { return Kept(std::llround(l.metres() * 1e6)); }
  static Kept of(Elevation e) { return of(e.above_datum()); }
  template <class T>
  static Kept of(const std::optional<T>& value) {
    return value ? of(*value) : none();
  }
  constexpr bool is_none() const { return value_ == kNone; }
  constexpr std::int64_t micrometres() const { return value_; }
  /// The double nearest to the decimal that the ledger prints. REQUIRES a length.
  double metres() const { return static_cast<double>(value_) / 1e6; }
  Length length() const { return Length::metres(metres()); }
  friend constexpr bool operator==(Kept a, Kept b) { return a.value_ == b.value_; }

 private:
  static constexpr std::int64_t kNone = std::numeric_limits<std::int64_t>::min();
  constexpr explicit Kept(std::int64_t value) : value_(value) {}
  std::int64_t value_;
};

struct KeptDrawing {
  Kept x, y;
  static KeptDrawing of(const Point<Drawing>& p) { return {Kept::of(p.at.x), Kept::of(p.at.y)}; }
  Point<Drawing> point() const { return {{.x = x.length(), .y = y.length()}}; }
  friend bool operator==(const KeptDrawing&, const KeptDrawing&) = default;
};
struct KeptSite {
  Kept northing, easting;
  static KeptSite of(const Point<Site>& p) { return {Kept::of(p.at.northing), Kept::of(p.at.easting)}; }
  Point<Site> point() const { return {{.northing = northing.length(), .easting = easting.length()}}; }
  friend bool operator==(const KeptSite&, const KeptSite&) = default;
};

/// What is further away than this is told: more than 1 mm.
inline constexpr std::int64_t kToldBeyond = 1000;  // micrometres
inline bool is_told(Kept now, Kept before) {
  return std::abs(now.micrometres() - before.micrometres()) > kToldBeyond;
}
/// The square of a distance may not run over.
inline bool is_told(Kept now_a, Kept before_a, Kept now_b, Kept before_b) {
  if (is_told(now_a, before_a) || is_told(now_b, before_b)) return true;
  const std::int64_t a = now_a.micrometres() - before_a.micrometres(),
                     b = now_b.micrometres() - before_b.micrometres();
  return a * a + b * b > kToldBeyond * kToldBeyond;
}
inline bool is_told(const KeptDrawing& now, const KeptDrawing& before) {
  return is_told(now.x, before.x, now.y, before.y);
}
/// On site both places are rounded, each by up to 0.7 micrometres: that is no move.
inline bool is_told(const KeptSite& now, const KeptSite& before) {
  constexpr double kBeyond = kToldBeyond + 1.5;
  return std::hypot(static_cast<double>(now.northing.micrometres() - before.northing.micrometres()),
                    static_cast<double>(now.easting.micrometres() - before.easting.micrometres())) > kBeyond;
}

}  // namespace deckmark
