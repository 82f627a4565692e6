#include "baseline/blunders.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

#include "adjust/hypothesis.h"
#include "adjust/statistics.h"
#include "baseline/tie_fit.h"
#include "baseline/wrong_ties.h"

namespace deckmark {

namespace {

/// What is left may exceed what the sds allow once in a thousand times.
constexpr double kNoiseQuantile = 0.999;
/// Exchanged digits are told only where the misfit is this many sds: nines are everywhere.
constexpr double kDigitSds = 10;
/// Two repairs of one tie whose square sums differ by less explain it equally well.
constexpr double kAsGood = 6;

struct Repair {
  BlunderFinding finding;
  std::vector<Tie> ties;
  BaselineOptions options;
};

Length& cell_of(Tie& t, TieCell cell) {
  switch (cell) {
    case TieCell::x:
      return *t.x;
    case TieCell::y:
      return *t.y;
    case TieCell::northing:
      return t.at.at.northing;
    case TieCell::easting:
      break;
  }
  return t.at.at.easting;
}

std::vector<TieCell> cells_of(const Tie& t) {
  std::vector<TieCell> out{TieCell::northing, TieCell::easting};
  if (t.x) out.push_back(TieCell::x);
  if (t.y) out.push_back(TieCell::y);
  return out;
}

/// A number with neighbouring digits exchanged, as lengths. The number is taken in its unit with four
/// decimals; in feet-inches the feet and the whole inches each on their own.
std::vector<Length> exchanged(Length value, LengthUnit unit) {
  const auto swaps = [](double number, int decimals) {
    const double power = std::pow(10.0, decimals);
    std::string digits = std::to_string(std::llround(std::abs(number) * power));
    std::vector<double> out;
    for (std::size_t i = 0; i + 1 < digits.size(); ++i) {
      if (digits[i] == digits[i + 1]) continue;
      std::string other = digits;
      std::swap(other[i], other[i + 1]);
      out.push_back(std::copysign(std::stod(other) / power, number));
    }
    return out;
  };
  std::vector<Length> out;
  if (unit != LengthUnit::feet_inches) {
    for (const double v : swaps(in_unit(value, unit), 4)) out.push_back(from_unit(v, unit));
    return out;
  }
  const double inches = std::abs(value.metres()) / metres_in(LengthUnit::inch),
               sign = value < Length::metres(0) ? -1 : 1;
  const double feet = std::floor(inches / 12 + 1e-9), rest = inches - 12 * feet,
               whole = std::floor(rest + 1e-9);
  for (const double f : swaps(feet, 0)) out.push_back(Length::inches(sign * (12 * f + rest)));
  for (const double i : swaps(whole, 0))
    if (i < 12) out.push_back(Length::inches(sign * (12 * feet + i + (rest - whole))));
  return out;
}

class Repairs {
 public:
  Repairs(std::vector<Tie> base, const BaselineOptions& options, const BlunderOptions& blunders)
      : base_(std::move(base)), options_(options), blunders_(blunders) {}

  /// Every blunder that one tie can carry. `index` is its place in `base`, `name` the tie's own index.
  void add_tie(std::size_t index, std::size_t name) {
    for (const TieCell cell : cells_of(base_[index])) {
      const bool stated = cell == TieCell::x || cell == TieCell::y;
      const Length typed = cell_of(base_[index], cell);
      if (stated) {
        for (const Length q : blunders_.quanta)
          for (const double sign : {1.0, -1.0}) replace(TieBlunder::bay, index, name, cell, typed + q * sign);
        if (typed != Length::metres(0)) replace(TieBlunder::sign, index, name, cell, -typed);
      }
      for (const Length other : exchanged(typed, stated ? blunders_.drawing_unit : blunders_.site_unit))
        replace(TieBlunder::digits, index, name, cell, other);
    }
    std::vector<Tie> swapped = base_;
    std::swap(swapped[index].at.at.northing, swapped[index].at.at.easting);
    put(TieBlunder::swapped, name, swapped, options_);
    if (base_[index].x && base_[index].y) {
      std::vector<Tie> turned = base_;
      std::swap(turned[index].x, turned[index].y);
      std::swap(turned[index].sd_x, turned[index].sd_y);
      put(TieBlunder::axes, name, turned, options_);
    }
    for (const bool stated : {true, false}) {
      rescale(TieBlunder::feet_as_metres, index, name, stated, 0.3048);
      rescale(TieBlunder::metres_as_feet, index, name, stated, 1 / 0.3048);
    }
  }

