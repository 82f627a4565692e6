#pragma once
/// Inside the room: which readings, marks and setups of a net are wrong.

#include <vector>

#include "station/net_build.h"

namespace deckmark::net {

/// Names errors one at a time, the strongest first.
///
/// Accounts  of every sight its direction, its distance, its height, or all of it; of control that several
///           setups sight its shift and its elevation; of every setup a constant and a scale in its
///           distances, its turning from a sight on, its mark, its height.
///
/// Trigger   a standardised residual over `limit`, or an account whose fall of the square sum has a chance
///           (chi-square of its parameters) below 0.001 over all accounts of as many parameters.
/// Choice    the smallest square sum left, charged 4 for each parameter. The best are fitted again; those
///           that do as well within 3 are told as others.
///
/// Source    tests of hypotheses in adjusted networks (Baarda 1968; Teunissen, Testing theory, 2000); from
///           memory.
[[nodiscard]] std::vector<Wrong> find_wrong(const Builder& builder, const Solved& solved, const Start& start,
                                            double limit);

}  // namespace deckmark::net
