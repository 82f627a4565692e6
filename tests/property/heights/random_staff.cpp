#include "random_staff.h"

#include <algorithm>
#include <cmath>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kSecond = 3.14159265358979323846 / 180 / 3600;

bool one_in(std::size_t n, Noise& noise) { return noise.below(n) == 0; }

std::size_t any_of(const std::vector<std::size_t>& of, Noise& noise) { return of[noise.below(of.size())]; }

void write_any_way(StaffJob& job, Noise& noise) {
  const auto take = [&](std::vector<StaffReading>& rows, bool with_level) {
    for (StaffReading& r : rows) {
      const auto& names = job.targets[r.target].names;
      const std::string& level = job.targets[r.target].level;
      do r.written = noise.below(names.size());
      while (!with_level && !level.empty() && !names[r.written].second.empty());
    }
  };
  take(job.level, job.level_column[0]);
  take(job.laser, job.level_column[1]);
}

/// What goes into the job file, and the points of the floor.
StaffJob bare_job(Noise& noise) {
  StaffJob job;
  constexpr SiteUnit units[] = {kMetres, kMetres, kFeet, kFeetInches};
  job.unit = units[noise.below(4)];
  const double floors[] = {0, 12, 105.34, -3.2};
  job.floor = stated(floors[noise.below(4)], job.unit);
  if (!one_in(3, noise)) job.datum = stated(one_in(2, noise) ? 1 : 1.2192, job.unit);
  const char* styles[] = {"P%d", "H-%d", "%dA", "row %d"};
  const char* style = styles[noise.below(4)];
  const std::size_t count = 3 + noise.below(6);
  for (std::size_t i = 0; i < count; ++i)
    job.points.push_back({text(style, static_cast<int>(i + 1)), static_cast<double>(i % 3) * 3 + 1,
                          static_cast<double>(i / 3) * 4 + (i == 1 ? 1.5 : 0)});
  if (one_in(2, noise)) job.reading_sd = 0.0005;
  job.level_column[0] = !one_in(5, noise), job.level_column[1] = !one_in(5, noise);
  switch (noise.below(3)) {
    case 0:
      job.beam_sd = 0.003 / 10 / 2, job.beam_key = "beam = \"3 mm at 10 m\"";
      break;
    case 1:
      job.beam_sd = 0.125 * 0.0254 / (30 * 0.3048) / 2, job.beam_key = "beam = \"1/8\\\" at 30 ft\"";
      break;
    default:
      job.beam_sd = 30 * kSecond, job.beam_key = "beam_sd = \"30\\\"\"";
  }
  if (one_in(5, noise)) job.loop_limit = 0.005;
  return job;
}

/// Draws lines, then standings; `tied` are the targets that hang on a benchmark so far.
class Crew {
 public:
  Crew(StaffJob& job, Noise& noise) : job_(job), noise_(noise), floor_(job.floor.metres) {
    const std::size_t count = 1 + noise_.below(3);
    for (std::size_t i = 0; i < count; ++i) {
      std::optional<double> sd;
      if (one_in(3, noise_)) sd = noise_.uniform(0.0005, 0.002);
      const double elevation = floor_ + noise_.uniform(-1.5, 1.5);
      const std::size_t t =
          job_.add_benchmark(text(i == 0 ? "BM%d" : "B %d", static_cast<int>(i + 1)), elevation, sd);
      if (sd) job_.targets[t].elevation += *sd * noise_.normal();
      tied_.push_back(t), benchmarks_.push_back(t);
    }
  }

  void walk_lines(std::size_t setups) {
    while (setups > 0) {
      const std::size_t steps = 1 + noise_.below(setups);
      walk_line(steps);
      setups -= steps;
    }
  }

  void turn_laser(std::size_t standings) {
    for (std::size_t i = 0; i < standings; ++i) stand_laser(i);
  }

 private:
  /// A point at a level that was not read yet, or was, or a free name.
  std::size_t any_target(bool with_level) {
    if (one_in(4, noise_)) return free_name(noise_.uniform(-0.5, 3));
    const std::size_t p = noise_.below(job_.points.size());
    const char* levels[] = {"floor", "deck", "bracket"};
    const std::string level = levels[noise_.below(with_level ? 3 : 2)];
    for (std::size_t t = 0; t < job_.targets.size(); ++t)
      if (job_.targets[t].point == job_.points[p].name && job_.targets[t].level == level) return t;
    // Brackets and decks lie near planes of their own: measured decks that make no plane are another test.
    const double above = level == "floor" ? 0 : level == "deck" ? 3.3 : 2.6;
    return job_.add_point(p, level, floor_ + above + noise_.uniform(-0.01, 0.01));
  }
  std::size_t free_name(double above) {
    return job_.add_free(text(one_in(2, noise_) ? "TP%d" : "nail %d", ++free_), floor_ + above);
  }
  /// No bracket, which a table without levels cannot name.
  std::size_t any_tied() {
    std::size_t t = any_of(tied_, noise_);
    while (job_.targets[t].level == "bracket") t = any_of(tied_, noise_);
    return t;
  }
  void tie(std::size_t target) {
    if (std::find(tied_.begin(), tied_.end(), target) == tied_.end()) tied_.push_back(target);
  }

  void walk_line(std::size_t steps) {
    LevelLine line;
    const bool branches = one_in(6, noise_);
    std::size_t on = branches ? any_tied() : any_of(benchmarks_, noise_);
    const bool from_benchmark = job_.benchmark(on) != nullptr;
    const std::size_t first = on, way = from_benchmark ? noise_.below(3) : 0;  // open, on itself, on another
    const std::size_t distances = noise_.below(4);                             // 0: none, 1: some, else all
    for (std::size_t s = 0; s < steps; ++s) {
      const bool is_last = s + 1 == steps;
      std::size_t next = first;
      if (!is_last || way == 0)
        next = free_name(noise_.uniform(-0.3, 0.9));
      else if (way == 2)
        next = any_of(benchmarks_, noise_);
      stand_level(line, on, next, distances);
      on = next;
    }
    line.closed = way != 0;
    job_.lines.push_back(line);
  }

