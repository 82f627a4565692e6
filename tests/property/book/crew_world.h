#pragma once
/// A floor with control, instruments and marks as they truly are, and readings of them: plane geometry and
/// noise of its own, nothing of the program.

#include <cstddef>
#include <string>
#include <vector>

#include "book_world.h"

namespace deckmark_test {

struct Place {
  double northing = 0, easting = 0;  ///< m
};
Place operator+(const Place& a, const Place& b);
Place operator-(const Place& a, const Place& b);
double length_of(const Place& p);

/// What the papers of the instrument state: m, rad.
struct CrewSds {
  double angle = 2 / 206264.80624709636, distance = 0.001, target = 0.001;
};

/// As it really stands.
struct CrewInstrument {
  Place at;
  double orientation = 0;  ///< rad: azimuth = circle + orientation
};

/// One pointing to a target that stands at a place.
struct CrewReading {
  double circle = 0, zenith = 0, slope = 0, horizontal = 0;  ///< degrees, degrees, m, m
};

class CrewWorld {
 public:
  /// A floor with so many setups, whose readings of control are made here.
  CrewWorld(Dice& dice, const CrewSds& sds, std::size_t setups, std::size_t marks);
  void lay(JobFolder& folder) const;

  struct Control {
    std::string name;
    Place at;
    double height = 0;
  };
  const std::vector<Control>& control() const { return control_; }
  const std::vector<CrewInstrument>& instruments() const { return instruments_; }
  static std::string setup_name(std::size_t i) { return "S" + std::to_string(i + 1); }
  const std::vector<Place>& marks() const { return marks_; }  ///< by number from 1001

  /// In one face, of a target exactly there, so high above the axis.
  CrewReading read(const CrewInstrument& from, const Place& target, double up, bool both_faces = false);
  /// As it is typed: reduced, or with its zenith angle.
  std::string typed(const CrewReading& reading, double target_height);
  /// Where the pole comes to stand on a mark.
  Place on(const Place& mark);
  Dice& dice() { return dice_; }
  const CrewSds& sds() const { return sds_; }

  static constexpr double kFloor = 100, kAxis = 1.55, kTargetHeight = 0.1, kPole = 1.3;

 private:
  std::string observations(std::size_t setup);
  Dice& dice_;
  CrewSds sds_;
  std::vector<Control> control_;
  std::vector<CrewInstrument> instruments_;
  std::vector<std::string> read_;  ///< by setup, its file
  std::vector<Place> marks_;
};

}  // namespace deckmark_test
