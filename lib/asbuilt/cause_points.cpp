#include "asbuilt/cause_points.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "adjust/hypothesis.h"

namespace deckmark::causes {

namespace {

constexpr double kDigitSds = 10;    // exchanged digits are told only beyond: nines are everywhere
constexpr double kDigitNear = 2.5;  // sds within which the number put right must meet the design
constexpr double kSideNear = 3;     // sds within which the other coordinate must be right
constexpr int kTypedDecimals[] = {3, 4};

/// What a typed coordinate would be with two neighbouring digits put right.
std::vector<double> put_right(double metres, LengthUnit unit) {
  std::vector<double> out;
  const double count = metres / metres_in(unit);
  for (const int decimals : kTypedDecimals) {
    const double power = std::pow(10.0, decimals);
    const std::string digits = std::to_string(std::llround(std::abs(count) * power));
    // What the last decimal rounds away stays as it is.
    const double rest = std::abs(count) - std::stod(digits) / power;
    for (std::size_t i = 0; i + 1 < digits.size(); ++i) {
      if (digits[i] == digits[i + 1]) continue;
      std::string other = digits;
      std::swap(other[i], other[i + 1]);
      out.push_back(std::copysign(std::stod(other) / power + rest, count) * metres_in(unit));
    }
  }
  return out;
}

/// The change that exchanged digits made in one coordinate of a mark; none where they explain nothing.
std::optional<double> digits_of(const CausesInput& input, const Frame& frame, std::size_t shot, Complex off,
                                double noise) {
  if (std::abs(off) < kDigitSds * noise) return std::nullopt;
  std::optional<double> best;
  double nearest = kDigitNear * noise;
  const auto look = [&](double typed, double along, double side) {
    if (std::abs(side) > kSideNear * noise) return;
    for (const double right : put_right(typed, input.typed_unit)) {
      const double left = std::abs(along + right - typed);
      if (left > nearest) continue;
      nearest = left;
      best = typed - right;
    }
  };
  if (!input.typed.empty()) {
    const double along_x = (off * std::conj(frame.x)).real(), along_y = (off * std::conj(frame.y)).real();
    look(input.typed[shot].at.x.metres(), along_x, along_y);
    look(input.typed[shot].at.y.metres(), along_y, along_x);
  } else {
    const Point<Site>& at = input.shots[shot].at;
    look(at.at.easting.metres(), off.real(), off.imag());
    look(at.at.northing.metres(), off.imag(), off.real());
  }
  return best;
}

struct Wild {
  std::vector<std::size_t> shots;
  Complex off;  // mean
};

Cause single(const CausesInput& input, const Frame& frame, const Wild& w, double noise, double chance) {
  const double count = static_cast<double>(w.shots.size());
  Cause c;
  c.kind = CauseKind::one_point;
  c.shots = w.shots;
  c.chance = chance;
  c.sd = noise / std::sqrt(count);
  c.value = std::abs(w.off);
  c.before = Length::metres(std::abs(w.off) / std::numbers::sqrt2);
  c.after = Length::metres(0);
  c.by = Vec<Site>{{.northing = Length::metres(w.off.imag()), .easting = Length::metres(w.off.real())}};
  count_touched(input, c);
  if (const auto change = digits_of(input, frame, w.shots.front(), w.off, noise)) {
    c.kind = CauseKind::digits;
    c.value = *change;
    c.after = Length::metres(std::max(0.0, std::abs(w.off) - std::abs(*change)) / std::numbers::sqrt2);
  }
  return c;
}

}  // namespace

std::vector<Cause> find_single_marks(const CausesInput& input, const Field& field, const Frame& frame,
                                     std::size_t tried) {
  std::vector<double> lengths;
  for (std::size_t i = 0; i < field.built.size(); ++i)
    lengths.push_back(std::abs(field.off(i)) / field.spread[i]);
  const double scatter = std::max(scatter_of(lengths), kLeastScatter);
  // Those of ordinary scatter say how large it is; shots of one mark that agree are one finding.
  double calm = 0;
  std::size_t calm_shots = 0;
  std::map<std::uint32_t, std::vector<Wild>> wild;
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    if (lengths[i] <= kWild * scatter * 0.8) {
      calm += lengths[i] * lengths[i];
      ++calm_shots;
      continue;
    }
    std::vector<Wild>& of_mark = wild[input.shots[i].mark];
    const auto same = std::ranges::find_if(of_mark, [&](const Wild& w) {
      return std::abs(w.off - field.off(i)) < kWild * scatter * field.spread[i];
    });
    if (same == of_mark.end()) {
      of_mark.push_back({{i}, field.off(i)});
    } else {
      const auto n = static_cast<double>(same->shots.size());
      same->off = (same->off * n + field.off(i)) / (n + 1);
      same->shots.push_back(i);
    }
  }
  std::vector<Cause> out;
  if (calm_shots < 2 || calm_shots < lengths.size() / 2) return out;
  for (const auto& [mark, parts] : wild)
    for (const Wild& w : parts) {
      const double spread = field.spread[w.shots.front()];
      const double own = std::norm(w.off) / (spread * spread) * static_cast<double>(w.shots.size());
      const Trial trial{calm, 2};
      const auto findings = weigh({calm + own, 2 * (calm_shots + 1), 0}, std::span(&trial, 1),
                                  {0.001, 1.0, tried + lengths.size()});
      if (findings.empty()) continue;
      const double noise =
          std::max(kLeastScatter, std::sqrt(calm / (2.0 * static_cast<double>(calm_shots)))) * spread;
      out.push_back(single(input, frame, w, noise, findings.front().chance));
    }
  return out;
}

}  // namespace deckmark::causes
