#include "kills.h"

#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <memory>
#include <random>
#include <set>
#include <thread>
#include <vector>

#include "command/job_folder.h"
#include "past.h"
#include "sha256.h"
#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr int kPoints = 600, kRevisions = 12;  // so many issues to a folder: the ledger keeps them all

/// Revision k: every point stands k metres further along X, so that each row that is handed out tells of
/// which revision it is.
void write_revision(JobFolder& job, int k) {
  std::string drawing = "point,x,y\n";
  for (int i = 0; i < kPoints; ++i)
    drawing += "P" + std::to_string(i) + "," + std::to_string(k) + "," + std::to_string(i) + "\n";
  job.write("drawing.csv", drawing);
  job.write("job.toml", "revision = \"" + std::to_string(k) +
                            "\"\n[drawing]\npoints = \"drawing.csv\"\n[numbers]\ndeck_offset = 100000\n"
                            "[deck]\nelevation = \"5 m\"\n[list]\nline_end = \"lf\"\n");
}

pid_t start(const JobFolder& job) {
  std::fflush(stdout);
  const std::string folder = job.path().string();
  const pid_t child = ::fork();
  if (child == 0) {
    if (::freopen("/dev/null", "w", stdout) == nullptr || ::freopen("/dev/null", "w", stderr) == nullptr)
      ::_exit(126);
    ::execl(DECKMARK_PROGRAM, "deckmark", "run", folder.c_str(), "--quiet", static_cast<char*>(nullptr));
    ::_exit(127);
  }
  return child;
}

/// True where the signal met it at work.
bool was_killed(pid_t child) {
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
}

/// What the two files say was issued.
struct Covered {
  std::map<std::string, std::set<int>> revisions;  ///< by floor number
  std::size_t issues = 0;
  std::size_t numbers_end = 0, issued_end = 0;  ///< bytes that are covered
  std::string wrong;
};

std::string read_if_there(const JobFolder& job, const char* name) {
  return job.has(name) ? job.read(name) : std::string();
}

/// Cells of a row without quotes.
std::vector<std::string> cells_of(const std::string& row) { return csv_rows(row + "\n").at(0); }

/// The end of the line that begins here; npos where it is torn.
std::size_t line_end(const std::string& bytes, std::size_t at) { return bytes.find('\n', at); }

Covered covered(const JobFolder& job) {
  Covered out;
  const std::string numbers = read_if_there(job, "numbers.csv"), issued = read_if_there(job, "issued.csv");
  std::size_t end = line_end(issued, 0), row_end = line_end(numbers, 0);
  if (end == std::string::npos) return out;
  out.issued_end = end + 1;
  std::string before;
  while ((end = line_end(issued, out.issued_end)) != std::string::npos) {
    const std::string row = issued.substr(out.issued_end, end - out.issued_end);
    const auto cells = cells_of(row);
    if (row_end == std::string::npos || cells.size() != 9) {
      out.wrong = "issued.csv holds " + row + ", numbers.csv no rows";
      return out;
    }
    if (out.numbers_end == 0) out.numbers_end = row_end + 1;
    const std::size_t begin = out.numbers_end;
    for (int left = std::atoi(cells[5].c_str()); left > 0; --left) {
      const std::size_t stop = line_end(numbers, out.numbers_end);
      if (stop == std::string::npos) {
        out.wrong = "rows of issue " + cells[0] + " are missing";
        return out;
      }
      const auto of = cells_of(numbers.substr(out.numbers_end, stop - out.numbers_end));
      out.revisions[of[1]].insert(std::atoi(of[3].c_str()));
      out.numbers_end = stop + 1;
    }
    const std::string up_to_folder = row.substr(0, row.size() - cells[7].size() - cells[8].size() - 2);
    const std::string digest =
        sha256_hex(before + "\n" + up_to_folder + "\n" + numbers.substr(begin, out.numbers_end - begin))
            .substr(0, 16);
    if (cells[7] != before || cells[8] != digest) out.wrong = "digest of issue " + cells[0];
    before = cells[8];
    out.issued_end = end + 1;
    ++out.issues;
  }
  return out;
}

/// Rows of a list or table by number and the revision that its x or easting tells; what the ledger does not
/// hold of it.
std::string not_held(const JobFolder& job, const Covered& held, const char* file, std::size_t column,
                     bool header, int offset) {
  const std::string bytes = read_if_there(job, file);
  if (bytes.empty()) return "";
  auto rows = csv_rows(bytes);
  if (header) rows.erase(rows.begin());
  if (rows.size() != kPoints) return std::string(file) + " has " + std::to_string(rows.size()) + " rows\n";
  for (const auto& row : rows) {
    const std::string number = std::to_string(std::atoi(row.at(0).c_str()) - offset);
    const int revision = std::atoi(row.at(column).c_str());
    const auto at = held.revisions.find(number);
    if (revision != std::atoi(rows[0].at(column).c_str())) return std::string(file) + " is of two issues\n";
    if (at == held.revisions.end() || !at->second.contains(revision))
      return std::string(file) + ": " + row.at(0) + " of revision " + std::to_string(revision) +
             " is handed out, the ledger has it not\n";
  }
  return "";
}

