#include "shape/mends.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace deckmark::shape_detail {

namespace {

constexpr double kInch = 0.0254, kFoot = 0.3048;
constexpr double kMetric[] = {0.01, 0.005, 0.001, 0.0001};
constexpr double kInches[] = {kInch / 4, kInch / 8, kInch / 16, kInch / 32, kInch / 64};
constexpr double kFeet[] = {kFoot / 100, kFoot / 1000, kFoot / 10000};
constexpr double kSurveyFeet[] = {12.0 / 3937, 1.2 / 3937, 0.12 / 3937};
constexpr std::size_t kSample = 2000;
constexpr double kMost = 0.9;    // of the coordinates
constexpr double kWhole = 2e-6;  // metres: a whole count is nearer than this
constexpr double kNear = 0.002;  // a value this near to a coarser figure is rounded to it

std::span<const double> figures_of(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::feet_inches:
    case LengthUnit::inch:
      return kInches;
    case LengthUnit::foot:
      return kFeet;
    case LengthUnit::survey_foot:
      return kSurveyFeet;
    default:
      return kMetric;
  }
}

double to_figure(double v, double figure) { return std::round(v / figure) * figure; }

/// Slips that are looked for one kind after another; the nearest of a kind is taken.
class Search {
 public:
  Search(double expected, double tolerance) : expected_(expected), tolerance_(tolerance) {}
  void offer(MendKind kind, double metres) {
    const double off = std::abs(metres - expected_);
    if (off > tolerance_ || (found_ && (found_->kind != kind || off >= off_))) return;
    found_ = ShapeMend{kind, Length::metres(metres)}, off_ = off;
  }
  bool done() const { return found_.has_value(); }
  const std::optional<ShapeMend>& found() const { return found_; }

 private:
  double expected_, tolerance_, off_ = 0;
  std::optional<ShapeMend> found_;
};

/// Whole numbers that differ from one by two neighbouring digits exchanged, or by one digit; `digits`: at
/// least.
template <class Take>
void exchanged_digits(std::int64_t n, std::size_t digits, const Take& take) {
  std::string text = std::to_string(n);
  if (text.size() < digits) text.insert(0, digits - text.size(), '0');
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    if (text[i] == text[i + 1]) continue;
    std::swap(text[i], text[i + 1]);
    take(std::stoll(text));
    std::swap(text[i], text[i + 1]);
  }
}
template <class Take>
void other_digits(std::int64_t n, const Take& take) {
  const std::string text = "0" + std::to_string(n);  // a first digit may have been left out
  std::int64_t place = 1;
  for (std::size_t i = text.size(); i-- > 0; place *= 10)
    for (int d = 0; d < 10; ++d)
      if (d != text[i] - '0') take(n + (d - (text[i] - '0')) * place);
}

/// Counts of the last decimal that is keyed.
void search_decimals(Search& s, double found, double one, int decimals) {
  const double last = one / std::pow(10, decimals), sign = found < 0 ? -1 : 1;
  const auto n = static_cast<std::int64_t>(std::llround(std::abs(found) / last));
  const auto with = [&](MendKind kind) {
    return [&s, kind, sign, last](std::int64_t count) {
      s.offer(kind, sign * static_cast<double>(count) * last);
    };
  };
  exchanged_digits(n, static_cast<std::size_t>(decimals) + 1, with(MendKind::exchanged_digits));
  if (s.done()) return;
  for (const double by : {kFoot, -kFoot}) s.offer(MendKind::foot, to_figure(found + by, last));
  if (s.done()) return;
  for (const double by : {kInch, -kInch}) s.offer(MendKind::inch, to_figure(found + by, last));
  if (!s.done()) other_digits(n, with(MendKind::one_digit));
}

void search_feet_inches(Search& s, double found) {
  const double sign = found < 0 ? -1 : 1, total = std::abs(found) / kInch;
  const auto whole = static_cast<std::int64_t>(std::floor(total + 1e-6));
  const double fraction = total - static_cast<double>(whole);
  const std::int64_t feet = whole / 12, inches = whole % 12;
  const auto offer = [&](MendKind kind, std::int64_t f, std::int64_t i) {
    if (i >= 0 && i < 12) s.offer(kind, sign * (static_cast<double>(12 * f + i) + fraction) * kInch);
  };
  exchanged_digits(feet, 2, [&](std::int64_t f) { offer(MendKind::exchanged_digits, f, inches); });
  exchanged_digits(inches, 2, [&](std::int64_t i) { offer(MendKind::exchanged_digits, feet, i); });
  if (feet < 12) offer(MendKind::exchanged_digits, inches, feet);
  if (s.done()) return;
  for (const int by : {1, -1}) s.offer(MendKind::foot, found + by * kFoot);
  if (s.done()) return;
  for (const int by : {1, -1}) s.offer(MendKind::inch, found + by * kInch);
  if (s.done()) return;
  other_digits(feet, [&](std::int64_t f) { offer(MendKind::one_digit, f, inches); });
  for (std::int64_t i = 0; i < 12; ++i) offer(MendKind::one_digit, feet, i);
}

}  // namespace

Figure::Figure(std::span<const Point<Drawing>> places, LengthUnit unit)
    : figures_(figures_of(unit)), figure_(figures_.back()) {
  const std::size_t step = places.size() / kSample + 1;
  for (const double figure : figures_) {
    std::size_t all = 0, whole = 0;
    for (std::size_t i = 0; i < places.size(); i += step)
      for (const double v : {places[i].at.x.metres(), places[i].at.y.metres()})
        ++all, whole += std::abs(v - to_figure(v, figure)) <= kWhole;
    if (static_cast<double>(whole) < kMost * static_cast<double>(all)) continue;
    figure_ = figure;
    return;
  }
}

double Figure::rounded(double metres) const {
  for (const double figure : figures_) {
    const double v = to_figure(metres, figure);
    if (figure <= figure_ &&
        (std::abs(v - metres) <= std::min(kNear, 0.35 * figure) || figure == figures_[2]))
      return v;
  }
  return metres;
}

std::optional<ShapeMend> mend_of(double found, double expected, LengthUnit unit, double tolerance,
                                 const Figure& figure) {
  Search s(expected, tolerance);
  if (std::abs(found - expected) <= 2 * tolerance) return std::nullopt;
  const double one = metres_in(unit);
  if (unit == LengthUnit::feet_inches || unit == LengthUnit::inch) {
    search_feet_inches(s, found);
  } else {
    int decimals = unit == LengthUnit::millimetre   ? 0
                   : unit == LengthUnit::centimetre ? 1
                   : unit == LengthUnit::metre      ? 3
                                                    : 2;
    while (decimals < 4 && figure.metres() < 0.9 * one / std::pow(10, decimals)) ++decimals;
    search_decimals(s, found, one, decimals);
  }
  return s.found();
}

}  // namespace deckmark::shape_detail
