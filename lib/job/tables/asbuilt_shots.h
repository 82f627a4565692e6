#pragma once
/// The table of as-built shots.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::asbuilt_shots {

/// Those of a table of side shots, and of one of marks that a setup sighted.
inline constexpr std::string_view kPassedOver[] = {"sd_northing", "sd_easting", "sd_elevation", "number",
                                                   "verdict",     "run_dx",     "run_dy"};

inline constexpr TableWord table{"as-built shots", "marks and brackets as measured", kPassedOver};
inline constexpr Column<NameCell> point{"point", "name, floor number or deck number", Stands::required,
                                        "target", kNameWords};
inline constexpr Column<LengthCell> northing{
    "northing",
    "place on site; or x, y; or dx, dy; empty: as the setups sighted it",
    Stands::optional,
    {},
    kNorthingWords};
inline constexpr Column<LengthCell> easting{"easting", "place on site", Stands::optional, {}, kEastingWords};
inline constexpr Column<LengthCell> x{"x", "place in the drawing; or northing, easting"},
    y{"y", "place in the drawing"};
inline constexpr Column<LengthCell> dx{"dx", "from its design along +X; or northing, easting"},
    dy{"dy", "from its design along +Y"}, dz{"dz", "above its design; with dx, dy"};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the shot", Stands::optional, {}, kElevationWords};
inline constexpr Column<TextCell> level{"level", "floor, deck or bracket; floor unless stated"};
inline constexpr Column<TextCell> setup{"setup",
                                        "from which it was shot; its sights count where the place is empty",
                                        Stands::optional,
                                        {},
                                        kSetupWords};
inline constexpr Column<TextCell> marked_from{"marked_from", "the setup from which the mark was made"};
inline constexpr Column<TextCell> by{"by", "who shot it"}, marked_by{"marked_by", "who made the mark"};
inline constexpr Column<TextCell> reflector{"reflector", "with which it was shot"};
inline constexpr Column<TextCell> crew{"crew", "that made the mark"};
inline constexpr Column<TextCell> time{"time", "14:05 or 2026-03-05 14:05"};
inline constexpr Column<LengthCell> sd{"sd", "standard deviation of the shot"};
using Terms = TableTerms<table, point, northing, easting, x, y, elevation, level, setup, marked_from,
                         reflector, crew, time, sd, dx, dy, dz, by, marked_by>;
using Places = PlacePairs<PlacePair<northing, easting>, PlacePair<x, y>, PlacePair<dx, dy>>;

}  // namespace deckmark::asbuilt_shots
