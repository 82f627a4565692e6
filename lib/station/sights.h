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
  double refraction = 0.13;                   ///< coefficient k
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
  Length target_height = Length::metres(0);
  std::optional<Length> reflector;               ///< DEFAULT the instrument's
  std::optional<Length> target_sd, distance_sd;  ///< DEFAULT the instrument's
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
  std::optional<Length> slope;             ///< corrected for air and reflector
  Length distance_sd = Length::metres(0);  ///< constant part, its own or the instrument's
  Length target_sd = Length::metres(0);
  std::optional<Length> reflector;  ///< additive constant that its first reading states
  /// Horizontal distance at the instrument and height of the target above its axis; with slope and zenith
  /// both.
  std::optional<Length> horizontal, rise;
  std::size_t face1 = 0, face2 = 0;   ///< circle readings in each
  std::vector<std::size_t> readings;  ///< their indices
  bool one_face() const { return face1 == 0 || face2 == 0; }
};

/// What two faces say of the instrument itself.
struct InstrumentErrors {
  std::size_t pairs = 0;  ///< targets read in both faces
  std::optional<Angle> collimation, collimation_sd;
  std::optional<Angle> trunnion, trunnion_sd;  ///< tilting axis; only with four pairs, some of them steep
  std::optional<Angle> index, index_sd;        ///< of the zenith circle
};

enum class SightFactKind : std::uint8_t {
  one_face,         ///< the sight was read in one face only
  faces_disagree,   ///< `value`: half the difference of the faces, less collimation, over its sd
  rounds_disagree,  ///< `value`: largest deviation of a reading of the same face from their mean, over its sd
  slope_without_zenith  ///< its distance cannot be reduced
};
struct SightFact {
  SightFactKind kind;
  std::size_t sight = 0;
  double value = 0;
};

struct Reduction {
  std::vector<Sight> sights;  ///< in the order of their first readings
  InstrumentErrors errors;
  std::vector<SightFact> facts;
};

/// Reduces readings of one setup.
///
/// Method    direction = mean of face 1 and face 2 less 180 degrees, zenith = (z1 + 360 - z2) / 2, slope
/// distance =
///           mean. With n readings in face 1 and m in face 2 the sd is angle_sd sqrt((1/n + 1/m)/2); in one
///           face sqrt(2) angle_sd / sqrt(n). The sd of a distance does not shrink with rounds.
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
/// Curvature and refraction: HD = S sin z - (1 - k/2) S^2 sin z cos z / R, rise = S cos z + (1 - k)(S sin
/// z)^2 / 2R, R = 6 371 000 m.
Reach reach_of(const Line& line, double refraction);
/// Undoes `reach_of`: exact to rounding for lines up to kilometres. REQUIRES not both zero.
Line line_to(const Reach& reach, double refraction);

/// sd of a horizontal distance without the target's share.
Length distance_sd_at(Length horizontal, Length constant, double ppm);

}  // namespace deckmark
