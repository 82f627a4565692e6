#pragma once
/// The whole job: read, compute, write.

#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "measure/length.h"
#include "report/reason.h"
#include "table/message.h"
#include "table/written.h"
#include "terms/output.h"

namespace deckmark {

/// How a command's work ends: 0, 1, 2 or 3 of the contract.
enum class Exit : int { done = 0, outside = 1, bad_input = 2, system = 3 };

/// A command's main table, only where it is asked for.
struct MainTable {
  std::string csv;
  std::span<const OutColumn> columns{};  ///< of `csv`
  std::optional<LengthUnit> unit{};      ///< of the job's lists, and of its lengths
  std::string setup{};                   ///< the setup that it is of, where it is of one
  std::string crew{};                    ///< likewise

  void put(const WrittenTable& written, std::span<const OutColumn> declared);
};

/// A command's result. Where `messages` holds problems, exit is bad_input and the rest is empty.
struct JobOutcome {
  Exit exit = Exit::done;
  std::string line{};  ///< READY TO LAY OUT and its fellows: the last line on standard error
  std::string text{};  ///< what was found, for people, 80 columns
  MainTable table{};
  std::optional<JobVerdict> verdict{};  ///< none where the job as a whole is not judged
  std::vector<Reason> reasons{};        ///< of the verdict
  std::string no_verdict{};             ///< why there is none

  /// Takes the verdict back, with its line and its reasons.
  void withhold(std::string why);
};

struct JobRequest {
  std::filesystem::path job;  ///< job file or its folder
  bool with_rows = false;     ///< the main table is wanted
  std::string setup = {};     ///< of `list_stakes` and `predict_plans`; empty: all
  bool shots = false;         ///< of `verify_setups`: with `with_rows`, the side shots in place of the setups
  std::string since = {};     ///< changes against what had been told up to this issue; as typed
  std::string above = {};     ///< a new ledger in place of one that is lost: numbers above this; as typed
  std::string take_over = {};  ///< the job file that the ledger belongs to so far, after a rename
  std::string crew = {};       ///< of `list_stakes` and `show_offsets`; empty: all marks
  bool details = false;        ///< all that was found, as in the summary; figures of statistics too
};

/// Reads everything and computes every stage; writes nothing. `out` as for `run_job`: an output that would
/// replace an input is a problem here too.
JobOutcome check_job(const JobRequest& request, const std::filesystem::path& out, Messages& messages);
/// The same; text and table are those of the baselines.
JobOutcome verify_baselines(const JobRequest& request, Messages& messages);
/// The same; text and table are those of the as-built shots, without which it is a problem.
JobOutcome judge_asbuilt(const JobRequest& request, Messages& messages);
/// The same; text and table are those of the setups, without which it is a problem.
JobOutcome verify_setups(const JobRequest& request, Messages& messages);
/// The same; text and table are the stake lists of all setups, or of the one that is asked for.
JobOutcome list_stakes(const JobRequest& request, Messages& messages);
/// The same; text and table are the offset sheet. Problem: a job that asks for none.
JobOutcome show_offsets(const JobRequest& request, Messages& messages);
/// The same; text and table are what planned spots would be good to. Nothing is judged.
JobOutcome predict_plans(const JobRequest& request, Messages& messages);
/// The same; text and table are those of the control in a map projection. Problem: a job without one.
JobOutcome show_ground(const JobRequest& request, Messages& messages);
/// The same; text and table are those of the heights by level and laser. Problem: a job without readings.
JobOutcome show_heights(const JobRequest& request, Messages& messages);
/// Everything that the job has data for, written to `out` (empty: `out` beside the job file). Throws
/// SystemFailure. `program` names program and version in the provenance. `show` is called once all is ready
/// and nothing is replaced yet: what it throws leaves everything as it was.
JobOutcome run_job(const JobRequest& request, const std::filesystem::path& out, std::string_view program,
                   Messages& messages, const std::function<void(const JobOutcome&)>& show);

}  // namespace deckmark
