#pragma once
/// Random jobs of staff and laser readings.

#include "staff_job.h"
#include "support/noise.h"

namespace deckmark_test {

/// One to three benchmarks, up to eight set-ups in lines, up to four standings of a laser, with the noise
/// that the job states; in one of five a reading is a blunder.
StaffJob random_staff_job(Noise& noise);

/// A reading as the crew takes it: the truth and its noise.
double level_reading(const StaffJob& job, std::size_t target, double setup, Noise& noise);
/// `slope` of the beam at this target, m per m, of the housing at 0.
double laser_reading(const StaffJob& job, std::size_t target, double beam, double distance, double slope,
                     Noise& noise);

}  // namespace deckmark_test
