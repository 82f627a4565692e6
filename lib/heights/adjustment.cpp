// Heights as a net of standings and targets: every reading is between one of each.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <queue>

#include "heights/height_net.h"

namespace deckmark::levelling {

namespace {

/// Sets that are joined; the root of a node names its set.
class Sets {
 public:
  explicit Sets(std::size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), std::size_t{0}); }
  std::size_t root(std::size_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void join(std::size_t a, std::size_t b) { parent_[root(a)] = root(b); }

 private:
  std::vector<std::size_t> parent_;
};

bool is_held(const Benchmark& b) { return !b.sd; }

}  // namespace

Adjustment::Adjustment(const Net& net, const std::vector<bool>& aside)
    : net_(net),
      nodes_(net.stations + net.targets),
      is_fixed_(nodes_.size(), false),
      is_anchor_(nodes_.size(), false),
      is_summed_(net.observations.size(), false),
      items_(net.items()) {
  part_nodes(aside);
  start_heights(aside);
  number_unknowns(aside);
  add_equations(aside);
  for (Part& p : parts_) {
    if (p.problem.unknowns == 0 && p.problem.equations.empty()) continue;
    p.solution.emplace(std::move(p.problem));
    if (!p.solution->full_rank()) p.solution.reset();
  }
}

void Adjustment::part_nodes(const std::vector<bool>& aside) {
  Sets sets(nodes_.size());
  for (std::size_t i = 0; i < net_.observations.size(); ++i)
    if (!aside[i]) sets.join(net_.observations[i].station, net_.stations + net_.observations[i].target);
  std::vector<std::optional<std::size_t>> part_of(nodes_.size());
  for (std::size_t n = 0; n < nodes_.size(); ++n) {
    auto& part = part_of[sets.root(n)];
    if (!part) {
      part = parts_.size();
      parts_.emplace_back();
    }
    nodes_[n].part = *part;
  }
  for (std::size_t b = 0; b < net_.benchmarks.size(); ++b)
    if (!aside[net_.item_of_benchmark(b)])
      parts_[node_of_target(net_.benchmarks[b].target).part].is_tied = true;
}

void Adjustment::start_heights(const std::vector<bool>& aside) {
  // Sums along the readings, from the nearest benchmark: the adjustment only adds what these do not agree in,
  // so that a sum by hand comes out to the last digit and nothing is lost to large heights.
  std::vector<std::vector<std::size_t>> at(nodes_.size());
  for (std::size_t i = 0; i < net_.observations.size(); ++i) {
    if (aside[i]) continue;
    at[net_.observations[i].station].push_back(i);
    at[net_.stations + net_.observations[i].target].push_back(i);
  }
  std::vector<bool> seen(nodes_.size(), false);
  std::queue<std::size_t> next;
  const auto begin = [&](std::size_t node, double height) {
    if (seen[node]) return;
    seen[node] = true;
    nodes_[node].start = height;
    next.push(node);
  };
  const auto spread = [&] {
    for (; !next.empty(); next.pop()) {
      const std::size_t from = next.front();
      for (const std::size_t i : at[from]) {
        const Observation& o = net_.observations[i];
        const bool is_down = from == o.station;
        const std::size_t to = is_down ? net_.stations + o.target : o.station;
        if (seen[to]) continue;
        is_summed_[i] = true;
        begin(to, nodes_[from].start + (is_down ? -o.value : o.value));
      }
    }
  };
  for (const bool held : {true, false}) {
    for (std::size_t b = 0; b < net_.benchmarks.size(); ++b) {
      const Benchmark& mark = net_.benchmarks[b];
      if (is_held(mark) != held || aside[net_.item_of_benchmark(b)]) continue;
      is_fixed_[net_.stations + mark.target] = held;
      begin(net_.stations + mark.target, mark.elevation.above_datum().metres());
    }
    spread();
  }
  for (std::size_t s = 0; s < net_.stations; ++s) {
    if (seen[s] || at[s].empty()) continue;
    is_anchor_[s] = true;  // of a part without a benchmark: its readings are checked among themselves
    begin(s, 0);
    spread();
  }
}

void Adjustment::number_unknowns(const std::vector<bool>& aside) {
  std::vector<bool> is_read(nodes_.size(), false);
  for (std::size_t i = 0; i < net_.observations.size(); ++i)
    if (!aside[i]) {
      is_read[net_.observations[i].station] = true;
      is_read[net_.stations + net_.observations[i].target] = true;
    }
  for (std::size_t b = 0; b < net_.benchmarks.size(); ++b)
    if (!aside[net_.item_of_benchmark(b)]) is_read[net_.stations + net_.benchmarks[b].target] = true;
  // Of standings and targets the more numerous are eliminated one by one.
  std::vector<std::size_t> stations(parts_.size(), 0), targets(parts_.size(), 0), blocks(parts_.size(), 0);
  for (std::size_t n = 0; n < nodes_.size(); ++n) {
    if (!is_read[n] || is_fixed_[n] || is_anchor_[n]) continue;
    ++(n < net_.stations ? stations : targets)[nodes_[n].part];
  }
  for (std::size_t n = 0; n < nodes_.size(); ++n) {
    if (!is_read[n] || is_fixed_[n] || is_anchor_[n]) continue;
    const std::size_t part = nodes_[n].part;
    BlockProblem& problem = parts_[part].problem;
    nodes_[n].unknown = problem.unknowns++;
    const bool is_eliminated = (n < net_.stations) == (stations[part] > targets[part]);
    problem.blocks.push_back(is_eliminated ? std::optional(blocks[part]++) : std::nullopt);
  }
}

