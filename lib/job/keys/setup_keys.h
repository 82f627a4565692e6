#pragma once
/// `[[setup]]`.

#include <string>
#include <vector>

#include "job/keys/instrument_keys.h"
#include "job/keys/stated.h"
#include "job/keys/table_key.h"
#include "terms/key.h"

namespace deckmark {

/// One setup as its keys state it.
struct SetupKeys {
  Stated<std::string> name, at;
  Stated<Length> northing, easting, elevation, sd;
  Stated<Length> height;
  Stated<Angle> orientation;
  Stated<TableKey> observations;
  Stated<std::vector<std::string>> plan;
  std::size_t rounds = 1;
};

inline constexpr auto kSetupPlaceKeys = section<SetupKeys>(
    "setup",
    key<&SetupKeys::name>("name", TextKind{}, "letters, digits, - and _: files are named after it", R"("S1")")
        .needed("always"),
    key<&SetupKeys::at>("at", TextKind{}, "a control point, a point that other setups sight, or free",
                        R"("CP1")")
        .needed("unless northing and easting"),
    key<&SetupKeys::northing>(
        "northing", PlaceKind{Bare::site},
        "with easting in place of at: where the instrument computed that it stands, or a spot "
        "to plan for",
        R"("6421.824 m")")
        .needed("unless at"),
    key<&SetupKeys::easting>("easting", PlaceKind{Bare::site}, "beside northing", R"("3162.693 m")")
        .needed("unless at"),
    key<&SetupKeys::elevation>("elevation", WithinKind{Bare::site, Length::metres(20000), "an elevation"},
                               "of the ground mark, beside northing and easting", R"("21.503 m")"),
    key<&SetupKeys::sd>("sd", LengthKind{Bound::instrument_sd_or_zero},
                        "how well northing and easting are known, per axis", R"("3 mm")"),
    key<&SetupKeys::height>("height",
                            RangeKind{Bare::site, -kTallestTarget, kTallestTarget, "a height", R"("1.55 m")"},
                            "the instrument's axis above its mark", R"("1.55 m")")
        .otherwise("0"));

inline constexpr auto kSetupReadingKeys = section<SetupKeys>(
    "setup",
    key<&SetupKeys::orientation>("orientation",
                                 AngleKind{.such_as = "40°",
                                           .above = Angle::degrees(-360),
                                           .most = Angle::degrees(360),
                                           .up_to_most = false,
                                           .found = "an azimuth of a full turn or more",
                                           .expected = "the azimuth of circle 0, under 360 degrees (400 gon)",
                                           .bare = true},
                                 "azimuth of circle 0, where there is no backsight", R"("40°")"),
    key<&SetupKeys::observations>("observations", TableKind{}, "table of what was read", R"("s1.csv")"));

inline constexpr auto kSetupPlanKeys = section<SetupKeys>(
    "setup",
    key<&SetupKeys::plan>("plan", TextsKind{}, "control points that will be sighted, for deckmark plan",
                          R"(["CP1", "CP4"])"),
    key<&SetupKeys::rounds>("rounds", CountKind{1, 100}, "rounds of the planned sights", "1")
        .defaults_to("1"));

inline constexpr auto kSetup = shared(repeated(joined(kSetupPlaceKeys, kSetupReadingKeys, kSetupPlanKeys)));

}  // namespace deckmark
