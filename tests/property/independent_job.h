#pragma once
/// A random job as text, and what the program must make of it, computed another way: long double, drawing
/// coordinates as a linear function of site coordinates (x - x0 = tx + q dE + p dN, y - y0 = ty - p dE + q
/// dN), bisection of the square sum's slope for a fixed scale, normal equations for a free one, covariances
/// by numeric derivatives.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <vector>

namespace deckmark_test {

using Real = long double;

/// A length as it stands in a table, and its exact value in metres.
struct Written {
  std::string text;
  Real metres = 0;
};

struct UnitChoice {
  const char* word;
  Real metres;
  int decimals;  ///< written in tables of the job
  Real step;     ///< of the last printed digit in the program's tables, in this unit
};

enum class Held : std::uint8_t { both, x, y };

struct JobTie {
  std::string name;
  std::optional<Written> x, y;
  Written northing, easting;
  Real sd_x = 0, sd_y = 0;
};

struct JobPoint {
  std::string name;
  Written x, y;
  std::optional<Written> height;
};

struct JobShot {
  bool on_site = true;
  Written a, b, elevation;  ///< northing, easting or x, y
};

struct JobDeckMark {
  std::size_t point = 0;
  bool on_site = true;
  Written a, b;  ///< northing, easting, or dx, dy along the baselines
  std::optional<Written> elevation;
};

struct RandomJob {
  UnitChoice drawing, site, list;
  bool feet_inches = false, mirrored = false, free_scale = false, comma = false, sloping = false;
  Held held = Held::both;
  std::vector<JobTie> ties;
  std::vector<JobPoint> points;
  std::vector<JobShot> shots;  ///< empty: a level deck
  Real level = 0, floor = 0, attach = 0;
  std::vector<JobDeckMark> marks;
  Real tolerance = 0, plumb_sd = 0, plumb_tolerance = 0, slope = 0;
  Real true_azimuth = 0, true_scale = 1;  ///< radians; where the independent search begins
  std::map<std::string, std::string> files;
};

RandomJob random_job(std::mt19937_64& random);

struct ExpectedTie {
  std::string mark;
  char axis;
  Real stated, computed, residual, standardised, redundancy;
  std::string verdict;
  bool near_limit = false;  ///< the verdict hangs on the last bits
};
struct ExpectedPoint {
  Real northing, easting, deck, rise, drop, sd;
};
struct ExpectedPlumb {
  Real dx, dy, offset, rise, drop, sd;
  std::string verdict;
  bool near_limit = false;
};
struct Expected {
  std::vector<ExpectedTie> ties;
  std::vector<ExpectedPoint> points;
  std::vector<ExpectedPlumb> plumb;
};

Expected computed_independently(const RandomJob& job);

}  // namespace deckmark_test
