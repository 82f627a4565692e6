#include "adjust/hypothesis.h"

#include <algorithm>
#include <cmath>

#include "adjust/statistics.h"

namespace deckmark {

std::vector<Finding> weigh(const Misfit& null, std::span<const Trial> trials,
                           const HypothesisOptions& options) {
  const double tried = static_cast<double>(std::max(options.tried, trials.size()));
  const double least = null.square_sum * 1e-24;  // exact data leave nothing but rounding
  std::vector<Finding> out;
  double noise = 0;
  for (std::size_t i = 0; i < trials.size(); ++i) {
    const Trial& t = trials[i];
    if (null.observations <= null.parameters + t.parameters || !(t.square_sum < null.square_sum)) continue;
    const auto free = static_cast<double>(null.observations - null.parameters - t.parameters);
    const auto added = static_cast<double>(std::max<std::size_t>(t.parameters, 1));
    const double left = std::max(t.square_sum, least);
    Finding f{i, (null.square_sum - left) / added / (left / free), 0, std::sqrt(left / null.square_sum), 0};
    f.chance = std::min(1.0, tried * fisher_upper_tail(f.f, added, free));
    if (f.chance > options.alpha || f.rms_ratio > options.rms_share) continue;
    noise = out.empty() ? left / free : std::min(noise, left / free);
    out.push_back(f);
  }
  for (Finding& f : out) {
    const Trial& t = trials[f.trial];
    f.score = std::max(t.square_sum, least) / noise +
              static_cast<double>(t.parameters) * std::log(static_cast<double>(null.observations));
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Finding& a, const Finding& b) { return a.score < b.score; });
  return out;
}

}  // namespace deckmark
