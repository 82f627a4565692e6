#pragma once
/// Words that lists made elsewhere have for a column, the likelier first (common practice, no source). Where
/// a header has two of them, the first is offered and the other is named.

#include <string_view>

#include "terms/columns.h"

namespace deckmark {

/// Of a point, a mark, a target.
inline constexpr std::string_view kNameWords[] = {"point",    "mark",      "pt",   "point_no", "point_number",
                                                  "point_id", "pt_number", "id",   "pt_no",    "pt_id",
                                                  "no",       "number",    "name", "station"};
inline constexpr std::string_view kNorthingWords[] = {"north", "n"};
inline constexpr std::string_view kEastingWords[] = {"east", "e"};
inline constexpr std::string_view kElevationWords[] = {"elev", "rl", "z", "level", "height", "h"};

/// Of what an instrument read.
inline constexpr std::string_view kCircleWords[] = {"hz", "ha"};
inline constexpr std::string_view kZenithWords[] = {"za", "va", "v"};
inline constexpr std::string_view kSlopeWords[] = {"sdist", "slope_dist", "sd"};
inline constexpr std::string_view kHorizontalWords[] = {"hdist", "horizontal_dist", "hd"};
inline constexpr std::string_view kTargetHeightWords[] = {"th", "ht"};
/// Of the place where the instrument stood.
inline constexpr std::string_view kSetupWords[] = {"station", "stn"};

/// Of a part on a bill, and of how many of it.
inline constexpr std::string_view kPartWords[] = {"item", "part_no", "part_number"};
inline constexpr std::string_view kCountWords[] = {"qty", "quantity", "pcs"};

/// What a table of side shots has beside name and place, where another table is read from it.
inline constexpr std::string_view kSideShotColumns[] = {"setup", "elevation", "sd_northing", "sd_easting",
                                                        "sd_elevation"};

/// What a table of marks that a setup sighted has beside name and place, where another table is read from it.
inline constexpr std::string_view kSightedMarkColumns[] = {
    "number", "dz", "verdict", "run_dx", "run_dy", "target", "sd_northing", "sd_easting", "sd_elevation"};

}  // namespace deckmark
