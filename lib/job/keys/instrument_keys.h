#pragma once
/// `[instrument]` and `[stake]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

/// No target or tripod is higher (common practice, no source).
inline constexpr Length kTallestTarget = Length::metres(20);

/// Read before any angle of the job.
inline constexpr auto kAngleKeys =
    section<Job>("instrument", key<&Job::instrument, &InstrumentJob::angles>(
                                   "angles",
                                   choice<AngleNotation>({{"degrees", AngleNotation::degrees},
                                                          {"gon", AngleNotation::gon},
                                                          {"packed", AngleNotation::packed}}),
                                   "how bare angles are read, and angles printed: degrees, gon, or "
                                   "packed (DDD.MMSS)",
                                   R"("gon")"));

inline constexpr auto kInstrumentKeys = section<Job>(
    "instrument",
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::angle_sd>(
        "angle_sd",
        AngleKind{.such_as = "0-00-02",
                  .above = Angle::degrees(0),
                  .most = Angle::degrees(1),
                  .found = "an sd that is not above zero or over one degree",
                  .expected = R"(the sd of one direction, mean of both faces, such as "2\"")"},
        "sd of one direction, mean of both faces, from the instrument's papers", R"("2\"")")
        .needed("with setups"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::distance_sd>(
        "distance_sd", LengthKind{Bound::instrument_sd}, "constant part of the sd of a distance", R"("2 mm")")
        .needed("with setups"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::distance_ppm>(
        "distance_ppm", NumberKind{0, 1000, "a number of ppm"}, "the part that grows with the distance", "2")
        .defaults_to("0"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::centring_sd>(
        "centring_sd", LengthKind{Bound::instrument_sd_or_zero}, "sd of the instrument over its mark",
        R"("1 mm")")
        .defaults_to(R"("1 mm")"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::target_sd>(
        "target_sd", LengthKind{Bound::instrument_sd_or_zero}, "sd of a target on its mark", R"("1 mm")")
        .defaults_to(R"("1 mm")"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::height_sd>(
        "height_sd", LengthKind{Bound::instrument_sd_or_zero}, "sd of a taped height", R"("1 mm")")
        .defaults_to(R"("1 mm")"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::refraction>(
        "refraction", NumberOrNoneKind{-10, 10, "a refraction coefficient"},
        "coefficient of refraction, or \"none\": neither curvature nor refraction", "0.13")
        .defaults_to("0.13"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::distances>(
        "distances", choice<Distances>({{"corrected", Distances::corrected}, {"raw", Distances::raw}}),
        "corrected, or raw: deckmark applies air and reflector", R"("corrected")")
        .defaults_to(R"("corrected")"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::reflector>(
        "reflector",
        RangeKind{Bare::site, Length::metres(-1), Length::metres(1), "an additive constant", R"("-34 mm")"},
        "additive constant, with raw; a sight's own column wins", R"("-34 mm")")
        .defaults_to(R"("0 mm")"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::reference_refractivity>(
        "reference_refractivity", NumberKind{1, 1000, "a refractivity in ppm"},
        "ppm at which the instrument reads true, with raw", "283.7")
        .needed("with setups and raw distances"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::temperature>(
        "temperature", NumberKind{-60, 80, "degrees Celsius"}, "of the air in °C, with raw", "20.0")
        .needed("with setups and raw distances"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::pressure>(
        "pressure", NumberKind{300, 1200, "a pressure in hPa"},
        "hPa as the barometer on site reads, not reduced to sea level; with raw", "1013.25")
        .needed("with setups and raw distances"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::humidity>(
        "humidity", NumberKind{0, 100, "a relative humidity in %"}, "relative humidity in %, with raw", "50")
        .defaults_to("50"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::wavelength>(
        "wavelength", NumberKind{300, 2000, "a wavelength in nm"},
        "of the instrument's light in nm, with raw", "658")
        .defaults_to("658"),
    key<&Job::instrument, &InstrumentJob::options, &InstrumentOptions::steep>(
        "steep",
        AngleKind{.such_as = "45°",
                  .above = Angle::degrees(0),
                  .most = Angle::degrees(90),
                  .found = "an elevation that is not from above 0 to 90 degrees",
                  .expected = "the elevation above which a sight is steep, such as \"45°\"",
                  .bare = true},
        "sights that rise or fall more are flagged", R"("45°")")
        .defaults_to(R"("45°")"));

inline constexpr auto kInstrument = shared(joined(kAngleKeys, kInstrumentKeys));

inline constexpr auto kStake = section<Job>(
    "stake",
    key<&Job::instrument, &InstrumentJob::stake, &StakeOptions::target_height>(
        "target_height", RangeKind{Bare::site, -kTallestTarget, kTallestTarget, "a height", R"("1.55 m")"},
        "the target above a floor mark", R"("1.55 m")")
        .defaults_to(R"("0 m")"),
    key<&Job::instrument, &InstrumentJob::stake, &StakeOptions::deck_target_height>(
        "deck_target_height",
        RangeKind{Bare::site, -kTallestTarget, kTallestTarget, "a height", R"("1.55 m")"},
        "the target above a deck point; negative: it hangs below", R"("-100 mm")")
        .defaults_to(R"("0 m")"),
    key<&Job::instrument, &InstrumentJob::order>(
        "order", choice<StakeOrder>({{"run", StakeOrder::run}, {"walk", StakeOrder::walk}}),
        "run: one run after the other, or walk: the shortest way found", R"("walk")")
        .defaults_to(R"("run")"));

}  // namespace deckmark
