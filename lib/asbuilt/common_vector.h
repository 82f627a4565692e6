#pragma once
/// Private to the room: marks that stand off by one common vector though no column names them.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "asbuilt/cause_models.h"

namespace deckmark::causes {

/// One shot of the search: its misfit in metres (elevations: on the real axis), its sd over the usual sd, its
/// mark.
struct OffShot {
  Complex off;
  double spread = 1;
  std::uint32_t mark = 0;
};

/// Which ways misfits go.
enum class Ways : std::uint8_t { all_round, up_and_down };

/// Robust sd of one coordinate about the vector that shots share most closely, which need not be zero:
/// right too where most marks share an error. Infinite for fewer than 12 shots.
double densest_scatter(std::span<const OffShot> shots, Ways ways);

struct CommonVector {
  std::optional<Complex> by;  ///< none where nothing does better than chance
  std::size_t centres = 0;    ///< marks that stand off beyond scatter: places that were tried for it
  double level = 0;           ///< sd of one coordinate when each shot is taken about the nearer of both
};

/// The vector that the most marks of those that stand off beyond scatter share.
///
/// Method    where misfits lie densest on a grid, then the mean of those within four sds, taken again
///           until it stays. `level`: sd of one coordinate to begin with; what is found tells it better.
/// Chance    of so many within three sds of it (up and down: four) if each mark stood off as far as it does,
///           but any way: binomial tail over the other marks, times the number of marks that stand off.
///           At most `alpha`.
CommonVector find_common_vector(std::span<const OffShot> shots, Ways ways, double level, double alpha);

/// Whether a shot is one of those that stand off by this vector: nearer to it than to its design, and within
/// `kWild` sds.
bool stands_off_by(const OffShot& shot, Complex by, double level);

/// Probability of `least` or more of `n`, each with this probability.
double binomial_upper_tail(std::size_t n, double probability, std::size_t least);

}  // namespace deckmark::causes
