#include "heights_truth.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <tuple>

namespace deckmark_test {

namespace {

constexpr double kStandardised = 3.29;  // of an observation alone
constexpr double kLoop = 0.003;         // m, to four set-ups
constexpr std::size_t kShortLine = 4;
constexpr double kPerRootKilometre = 0.012;
constexpr Real kWeak = 0.1L;  // a redundancy under it leaves a reading unsure

/// A reading that stands in the adjustment: one row, or the mean of two housings.
struct Observed {
  std::size_t target = 0, standing = 0;  // standings behind the set-ups
  double reading = 0, sign = 1;          // height of the standing = target + sign * reading
  double sd = 0;
};

std::vector<Observed> observed_of(const StaffJob& job) {
  std::vector<Observed> out;
  const double sd = job.used_reading_sd();
  for (const StaffReading& r : job.level) out.push_back({r.target, r.standing, r.reading.metres, 1, sd});
  std::map<std::tuple<std::size_t, std::size_t>, std::vector<const StaffReading*>> turned;
  for (const StaffReading& r : job.laser)
    if (!r.housing.empty()) turned[{r.standing, r.target}].push_back(&r);
  for (const StaffReading& r : job.laser) {
    const double sign = r.above ? -1 : 1;
    const std::size_t standing = job.setups.size() + r.standing;
    const auto at = turned.find({r.standing, r.target});
    const bool is_pair =
        !r.housing.empty() && at->second.size() == 2 && at->second[0]->housing != at->second[1]->housing;
    if (!is_pair) {
      out.push_back(
          {r.target, standing, r.reading.metres, sign, std::hypot(sd, r.distance->metres * job.beam_sd)});
    } else if (at->second[0] == &r) {
      const double mean = (at->second[0]->reading.metres + at->second[1]->reading.metres) / 2;
      out.push_back({r.target, standing, mean, sign, sd / std::sqrt(2.0)});
    }
  }
  return out;
}

/// Which unknown is what: standings first, then targets that no benchmark holds.
struct Unknowns {
  std::vector<std::optional<std::size_t>> of_target;
  std::size_t count = 0;
};

Unknowns unknowns_of(const StaffJob& job, const HeightsTruth& truth) {
  Unknowns out{std::vector<std::optional<std::size_t>>(job.targets.size()),
               job.setups.size() + job.lasers.size()};
  for (const std::size_t t : truth.order) {
    const StaffBenchmark* b = job.benchmark(t);
    if (b == nullptr || b->sd) out.of_target[t] = out.count++;
  }
  return out;
}

/// Equations of the readings first; heights from `datum`, near all of them.
std::vector<Equation> equations_of(const StaffJob& job, const std::vector<Observed>& readings,
                                   const Unknowns& unknowns, double datum) {
  std::vector<Equation> out;
  for (const Observed& o : readings) {
    Equation e{{{o.standing, 1}}, static_cast<Real>(o.sign) * o.reading, o.sd};
    if (const auto u = unknowns.of_target[o.target])
      e.terms.push_back({*u, -1});
    else
      e.value += static_cast<Real>(job.benchmark(o.target)->elevation.metres) - datum;
    out.push_back(e);
  }
  for (const StaffBenchmark& b : job.benchmarks)
    if (const auto u = unknowns.of_target[b.target])
      out.push_back({{{*u, 1}}, static_cast<Real>(b.elevation.metres) - datum, b.sd->metres});
  return out;
}

void judge_readings(const Solution& s, std::size_t readings, HeightsTruth& truth) {
  const auto checked =
      std::count_if(s.redundancies.begin(), s.redundancies.end(), [](Real r) { return r > 0; });
  const double most = residual_limit(static_cast<std::size_t>(checked));
  Real worst_sure = 0, worst_benchmark = 0;
  for (std::size_t i = 0; i < s.standardised.size(); ++i) {
    const Real off = std::abs(s.standardised[i]);
    if (i >= readings) {
      worst_benchmark = std::max(worst_benchmark, off);
      continue;
    }
    truth.worst = std::max(truth.worst, off);
    if (s.redundancies[i] >= kWeak) worst_sure = std::max(worst_sure, off);
  }
  constexpr double kHair = 1e-6;
  truth.reading_outside = worst_sure > most + kHair;
  const Real either = std::max(truth.worst, worst_benchmark);
  truth.unclear = !truth.reading_outside && either > kStandardised - kHair;
}

void find_order(const StaffJob& job, HeightsTruth& truth) {
  truth.heights.resize(job.targets.size());
  std::set<std::size_t> seen;
  const auto take = [&](const std::vector<StaffReading>& rows, const std::vector<std::string>& names) {
    for (const StaffReading& r : rows) {
      if (seen.insert(r.target).second) truth.order.push_back(r.target);
      auto& from = truth.heights[r.target].from;
      if (std::find(from.begin(), from.end(), names[r.standing]) == from.end())
        from.push_back(names[r.standing]);
    }
  };
  take(job.level, job.setups);
  take(job.laser, job.lasers);
}

double closure_limit(const StaffJob& job, const LevelLine& line) {
  if (job.loop_limit) return *job.loop_limit;
  const double setups = static_cast<double>(line.steps.size());
  if (line.steps.size() <= kShortLine) return kLoop;
  double length = 0;
  for (const LineStep& step : line.steps)
    for (const std::size_t row : {step.back, step.fore}) {
      if (!job.level[row].distance) return kLoop * std::sqrt(setups / static_cast<double>(kShortLine));
      length += job.level[row].distance->metres;
    }
  return std::max(kLoop, kPerRootKilometre * std::sqrt(length / 1000));
}

double sd_of(const StaffBenchmark& b) { return b.sd ? b.sd->metres : 0; }

/// Permitted between two readings of a standing: 3 mm, or 2.5 sds of their difference where that is more. The
/// contract states limits of lines alone; that of a standing is the program's, as help decisions tells it.
double standing_limit(const StaffJob& job, double one, double other) {
  return job.loop_limit.value_or(std::max(kLoop, 2.5 * std::sqrt(one * one + other * other)));
}

/// Beam heights of one standing from two benchmarks, and a target that was read twice with one housing.
void laser_closures(const StaffJob& job, const std::vector<Observed>& readings, HeightsTruth& truth) {
  const double again = standing_limit(job, job.used_reading_sd(), job.used_reading_sd());
  for (std::size_t s = 0; s < job.lasers.size(); ++s) {
    std::map<std::size_t, std::pair<double, double>> beams;  // by benchmark, with its sd
    for (const Observed& o : readings)
      if (const StaffBenchmark* b = job.benchmark(o.target);
          b != nullptr && o.standing == job.setups.size() + s)
        beams.emplace(o.target, std::pair(b->elevation.metres + o.sign * o.reading,
                                          std::sqrt(o.sd * o.sd + sd_of(*b) * sd_of(*b))));
    if (beams.size() > 1) {
      const auto first = beams.begin()->second, last = beams.rbegin()->second;
      truth.closures.push_back(
          {job.lasers[s], last.first - first.first, standing_limit(job, first.second, last.second), true});
    }
    std::map<std::pair<std::size_t, std::string>, double> first;
    for (const StaffReading& r : job.laser) {
      if (r.standing != s) continue;
      const auto [at, is_first] = first.emplace(std::pair{r.target, r.housing}, r.reading.metres);
      if (!is_first) truth.closures.push_back({job.lasers[s], r.reading.metres - at->second, again, true});
    }
  }
}

}  // namespace

double residual_limit(std::size_t checked) {
  const double inside = std::pow(0.99, 1.0 / static_cast<double>(std::max<std::size_t>(checked, 1)));
  double low = 0, high = 10;
  for (int k = 0; k < 80; ++k) {
    const double middle = (low + high) / 2;
    (std::erf(middle / std::sqrt(2.0)) < inside ? low : high) = middle;
  }
  return std::max(kStandardised, high);
}

bool TrueClosure::is_outside() const { return std::abs(off) > limit + 1e-10; }
bool TrueClosure::is_unclear() const { return std::abs(std::abs(off) - limit) < 1e-7; }

bool HeightsTruth::is_outside() const {
  return reading_outside ||
         std::any_of(closures.begin(), closures.end(), [](const TrueClosure& c) { return c.is_outside(); });
}

TrueClosure closure_of(const StaffJob& job, const LevelLine& line) {
  const StaffReading &first = job.level[line.steps.front().back], &last = job.level[line.steps.back().fore];
  TrueClosure out{job.targets[first.target].point + " to " + job.targets[last.target].point, 0,
                  closure_limit(job, line)};
  for (const LineStep& step : line.steps)
    out.off += job.level[step.back].reading.metres - job.level[step.fore].reading.metres;
  if (first.target != last.target)
    out.off -= job.benchmark(last.target)->elevation.metres - job.benchmark(first.target)->elevation.metres;
  return out;
}

HeightsTruth heights_truth(const StaffJob& job) {
  HeightsTruth truth;
  find_order(job, truth);
  const std::vector<Observed> readings = observed_of(job);
  const Unknowns unknowns = unknowns_of(job, truth);
  const double datum = job.benchmarks.front().elevation.metres;
  const Solution solution = solve(unknowns.count, equations_of(job, readings, unknowns, datum));
  truth.tied = solution.solved;
  if (!truth.tied) return truth;
  for (const std::size_t t : truth.order) {
    TrueHeight& h = truth.heights[t];
    if (const auto u = unknowns.of_target[t]) {
      h.elevation = static_cast<double>(solution.unknowns[*u]) + datum;
      h.sd = static_cast<double>(solution.sds[*u]);
    } else {
      h.elevation = job.benchmark(t)->elevation.metres;
    }
  }
  judge_readings(solution, readings.size(), truth);
  for (const LevelLine& line : job.lines)
    if (line.closed) truth.closures.push_back(closure_of(job, line));
  laser_closures(job, readings, truth);
  for (const TrueClosure& c : truth.closures) truth.unclear = truth.unclear || c.is_unclear();
  return truth;
}

}  // namespace deckmark_test
