#pragma once
/// Which of several explanations of a misfit is worth naming. Every room states its own hypotheses; here they
/// are weighed.
///
/// An explanation is accepted only if it does far better than chance after counting all that were tried (F
/// test at alpha, Bonferroni), and the root mean square of the misfit falls by half. Among those accepted,
/// what is as good with fewer parameters comes first: score = square sum / noise + parameters x
/// ln(observations), noise from the best of them (Schwarz 1978; from memory).

#include <cstddef>
#include <span>
#include <vector>

namespace deckmark {

/// The misfit as it stands, weighted square sum of `observations` with `parameters` unknowns fitted.
struct Misfit {
  double square_sum = 0;
  std::size_t observations = 0, parameters = 0;
};
/// One explanation: the square sum that is left, and how many parameters it adds. An explanation whose value
/// is a known quantum (a bay, a foot) adds none.
struct Trial {
  double square_sum = 0;
  std::size_t parameters = 0;
};
struct HypothesisOptions {
  double alpha = 0.001;
  double rms_share = 0.5;  ///< the rms must fall to this share or less
  std::size_t tried = 0;   ///< all that were tried, where that is more than the trials given
};
struct Finding {
  std::size_t trial = 0;  ///< index into the trials
  double f = 0;           ///< variance ratio
  double chance = 0;      ///< of a fall as large without cause, times the number tried
  double rms_ratio = 0;   ///< after over before
  double score = 0;       ///< smaller is better
};

/// Accepted explanations, the best first. An explanation that leaves no degree of freedom is never accepted.
[[nodiscard]] std::vector<Finding> weigh(const Misfit& null, std::span<const Trial> trials,
                                         const HypothesisOptions& options = {});

}  // namespace deckmark
