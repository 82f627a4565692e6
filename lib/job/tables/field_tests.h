#pragma once
/// The table of readings for a field test; its columns tell which test.

#include "terms/columns.h"

namespace deckmark::field_tests {

inline constexpr TableWord table{"readings of a field test",
                                 "a table for deckmark fieldtest; its columns tell which test"};
inline constexpr Column<NumberCell> series{"series", "1 unless stated"}, set{"set", "number of the set"};
inline constexpr Column<NameCell> target{"target", "what was sighted"};
inline constexpr Column<NameCell> setup{"setup", "of the level"}, staff{"staff", "that was read"};
inline constexpr Column<AngleCell> circle1{"circle1", "horizontal circle in face 1"},
    circle2{"circle2", "horizontal circle in face 2"};
inline constexpr Column<AngleCell> zenith1{"zenith1", "zenith angle in face 1"},
    zenith2{"zenith2", "zenith angle in face 2"};
inline constexpr Column<AngleCell> direction{"direction", "in which the laser stood"};
inline constexpr Column<AngleCell> turn{"turn", "of the plumbing instrument when the mark was made"};
inline constexpr Column<NumberCell> from{"from", "point of the line"}, to{"to", "another point of the line"};
inline constexpr Column<LengthCell> distance{"distance", "as read; of a level or a laser to the staff"};
inline constexpr Column<LengthCell> reading{"reading", "at the staff or target"};
inline constexpr Column<LengthCell> height{"height", "of the target, or of the grid over the instrument"};
inline constexpr Column<LengthCell> x1{"x1", "reading at 0 degrees"}, x2{"x2", "reading at 180 degrees"},
    y1{"y1", "reading at 90 degrees"}, y2{"y2", "reading at 270 degrees"};
inline constexpr Column<LengthCell> x{"x", "of the mark on the grid"}, y{"y", "of the mark on the grid"};
inline constexpr Column<LengthCell> ab{"ab", "cross-line laser: taped from standing A to standing B"},
    cd{"cd", "taped between the marks on the cross lines, C seen from A, D from B"},
    ac{"ac", "from A to C, and from B to D"};
using Terms =
    TableTerms<table, series, set, target, setup, staff, circle1, circle2, zenith1, zenith2, direction, turn,
               from, to, distance, reading, height, x1, x2, y1, y2, x, y, ab, cd, ac>;

}  // namespace deckmark::field_tests
