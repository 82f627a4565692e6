#include "played.h"

#include <exception>
#include <filesystem>
#include <set>
#include <utility>

#include "command/job_folder.h"
#include "support/text.h"

namespace deckmark_test {

void lay(JobFolder& job, const World& world) {
  const auto files = files_of(world);
  for (const char* name : {"ties.csv", "bays.csv", "ducts.csv"})
    if (!files.contains(name)) std::filesystem::remove(job.path() / name);
  for (const auto& [name, bytes] : files) job.write(name, bytes);
}

CommandResult run_world(const JobFolder& job, const World& world, const std::vector<std::string>& more) {
  std::vector<std::string> args = {"run", ".", "--quiet"};
  if (world.folder != "out") args.insert(args.end(), {"--out", world.folder});
  args.insert(args.end(), more.begin(), more.end());
  return job.run(args);
}

std::string first_difference(const std::string& what, const std::string& got, const std::string& want) {
  if (got == want) return "";
  const auto a = lines_of(got), b = lines_of(want);
  std::size_t at = 0;
  while (at < a.size() && at < b.size() && a[at] == b[at]) ++at;
  const auto line = [&](const std::vector<std::string>& lines) {
    return at < lines.size() ? lines[at] : std::string("(no line)");
  };
  return what + ", line " + std::to_string(at + 1) + ":\n  is       " + line(a) + "\n  expected " + line(b) +
         "\n";
}

namespace {

constexpr const char* kWhatWords[] = {"floor", "deck", "bracket", "cut"};
/// Of a hundred days, how many are followed by a run more: a run takes 15 ms, a thousand histories minutes.
constexpr std::size_t kAgain = 25;

class Play {
 public:
  Play(std::uint32_t index, Met& met) : history_(index), met_(met) {}

  std::string play(int issues) {
    // A day without a change is no issue; the days are bounded, so that a history that stands still ends.
    for (int day = 0; wrong_.empty() && account_.issues() < issues && day < 5 * issues; ++day) {
      next_day(day);
      if (wrong_.empty() && (day < 2 || history_.chance(kAgain))) run_again(day);
    }
    if (wrong_.empty()) numbers_mean_one_point();
    return wrong_;
  }

 private:
  void tell(const std::string& difference) {
    if (wrong_.empty() && !difference.empty())
      wrong_ = "issue " + std::to_string(account_.issues()) + ", folder " + history_.world().folder + ": " +
               difference + "\n" + job_.read("job.toml") + job_.read("drawing.csv");
  }

  void next_day(int day) {
    const World before = history_.world();
    if (day > 0) history_.change();
    if (account_.issues() > 0 && account_.is_open(handed_out(history_.world()))) history_.go_back_to(before);
    // A folder of its own is only for an issue that it alone holds.
    World ahead = history_.world();
    ahead.folder = "out";
    Account next = account_;
    const bool is_new = next.take(handed_out(ahead));
    if (is_new) history_.choose_folder(account_.issues() + 1);
    const std::string numbers = account_.numbers_csv(), issued = account_.issued_csv();
    const bool taken = account_.take(handed_out(history_.world()));
    lay(job_, history_.world());
    const CommandResult result = run_world(job_, history_.world());
    if (result.exit_code != 0) tell("exit " + std::to_string(result.exit_code) + "\n" + result.err);
    if (!wrong_.empty()) return;
    if (!job_.read("numbers.csv").starts_with(numbers)) tell("numbers.csv: what stood was changed");
    if (!job_.read("issued.csv").starts_with(issued)) tell("issued.csv: what stood was changed");
    ledger_is_as_accounted();
    for (const WorldCrew& crew : history_.world().crews) reaches(crew.name);
    count(taken);
  }

  static bool has(const States& states, std::int64_t number, const std::string& crew) {
    const auto at = states.find(number);
    return at != states.end() && says(" " + at->second.kept.crew + " ", " " + crew + " ");
  }

  /// Every change reaches the crews that have the number or had it, and no other; a live number that comes to
  /// a crew or leaves it is told there.
  void reaches(const std::string& crew) {
    if (!wrong_.empty()) return;
    const std::string file = "changes-" + crew + ".csv";
    const States before = account_.states_at(account_.issues() - 1), now = account_.states();
    const auto is_its = [&](std::int64_t number) {
      return has(before, number, crew) || has(now, number, crew);
    };
    std::map<std::pair<std::int64_t, std::string>, std::string> told;
    for (const auto& row : named_rows(job_.read(history_.world().folder + "/" + file))) {
      const std::int64_t number = std::stoll(row.at("number"));
      if (!is_its(number)) tell(file + ": " + row.at("number") + " is none of its");
      told[{number, row.at("what")}] = row.at("change");
    }
    for (const ToldChange& c : account_.changes())
      if (is_its(c.number) && !told.contains({c.number, kWhatWords[c.what]}))
        tell(file + ": no row for " + std::to_string(c.number) + " " + kWhatWords[c.what] + " " + c.change);
    for (const auto& [number, row] : now) {
      const auto b = before.find(number);
      if (b == before.end() || !b->second.kept.live || !row.kept.live) continue;
      if (has(before, number, crew) == has(now, number, crew)) continue;
      ++met_["passed"];
      if (told[{number, "floor"}] != "passed") tell(file + ": " + std::to_string(number) + " is not passed");
    }
  }

