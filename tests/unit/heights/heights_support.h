#pragma once
/// Readings written down one a line, targets and standings by number from 0.

#include <algorithm>
#include <random>
#include <vector>

#include "heights/heights.h"
#include "support/noise.h"

namespace heights_test {

using namespace deckmark;
using deckmark_test::kSanitized;
using deckmark_test::repeats;

inline Length mm(double v) { return Length::millimetres(v); }
inline Length m(double v) { return Length::metres(v); }

struct Book {
  HeightReadings readings;
  HeightOptions options;

  Book& back(std::size_t setup, std::size_t target, double reading, std::optional<double> away = {}) {
    return level(setup, target, true, reading, away);
  }
  Book& fore(std::size_t setup, std::size_t target, double reading, std::optional<double> away = {}) {
    return level(setup, target, false, reading, away);
  }
  /// Back to one target and fore to another.
  Book& way(std::size_t setup, std::size_t from, double back_reading, std::size_t to, double fore_reading,
            std::optional<double> away = {}) {
    return back(setup, from, back_reading, away).fore(setup, to, fore_reading, away);
  }
  Book& level(std::size_t setup, std::size_t target, bool is_back, double reading,
              std::optional<double> away) {
    readings.level.push_back(
        {setup, target, is_back, m(reading), away ? std::optional(m(*away)) : std::nullopt});
    readings.setups = std::max(readings.setups, setup + 1);
    return seen(target);
  }
  Book& laser(std::size_t laser, std::size_t target, double reading, bool is_above = false, double away = 10,
              std::optional<Housing> housing = {}) {
    readings.laser.push_back({laser, target, m(reading), is_above, m(away), housing});
    readings.lasers = std::max(readings.lasers, laser + 1);
    return seen(target);
  }
  /// Both housings, one after the other.
  Book& pair(std::size_t laser_number, std::size_t target, double straight, double turned, double away = 10) {
    return laser(laser_number, target, straight, false, away, Housing::straight)
        .laser(laser_number, target, turned, false, away, Housing::turned);
  }
  Book& benchmark(std::size_t target, double elevation, std::optional<Length> sd = {}) {
    readings.benchmarks.push_back({target, Elevation::metres(elevation), sd});
    return seen(target);
  }
  Book& seen(std::size_t target) {
    readings.targets = std::max(readings.targets, target + 1);
    return *this;
  }
  HeightsResult run() const { return adjust_heights(readings, options); }
};

inline double height(const HeightsResult& r, std::size_t target) {
  return r.targets.at(target).elevation.value().above_datum().metres();
}

}  // namespace heights_test
