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
std::optional<WithoutOne> leave_both_out(const PlanFit& plan, const Wrong& exchanged);
std::optional<WithoutOne> leave_one_out(const PlanFit& plan, const SetupInput& input);

/// Two targets under each other's names. Absent where no exchange leaves a sound fit, or where two do.
struct Exchange {
  Wrong wrong;
  double square_sum = 0, score = 0;
};
std::optional<Exchange> find_exchanged(const SetupInput& input, const SetupOptions& options);
/// What a named error leaves of a square sum, charged for its unknowns: to be held against an exchange's score.
double score_of(const Wrong& w, double square_sum);

}  // namespace deckmark