  void ledger_is_as_accounted() {
    tell(first_difference("numbers.csv", job_.read("numbers.csv"), account_.numbers_csv()));
    tell(first_difference("issued.csv", job_.read("issued.csv"), account_.issued_csv()));
    tell(first_difference("changes.csv", job_.read(history_.world().folder + "/changes.csv"),
                          changes_csv(account_.changes(), history_.world().layout.unit)));
  }

  /// The same job once more; or with rows exchanged and lists in another layout; or since an earlier issue.
  void run_again(int day) {
    const std::size_t way = history_.below(3);
    if (way == 0) {
      const auto before = job_.snapshot();
      if (run_world(job_, history_.world()).exit_code != 0) tell("again: refused");
      if (wrong_.empty() && job_.snapshot() != before) tell("again: other bytes");
      return;
    }
    if (way == 1 && history_.world().folder == "out") return since(day);
    history_.lay_out_anew();
    lay(job_, history_.world());
    const CommandResult result = run_world(job_, history_.world());
    if (result.exit_code != 0)
      tell("laid out anew: exit " + std::to_string(result.exit_code) + "\n" + result.err);
    if (wrong_.empty()) ledger_is_as_accounted();
  }

  void since(int day) {
    const int issue = 1 + static_cast<int>(history_.below(static_cast<std::size_t>(account_.issues())));
    if (day == 0 || issue == account_.issues() || account_.is_open_since(issue)) return;
    const CommandResult result = run_world(job_, history_.world(), {"--since", std::to_string(issue)});
    if (result.exit_code != 0)
      return tell("since: exit " + std::to_string(result.exit_code) + "\n" + result.err);
    tell(first_difference("numbers.csv", job_.read("numbers.csv"), account_.numbers_csv()));
    tell(first_difference("issued.csv", job_.read("issued.csv"), account_.issued_csv()));
    tell(first_difference("changes.csv since " + std::to_string(issue), job_.read("out/changes.csv"),
                          changes_csv(account_.changes_since(issue), history_.world().layout.unit)));
    ++met_["since"];
  }

  /// In the program's own file: a number has another name only where the drawing says what it was.
  void numbers_mean_one_point() {
    std::map<std::string, std::string> name_of, number_of;
    std::map<std::string, std::set<std::string>> in_issue;
    for (const auto& row : named_rows(job_.read("numbers.csv"))) {
      const std::string &number = row.at("number"), &name = row.at("point");
      if (!in_issue[row.at("issue")].insert(number).second) tell("number " + number + " twice in one issue");
      const auto known = name_of.find(number);
      if (known != name_of.end() && known->second != name && !history_has_was(name, known->second))
        tell("number " + number + " is " + known->second + " and " + name);
      name_of[number] = name;
    }
    for (const auto& [number, name] : name_of)
      if (!number_of.emplace(name, number).second) tell("point " + name + " has two numbers");
  }
  bool history_has_was(const std::string& name, const std::string& was) const {
    return were_.contains({name, was});
  }

  void count(bool taken) {
    for (const WorldPoint& p : history_.world().points)
      if (!p.was.empty()) were_.insert({p.name, p.was});
    if (!taken) ++met_["same issue"];
    if (!taken) return;
    if (account_.issued().back().rows == 0) ++met_["issue without rows"];
    if (account_.changes().empty()) ++met_["nothing told"];
    if (history_.world().folder != "out") ++met_["folder of its own"];
    if (!history_.world().crews.empty()) ++met_["crews"];
    for (const ToldChange& c : account_.changes()) ++met_[kWhatWords[c.what] + (" " + c.change)];
  }

  JobFolder job_;
  RandomHistory history_;
  Account account_;
  Met& met_;
  std::set<std::pair<std::string, std::string>> were_;
  std::string wrong_;
};

}  // namespace

std::string played(std::uint32_t index, int issues, Met& met) {
  try {
    return Play(index, met).play(issues);
  } catch (const std::exception& e) {  // a file that is not there
    return std::string("broke off: ") + e.what() + "\n";
  }
}

}  // namespace deckmark_test
