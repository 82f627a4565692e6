#pragma once
/// What the files of this room share: readings as height differences between a standing and a target, and
/// their adjustment. Metres.

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "adjust/blocks.h"
#include "heights/heights.h"
#include "measure/verdict.h"

namespace deckmark::levelling {

/// What a closure may be where nothing else is said (3 mm: common practice).
inline constexpr Length kShortLimit = Length::millimetres(3);

/// What was stated, a reading or a benchmark, and its place in its list of `HeightReadings`.
using Stated = std::pair<WrongHeight::What, std::size_t>;

/// A standing's height less a target's.
struct Observation {
  std::size_t station = 0, target = 0;
  double value = 0, sd = 0;
  WrongHeight::What what = WrongHeight::What::level;
  std::size_t reading = 0;            ///< in the level or laser readings
  std::optional<std::size_t> turned;  ///< the second reading of a pair of housings; `value` is their mean
  double apart = 0, apart_sd = 0;     ///< of a pair: the second value less the first

  bool is_pair() const { return turned.has_value(); }
  /// A pair that its readings and its beam do not allow.
  bool is_torn() const;
};

/// Set-ups come first among the stations, then the standings of the lasers. An item is an observation or a
/// benchmark: what may be wrong. Benchmarks come behind the observations.
struct Net {
  std::size_t targets = 0, setups = 0, stations = 0;
  std::vector<Observation> observations;
  std::vector<std::size_t> of_level, of_laser;  ///< the observation of each reading
  std::vector<Benchmark> benchmarks;
  std::vector<std::optional<std::size_t>> benchmark_of;  ///< by target

  std::size_t items() const { return observations.size() + benchmarks.size(); }
  bool is_observation(std::size_t item) const { return item < observations.size(); }
  std::size_t item_of_benchmark(std::size_t b) const { return observations.size() + b; }
  std::size_t item_of(const Stated& s) const;
  /// Of a pair of housings its first reading.
  Stated stated(std::size_t item) const;
};
Net net_of(const HeightReadings& readings, const HeightOptions& options);

/// Factor of a laser reading in standing less target: +1 where the target lies below.
inline double side_of(const LaserReading& r) { return r.is_above ? -1 : 1; }

/// An error of an item, metres as stated less true.
struct ItemError {
  std::size_t item = 0;
  double error = 0;
};
/// What an adjustment says of one item.
struct Test {
  double standardised = 0, error = 0;  ///< the error as the others give it, metres
};
/// Least squares of all items but those set aside, part by part of what hangs together.
class Adjustment {
 public:
  Adjustment(const Net& net, const std::vector<bool>& aside);

  std::optional<double> station(std::size_t s) const;
  std::optional<double> target(std::size_t t) const;
  double station_sd(std::size_t s) const { return sd(nodes_[s]); }
  double target_sd(std::size_t t) const { return sd(nodes_[net_.stations + t]); }
  /// Weighted residual over the weight; 0 of what is set aside or could not be solved.
  double residual(std::size_t observation) const;
  double redundancy(std::size_t observation) const;
  /// Nothing where the others do not check the item.
  std::optional<Test> test(std::size_t item) const;
  double square_sum() const;
  std::size_t degrees_of_freedom() const;
  /// Of the part that the errors are in, once they are taken out. REQUIRES errors of one part, none set
  /// aside.
  double square_sum_without(const std::vector<ItemError>& errors) const;
  /// Degrees of freedom of the part that an item is in.
  std::size_t degrees_around(std::size_t item) const;

 private:
  struct Part {
    bool is_tied = false;
    BlockProblem problem;
    std::optional<BlockSolution> solution;  ///< nothing where nothing is unknown, or the rank is short
  };
  struct Node {
    std::size_t part = 0;
    std::optional<std::size_t> unknown;  ///< in its part
    double start = 0;
  };
  struct ItemPlace {
    std::optional<std::size_t> part;  ///< nothing: set aside, or not read
    std::vector<Term> shifts;  ///< (equation, change of its right side by an error of one metre in the item)
  };
  void part_nodes(const std::vector<bool>& aside);
  void start_heights(const std::vector<bool>& aside);
  void number_unknowns(const std::vector<bool>& aside);
  void add_equations(const std::vector<bool>& aside);
  const BlockSolution* solution_of(std::size_t item) const;
  std::optional<double> height(const Node& node) const;
  double sd(const Node& node) const;
  Node& node_of_target(std::size_t t) { return nodes_[net_.stations + t]; }

  const Net& net_;
  std::vector<Node> nodes_;  ///< stations, then targets
  std::vector<bool> is_fixed_, is_anchor_;
  std::vector<bool> is_summed_;  ///< observations by which the start heights were summed: they agree exactly
  std::vector<Part> parts_;
  std::vector<ItemPlace> items_;
};

/// A closure that is at its limit but for binary noise of its sum is at it: so it is within.
inline Length closure_of(Length sum, Length limit) {
  if (judge(sum, limit) == Verdict::outside || abs(sum) <= limit) return sum;
  return sum < Length::metres(0) ? -limit : limit;
}

std::vector<HeightLine> find_lines(const HeightReadings& readings, const HeightOptions& options);
std::vector<PlaneClosure> find_planes(const HeightReadings& readings, const HeightOptions& options,
                                      const Net& net);
std::vector<HousingTilt> find_tilts(const HeightReadings& readings, const Net& net);
/// Marks targets and beams that hang on what is contradicted, see `TargetHeight`. `result`: all else of it is
/// found.
void mark_contradicted(const Net& net, const Adjustment& adjustment, HeightsResult& result);

std::vector<WrongHeight> find_wrong_heights(const HeightReadings& readings, const Net& net,
                                            const Adjustment& adjustment);
std::vector<SlipOfHeight> find_slips(const HeightReadings& readings, const HeightOptions& options,
                                     const Net& net, const Adjustment& adjustment,
                                     const HeightsResult& result);

}  // namespace deckmark::levelling
