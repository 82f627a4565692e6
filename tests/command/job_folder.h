#pragma once
/// A job in a fresh folder, the real program run on it, and what came of it. The readers here are the tests'
/// own: they must not share a fault with the program's.

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "support/command.h"
#include "support/temp_folder.h"

namespace deckmark_test {

/// `FILE:LINE:COLUMN: FIELD: text` taken apart; line 0 where the message has none.
struct ToldLine {
  std::string file;
  std::size_t line = 0, column = 0;
  std::string field, text;
};

/// The problem lines of standard error: neither doubts nor notices nor the last line.
std::vector<ToldLine> problem_lines(const std::string& err);
/// `FILE:LINE:COLUMN: FIELD`, the place of a problem.
std::string place_of(const ToldLine& line);
/// The text behind `; try `, empty where there is none.
std::string suggestion_of(const ToldLine& line);
/// True where a line of standard error is a doubt or a notice.
bool has_doubt_or_notice(const std::string& err);

/// Cells of RFC 4180 text by rows, without a header of its own.
std::vector<std::vector<std::string>> csv_rows(const std::string& bytes, char separator = ',');
/// One cell as RFC 4180 writes it where it needs quotes.
std::string csv_cell(const std::string& text, char separator = ',');
/// A text with the header `point,...` by its first column: rows by column name (units cut off).
std::vector<std::map<std::string, std::string>> named_rows(const std::string& bytes);

/// A folder with a job that the program is run on; the folder is the current one.
class JobFolder {
 public:
  const std::filesystem::path& path() const { return folder_.path(); }
  void write(const std::string& name, const std::string& bytes) { write_bytes(folder_ / name, bytes); }
  std::string read(const std::string& name) const { return read_bytes(folder_ / name); }
  bool has(const std::string& name) const { return std::filesystem::exists(folder_ / name); }
  /// As if the job had never been run: without ledger, issues and output folder.
  void forget_issues() const {
    for (const char* name : {"numbers.csv", "issued.csv", "issued-control.csv", "out"})
      std::filesystem::remove_all(folder_ / name);
  }
  std::map<std::string, std::string> snapshot() const { return deckmark_test::snapshot(folder_.path()); }
  /// Runs the program; `deckmark run . --details`, which prints all that was found, where nothing else is
  /// said.
  CommandResult run(std::vector<std::string> args = {"run", ".", "--details"}) const;
  CommandRun prepared(std::vector<std::string> args) const;

 private:
  TempFolder folder_;
};

/// Fails the running test case where a refusal is not what the contract says: exit 2, nothing written, every
/// problem line with found and expected, no raw control characters.
void check_refused(const JobFolder& job, const std::map<std::string, std::string>& before,
                   const CommandResult& result);

}  // namespace deckmark_test
