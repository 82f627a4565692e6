#pragma once
/// The files of a job of staff and laser readings against what is true of it.

#include <map>
#include <string>
#include <vector>

#include "command/findings.h"
#include "heights_truth.h"

namespace deckmark_test {

/// Every target in its place, to the digits that are written.
void compare_heights(const StaffJob& job, const HeightsTruth& truth, const std::string& heights_csv,
                     Findings& findings);

/// A length as a text prints it, as far as a reader can tell.
struct PrintedLength {
  double metres = 0, half_digit = 0;
};
/// All numbers of a text with a unit of length behind them.
std::vector<PrintedLength> lengths_in(const std::string& all);
/// Whether the text prints this length, of either sign, to its last digit.
bool prints_length(const std::string& all, double metres);

/// A cell, or words that no file holds where there is no such column.
std::string cell_of(const std::map<std::string, std::string>& row, const std::string& column);
/// Metres of a cell in a unit; tells, and nan, where it is empty or no number.
double cell_metres(const std::map<std::string, std::string>& row, const std::string& column, double unit,
                   Findings& findings);

}  // namespace deckmark_test