  void add_whole() {
    std::vector<Tie> swapped = base_;
    for (Tie& t : swapped) std::swap(t.at.at.northing, t.at.at.easting);
    put(TieBlunder::all_swapped, std::nullopt, swapped, options_);
    BaselineOptions other = options_;
    other.mirrored = !other.mirrored;
    put(TieBlunder::mirrored, std::nullopt, base_, other);
    if (options_.scale_free) return;
    const auto freed = tie_fit::fit_hand(tie_fit::centre(base_), options_.mirrored, true);
    if (!freed.determined()) return;
    const auto ratio = tie_fit::unit_ratio(freed.minima.front().scale);
    if (!ratio) return;
    std::vector<Tie> rescaled = base_;
    for (Tie& t : rescaled) {
      if (t.x) t.x = *t.x * ratio->ratio;
      if (t.y) t.y = *t.y * ratio->ratio;
    }
    put(TieBlunder::all_units, std::nullopt, rescaled, options_);
    repairs_.back().finding.units = ratio;
  }

  /// Every two ties under each other's names.
  void add_names() {
    constexpr std::size_t kMostTies =
        20;  // beyond, the pairs would be many, and two wrong ties stand out among so many
    if (base_.size() > kMostTies) return;
    for (std::size_t i = 0; i < base_.size(); ++i)
      for (std::size_t j = i + 1; j < base_.size(); ++j) {
        std::vector<Tie> exchanged = base_;
        std::swap(exchanged[i].at, exchanged[j].at);
        put(TieBlunder::names, i, std::move(exchanged), options_);
        repairs_.back().finding.other_tie = j;
      }
  }

  std::vector<Repair> take() { return std::move(repairs_); }

 private:
  void put(TieBlunder blunder, std::optional<std::size_t> name, std::vector<Tie> ties,
           const BaselineOptions& options) {
    BlunderFinding f;
    f.blunder = blunder;
    f.tie = name;
    repairs_.push_back({f, std::move(ties), options});
  }
  void replace(TieBlunder blunder, std::size_t index, std::size_t name, TieCell cell, Length value) {
    std::vector<Tie> ties = base_;
    const Length shift = cell_of(ties[index], cell) - value;
    cell_of(ties[index], cell) = value;
    put(blunder, name, std::move(ties), options_);
    repairs_.back().finding.cell = cell;
    repairs_.back().finding.shift = shift;
  }
  void rescale(TieBlunder blunder, std::size_t index, std::size_t name, bool stated, double factor) {
    std::vector<Tie> ties = base_;
    Tie& t = ties[index];
    if (stated) {
      if (t.x) t.x = *t.x * factor;
      if (t.y) t.y = *t.y * factor;
    } else {
      t.at = {{.northing = t.at.at.northing * factor, .easting = t.at.at.easting * factor}};
    }
    put(blunder, name, std::move(ties), options_);
  }

