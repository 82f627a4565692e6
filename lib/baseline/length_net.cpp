#include "baseline/length_net.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>

#include "adjust/solve.h"
#include "adjust/statistics.h"
#include "baseline/free_net.h"

namespace deckmark {

namespace {

constexpr double kGlobal = 0.999;

/// Of standardised residuals, by how many of them are checked.
double limit_for(std::span<const double> redundancy) {
  const auto checked = std::count_if(redundancy.begin(), redundancy.end(), [](double r) { return r > 0; });
  return wrong_limit(static_cast<std::size_t>(checked));
}

/// Names the wrong lengths of one network, one at a time.
class WrongLengths {
 public:
  WrongLengths(const FreeNet& net, const std::vector<bool>& usable, const NonlinearSolution& whole)
      : net_(net), usable_(usable), whole_(whole) {}

  /// `sides`: of the network.
  std::vector<WrongLength> find(const std::vector<std::size_t>& sides) {
    const auto found = find_wrong(sides.size(), sides.size(), limit_for(whole_.redundancy),
                                  [&](const std::vector<bool>& kept) { return refit(kept); });
    std::vector<WrongLength> out;
    for (std::size_t k = 0; k < found.size(); ++k) out.push_back(wrong_of(found[k], tried_[k], sides));
    return out;
  }

 private:
  struct Tried {
    std::vector<bool> kept;
    NonlinearSolution fit;
  };

  Fitted refit(const std::vector<bool>& kept) {
    Tried t{usable_, {}};
    for (std::size_t i = 0; i < kept.size(); ++i) t.kept[i] = t.kept[i] && kept[i];
    t.fit = tried_.empty() ? whole_ : net_.fitted(t.kept);  // the first time all are kept
    // What is kept but not usable has a row too: nothing checks it.
    Fitted f{t.fit.converged, {}, {}, {}};
    for (std::size_t i = 0, row = 0; i < kept.size(); ++i) {
      if (!kept[i]) continue;
      const bool has = t.kept[i] && t.fit.converged;
      f.residuals.push_back(has ? t.fit.residuals[row] : 0);
      f.redundancy.push_back(has ? t.fit.redundancy[row] : 0);
      f.standardised.push_back(has ? t.fit.standardised[row] : std::nullopt);
      if (t.kept[i]) ++row;
    }
    tried_.push_back(std::move(t));
    return f;
  }

  /// The suspects, the one in front that brings the lengths nearest to the drawing when it is put right: an
  /// error e of a length that is d off the drawing changes the sum of squares by e^2 - 2 e d.
  WrongLength wrong_of(const WrongObservation& w, const Tried& t,
                       const std::vector<std::size_t>& sides) const {
    struct Candidate {
      LengthSuspect suspect;
      double change;
    };
    std::vector<Candidate> candidates;
    std::vector<std::size_t> all{w.index};
    all.insert(all.end(), w.alike.begin(), w.alike.end());
    for (const std::size_t i : all) {
      const auto row = static_cast<std::size_t>(
          std::count(t.kept.begin(), t.kept.begin() + static_cast<std::ptrdiff_t>(i), true));
      const double e = t.fit.residuals[row] / t.fit.redundancy[row];
      candidates.push_back({{sides[i], Length::metres(e)}, e * (e - 2 * net_.off_the_drawing(i))});
    }
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.change < b.change; });
    WrongLength out;
    for (const Candidate& c : candidates) out.suspects.push_back(c.suspect);
    return out;
  }

  const FreeNet& net_;
  const std::vector<bool>& usable_;
  const NonlinearSolution& whole_;
  std::vector<Tried> tried_;
};

void test(const Network& network, std::size_t number, std::span<const MeasuredSide> sides,
          std::span<const Point<Drawing>> places, LengthsTogether& out) {
  if (network.marks.size() > LengthsTogether::kMostMarks) {
    out.all_tested = false;
    return;
  }
  const FreeNet net(network, sides, places);
  const std::vector<bool> usable = net.usable();
  if (std::none_of(usable.begin(), usable.end(), [](bool u) { return u; })) return;
  const NonlinearSolution whole = net.fitted(usable);
  if (!whole.converged) {
    out.contradicts[number] = true;  // no such figure exists: a length is grossly wrong
    return;
  }
  for (std::size_t i = 0, row = 0; i < usable.size(); ++i) {
    if (!usable[i]) continue;
    out.redundancy[network.sides[i]] = whole.redundancy[row];
    out.residuals[network.sides[i]] = Length::metres(whole.residuals[row]);
    ++row;
  }
  out.spare[number] = whole.degrees_of_freedom;
  out.square_sum[number] = whole.square_sum;
  if (whole.degrees_of_freedom == 0) return;
  std::vector<WrongLength> wrong = WrongLengths(net, usable, whole).find(network.sides);
  out.contradicts[number] =
      !wrong.empty() ||
      whole.square_sum > chi_squared_quantile(kGlobal, static_cast<double>(whole.degrees_of_freedom));
  for (WrongLength& w : wrong) out.wrong.push_back(std::move(w));
}

}  // namespace

std::vector<std::size_t> first_alike(std::span<const MeasuredSide> sides) {
  constexpr double kDigit = 1e-8;  // metres
  std::map<std::array<std::int64_t, 4>, std::size_t> known;
  std::vector<std::size_t> out;
  for (std::size_t s = 0; s < sides.size(); ++s) {
    const auto [a, b] = std::minmax(sides[s].from, sides[s].to);
    const auto digits = [](Length l) { return static_cast<std::int64_t>(std::llround(l.metres() / kDigit)); };
    const std::array key{static_cast<std::int64_t>(a), static_cast<std::int64_t>(b),
                         digits(sides[s].length.value), digits(sides[s].length.sd)};
    out.push_back(known.try_emplace(key, s).first->second);
  }
  return out;
}

LengthsTogether hold_together(std::span<const MeasuredSide> sides, std::span<const Point<Drawing>> places) {
  LengthsTogether out;
  const std::vector<Network> networks = networks_of(sides, places.size());
  out.network.resize(sides.size());
  out.redundancy.resize(sides.size());
  out.residuals.assign(sides.size(), Length::metres(0));
  out.contradicts.resize(networks.size());
  out.spare.resize(networks.size());
  out.square_sum.resize(networks.size());
  for (std::size_t n = 0; n < networks.size(); ++n) {
    for (const std::size_t s : networks[n].sides) out.network[s] = n;
    test(networks[n], n, sides, places, out);
  }
  const std::vector<std::size_t> first = first_alike(sides);
  for (std::size_t s = 0; s < sides.size(); ++s) {
    out.network[s] = out.network[first[s]];
    out.redundancy[s] = out.redundancy[first[s]];
    out.residuals[s] = out.residuals[first[s]];
  }
  return out;
}

}  // namespace deckmark
