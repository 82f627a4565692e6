#pragma once
/// Everyday blunders that ties carry, recognised by name. Data are never corrected.

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "baseline/fit.h"

namespace deckmark {

enum class TieBlunder : std::uint8_t {
  bay,             ///< one stated coordinate is a bay over, or a baseline offset was missed or applied twice
  swapped,         ///< northing and easting of one tie exchanged
  digits,          ///< two neighbouring digits of one coordinate exchanged
  feet_as_metres,  ///< one tie's numbers in feet, read as metres
  metres_as_feet,
  sign,         ///< the sign of one stated coordinate
  axes,         ///< x and y of one tie exchanged
  names,        ///< two ties under each other's names
  all_swapped,  ///< northing and easting of every tie exchanged
  mirrored,     ///< the drawing is mirrored, or is not
  all_units     ///< drawing and site in different units
};
/// `shifted by a bay or an offset`, ...
std::string_view tie_blunder_words(TieBlunder blunder);

/// Where in a tie the blunder sits.
enum class TieCell : std::uint8_t { x, y, northing, easting };

/// Lengths that people add or forget, and how the tables' numbers were typed.
struct BlunderOptions {
  std::vector<Length> quanta;  ///< bays and baseline offsets, above zero
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;
};
/// Spacings between neighbouring stated x, and y, of the ties, and their distances from the baselines: the
/// bays and offsets that the ties themselves show.
std::vector<Length> quanta_of(std::span<const Tie> ties);

struct BlunderFinding {
  TieBlunder blunder = TieBlunder::bay;
  std::optional<std::size_t> tie;        ///< the tie that carries it; none for the whole set
  std::optional<std::size_t> other_tie;  ///< for names
  std::optional<TieCell> cell;           ///< where one number alone is meant
  Length shift = Length::metres(0);      ///< of that number: as typed minus what would fit
  std::optional<UnitRatio> units;
  double chance = 0;                                             ///< times the number of blunders tried
  Length before = Length::metres(0), after = Length::metres(0);  ///< rms misfit over the ties
};

/// Blunders that bring the ties back to what their sds allow, the likeliest first; of one tie only the
/// likeliest and those that fit as well. Empty where the ties agree, or no blunder explains them.
///
/// Method   every blunder is put right in turn and the ties are fitted again (`adjust/hypothesis.h`); where
/// several ties
///          are wrong, each with the others' wrong coordinates left out.
/// CAVEAT   where one stated coordinate is left over, several ties may explain the misfit; all are returned.
[[nodiscard]] std::vector<BlunderFinding> find_blunders(std::span<const Tie> ties,
                                                        const BaselineOptions& options,
                                                        const BlunderOptions& blunders);

}  // namespace deckmark
