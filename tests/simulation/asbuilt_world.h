#pragma once
// A hall with marks, instruments and crews: truth to raw readings by its own three-dimensional geometry,
// blunders in the raw reading or in what was typed. Shares no arithmetic with what it tests.

#include <cmath>
#include <cstdlib>
#include <random>
#include <string>
#include <vector>

#include "asbuilt/causes.h"

namespace deckmark_test {

#ifdef DECKMARK_FEW_JOBS
inline constexpr int kJobs = 50;
#else
inline constexpr int kJobs = 1000;
#endif
/// DECKMARK_JOBS shortens a run while developing; the bands then mean little.
inline int jobs() {
  const char* few = std::getenv("DECKMARK_JOBS");
  return few ? std::atoi(few) : kJobs;
}

struct Place {
  double n = 0, e = 0, h = 0;
};

/// One job as the crew hands it in.
struct AsbuiltWorld {
  std::vector<Place> design, marked;  // marks as drawn, and where they truly are
  std::vector<deckmark::Point<deckmark::Site>> marks;
  std::vector<deckmark::CauseShot> shots;
  std::vector<std::optional<deckmark::KnownStation>> setups, marking;
  std::vector<deckmark::Length> bays;
  Place origin;
  double azimuth = 0;  // of +X, degrees
  double noise = 0.002;
  std::mt19937 draws;

  explicit AsbuiltWorld(unsigned job, Place base = {5000, 2000, 12}) : origin(base), draws(job + 1) {
    azimuth = 360 * std::uniform_real_distribution<double>()(draws);
    // Four runs of ten, unevenly apart so that no run lies on another when it is moved.
    for (const double y : {2.4, 7.2, 13.1, 18.3})
      for (int k = 0; k < 10; ++k) design.push_back(on_site(4.1 + 5.6 * k, y, 0));
    marked = design;
    bays = {deckmark::Length::metres(7.5), deckmark::Length::metres(6.3)};
  }

  /// The drawing's place on site.
  Place on_site(double x, double y, double up) const {
    const double a = azimuth * M_PI / 180;
    return {origin.n + x * std::cos(a) + y * std::sin(a), origin.e + x * std::sin(a) - y * std::cos(a),
            origin.h + up};
  }
  double normal(double sd) { return std::normal_distribution<double>(0, sd)(draws); }

  /// Marks as a crew hits them.
  void scatter() {
    for (Place& p : marked) {
      p.n += normal(noise);
      p.e += normal(noise);
      p.h += normal(noise);
    }
  }
};

/// An instrument: where it truly stands and how its circle truly lies, and what its setup believes.
struct Instrument {
  Place truly, believed;                    // of the axis
  double true_turn = 0, believed_turn = 0;  // azimuth = circle + turn, degrees
  double constant = 0;                      // added to every slope distance that it reads
  double target = 0, believed_target = 0;   // target heights

  Instrument(const Place& at, double turn) : truly(at), believed(at), true_turn(turn), believed_turn(turn) {}

  /// Reads a mark and reduces the reading as the setup believes.
  Place shoot(const Place& mark) const {
    const double dn = mark.n - truly.n, de = mark.e - truly.e, dh = mark.h + target - truly.h;
    const double slope = std::sqrt(dn * dn + de * de + dh * dh) + constant;
    const double zenith = std::atan2(std::hypot(dn, de), dh);
    const double circle = std::atan2(de, dn) - true_turn * M_PI / 180;
    const double azimuth = circle + believed_turn * M_PI / 180;
    return {believed.n + slope * std::sin(zenith) * std::cos(azimuth),
            believed.e + slope * std::sin(zenith) * std::sin(azimuth),
            believed.h + slope * std::cos(zenith) - believed_target};
  }
  /// Where a mark comes to lie that is set out until it reads its design: found by trial, as a crew does.
  Place set_out(const Place& design) const {
    Place at = design;
    for (int i = 0; i < 8; ++i) {
      const Place read = shoot(at);
      at.n += design.n - read.n;
      at.e += design.e - read.e;
    }
    return at;
  }
};

inline deckmark::Point<deckmark::Site> point(const Place& p) {
  return {{.northing = deckmark::Length::metres(p.n), .easting = deckmark::Length::metres(p.e)}};
}

/// Adds a shot of mark `i` from setup `word`.
inline void add_shot(AsbuiltWorld& w, std::size_t i, const Place& read, std::uint32_t setup,
                     std::uint32_t marked_from = 1) {
  deckmark::CauseShot s{static_cast<std::uint32_t>(i), point(w.design[i]), point(read)};
  s.elevation = deckmark::Elevation::metres(read.h);
  s.up = deckmark::Length::metres(read.h - w.design[i].h);
  s.setup = setup;
  s.marked_from = marked_from;
  w.shots.push_back(s);
}

inline deckmark::CausesInput input_of(AsbuiltWorld& w) {
  w.marks.clear();
  for (const Place& p : w.design) w.marks.push_back(point(p));
  deckmark::CausesInput in{w.shots, w.setups, w.marking, w.marks, point(w.origin)};
  in.azimuth_x = deckmark::Azimuth::degrees(w.azimuth);
  in.bays = w.bays;
  return in;
}

}  // namespace deckmark_test