void Adjustment::add_equations(const std::vector<bool>& aside) {
  for (std::size_t i = 0; i < net_.observations.size(); ++i) {
    if (aside[i]) continue;
    const Observation& o = net_.observations[i];
    const Node& station = nodes_[o.station];
    const Node& target = node_of_target(o.target);
    BlockProblem& problem = parts_[station.part].problem;
    const double weight = 1 / o.sd;
    BlockEquation e;
    if (station.unknown) e.form.push_back({*station.unknown, weight});
    if (target.unknown) e.form.push_back({*target.unknown, -weight});
    if (!is_summed_[i]) e.right = weight * (o.value - (station.start - target.start));
    items_[i] = {station.part, {{problem.equations.size(), weight}}};
    if (const auto b = net_.benchmark_of[o.target]; b && is_fixed_[net_.stations + o.target])
      items_[net_.item_of_benchmark(*b)].shifts.push_back({problem.equations.size(), weight});
    problem.equations.push_back(std::move(e));
  }
  for (std::size_t b = 0; b < net_.benchmarks.size(); ++b) {
    const std::size_t item = net_.item_of_benchmark(b);
    if (aside[item]) continue;
    const Benchmark& mark = net_.benchmarks[b];
    const Node& target = node_of_target(mark.target);
    items_[item].part = target.part;
    if (is_held(mark)) continue;
    BlockProblem& problem = parts_[target.part].problem;
    const double weight = 1 / mark.sd->metres();
    items_[item].shifts.push_back({problem.equations.size(), weight});
    problem.equations.push_back(
        {{{*target.unknown, weight}}, weight * (mark.elevation.above_datum().metres() - target.start)});
  }
}

std::optional<double> Adjustment::height(const Node& node) const {
  const Part& part = parts_[node.part];
  if (!part.is_tied || (node.unknown && !part.solution)) return std::nullopt;
  return node.start + (node.unknown ? part.solution->unknowns()[*node.unknown] : 0.0);
}

std::optional<double> Adjustment::station(std::size_t s) const { return height(nodes_[s]); }
std::optional<double> Adjustment::target(std::size_t t) const { return height(nodes_[net_.stations + t]); }

double Adjustment::sd(const Node& node) const {
  const Part& part = parts_[node.part];
  if (!node.unknown || !part.is_tied || !part.solution) return 0;
  return std::sqrt(std::max(0.0, part.solution->variance({{*node.unknown, 1.0}})));
}

const BlockSolution* Adjustment::solution_of(std::size_t item) const {
  const ItemPlace& place = items_[item];
  if (!place.part || place.shifts.empty()) return nullptr;
  const Part& part = parts_[*place.part];
  return part.solution ? &*part.solution : nullptr;
}

double Adjustment::residual(std::size_t observation) const {
  const BlockSolution* s = solution_of(observation);
  return s ? s->residuals()[items_[observation].shifts[0].unknown] * net_.observations[observation].sd : 0;
}

double Adjustment::redundancy(std::size_t observation) const {
  const BlockSolution* s = solution_of(observation);
  return s ? s->redundancy(items_[observation].shifts[0].unknown) : 0;
}

std::optional<Test> Adjustment::test(std::size_t item) const {
  const BlockSolution* s = solution_of(item);
  if (!s) return std::nullopt;
  const std::vector<Term>& shifts = items_[item].shifts;
  if (shifts.size() == 1) {
    const double r = s->redundancy(shifts[0].unknown), v = s->residuals()[shifts[0].unknown];
    if (r == 0) return std::nullopt;
    return Test{v / std::sqrt(r), v / (r * shifts[0].factor)};
  }
  // A held benchmark that is read more than once: the limit of one observed with an ever smaller sd.
  const Fall fall = s->fall(std::vector<std::vector<Term>>{shifts});
  if (!fall.determined) return std::nullopt;
  return Test{std::copysign(std::sqrt(std::max(0.0, fall.square_sum)), fall.estimates[0]), fall.estimates[0]};
}

double Adjustment::square_sum() const {
  double sum = 0;
  for (const Part& p : parts_) sum += p.solution ? p.solution->square_sum() : 0;
  return sum;
}

std::size_t Adjustment::degrees_of_freedom() const {
  std::size_t sum = 0;
  for (const Part& p : parts_) sum += p.solution ? p.solution->degrees_of_freedom() : 0;
  return sum;
}

std::size_t Adjustment::degrees_around(std::size_t item) const {
  const BlockSolution* s = solution_of(item);
  return s ? s->degrees_of_freedom() : 0;
}

double Adjustment::square_sum_without(const std::vector<ItemError>& errors) const {
  const BlockSolution* s = errors.empty() ? nullptr : solution_of(errors[0].item);
  if (!s) return 0;
  std::vector<std::size_t> equations;
  for (const ItemError& e : errors)
    for (const Term& t : items_[e.item].shifts) equations.push_back(t.unknown);
  std::sort(equations.begin(), equations.end());
  equations.erase(std::unique(equations.begin(), equations.end()), equations.end());
  const auto place = [&](std::size_t equation) {
    return static_cast<std::size_t>(std::lower_bound(equations.begin(), equations.end(), equation) -
                                    equations.begin());
  };
  const Matrix spread = s->residual_covariance(equations);
  const std::size_t n = equations.size();
  std::vector<double> shift(n, 0.0);
  for (const ItemError& e : errors)
    for (const Term& t : items_[e.item].shifts) shift[place(t.unknown)] += t.factor * e.error;
  double sum = s->square_sum();
  for (std::size_t i = 0; i < n; ++i) {
    double taken = 0;
    for (std::size_t j = 0; j < n; ++j) taken += spread(i, j) * shift[j];
    sum += shift[i] * (taken - 2 * s->residuals()[equations[i]]);
  }
  return sum;
}

}  // namespace deckmark::levelling
