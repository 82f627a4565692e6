#pragma once
/// Private to the room: runs of one direction, the pitch between them and the stations that they share.

#include <span>
#include <vector>

#include "mends.h"
#include "seen.h"

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
};

/// Families of the runs that are lines; runs of two or three points are given the line that a family speaks
/// for.
std::vector<Family> families_of(std::span<Seen> runs, double tolerance);

/// Runs that break the pitch of their family or stand aside along it, turned runs, and points that do not
/// stand where other runs have their stations. `takes_loose`: runs that no family holds are held against it
/// too.
void look_at_family(Family& family, std::span<const Seen> runs, const Figure& figure, double tolerance,
                    bool takes_loose, std::vector<Candidate>& out);

/// Of three in a row at unequal spaces the one without which the space is much the rounder length: 0, 1 or 2.
std::optional<std::uint32_t> rounder(const Figure& figure, double first, double last);

}  // namespace deckmark::shape_detail