  std::vector<Tie> base_;
  BaselineOptions options_;
  const BlunderOptions& blunders_;
  std::vector<Repair> repairs_;
};

struct Weighted {
  double square_sum = 0, misfit = 0;
  std::size_t observations = 0, unknowns = 3;
};

/// The best fit of one hand, whatever stands in the way of using it.
std::optional<Weighted> fit_of(std::span<const Tie> ties, const BaselineOptions& options) {
  const tie_fit::Ties centred = tie_fit::centre(ties);
  const tie_fit::Hand hand = tie_fit::fit_hand(centred, options.mirrored, options.scale_free);
  if (!hand.determined()) return std::nullopt;
  return Weighted{hand.minima.front().square_sum, hand.minima.front().misfit, centred.stated.size(),
                  options.scale_free ? 4U : 3U};
}

bool is_noise(const Weighted& w) {
  if (w.observations <= w.unknowns) return true;
  return w.square_sum <=
         chi_squared_quantile(kNoiseQuantile, static_cast<double>(w.observations - w.unknowns));
}

std::vector<BlunderFinding> accepted(const Weighted& null, std::span<const Repair> repairs) {
  std::vector<Trial> trials;
  std::vector<std::size_t> which;
  std::vector<double> misfits;
  for (std::size_t i = 0; i < repairs.size(); ++i) {
    const auto w = fit_of(repairs[i].ties, repairs[i].options);
    if (!w || !is_noise(*w)) continue;
    const bool digits = repairs[i].finding.blunder == TieBlunder::digits;
    if (digits && null.square_sum - w->square_sum < kDigitSds * kDigitSds) continue;
    trials.push_back({w->square_sum, 0});
    which.push_back(i);
    misfits.push_back(w->misfit);
  }
  HypothesisOptions options;
  options.tried = repairs.size();
  std::vector<BlunderFinding> out;
  double best = 0;
  for (const Finding& f : weigh({null.square_sum, null.observations, null.unknowns}, trials, options)) {
    if (out.empty()) best = trials[f.trial].square_sum;
    if (trials[f.trial].square_sum > best + kAsGood) break;
    BlunderFinding found = repairs[which[f.trial]].finding;
    found.chance = f.chance;
    found.before = Length::metres(null.misfit);
    found.after = Length::metres(misfits[f.trial]);
    out.push_back(found);
  }
  return out;
}

}  // namespace

std::string_view tie_blunder_words(TieBlunder blunder) {
  switch (blunder) {
    case TieBlunder::bay:
      return "shifted by a bay or an offset";
    case TieBlunder::swapped:
      return "northing and easting exchanged";
    case TieBlunder::digits:
      return "two digits exchanged";
    case TieBlunder::feet_as_metres:
      return "feet keyed as metres";
    case TieBlunder::metres_as_feet:
      return "metres keyed as feet";
    case TieBlunder::sign:
      return "the sign lost or added";
    case TieBlunder::axes:
      return "x and y exchanged";
    case TieBlunder::names:
      return "exchanged names";
    case TieBlunder::all_swapped:
      return "northing and easting of all ties exchanged";
    case TieBlunder::mirrored:
      return "the drawing seen from the other side";
    case TieBlunder::all_units:
      break;
  }
  return "drawing and site in different units";
}

std::vector<Length> quanta_of(std::span<const Tie> ties) {
  std::set<Length> stated[2], out;
  for (const Tie& t : ties) {
    if (t.x) stated[0].insert(*t.x);
    if (t.y) stated[1].insert(*t.y);
  }
  for (const std::set<Length>& family : stated) {
    for (auto it = family.begin(); it != family.end(); ++it) {
      if (*it != Length::metres(0)) out.insert(abs(*it));
      if (it != family.begin()) out.insert(*it - *std::prev(it));
    }
  }
  return {out.begin(), out.end()};
}

std::vector<BlunderFinding> find_blunders(std::span<const Tie> ties, const BaselineOptions& options,
                                          const BlunderOptions& blunders) {
  const auto whole = fit_of(ties, options);
  if (ties.empty() || (whole && is_noise(*whole))) return {};
  const std::vector<Tie> all(ties.begin(), ties.end());
  Repairs first(all, options, blunders);
  first.add_whole();
  for (std::size_t i = 0; i < ties.size(); ++i) first.add_tie(i, i);
  first.add_names();
  // A set that fixes nothing as it stands (a mirrored square) is weighed against a misfit without end.
  const std::vector<Repair> repairs = first.take();
  const Weighted null =
      whole.value_or(Weighted{1e30, 0, tie_fit::centre(ties).stated.size(), options.scale_free ? 4U : 3U});
  std::vector<BlunderFinding> out = accepted(null, repairs);
  if (!out.empty()) return out;

  // Several wrong ties: each on its own, with what is wrong in the others left out.
  const WrongTiesResult wrong = find_wrong_ties(ties, options);
  std::set<std::size_t> names;
  for (const WrongTie& w : wrong.wrong) names.insert(w.tie);
  for (const std::size_t name : names) {
    std::vector<Tie> base;
    std::size_t index = 0;
    for (std::size_t i = 0; i < ties.size(); ++i) {
      Tie t = ties[i];
      for (const WrongTie& w : wrong.wrong)
        if (w.tie == i && i != name) (w.axis == TieAxis::x ? t.x : t.y).reset();
      if (i == name) index = base.size();
      if (t.x || t.y) base.push_back(t);
    }
    const auto alone = fit_of(base, options);
    if (!alone) continue;
    Repairs own(base, options, blunders);
    own.add_tie(index, name);
    const auto found = accepted(*alone, own.take());
    out.insert(out.end(), found.begin(), found.end());
  }
  return out;
}

}  // namespace deckmark
