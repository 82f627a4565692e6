#pragma once
/// `[site]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kSiteUnitKeys = section<Job>(
    "site", key<&Job::site_unit>(
                "unit", UnitKind{.feet_for_feet_inches = true},
                "unit of bare northings, eastings, elevations, sds, dx and dy in every table, and of the "
                "lists; ft-in is taken as decimal ft",
                R"("m")")
                .defaults_to(R"("m")"));

inline constexpr auto kControlKeys = section<Job>(
    "site",
    key<&Job::ground, &GroundJob::options, &GroundOptions::crs>(
        "crs", TextKind{},
        "the map projection of the control: an EPSG code, a PROJ string or WKT; axes by name, conformal",
        R"("EPSG:6428")")
        .placed<&Job::ground, &GroundJob::crs_key>(),
    key<&Job::ground, &GroundJob::options, &GroundOptions::geographic>(
        "geographic", TextKind{},
        "system of latitudes and longitudes; a change of datum good to 0.1 m without missing grid files",
        R"("EPSG:6318")")
        .otherwise("that of crs"),
    key<&Job::ground, &GroundJob::options, &GroundOptions::ground_at>(
        "ground_at", TextKind{}, "control point at which ground and grid coordinates are the same",
        R"("CP1")")
        .otherwise("the first control point, with a doubt"),
    key<&Job::ground, &GroundJob::options, &GroundOptions::elevation>(
        "elevation",
        RangeKind{Bare::site, kLowestWork, kHighestWork, "a height above the ellipsoid", R"("250 m")"},
        "mean height of the work above the ellipsoid", R"("250 m")")
        .otherwise("the mean of ellipsoidal_height, else 0 with a doubt"),
    key<&Job::named, &NamedTables::control>("control", TableKind{.framed = true}, "table of control",
                                            R"("control.csv")"));

inline constexpr auto kStoreysKeys = section<Job>(
    "site", key<&Job::storeys_key>("storeys", TextsKind{},
                                   "job files of the building's other storeys, relative to this file: what "
                                   "numbers their ledgers hold, on floor and deck, is theirs",
                                   R"(["../l4/job.toml", "../l5/job.toml"])"));

inline constexpr auto kSite = shared(joined(kSiteUnitKeys, kControlKeys, kStoreysKeys));

}  // namespace deckmark
