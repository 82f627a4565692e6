#pragma once
/// The table of runs.

#include "terms/columns.h"

namespace deckmark::runs {

inline constexpr TableWord table{"runs", "lines, arcs and rings along which hangers stand"};
inline constexpr Column<NameCell> run{"run", "its name", Stands::required};
inline constexpr Column<TextCell> kind{"kind", "line, arc or ring; line unless stated"};
inline constexpr Column<LengthCell> x1{"x1", "where it begins", Stands::required},
    y1{"y1", "where it begins", Stands::required};
inline constexpr Column<LengthCell> x2{"x2", "where it ends; of a ring the point opposite x1, y1",
                                       Stands::required},
    y2{"y2", "where it ends", Stands::required};
inline constexpr Column<LengthCell> xm{"xm", "on an arc, between its ends"},
    ym{"ym", "on an arc, between its ends"};
inline constexpr Column<LengthCell> height{"height", "of its brackets above the floor"};
inline constexpr Column<LengthCell> separation{
    "separation", "of its two members, centre to centre; 0: one member. The key stands where it is empty"};
inline constexpr Column<TextCell> start{"start",
                                        "free, wall or joined; joined where it meets a run, else free"},
    finish{"finish", "the same of its other end"};
inline constexpr Column<LengthCell> start_left{"start_left",
                                               "so far the left member reaches beyond the start"},
    start_right{"start_right", "the same of the right member"},
    finish_left{"finish_left", "so far the left member reaches beyond the finish; below 0: short of it"},
    finish_right{"finish_right", "the same of the right member"};
inline constexpr Column<TextCell> cut_by{"cut_by",
                                         "runs that go through where they cross this one, parted by ;"};
using Terms = TableTerms<table, run, kind, x1, y1, x2, y2, xm, ym, height, separation, start, finish,
                         start_left, start_right, finish_left, finish_right, cut_by>;

}  // namespace deckmark::runs
