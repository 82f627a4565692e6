#pragma once
/// Ties whose found places share the errors of the setups that sighted them.

#include <random>

#include "simulation/tie_jobs.h"
#include "ties.h"

namespace deckmark_test {

/// What is shared: the error of the found places is `factors` times independent errors of sd 1.
struct JointJob {
  Floor floor;
  std::vector<Tie> ties;  // without errors
  Matrix factors;         // rows northing, easting of each tie
  Matrix places;          // factors * factors'
};

/// sds of a setup's place, of its orientation, and of a single sight of it; how many setups there are, 1
/// or 2.
struct SetupNoise {
  double shift = 0.003, turn = 1e-4, sight = 0.001;
  std::size_t setups = 2;
};

/// Puts the factors: ties are sighted from the setups in turn, every fourth is typed and so exact.
inline void share_errors(JointJob& job, const SetupNoise& noise, bool with_typed) {
  const std::size_t n = job.ties.size();
  job.factors = Matrix(2 * n, 6 + 2 * n);
  for (std::size_t i = 0; i < n; ++i) {
    if (with_typed && i % 4 == 3) continue;
    const std::size_t setup = i % noise.setups;
    const Point<Site> stand = setup == 0 ? job.floor.at(-5, 8) : job.floor.at(30, -12);
    const Vec<Site> from = job.ties[i].at - stand;
    Matrix& f = job.factors;
    f(2 * i, 3 * setup) = f(2 * i + 1, 3 * setup + 1) = noise.shift;
    f(2 * i, 3 * setup + 2) = -noise.turn * from.by.easting.metres();
    f(2 * i + 1, 3 * setup + 2) = noise.turn * from.by.northing.metres();
    f(2 * i, 6 + 2 * i) = noise.sight;
    f(2 * i + 1, 7 + 2 * i) = noise.sight * 0.6;
    f(2 * i + 1, 6 + 2 * i) = noise.sight * 0.5;
  }
  job.places = Matrix(2 * n, 2 * n);
  for (std::size_t i = 0; i < 2 * n; ++i)
    for (std::size_t j = 0; j < 2 * n; ++j)
      for (std::size_t k = 0; k < job.factors.cols; ++k)
        job.places(i, j) += job.factors(i, k) * job.factors(j, k);
}

/// Ties that state both coordinates, or x and y in turn, on a floor of 40 by 25 m.
inline JointJob joint_job(std::mt19937& random, std::size_t count, bool mirrored, bool both,
                          const SetupNoise& noise = {}, bool with_typed = true) {
  std::uniform_real_distribution<double> sd(0.8, 2.5);
  TieJob plain = random_tie_job(random, count, 40, 25, 0, mirrored);
  JointJob job{plain.floor, std::move(plain.ties), {}, {}};
  for (std::size_t i = 0; i < count; ++i) {
    job.ties[i].sd_x = mm(sd(random));
    job.ties[i].sd_y = mm(sd(random));
    if (both || i < 3) continue;
    if (i % 3 == 0) job.ties[i].x.reset();
    if (i % 3 == 1) job.ties[i].y.reset();
  }
  share_errors(job, noise, with_typed);
  return job;
}

/// The ties as found on one day: errors of the places by `factors`, of what is stated by its sds.
inline std::vector<Tie> found_ties(const JointJob& job, std::mt19937& random) {
  std::normal_distribution<double> normal;
  std::vector<double> unit(job.factors.cols);
  for (double& u : unit) u = normal(random);
  std::vector<Tie> out = job.ties;
  for (std::size_t i = 0; i < out.size(); ++i) {
    double north = 0, east = 0;
    for (std::size_t k = 0; k < unit.size(); ++k) {
      north += job.factors(2 * i, k) * unit[k];
      east += job.factors(2 * i + 1, k) * unit[k];
    }
    out[i].at = {{.northing = out[i].at.at.northing + m(north), .easting = out[i].at.at.easting + m(east)}};
    if (out[i].x) out[i].x = *out[i].x + out[i].sd_x * normal(random);
    if (out[i].y) out[i].y = *out[i].y + out[i].sd_y * normal(random);
  }
  return out;
}

}  // namespace deckmark_test
