#pragma once
/// From floor to deck: the deck's elevation over a plan position, rise and drop of a mark, and the plumb
/// check of measured deck marks. Pure functions on typed values; names live elsewhere, by index.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "measure/ellipse.h"
#include "measure/frame.h"
#include "measure/verdict.h"
#include "transform/transform.h"

namespace deckmark {

/// A shot on the underside of the deck.
struct DeckShot {
  Point<Site> at;
  Elevation elevation;
};

/// The underside of the deck: a level, or a plane. Cheap enough for every point of a list.
class Deck {
 public:
  /// A stated level; its sd is not known.
  static Deck level(Elevation elevation);
  Elevation elevation_at(const Point<Site>& p) const {
    return Elevation::at(height_ + rise_north_ * (p.at.northing - centre_.at.northing) +
                         rise_east_ * (p.at.easting - centre_.at.easting));
  }
  /// sd of the plane's elevation there, from the scatter of its shots; absent for a stated level and for
  /// three shots.
  std::optional<Length> sd_at(const Point<Site>& p) const;
  bool is_level() const { return rise_north_ == 0 && rise_east_ == 0; }
  /// Rise over run of the steepest way up, 0 for a level.
  double slope() const { return std::hypot(rise_north_, rise_east_); }
  /// The way it rises; absent for a level.
  std::optional<Azimuth> rises_towards() const;

