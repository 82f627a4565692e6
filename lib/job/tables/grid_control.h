#pragma once
/// The table of control points in a map projection, or as latitude and longitude.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::grid_control {

inline constexpr TableWord table{
    "control", "control points in the projection that crs names", {}, false, "where the site has a crs"};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required, {}, kNameWords};
inline constexpr Column<LengthCell> northing{
    "northing", "in the projection; or latitude, longitude", Stands::optional, {}, kNorthingWords};
inline constexpr Column<LengthCell> easting{
    "easting", "in the projection", Stands::optional, {}, kEastingWords};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the mark", Stands::optional, {}, kElevationWords};
inline constexpr Column<LengthCell> sd{"sd", "standard deviation of its place; 0 holds it fixed"};
inline constexpr Column<AngleCell> latitude{"latitude", "north positive, or with N or S"},
    longitude{"longitude", "east positive, or with E or W"};
inline constexpr Column<LengthCell> ellipsoidal_height{"ellipsoidal_height", "above the ellipsoid"};
using Terms =
    TableTerms<table, point, northing, easting, elevation, sd, latitude, longitude, ellipsoidal_height>;
using Places = PlacePairs<PlacePair<northing, easting>, PlacePair<latitude, longitude>>;

}  // namespace deckmark::grid_control
