#pragma once
/// Every file that a run writes, in one list: by it they are planned, an earlier run's are known again, and
/// what is not of this list is never touched.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "job/job.h"
#include "table/message.h"
#include "table/written.h"
#include "terms/output.h"

namespace deckmark {

class Computation;

/// In the order in which they are put in place: the ledger and its issues first, the page, the sums and the
/// summary last.
std::span<const OutputSpec* const> outputs();
inline constexpr std::string_view kPointsFile = "points.csv", kPageFile = "report.html",
                                  kSumsFile = "SHA256SUMS", kSummaryFile = "summary.txt";

/// The declaration by which a run may have made a file of this name in its output folder, of several the one
/// that says most of the name; null: none, so that it is another's. The ledger is in no output folder.
const OutputSpec* output_of(std::string_view name);

/// A file of a run, ready to be written.
struct Output {
  std::string name;  ///< in the output folder; the ledger as the job names it
  std::variant<std::unique_ptr<WrittenTable>, std::string> content;
  std::optional<std::pair<std::int64_t, std::int64_t>> numbers = {};  ///< of the first and the last row
  bool is_of_crew = false;                                            ///< of one crew alone
};

/// Every file of this job but the page, the sums and the summary, in that order. `verdict`: the first line of
/// the summary. REQUIRES a job in which nothing is spoiled.
std::vector<Output> plan_outputs(const Computation& computed, std::string_view verdict);
/// Problems: two of these files that would have one name (runs, setups and crews whose names meet).
void tell_names_that_meet(const Computation& computed, Messages& messages);

/// `out`, as it was typed; empty: `out` beside the job file.
std::filesystem::path output_folder(const Job& job, const std::filesystem::path& out);
/// Two paths of one file, whether or not it is there.
bool is_same_file(const std::filesystem::path& a, const std::filesystem::path& b);
/// What a path is to the job, in words behind its name: `which the job reads`; nothing: the job neither reads
/// it nor can a run write it. `out` as of `output_folder`.
std::optional<std::string_view> use_of(const Job& job, const std::filesystem::path& out,
                                       const std::filesystem::path& path);

/// A table as it is written.
std::string csv_of(const WrittenTable& table);

}  // namespace deckmark
