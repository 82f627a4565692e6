#pragma once
/// Lengths and the units they are written in. Inside the program a length is metres in a double.

#include <compare>
#include <cstdint>
#include <optional>
#include <string_view>

namespace deckmark {

/// A length, an offset along an axis, or a height difference. No implicit conversion to or from double.
class Length {
 public:
  static constexpr Length metres(double v) { return Length(v); }
  static constexpr Length millimetres(double v) { return Length(v / 1000.0); }
  static constexpr Length centimetres(double v) { return Length(v / 100.0); }
  /// International foot, 0.3048 m exactly.
  static constexpr Length feet(double v) { return Length(v * 0.3048); }
  static constexpr Length inches(double v) { return Length(v * 0.0254); }
  /// US survey foot, 1200/3937 m exactly.
  static constexpr Length survey_feet(double v) { return Length(v * 1200.0 / 3937.0); }

  constexpr double metres() const { return m_; }
  constexpr double millimetres() const { return m_ * 1000.0; }

  constexpr Length operator-() const { return Length(-m_); }
  constexpr Length& operator+=(Length o) {
    m_ += o.m_;
    return *this;
  }
  constexpr Length& operator-=(Length o) {
    m_ -= o.m_;
    return *this;
  }
  friend constexpr Length operator+(Length a, Length b) { return Length(a.m_ + b.m_); }
  friend constexpr Length operator-(Length a, Length b) { return Length(a.m_ - b.m_); }
  friend constexpr Length operator*(Length a, double k) { return Length(a.m_ * k); }
  friend constexpr Length operator*(double k, Length a) { return Length(a.m_ * k); }
  friend constexpr Length operator/(Length a, double k) { return Length(a.m_ / k); }
  friend constexpr double operator/(Length a, Length b) { return a.m_ / b.m_; }
  friend constexpr auto operator<=>(Length a, Length b) = default;

 private:
  explicit constexpr Length(double m) : m_(m) {}
  double m_;
};

constexpr Length abs(Length a) { return a < Length::metres(0) ? -a : a; }
Length hypot(Length a, Length b);

/// Units of a written length. `feet_inches` is the international foot with inches and fractions.
enum class LengthUnit : std::uint8_t { metre, millimetre, centimetre, foot, survey_foot, inch, feet_inches };

/// The unit's word in files: m, mm, cm, ft, us-ft, in, ft-in.
std::string_view unit_word(LengthUnit unit);
/// The unit named by a word in any letter case (`m mm cm ft us-ft in ft-in`), if there is one.
std::optional<LengthUnit> unit_from_word(std::string_view word);
/// The unit that a word which names none may stand for (`feet`, `millimetres`, `survey foot`), for a
/// suggestion; empty where it stands for none.
std::string_view likely_unit_word(std::string_view word);
/// Metres in one of the unit; 0.3048 for feet_inches.
double metres_in(LengthUnit unit);
/// The value as a count of the unit (feet for feet_inches).
double in_unit(Length value, LengthUnit unit);
Length from_unit(double count, LengthUnit unit);
/// Decimals with which a table cell of this unit is finer than 0.01 mm or 0.0001 in (contract: resolution).
int table_decimals(LengthUnit unit);

}  // namespace deckmark
