#pragma once
/// `[drawing]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kDrawingUnitKeys = section<Job>(
    "drawing", key<&Job::drawing_unit>(
                   "unit", UnitKind{},
                   "unit of bare numbers in x, y and height: ft-in, ft, in, us-ft, m, mm or cm", R"("ft-in")")
                   .defaults_to(R"("m")"));

inline constexpr auto kDrawingPointKeys = section<Job>(
    "drawing",
    key<&Job::named, &NamedTables::points>(
        "points", TableKind{}, "table of the drawing's points; points or runs, or both", R"("drawing.csv")")
        .needed("without runs, but not for setups or a crs alone"));

inline constexpr auto kDrawingPlaceKeys = section<Job>(
    "drawing",
    key<&Job::mirrored>("mirrored", FlagKind{},
                        "true only for a sheet traced looking up, on which +Y lies clockwise of +X", "false")
        .defaults_to("false"),
    key<&Job::frame_is_site>(
        "frame", choice<bool>({{"site", true}}),
        "site: x is easting and y is northing; for lists where control or setups stand without ties",
        R"("site")"));

inline constexpr auto kRunKeys = section<Job>(
    "drawing",
    key<&Job::named, &NamedTables::runs>("runs", TableKind{},
                                         "table of runs, along which hangers are generated", R"("runs.csv")"),
    key<&Job::named, &NamedTables::pieces>(
        "pieces", TableKind{}, "table of the drawing's pieces, in order along each run", R"("pieces.csv")"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::separation>(
        "separation", LengthKind{Bound::above_zero},
        "of the two members where a run is a parallel pair, centre to centre", R"("400 mm")"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::member_width>(
        "member_width", LengthKind{Bound::zero_or_more},
        "half of it is taken off a member that ends on another", R"("50 mm")")
        .defaults_to("0"));

inline constexpr auto kBillKeys =
    section<Job>("drawing",
                 key<&Job::named, &NamedTables::needs>(
                     "needs", TableKind{},
                     "table of the parts that every hanger, joint, end or crossing needs", R"("needs.csv")"),
                 key<&Job::named, &NamedTables::bill>(
                     "bill", TableKind{},
                     "table of what the bill of materials orders, held against the drawing", R"("bill.csv")"),
                 key<&Job::named, &NamedTables::arrived>(
                     "arrived", TableKind{}, "table of what was delivered: it says which runs can be begun",
                     R"("arrived.csv")"));

inline constexpr auto kBuildingLineKeys = section<Job>(
    "drawing",
    key<&Job::named, &NamedTables::lines>(
        "lines", TableKind{}, "table of building lines, from which a tie may be stated", R"("lines.csv")"));

inline constexpr auto kDimensionKeys = section<Job>(
    "drawing",
    key<&Job::named, &NamedTables::dimensions>(
        "dimensions", TableKind{},
        "table of printed dimensions, held against the keyed points before anyone drills",
        R"("dimensions.csv")"),
    key<&Job::checks, &BaselineJob::dimension_tolerance>("dimension_tolerance", LengthKind{Bound::permitted},
                                                         "permitted difference of a dimension", R"("2 mm")")
        .defaults_to(R"("1/16\"")"));

inline constexpr auto kDrawing = joined(kDrawingUnitKeys, kDrawingPointKeys, kDrawingPlaceKeys, kRunKeys,
                                        kBillKeys, kBuildingLineKeys, kDimensionKeys);

}  // namespace deckmark