 private:
  friend class PlaneFit;
  explicit Deck(Elevation elevation);
  Point<Site> centre_;
  Length height_;                          // above datum, at the centre
  double rise_north_ = 0, rise_east_ = 0;  // metres a metre
  bool has_covariance_ = false;
  std::array<double, 6> covariance_{};  // height, north, east: hh hn he nn ne ee
};

/// Steeper roofs are no decks to hang from: 1:4 (common practice, no source).
inline constexpr double kSteepestDeck = 0.25;

struct DeckOptions {
  Length flatness = Length::millimetres(20);  ///< a shot further than this from the fitted deck is told
};

enum class DeckStatus : std::uint8_t {
  fitted,
  too_few,     ///< fewer than three shots
  on_one_line  ///< the shots leave the deck free to tilt about their line
};

/// A shot and how far it stands off: measured minus fitted, + above.
struct DeckResidual {
  std::size_t shot = 0;
  Length off = Length::metres(0);
};

/// A shot without which all the others lie within the flatness of their plane.
struct OneWrong {
  std::size_t shot = 0;
  Length off = Length::metres(0);  ///< of the shot from the plane of the others, + above
  double slope = 0;                ///< of that plane, rise over run
};

/// A shot that lies apart from all others in plan.
struct LoneShot {
  std::size_t shot = 0;
  Length away = Length::metres(0);   ///< from the nearest other
  Length reach = Length::metres(0);  ///< of the others: their farthest pair
  bool exchanged = false;            ///< with northing and easting exchanged it lies among the others
  bool northing_apart = false, easting_apart = false;  ///< which of the two is out of the others' range
};

/// Shots on two parallel decks, such as flute bottoms and tops.
struct TwoLevels {
  Deck lower, upper;                ///< parallel
  Length step = Length::metres(0);  ///< upper minus lower, above zero
  std::vector<std::size_t> lower_shots, upper_shots;
};

struct DeckResult {
  DeckStatus status = DeckStatus::too_few;
  std::optional<Deck> deck;        ///< plane through all shots; only where fitted
  Length rms = Length::metres(0);  ///< of the residuals, over all shots
  std::vector<Length> residuals;   ///< one a shot, measured minus fitted
  std::vector<DeckResidual> far;   ///< shots further than the flatness from the fitted deck, in their order
  /// Shots that do not belong with the others, the worst first: `off` is from the plane through those that
  /// remain, or from the nearer of two levels. Empty where nothing more than ordinary scatter can be claimed.
  std::vector<DeckResidual> strays;
  std::optional<TwoLevels> two_levels;
  /// Where shots are far and no levels are found: the shots any one of which would explain it, the one with
  /// the flattest others first; decks steeper than 1:4 are left out where a flatter one explains as much.
  /// Of four shots each may be the wrong one.
  std::vector<OneWrong> one_wrong;
  /// Plane of the shots without the first of `one_wrong`, or without the strays; absent where none is wrong.
  std::optional<Deck> deck_of_rest;
  std::vector<DeckResidual> far_of_rest;  ///< of the others, further than the flatness from their own plane
  /// A shot far away in plan, found also where no deck is fitted.
  std::optional<LoneShot> lone;
  /// The shots reach less than a twentieth as far across their line as along it: the slope across is hardly
  /// known.
  bool narrow = false;
};

/// Plane through deck shots.
///
/// Frames    shots in Site.
/// Method    least squares of the elevations about the centroid, all shots alike. Strays and two levels are
/// told,
///           never left out: the plane is that of all shots.
/// Result    status; data never makes it throw. `on_one_line` where the shots reach less than a thousandth as
/// far
///           across their line as along it.
/// Accuracy  1e-9 m at coordinates in the millions, sites up to 1 km across.
/// Source    a lone shot lies more than five times as far from its nearest neighbour as all others from one
///           another, fifty times where there are three (our rule).
///           two levels: parallel planes with one step, least squares; claimed where the empty band between
/// them is at
///           least four times the scatter within them and at least half the flatness, three shots stand on
///           each (a fifth of the shots, two at least, where they are fewer than 15), and an F test against
///           one plane rejects at 0.001 after counting the ways to part the shots. One wrong shot is
///           preferred where it explains as much, and no levels are claimed under a deck steeper than 1:4.
///           Our rule; false alarms under 0.5 % for scatter of any size, measured in tests/unit/lift.
[[nodiscard]] DeckResult fit_deck(std::span<const DeckShot> shots, const DeckOptions& options = {});

/// The largest distance between two of the places; 0 for fewer than two.
[[nodiscard]] Length farthest_pair(std::span<const Point<Site>> places);

/// Heights over one mark. What is not known is absent.
struct MarkHeights {
  std::optional<Elevation> attach, deck;
  std::optional<Length> rise;  ///< deck minus floor
  std::optional<Length> drop;  ///< deck minus attach: the hanger's length
  bool deck_not_above_attach = false;
  bool deck_not_above_floor = false;
};

/// `attach_height` is above the floor. `deck` may be null.
inline MarkHeights heights_over(const Point<Site>& at, Elevation floor, std::optional<Length> attach_height,
                                const Deck* deck) {
  MarkHeights out;
  if (attach_height) out.attach = floor + *attach_height;
  if (deck == nullptr) return out;
  out.deck = deck->elevation_at(at);
  out.rise = *out.deck - floor;
  out.deck_not_above_floor = *out.rise <= kHair;
  if (out.attach) {
    out.drop = *out.deck - *out.attach;
    out.deck_not_above_attach = *out.drop <= kHair;
  }
  return out;
}

struct PlumbOptions {
  Length sd = Length::millimetres(2);          ///< per axis, where a mark states none
  Length tolerance = Length::millimetres(6);   ///< of the offset
  std::optional<double> slope = std::nullopt;  ///< n of 1:n, above zero; DEFAULT not judged
  bool own_tolerance = false;                  ///< stated by the job
};

/// A measured deck mark, with what belongs to its point.
struct DeckMark {
  Point<Drawing> design;                ///< the point as drawn
  std::optional<Length> attach_height;  ///< above the floor
  /// Where it was found: on site, in drawing coordinates, or from its floor mark along +X, +Y (lengths on
  /// site).
  std::variant<Point<Site>, Point<Drawing>, Vec<Drawing>> found;
  std::optional<Elevation> elevation;     ///< DEFAULT the deck's at that place
  Length sd;                              ///< per axis, of the mark, and of its floor mark as measured
  std::optional<Point<Site>> floor_mark;  ///< as measured; DEFAULT the design
  std::optional<Length> floor_sd = std::nullopt;  ///< of the floor mark as measured; DEFAULT that of the mark
  /// What the design's place adds beside `sd`; DEFAULT the covariance of the fit there. Less where the mark
  /// was sighted in the net that the fit hangs on.
  std::optional<PlanCovariance<Site>> design_covariance = std::nullopt;
  bool is_own = false;  ///< read by who made it, or from the setup from which it was made
};

/// What every deck mark is checked against.
struct PlumbSite {
  const FittedTransform& fit;  ///< covariance zero without ties
  Elevation floor;
  const Deck* deck = nullptr;  ///< null where the job has none
  /// An offset under half of this prints as zero and has no ratio: the last place of the table.
  Length resolution = Length::millimetres(0.01);
};

struct PlumbRow {
  Point<Site> place{{.northing = Length::metres(0), .easting = Length::metres(0)}};  ///< of the deck mark
  Vec<Drawing> off{{.x = Length::metres(0),
                    .y = Length::metres(0)}};  ///< deck mark minus floor mark, lengths on site along +X, +Y
  Length offset = Length::metres(0), sd = Length::metres(0);
  std::optional<Length> rise, drop;  ///< at the deck mark
  std::optional<double>
      ratio;  ///< n of 1:n; absent where the offset prints as zero or there is no drop above zero
  Verdict by_tolerance = Verdict::within;
  std::optional<Verdict> by_slope;    ///< absent where not judged
  Verdict verdict = Verdict::within;  ///< within only where both limits hold; own where it is no check
  bool slope_not_judged = false;      ///< a slope limit is stated but no drop is known
  bool mark_not_above_attach =
      false;  ///< the drop at the mark is zero or less: then `by_slope` is outside, if judged
};

/// Plumb check of one deck mark.
///
/// Frames    offset in Drawing axes as lengths on site: y reversed for a mirrored drawing, not divided by a
/// freed scale. sd        along the offset, or the larger semi-axis where the offset is smaller (design:
/// Verdicts). Covariance:
///           the mark's sd on both axes, and that of what it is compared with: the same sd for a floor mark
///           as measured (nothing of the fit), the mapped covariance for a floor mark taken from the design.
///           A mark given as dx, dy was measured from the floor mark itself: its sd is that of the offset,
///           and nothing is added.
/// Limits    the tolerance, and offset over drop against 1:n. Exactly at a limit is within. A design that the
/// fit places
///           worse (1 sd) than the tolerance decides only offsets that two sds leave beyond the limit.
/// REQUIRES  finite numbers, sd of zero or more, tolerance of zero or more.
[[nodiscard]] PlumbRow check_plumb(const DeckMark& mark, const PlumbSite& site, const PlumbOptions& options);

}  // namespace deckmark
