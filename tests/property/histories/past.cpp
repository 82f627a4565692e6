#include "past.h"

#include <algorithm>
#include <cstdlib>
#include <fstream>

#include "command/job_folder.h"
#include "played.h"
#include "support/temp_folder.h"
#include "support/text.h"

namespace deckmark_test {

Past::Past(std::uint32_t index, int issues) : history(index), after(1) {
  JobFolder job;
  for (int day = 0; account.issues() < issues && day < 5 * issues && wrong.empty(); ++day) {
    if (day > 0) history.change();
    if (!account.take(handed_out(history.world()))) continue;
    lay(job, history.world());
    const CommandResult result = run_world(job, history.world());
    if (result.exit_code != 0)
      wrong = "exit " + std::to_string(result.exit_code) + "\n" + result.err;
    else if (!job.has("issued.csv") || rows_of(job.read("issued.csv")).size() != after.size() + 1)
      wrong = "issue " + std::to_string(after.size()) + " is not in issued.csv";
    after.push_back(job.snapshot());
  }
}

void put_down(const std::filesystem::path& folder, const Standing& files) {
  for (const auto& [name, bytes] : files) {
    if (name.ends_with('/'))
      std::filesystem::create_directories(folder / name);
    else
      write_bytes(folder / name, bytes);
  }
}

namespace {

CommandResult run_in(const std::filesystem::path& folder, const std::filesystem::path& program,
                     std::vector<std::string> args) {
  CommandRun run;
  run.program = program;
  run.args = std::move(args);
  run.folder = folder;
  const char* path = std::getenv("PATH");
  const std::string programs = std::filesystem::path(DECKMARK_PROGRAM).parent_path().string();
  run.env = {{"LC_ALL", "C"}, {"PATH", programs + ":" + (path ? path : "/usr/bin:/bin")}};
  run.seconds = 60;
  return run.run();
}

}  // namespace

CommandResult deckmark_in(const std::filesystem::path& folder, std::vector<std::string> args) {
  return run_in(folder, DECKMARK_PROGRAM, std::move(args));
}

CommandResult typed_in(const std::filesystem::path& folder, const std::string& line) {
  return run_in(folder, "/bin/sh", {"-c", line});
}

std::vector<std::string> ways_out(const std::string& err) {
  std::vector<std::string> out;
  for (const ToldLine& problem : problem_lines(err)) {
    const std::string way = suggestion_of(problem);
    if (!way.empty() && std::find(out.begin(), out.end(), way) == out.end()) out.push_back(way);
  }
  return out;
}

std::vector<std::string> rows_of(const std::string& bytes) {
  std::vector<std::string> rows = lines_of(bytes);
  for (std::string& row : rows)
    if (row.ends_with('\r')) row.pop_back();
  std::erase_if(rows, [](const std::string& row) { return row.empty(); });
  return rows;
}

std::string text_of_rows(const std::vector<std::string>& rows) {
  std::string out;
  for (const std::string& row : rows) out += row + "\n";
  return out;
}

}  // namespace deckmark_test
