#pragma once
/// Inside the room: which reading is wrong, by comparing what each account would explain.

#include <optional>
#include <vector>

#include "station/plan_fit.h"

namespace deckmark {

/// Accounts of the plan, the strongest first; empty where nothing exceeds its limit. `base` is the solution
/// of `variant`.
std::vector<Wrong> find_wrong_plan(const PlanFit& plan, const PlanVariant& variant, const PlanSolution& base,
                                   const SetupInput& input);

/// Where all sights together have no least-squares position (one points so far astray that the solution runs
/// into a target): the solution without the sight whose absence leaves the smallest square sum.
struct WithoutOne {
  Wrong wrong;
  PlanVariant variant;
  PlanSolution solution;
};
/// The solution without every sight that an exchange names.
std::optional<WithoutOne> leave_exchanged_out(const PlanFit& plan, const Wrong& exchanged);
std::optional<WithoutOne> leave_one_out(const PlanFit& plan, const SetupInput& input);

/// Square sums, charged: accounts nearer than this cannot be told apart.
inline constexpr double kAsGood = 6;

/// Two targets under each other's names, or three in a ring.
struct Exchange {
  Wrong wrong;
  double square_sum = 0, score = 0;
};
/// Exchanges that leave a sound fit, the best first, with up to two that do as well. Empty where there is
/// none. What cannot have a score of `most` or less is not tried.
///
/// CAVEAT    three in a ring are told from two exchanged by the sides of their triangle: a free station sees
/// no difference
///           where those are alike within the sds, and then all are given.
std::vector<Exchange> find_exchanged(const SetupInput& input, const SetupOptions& options, double most);
/// The targets with their names put right.
std::vector<std::optional<ControlMark>> targets_put_right(const SetupInput& input, const Wrong& exchanged);
/// The square sum with northing and easting of all control exchanged; nothing where that is no sound fit.
std::optional<double> with_axes_exchanged(const SetupInput& input, const SetupOptions& options);
/// What a named error leaves of a square sum, charged for its unknowns: to be held against an exchange's
/// score.
double score_of(const Wrong& w, double square_sum);

}  // namespace deckmark