  void stand_level(LevelLine& line, std::size_t from, std::size_t to, std::size_t distances) {
    const std::size_t setup = job_.setups.size();
    job_.setups.push_back(text("S%d", static_cast<int>(setup + 1)));
    const double height = floor_ + noise_.uniform(1.3, 1.6);
    const auto read = [&](std::size_t target, bool back) {
      std::optional<double> distance;
      if (distances > 1 || (distances == 1 && one_in(2, noise_))) distance = noise_.uniform(8, 60);
      job_.add_level(setup, target, back, level_reading(job_, target, height, noise_), distance);
      tie(target);
      return job_.level.size() - 1;
    };
    const std::size_t back = read(from, true);
    std::vector<std::size_t> between;
    for (std::size_t i = noise_.below(4); i > 0; --i) {
      const std::size_t t = any_target(job_.level_column[0]);
      if (t != to && t != from && std::find(between.begin(), between.end(), t) == between.end())
        read(t, false), between.push_back(t);
    }
    line.steps.push_back({back, read(to, false)});
  }

  void stand_laser(std::size_t standing) {
    job_.lasers.push_back(text("L%d", static_cast<int>(standing + 1)));
    const double beam = floor_ + noise_.uniform(1, 1.4);
    std::vector<std::size_t> targets = {one_in(4, noise_) ? any_tied() : any_of(benchmarks_, noise_)};
    const auto add = [&](std::size_t t) {
      if (std::find(targets.begin(), targets.end(), t) == targets.end()) targets.push_back(t);
    };
    const bool second = benchmarks_.size() > 1 && job_.benchmark(targets[0]) != nullptr && one_in(2, noise_);
    if (second) add(any_of(benchmarks_, noise_));
    for (std::size_t i = 1 + noise_.below(5); i > 0; --i) add(any_target(job_.level_column[1]));
    const std::size_t pairs = noise_.below(3);  // none, some, all
    single_ = one_in(8, noise_) ? "180" : "";
    for (const std::size_t t : targets)
      shoot(standing, t, beam, pairs == 2 || (pairs == 1 && one_in(2, noise_)));
    if (!second && pairs == 0 && one_in(2, noise_)) shoot(standing, targets[0], beam, false);
    for (const std::size_t t : targets) tie(t);
  }

  void shoot(std::size_t standing, std::size_t target, double beam, bool pair) {
    const double distance = std::round(noise_.uniform(3, 40) * 10) / 10,
                 slope = job_.beam_sd * noise_.normal();
    const bool above = job_.targets[target].elevation > beam;
    const auto read = [&](double sign, const char* housing) {
      job_.add_laser(standing, target, above,
                     std::abs(laser_reading(job_, target, beam, distance, sign * slope, noise_)), distance,
                     housing);
    };
    read(1, pair ? "0" : single_);
    if (pair) read(-1, "180");
  }

  StaffJob& job_;
  Noise& noise_;
  double floor_;
  int free_ = 0;
  const char* single_ = "";  // housing of what is read once, in this standing
  std::vector<std::size_t> tied_, benchmarks_;
};

void make_blunder(StaffJob& job, Noise& noise) {
  std::vector<StaffReading>& rows = job.laser.empty() || one_in(2, noise) ? job.level : job.laser;
  StaffReading& row = rows[noise.below(rows.size())];
  row.reading = stated(row.reading.metres + (one_in(2, noise) ? 0.1 : 0.012), job.unit);
}

}  // namespace

StaffJob line_job(std::size_t setups, double closure, std::optional<double> distance) {
  StaffJob job;
  job.floor = stated(0, job.unit);
  job.points = {{"P1", 0, 0}};
  const std::size_t from = job.add_benchmark("BM1", 10), to = job.add_benchmark("BM2", 10.5);
  LevelLine line;
  line.closed = true;
  std::size_t on = from;
  for (std::size_t s = 0; s < setups; ++s) {
    const bool is_last = s + 1 == setups;
    const double rise = is_last ? 0.5 - 0.1 * static_cast<double>(s) + closure : 0.1;
    const std::size_t next = is_last ? to : job.add_free(text("T%d", static_cast<int>(s + 1)), 0);
    job.setups.push_back(text("S%d", static_cast<int>(s + 1)));
    job.add_level(s, on, true, 1.5, distance);
    job.add_level(s, next, false, 1.5 - rise, distance);
    line.steps.push_back({2 * s, 2 * s + 1});
    on = next;
  }
  job.lines.push_back(line);
  return job;
}

double level_reading(const StaffJob& job, std::size_t target, double setup, Noise& noise) {
  return setup - job.targets[target].elevation + job.used_reading_sd() * noise.normal();
}

double laser_reading(const StaffJob& job, std::size_t target, double beam, double distance, double slope,
                     Noise& noise) {
  const double down = beam + distance * slope - job.targets[target].elevation;
  return down + job.used_reading_sd() * noise.normal();
}

StaffJob random_staff_job(Noise& noise) {
  StaffJob job = bare_job(noise);
  Crew crew(job, noise);
  crew.walk_lines(1 + noise.below(8));
  crew.turn_laser(noise.below(5));
  if (one_in(5, noise)) make_blunder(job, noise);
  write_any_way(job, noise);
  return job;
}

}  // namespace deckmark_test
