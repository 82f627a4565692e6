#pragma once
/// Inside the room: what is said of the rows of a setup, and of the setup, once they are computed.

#include <optional>
#include <vector>

#include "adjust/solve.h"
#include "station/setup.h"

namespace deckmark {

/// Sets sd, redundancy, standardised residual and the verdict by the limit.
void set_quality(SightRow& row, double sd, double redundancy, std::optional<double> standardised,
                 double limit = kWrongLimit);
/// Rows in order, rows that are named as wrong, the verdict.
void conclude(SetupResult& out);
/// A wrong target has a wrong height too, and so has a mark that moved or a wrong steep slope: said once.
void drop_repeated(std::vector<Wrong>& wrong);

}  // namespace deckmark
