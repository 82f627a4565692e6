#pragma once
/// Rows of tests/cases/cases.csv that the real program is run on, and how `expect` is judged.

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/vector_file.h"

namespace deckmark_test {

using Case = VectorRow;

std::vector<Case> cases_of(const std::string& kind);
const Case& case_of(const std::string& id);

/// Rows that no command can meet yet, or that the contract overrules, with the reason.
const std::map<std::string, std::string>& cases_left_out();
/// The same for whole kinds.
const std::map<std::string, std::string>& kinds_left_out();

/// Fails where a row of the kind has neither a test nor a reason to have none, or a test has no row.
void check_all_are_met(const std::string& kind, const std::map<std::string, std::function<void()>>& tests);
/// Runs the tests, one subcase a row.
void run_all(const std::map<std::string, std::function<void()>>& tests);

/// Where a refusal must point, and words that it must hold.
struct Refusal {
  std::string place;  ///< `FILE:LINE:COLUMN: FIELD`
  std::vector<std::string> words;
};
/// Fails where no problem stands at that place with all these words.
void check_told(const std::string& err, const Refusal& refusal);
/// Runs the job; fails where it is not refused with these problems and no other.
void check_refused_with(const JobFolder& job, const std::vector<Refusal>& refusals);

/// A drawing and control in metres, listed together with the drawing's own coordinates, nine decimals.
void write_plain_job(JobFolder& job, const std::string& more_drawing = "", const std::string& more_site = "");
/// Rows of out/list.csv by column.
std::vector<std::map<std::string, std::string>> listed(const JobFolder& job);
/// Fails where the cell is not this length in metres, to 1e-9 m (very large ones to 1 part in 1e15).
void check_length(const std::string& cell, const std::string& metres);

}  // namespace deckmark_test
