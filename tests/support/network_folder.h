#pragma once
/// Published networks in tests/vectors/reference/networks: what was read, and what was published of it.

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace deckmark_test {

/// A published number with its last printed digit.
struct Printed {
  double value = 0;
  double unit = 0;  ///< of the last digit
  /// Whether a number rounds to what is printed. `coarse`: the last digit that the number was printed to
  /// itself.
  bool fits(double number, double coarse = 0) const;
};
/// Nothing for an empty cell.
std::optional<Printed> printed(const std::string& cell);

struct NetworkControl {
  std::string point;
  double northing = 0, easting = 0;  // m
  std::optional<double> elevation, sd;
};
struct NetworkSetup {
  std::string name, point;
  double height = 0;
};
struct NetworkReading {
  std::string setup, target;
  std::optional<double> circle, zenith;     // degrees
  std::optional<double> slope, horizontal;  // m
  double height = 0;
  std::optional<double> circle_sd, zenith_sd, distance_sd;  // seconds, seconds, m
};
struct NetworkPlace {
  std::string point;
  /// northing, easting, elevation and their sds
  std::optional<Printed> northing, easting, elevation, sd_northing, sd_easting, sd_elevation;
};
struct NetworkQuality {
  std::string setup, target, quantity;  // circle, slope, zenith, horizontal
  Printed adjusted, redundancy, standardised;
};
struct Network {
  std::string name;
  std::vector<NetworkControl> control;
  std::vector<NetworkSetup> setups;
  std::vector<NetworkReading> readings;
  std::vector<NetworkPlace> places;
  std::vector<NetworkQuality> quality;
  std::map<std::string, Printed> orientations;  // by setup, degrees
  std::optional<std::size_t> degrees_of_freedom;
  std::optional<Printed> variance_factor;
  bool a_posteriori = false;               // the sds are multiplied by the root of the variance factor
  bool standardised_a_posteriori = false;  // and so are those that residuals are divided by
  bool has_heights() const;
};

/// The folder of that name. Throws std::runtime_error where it is not as its README says.
Network read_network(const std::string& name);
/// Names of all folders, in order.
std::vector<std::string> network_names();

}  // namespace deckmark_test
