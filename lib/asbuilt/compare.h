#pragma once
/// As-built shots against the design: differences, verdicts, statistics.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "asbuilt/options.h"
#include "measure/ellipse.h"
#include "measure/frame.h"
#include "measure/verdict.h"
#include "transform/transform.h"

namespace deckmark {

/// A shot and the mark that it belongs to.
struct PairedShot {
  std::size_t shot = 0;    ///< index of the shot
  std::uint32_t mark = 0;  ///< index of the mark
  AsbuiltLevel level = AsbuiltLevel::floor;
  Point<Site> at, design;
  PlanCovariance<Site> design_covariance{};  ///< what the ties leave in the design's place on site
  Length sd;                                 ///< of the shot, per axis
  std::optional<Elevation> elevation, design_elevation;
  bool is_own = false;  ///< read by who made the mark, or from the setup from which it was made
};

struct AsbuiltRow {
  std::size_t shot = 0;
  std::uint32_t mark = 0;
  AsbuiltLevel level = AsbuiltLevel::floor;
  Point<Site> design, at;
  Vec<Drawing> off{{.x = Length::metres(0),
                    .y = Length::metres(0)}};  ///< as built minus design, lengths on site along +X, +Y
  std::optional<Length> up =
      std::nullopt;  ///< elevation as built minus design; absent where either is unknown
  Length offset = Length::metres(0), sd = Length::metres(0);
  Verdict plan = Verdict::within;
  double conforms = 0;                           ///< probability that the true place is within the tolerance
  std::optional<Verdict> height = std::nullopt;  ///< of brackets and deck points with a known difference
  std::optional<double> height_conforms = std::nullopt;
  std::optional<Length>
      along = std::nullopt,
      across = std::nullopt;  ///< of the run's direction in the drawing; across + to the right of it
};

/// A reading of one's own of which nothing is outside: it checks nothing.
bool is_own(const AsbuiltRow& row);

/// Judges a difference in the elevation of a bracket: simple, or guarded by the measured one's sd.
[[nodiscard]] Verdict judge_bracket(Length up, Length sd, const AsbuiltOptions& options);

/// Judges one shot.
///
/// Plan      offset against `options.plan`; sd along the offset, or the larger semi-axis where the offset is
/// smaller;
///           covariance of the shot and of the design's place (`design_covariance`).
/// Own       of a reading of one's own both verdicts are `own`, unless one of them is outside.
/// Height    brackets against `options.elevation`, deck points against `flatness` (not judged without), with
/// the shot's
///           own sd; floor marks are not judged.
/// Limits    exactly at a limit is within (1e-9 m); guarded: within up to T - 2 sd, outside above T + 2 sd.
/// REQUIRES  finite numbers, sds of zero or more.
[[nodiscard]] AsbuiltRow compare(const PairedShot& shot, const Transform<Drawing, Site>& drawing_from_site,
                                 const AsbuiltOptions& options, std::optional<Length> flatness);

/// One coordinate of many differences.
struct AxisStatistics {
  Length bias = Length::metres(0);  ///< mean
  std::optional<Length> sd;         ///< about the mean, n - 1; absent for one
  Length rms = Length::metres(0);   ///< bias included
};
AxisStatistics axis_statistics(std::span<const double> metres);

/// Differences of one level, readings of one's own left out that are not outside.
struct LevelStatistics {
  AsbuiltLevel level = AsbuiltLevel::floor;
  std::size_t shots = 0, within = 0, outside = 0, unsure = 0;
  AxisStatistics x, y;
  Length rms_plan = Length::metres(0);  ///< root of the mean squared offset
  Length most = Length::metres(0);      ///< within it lie at least 95 of 100 of these shots, counted
  std::size_t worst = 0;                ///< row with the largest offset
  std::size_t heights = 0, heights_outside = 0, heights_unsure = 0;
  std::optional<AxisStatistics> up;       ///< where any difference in height is known
  std::size_t worst_up = 0;               ///< row with the largest difference in height
  Length largest_sd = Length::metres(0);  ///< of the offsets
};
/// Of every level that has rows, floor first.
std::vector<LevelStatistics> level_statistics(std::span<const AsbuiltRow> rows);

}  // namespace deckmark
