#pragma once
/// Private to the room: which files a run writes, what of earlier runs goes, and what stands in the way.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "exporter/batch.h"
#include "table/message.h"
#include "work/computation.h"
#include "work/left_behind.h"
#include "work/run.h"

namespace deckmark {

/// A planned file and where it goes.
struct Planned {
  OutputFile file;
  std::optional<std::pair<std::int64_t, std::int64_t>> numbers;
  std::string shown;                ///< its name in the summary
  std::optional<std::size_t> rows;  ///< of a table
  bool is_of_crew = false;
};

/// The files of one run. The page, the sums and the summary are made by the run itself and stand in no plan.
class RunFiles {
 public:
  /// `out`: as it was typed.
  RunFiles(const Computation& computed, const JobRequest& request, const std::filesystem::path& out,
           Messages& messages);

  const std::filesystem::path& folder() const { return out_; }
  /// Every file but those three and what is added to the ledger. Problems: an output that would replace an
  /// input, a ledger that is behind what was handed out.
  std::vector<Planned> plan(std::string_view verdict);
  /// Files that an earlier run named in its summary and this one does not make.
  std::vector<std::filesystem::path> stale(const std::vector<Planned>& files) const;

 private:
  bool has_place() const { return c_.laid.is_there(); }
  /// What the run adds to its plan: the page where marks have a place, the sums and the summary always.
  bool is_of_run(std::string_view name) const;
  void keep_inputs(const std::filesystem::path& target);
  std::vector<std::filesystem::path> journals() const;
  bool is_ledger_input(std::size_t input) const;
  void refuse(const std::filesystem::path& target, const std::string& what);
  void tell_foreign(const std::vector<Planned>& files) const;
  void tell_foreign_sums() const;
  void tell_changed(Messages& messages) const;
  std::string text_in(std::string_view name) const;
  std::set<std::string> earlier() const;
  OutputPlace place(const std::vector<Planned>& files) const;

  const Computation& c_;
  const Job& job_;
  std::filesystem::path out_;
  bool is_explicit_;
  std::string take_over_;
  Messages& messages_;
};

}  // namespace deckmark
