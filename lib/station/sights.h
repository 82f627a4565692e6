#pragma once
/// Readings of a total station and their reduction: two faces, rounds, air and reflector, curvature and
/// refraction. Names of targets live elsewhere, by index.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "measure/angle.h"
#include "measure/frame.h"

namespace deckmark {

/// A reading of the horizontal circle in [0, 360): not an azimuth until an orientation is added.
class CircleReading {
 public:
  static CircleReading degrees(double v) { return CircleReading(Azimuth::degrees(v).degrees()); }
  double degrees() const { return d_; }
  double radians() const { return Angle::degrees(d_).radians(); }
  /// Azimuth = circle + orientation.
  friend Azimuth operator+(CircleReading c, Angle orientation) {
    return Azimuth::degrees(c.d_ + orientation.degrees());
  }
  /// The short way round, in (-180, 180].
  friend Angle operator-(CircleReading a, CircleReading b) { return wrapped(Angle::degrees(a.d_ - b.d_)); }
  friend bool operator==(CircleReading a, CircleReading b) = default;

 private:
  explicit CircleReading(double d) : d_(d) {}
  double d_;
};
/// What the circle reads where the line of sight has this azimuth.
CircleReading circle_for(Azimuth azimuth, Angle orientation);

/// Angle from the zenith down to the line of sight: 0 straight up, 90 level, 180 straight down.
class ZenithAngle {
 public:
  static constexpr ZenithAngle degrees(double v) { return ZenithAngle(v); }
  constexpr double degrees() const { return d_; }
  double radians() const { return Angle::degrees(d_).radians(); }
  /// Height of the line of sight above level, negative below.
  constexpr Angle elevation() const { return Angle::degrees(90 - d_); }
  friend constexpr Angle operator-(ZenithAngle a, ZenithAngle b) { return Angle::degrees(a.d_ - b.d_); }

