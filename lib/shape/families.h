#pragma once
/// Private to the room: runs of one direction, and the stations that they share.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "shape/seen.h"

namespace deckmark::shape_detail {

struct Station {
  double at;
  std::uint32_t seen;
};

/// Runs of one direction, two or more.
struct Family {
  Plan origin, way;
  std::vector<std::uint32_t> members;  ///< by their place among the runs, in the order of the drawing
  std::vector<Station> stations;       ///< of all their points, along; none where nothing asks for them
  std::vector<double> common;          ///< stations that two runs or more share

  double along(Plan p) const { return dot(p - origin, way); }
  double across(Plan p) const { return cross(way, p - origin); }
  Plan at(double along_by, double across_by) const {
    return origin + along_by * way + across_by * Plan{-way.y, way.x};
  }
  /// How many other runs have a point at that station.
  std::size_t shared(double station, std::uint32_t by, double tolerance) const;
  /// How many other runs begin or end at that station.
  std::size_t ends_of_others(std::span<const Seen> runs, double station, std::uint32_t by,
                             double tolerance) const;
};

/// Families of the runs that are lines; runs of two or three points are given the line that a family speaks
/// for.
std::vector<Family> families_of(std::span<Seen> runs, double tolerance);

/// Finds the stations of a family where they are asked for; whether they are. Most long drawings need none,
/// and their points are not sorted. `takes_single`: runs of one point ask too.
bool find_stations(Family& f, std::span<const Seen> runs, double tolerance, bool takes_single);

}  // namespace deckmark::shape_detail