class Kills {
 public:
  KillsResult run(int kills) {
    for (int round = 0; out_.killed < kills && round < 20 * kills && out_.wrong.empty(); ++round) {
      if (round % kRevisions == 0) begin_anew();
      ++revision_;
      write_revision(*job_, revision_);
      kill_one();
      if (random_() % 2 == 0) finish_one();
      if (!out_.wrong.empty()) out_.wrong = "round " + std::to_string(round) + ": " + out_.wrong;
    }
    return out_;
  }

 private:
  void begin_anew() {
    job_ = std::make_unique<JobFolder>();
    revision_ = 0;
    // The first issue of all is killed in its turn too.
    if (random_() % 2 == 0) return;
    write_revision(*job_, ++revision_);
    finish_one();
  }

  void kill_one() {
    const std::size_t issues = covered(*job_).issues;
    const pid_t child = start(*job_);
    const long moment = std::uniform_int_distribution<long>(0, whole_ * 5 / 4)(random_);
    std::this_thread::sleep_for(std::chrono::microseconds(moment));
    ::kill(child, SIGKILL);
    if (was_killed(child))
      ++out_.killed;
    else
      whole_ = std::max(1000L, std::min(whole_, moment));
    const Covered held = covered(*job_);
    judge(held);
    if (held.issues > issues) ++out_.committed;
    if (!torn_of(held).empty()) ++out_.torn;
  }

  void judge(const Covered& held) {
    if (out_.wrong.empty()) out_.wrong = held.wrong;
    if (out_.wrong.empty()) out_.wrong = not_held(*job_, held, "out/floor-list.csv", 2, false, 0);
    if (out_.wrong.empty()) out_.wrong = not_held(*job_, held, "out/deck-list.csv", 2, false, 100000);
    if (out_.wrong.empty()) out_.wrong = not_held(*job_, held, "out/points.csv", 4, true, 0);
  }

  /// Bytes behind the last issue.
  std::string torn_of(const Covered& held) const {
    if (held.issues == 0) return "";  // nothing was ever issued: there is no ledger yet
    return read_if_there(*job_, "numbers.csv").substr(held.numbers_end) +
           read_if_there(*job_, "issued.csv").substr(held.issued_end);
  }

  /// The same job to its end: the lists of the issue that was cut short, or a new issue; what was torn is
  /// kept.
  void finish_one() {
    const Covered held = covered(*job_);
    const std::string torn = torn_of(held);
    const std::string numbers = read_if_there(*job_, "numbers.csv").substr(0, held.numbers_end);
    const auto begin = std::chrono::steady_clock::now();
    const CommandResult result = job_->run({"run", ".", "--quiet"});
    const auto took = std::chrono::steady_clock::now() - begin;
    whole_ = std::max(5000L,
                      static_cast<long>(std::chrono::duration_cast<std::chrono::microseconds>(took).count()));
    if (result.exit_code != 0) {
      out_.wrong = "a run after a kill: exit " + std::to_string(result.exit_code) + "\n" + result.err;
      return;
    }
    if (!out_.wrong.empty()) return;
    const Covered now = covered(*job_);
    judge(now);
    if (!torn_of(now).empty()) out_.wrong = "rows that no issue covers are left";
    if (!job_->read("numbers.csv").starts_with(numbers)) out_.wrong = "numbers.csv: what stood was changed";
    const bool has_newest = now.revisions.contains("1001") && now.revisions.at("1001").contains(revision_);
    if (!has_newest) out_.wrong = "the newest revision is not in the ledger";
    if (std::atoi(csv_rows(job_->read("out/floor-list.csv")).at(0).at(2).c_str()) != revision_)
      out_.wrong = "floor-list.csv is not of the newest revision";
    for (const std::string& row : rows_of(torn))
      if (!says(read_if_there(*job_, "numbers.torn"), row))
        out_.wrong = "torn, and not in numbers.torn: " + row;
    for (const auto& folder : {job_->path(), job_->path() / "out"})
      for (const auto& entry : std::filesystem::directory_iterator(folder))
        if (entry.path().filename().string().front() == '.')
          out_.wrong = "left behind: " + entry.path().filename().string();
  }

  std::unique_ptr<JobFolder> job_;
  std::mt19937 random_{1};
  KillsResult out_;
  int revision_ = 0;
  long whole_ = 40000;  ///< microseconds of a whole run
};

}  // namespace

KillsResult killed_runs(int kills) { return Kills().run(kills); }

}  // namespace deckmark_test
