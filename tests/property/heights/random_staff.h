#pragma once
/// Random jobs of staff and laser readings.

#include "staff_job.h"
#include "support/noise.h"

namespace deckmark_test {

/// One to three benchmarks, up to eight set-ups in lines, up to four standings of a laser, with the noise
/// that the job states; in one of five a reading is a blunder.
StaffJob random_staff_job(Noise& noise);

/// A line of that many set-ups, without noise, from BM1 at 10 m to BM2 at 10.5 m, over T1, T2 and so on;
/// every rise is a tenth of a metre, what remains and the closure are in the last one. Distances alike, if
/// any.
StaffJob line_job(std::size_t setups, double closure, std::optional<double> distance = {});

/// A reading as the crew takes it: the truth and its noise.
double level_reading(const StaffJob& job, std::size_t target, double setup, Noise& noise);
/// `slope` of the beam at this target, m per m, of the housing at 0.
double laser_reading(const StaffJob& job, std::size_t target, double beam, double distance, double slope,
                     Noise& noise);

}  // namespace deckmark_test