 private:
  explicit constexpr ZenithAngle(double d) : d_(d) {}
  double d_;
};

enum class Distances : std::uint8_t {
  corrected,  ///< air and reflector already applied by the instrument
  raw         ///< the program applies both
};

/// The instrument and the air it works in. What has no default is required before sights are reduced.
struct InstrumentOptions {
  std::optional<Angle> angle_sd;      ///< of one direction and one zenith angle, mean of both faces
  std::optional<Length> distance_sd;  ///< constant part
  double distance_ppm = 0;            ///< proportional part
  Length centring_sd = Length::millimetres(1);
  Length target_sd = Length::millimetres(1);
  Length height_sd = Length::millimetres(1);  ///< of an instrument or target height
  std::optional<double> refraction = 0.13;    ///< coefficient k; empty: neither curvature nor refraction
  Distances distances = Distances::corrected;
  Length reflector = Length::metres(0);  ///< additive constant, with raw
  std::optional<double>
      reference_refractivity;         ///< ppm at which the instrument reads true; required with raw
  std::optional<double> temperature;  ///< degrees Celsius; required with raw
  std::optional<double> pressure;     ///< hPa; required with raw
  double humidity = 50;               ///< relative, %
  double wavelength = 658;            ///< nm
  Angle steep = Angle::degrees(45);   ///< sights steeper than this are flagged
};

/// Group refractivity of dry air at 0 degrees C, 1013.25 hPa, 0.0375 % CO2, in ppm; wavelength in nm.
/// Source: IUGG 1999 resolution, closed formula, 287.6155 + 4.88660/w^2 + 0.06800/w^4, w in micrometres.
double group_refractivity(double wavelength);
/// Group refractivity of the air, in ppm; degrees Celsius, hPa, relative humidity in %.
/// Source: the same, (273.15/1013.25) N p/T - 11.27 e/T; vapour pressure e by 6.1078 exp(17.269 t/(237.3+t))
/// (Magnus).
double air_refractivity(double wavelength, double temperature, double pressure, double humidity);

/// One line of the observations table.
struct Reading {
  std::size_t target = 0;               ///< index of the target's name
  int face = 1;                         ///< 1 or 2
  std::optional<CircleReading> circle;  ///< absent where the distance alone was read
  std::optional<Angle> zenith;          ///< as read: under 180 in face 1, over 180 in face 2
  std::optional<Length> slope;
  std::optional<Length> horizontal;  ///< in place of `slope`: already reduced, to the height of the axis
  Length target_height = Length::metres(0);
  std::optional<Length> reflector;               ///< DEFAULT the instrument's
  std::optional<Length> target_sd, distance_sd;  ///< DEFAULT the instrument's
  std::optional<Angle> circle_sd, zenith_sd;     ///< of this reading; DEFAULT sqrt(2) angle_sd
};
/// False where the zenith angle belongs to the other face.
bool face_agrees(const Reading& reading);

/// All readings to one target at one height, reduced.
struct Sight {
  std::size_t target = 0;
  Length target_height = Length::metres(0);
  std::optional<CircleReading> circle;  ///< absent where no reading has one
  Angle circle_sd = Angle::degrees(0);  ///< of the pointing; the target's own sd comes on top
  std::optional<ZenithAngle> zenith;
  Angle zenith_sd = Angle::degrees(0);
  /// Corrected for air and reflector; empty where the distance was read as horizontal.
  std::optional<Length> slope;
  bool reduced = false;                    ///< `horizontal` was read as such
  Length distance_sd = Length::metres(0);  ///< constant part, its own or the instrument's
  Length target_sd = Length::metres(0);
  std::optional<Length> reflector;  ///< additive constant that its first reading states
  /// Horizontal distance at the instrument and height of the target above its axis. Slope and zenith give
  /// both, a horizontal distance the second where there is a zenith.
  std::optional<Length> horizontal, rise;
  /// Which face's error is left in: 1 face 1 alone, -1 face 2 alone, 0 both or none read. The circle is its
  /// true value + circle_face c / sin z, the zenith + zenith_face i (c collimation, i index error).
  double circle_face = 0, zenith_face = 0;
  std::vector<std::size_t> readings;  ///< their indices
};

/// What two faces say of the instrument itself.
struct InstrumentErrors {
  std::size_t pairs = 0;  ///< targets read in both faces
  std::optional<Angle> collimation, collimation_sd;
  std::optional<Angle> trunnion, trunnion_sd;  ///< tilting axis; only with four pairs, some of them steep
  std::optional<Angle> index, index_sd;        ///< of the zenith circle
};

/// What the two faces of one sight say of the instrument: half of what face 1 reads more than face 2 brought
/// to it. An observation of c / sin z and of i.
struct FaceHalf {
  std::size_t sight = 0;
  std::optional<Angle> circle, zenith;
  Angle circle_sd = Angle::degrees(0), zenith_sd = Angle::degrees(0);
};

/// All directions of a round are off from those of the round before by one angle, more than by chance,
/// whichever target is left out.
struct CircleTurn {
  std::size_t round = 1;    ///< the first that reads so, from 0
  std::size_t reading = 0;  ///< its first
  std::size_t sights = 0;   ///< directions of it, each in its face
  Angle by = Angle::degrees(0);
};

enum class SightFactKind : std::uint8_t {
  one_face,            ///< the sight was read in one face only; `value`: 1 where its readings state their sds
  faces_disagree,      ///< `value`: half the difference of the faces, less collimation, over its sd
  zeniths_disagree,    ///< `value`: likewise of the zenith angle, less the index error
  distances_disagree,  ///< `value`: largest deviation of a distance from their mean, over its sd
  rounds_disagree,     ///< `value`: largest deviation of a reading of the same face from their mean, turns of
                       ///< the circle taken out, over its sd
  slope_without_zenith  ///< its distance cannot be reduced
};
struct SightFact {
  SightFactKind kind;
  std::size_t sight = 0;
  double value = 0;
};

struct Reduction {
  std::vector<Sight> sights;     ///< in the order of their first readings
  std::vector<FaceHalf> halves;  ///< of sights in both faces
  InstrumentErrors errors;       ///< from them; not applied
  std::vector<CircleTurn> turns;
  std::vector<SightFact> facts;
};

/// Reduces readings of one setup.
///
/// Method    direction = mean of face 1 and face 2 less 180 degrees, zenith = (z1 + 360 - z2) / 2, each face
///           the mean of its readings by 1/sd^2; distance = mean. With variances v1, v2 of the faces that of
///           both is (v1 + v2) / 4, of one v1 or v2: where no reading states an sd, n readings in face 1 and
///           m in face 2 give angle_sd sqrt((1/n + 1/m)/2), n in one face sqrt(2) angle_sd / sqrt(n). The sd
///           of a distance does not shrink with rounds. Of a sight with slopes and horizontal distances, the
///           slopes are reduced first.
/// Errors    half the difference of the faces is c / sin z + i cot z (c collimation, i trunnion axis).
/// REQUIRES  angle_sd and distance_sd; with raw also reference refractivity, temperature, pressure.
/// Source    reference for the formulas: total station reductions, common textbook; from memory.
[[nodiscard]] Reduction reduce(std::span<const Reading> readings, const InstrumentOptions& instrument);

/// A line of sight in its vertical plane.
struct Line {
  ZenithAngle zenith;
  Length slope;
};
struct Reach {
  Length horizontal;  ///< at the height of the instrument's axis
  Length rise;        ///< of the target above the axis
};
/// `refraction`: coefficient k; empty: neither curvature nor refraction, plain trigonometry.
/// Curvature and refraction: HD = S sin z - (1 - k/2) S^2 sin z cos z / R, rise = S cos z + (1 - k)(S sin
/// z)^2 / 2R, R = 6 371 000 m.
Reach reach_of(const Line& line, std::optional<double> refraction);
/// Undoes `reach_of`: exact to rounding for lines up to kilometres. REQUIRES not both zero.
Line line_to(const Reach& reach, std::optional<double> refraction);
/// The line at that zenith angle whose `reach_of` has this horizontal distance. REQUIRES zenith not vertical.
Line line_over(Length horizontal, ZenithAngle zenith, std::optional<double> refraction);

/// sd of a horizontal distance without the target's share.
Length distance_sd_at(Length horizontal, Length constant, double ppm);
/// sd of a sight's rise from its distance and zenith, without heights. REQUIRES rise.
Length rise_sd(const Sight& sight, double ppm);

}  // namespace deckmark
