#pragma once
/// Inside the room: which reading is wrong, by comparing what each account would explain.

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
std::optional<WithoutOne> leave_one_out(const PlanFit& plan, const SetupInput& input);

}  // namespace deckmark
