#pragma once
/// Control in a map projection, brought to ground scale. Only ground points leave this room: Grid and Site
/// points have no operation in common but `GroundFromGrid`.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "measure/fault.h"
#include "measure/frame.h"

namespace deckmark {

/// What a job says about its map projection.
struct GroundOptions {
  std::string crs;         ///< `EPSG:6539`, a PROJ string, or WKT; empty: control is at ground scale already
  std::string geographic;  ///< the system of latitudes and longitudes; empty: that of the projection
  std::string ground_at;   ///< control point about which coordinates are brought to ground scale
  std::optional<Length> elevation;  ///< mean ellipsoidal height of the work
};

/// A place on a projection's ellipsoid. North and east positive, longitude from Greenwich.
struct Geographic {
  Angle latitude, longitude;
};

/// Where a system is meant to be used. A box that crosses the 180th meridian has `east` under `west`.
struct AreaOfUse {
  Angle west, south, east, north;
  std::string name;
};

/// geodetic azimuth = grid azimuth + convergence; a short grid distance = ellipsoidal distance x point_scale.
struct GridFactors {
  Angle convergence;
  double point_scale;
};

/// Why a place may lie outside the area of use.
enum class OutsideReason : std::uint8_t {
  zero,
  exchanged,
  near_edge,
  sign,
  zone_number,
  as_metres,
  as_feet,
  as_survey_feet,
  local,
  other_zone,
  unknown
};

/// The likely reason, and with `exchanged`, `sign` (perhaps exchanged too) and `zone_number` the point that
/// was meant.
struct OutsideGrid {
  OutsideReason reason;
  std::optional<Point<Grid>> meant;
};

/// A projected coordinate reference system whose axes run north and east.
///
/// Frames    Grid, by the names of its axes, whatever their order in the definition.
/// Units     of the type; `unit()` is the system's own (metre, foot or survey_foot).
/// Method    PROJ for projection, point scale and convergence, its network access off; GeographicLib for
/// radii and
///           geodesics. Any thread may use it.
/// Accuracy  as the projection library: under 1 nm for transverse Mercator within a zone; factors 1e-10.
class GridSystem {
 public:
  /// Refused: unknown codes, systems that are not projected, not conformal, or whose axes run another way:
  /// polar ones.
  static Outcome<std::shared_ptr<const GridSystem>> open(std::string_view crs);

  const std::string& code() const;
  const std::string& name() const;
  LengthUnit unit() const;
  const std::optional<AreaOfUse>& area() const;
  /// True where the definition also states a change of datum (`+towgs84`, `+nadgrids`), which a projection
  /// does not need.
  bool has_own_shift() const;

  /// Nothing where the projection has no such place.
  std::optional<Geographic> geographic(const Point<Grid>& p) const;
  std::optional<Point<Grid>> project(const Geographic& p) const;
  std::optional<GridFactors> factors(const Geographic& p) const;
  /// True within the area of use, its edge of a second of arc included; true everywhere where none is stated.
  bool covers(const Geographic& p) const;
  bool covers(const Point<Grid>& p) const;
  /// Systems are used some way across the edge of their area: 50 km (common practice, no source).
  static constexpr Length kAcrossEdge = Length::metres(50000);
  /// How far outside the area a place lies; 0 inside, or without an area.
  Length beyond_area(const Geographic& p) const;
  bool is_near_edge(const Geographic& p) const { return beyond_area(p) <= kAcrossEdge; }
  /// REQUIRES a point that is not covered. `unit`: in which its numbers were read.
  OutsideGrid why_outside(const Point<Grid>& p, LengthUnit unit) const;
  OutsideReason why_outside(const Geographic& p) const;

  /// sqrt(M N) of the ellipsoid, M and N the radii along the meridian and across it.
  Length mean_radius(const Geographic& p) const;
  /// R / (R + height above the ellipsoid), R = mean_radius.
  double elevation_factor(const Geographic& p, Length height) const;
  /// How far, as a share, the elevation factor of one direction lies at most from that of the mean radius:
  /// along a meridian the radius is M, along a parallel N.
  double direction_spread(const Geographic& p, Length height) const;
  /// Shortest way on the ellipsoid; independent of the projection.
  Length geodesic(const Geographic& a, const Geographic& b) const;
  Azimuth geodesic_azimuth(const Geographic& from, const Geographic& to) const;
  /// The same raised to a height: x (R + height) / R with R half-way.
  Length geodesic_at(const Geographic& a, const Geographic& b, Length height) const;

  struct Parts;
  explicit GridSystem(std::unique_ptr<Parts> parts);
  ~GridSystem();
  GridSystem(const GridSystem&) = delete;
  GridSystem& operator=(const GridSystem&) = delete;

 private:
  friend class DatumShift;
  bool is_of_other_zone(const Point<Grid>& p) const;
  /// Sheets may leave out the number of the zone that a system writes in front of its eastings, in millions
  /// of metres, or write it where the system does not. The point that was meant, where it lies inside.
  std::optional<Point<Grid>> with_zone_number(const Point<Grid>& p) const;
  std::unique_ptr<Parts> parts_;
};

/// From the latitudes and longitudes of one datum to those of a projection's own.
class DatumShift {
 public:
  /// Worst accuracy that a change of datum may state: building work cannot use less.
  static constexpr double kWorstMetres = 0.1;
  /// Refused: a change that needs a grid file which is not installed (named), and one that is good to worse
  /// than `kWorstMetres`. Never a ballpark.
  static Outcome<std::shared_ptr<const DatumShift>> open(std::string_view geographic, const GridSystem& to);
  std::optional<Geographic> operator()(const Geographic& p, Length height) const;

  struct Parts;
  explicit DatumShift(std::unique_ptr<Parts> parts);
  ~DatumShift();
  DatumShift(const DatumShift&) = delete;
  DatumShift& operator=(const DatumShift&) = delete;

 private:
  std::unique_ptr<Parts> parts_;
};

/// ground = base + (grid - base) / combined factor. Not a similarity of the site: it cannot be joined to
/// transforms.
class GroundFromGrid {
 public:
  Point<Site> to_ground(const Point<Grid>& p) const;
  Point<Grid> to_grid(const Point<Site>& p) const;
  double combined_factor() const { return factor_; }
  const Point<Grid>& base() const { return base_; }

 private:
  friend GroundFromGrid claim_ground(const Point<Grid>& base, double combined_factor);
  GroundFromGrid(const Point<Grid>& base, double factor) : base_(base), factor_(factor) {}
  Point<Grid> base_;
  double factor_;
};

/// The only maker from raw parts. REQUIRES `is_sensible_factor`.
GroundFromGrid claim_ground(const Point<Grid>& base, double combined_factor);
/// Factors of real projections at real heights stay within 2 % of 1.
bool is_sensible_factor(double combined_factor);
/// The lowest and the highest height above the ellipsoid at which anyone builds.
inline constexpr Length kLowestWork = Length::metres(-1000), kHighestWork = Length::metres(9000);

/// What a point's row of the ground table holds.
struct GroundRow {
  Point<Grid> grid;
  Geographic place;
  Angle convergence;
  double point_scale, elevation_factor, combined_factor;  ///< at the point itself
  Point<Site> ground;
};
std::optional<GroundRow> ground_row(const GridSystem& system, const GroundFromGrid& ground,
                                    const Point<Grid>& p, Length height);

/// How far a ground distance is from the independent one: the geodesic raised to the height of the work.
struct GroundCheck {
  Length ground, geodesic;
};
GroundCheck check_ground(const GridSystem& system, const GroundRow& from, const GroundRow& to, Length height);

}  // namespace deckmark
