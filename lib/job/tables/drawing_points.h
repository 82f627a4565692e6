#pragma once
/// The table of drawing points.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::drawing_points {

inline constexpr TableWord table{"drawing points", "points of the shop drawing"};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required, {}, kNameWords};
inline constexpr Column<LengthCell> x{"x", "along the X baseline; or x_ft, x_in"},
    y{"y", "along the Y baseline; or y_ft, y_in"};
inline constexpr Column<LengthCell> height{"height", "of the bracket above the floor"};
inline constexpr Column<TextCell> kind{"kind", "hanger unless stated; reference: a point without a drop"};
inline constexpr Column<TextCell> run{"run", "the run that it belongs to"};
inline constexpr Column<NumberCell> x_ft{"x_ft", "whole feet of x"}, x_in{"x_in", "inches of x"};
inline constexpr Column<NumberCell> y_ft{"y_ft", "whole feet of y"}, y_in{"y_in", "inches of y"};
inline constexpr Column<TextCell> was{"was", "the name that the point had before: it keeps its number"};
inline constexpr Column<RemarkCell> note{"note", "for people"};
using Terms = TableTerms<table, point, x, y, height, kind, run, x_ft, x_in, y_ft, y_in, was, note>;
using Places = PlacePairs<PlacePair<x, y>>;

}  // namespace deckmark::drawing_points
