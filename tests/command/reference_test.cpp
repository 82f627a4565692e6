// The reference as the real program tells it: pages for man, scripts for the shells, and what a drawing
// needs.
#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/command.h"
#include "support/temp_folder.h"
#include "support/text.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

CommandResult deckmark(const std::vector<std::string>& args) {
  CommandRun run;
  run.program = DECKMARK_PROGRAM;
  run.args = args;
  return run.run();
}

fs::path installed(const std::string& name) {
  for (const char* folder : {"/usr/bin", "/bin", "/usr/local/bin"}) {
    std::error_code bad;
    if (fs::exists(fs::path(folder) / name, bad)) return fs::path(folder) / name;
  }
  return {};
}

CommandResult started(const fs::path& program, const std::vector<std::string>& args) {
  CommandRun run;
  run.program = program;
  run.args = args;
  return run.run();
}

/// What bash offers for the last of these words.
std::string offered(const fs::path& script, const std::string& words, std::size_t count) {
  const std::string typed = "source " + script.string() + "; COMP_WORDS=(" + words +
                            "); COMP_CWORD=" + std::to_string(count - 1) +
                            "; _deckmark; echo \"${COMPREPLY[*]}\"";
  const CommandResult said = started(installed("bash"), {"--norc", "-c", typed});
  CHECK(said.err == "");
  return said.out;
}

}  // namespace

TEST_CASE("completion: each script is one for its shell, where that is installed") {
  const TempFolder folder;
  for (const std::string shell : {"bash", "zsh", "fish"}) {
    CAPTURE(shell);
    const CommandResult script = deckmark({"help", "--completion", shell});
    CHECK(script.exit_code == 0);
    CHECK(script.err == "");
    REQUIRE(says(script.out, "# Completion of deckmark for " + shell));
    write_bytes(folder / shell, script.out);
    const fs::path program = installed(shell);
    if (program.empty()) {
      MESSAGE(shell, " is not installed: its script was not tried");
      CHECK(shell != "bash");
      continue;
    }
    const CommandResult read = started(program, {"-n", (folder / shell).string()});
    CHECK(read.exit_code == 0);
    CHECK(read.out + read.err == "");
  }
}

TEST_CASE("completion: bash offers commands, options, their words, and what help knows") {
  const TempFolder folder;
  const fs::path script = folder / "deckmark";
  write_bytes(script, deckmark({"help", "--completion", "bash"}).out);
  struct Row {
    const char* words;
    std::size_t count;
    const char* want;
  };
  for (const Row& r : {
           Row{"deckmark che", 2, "check\n"}, Row{"deckmark new --u", 3, "--units\n"},
           Row{"deckmark new --units ''", 4, "ft-in m\n"}, Row{"deckmark run --color a", 4, "always auto\n"},
           Row{"deckmark help sta", 3, "status stake\n"}, Row{"deckmark help keys ha", 4, "hangers\n"},
           Row{"deckmark help tables draw", 4, "drawing-points\n"},
           Row{"deckmark help files poi", 4, "points.csv\n"},
           Row{"deckmark help --man deckmark-j", 4, "deckmark-job.5\n"},
           Row{"deckmark run ''", 3, "\n"},  // a path: the shell's own
       }) {
    CAPTURE(r.words);
    CHECK(offered(script, r.words, r.count) == r.want);
  }
  // What it offers is taken: each table by the word that stands there.
  for (const std::string topic : {"keys", "tables", "files"}) {
    std::string words = offered(script, "deckmark help " + topic + " ''", 4);
    words.pop_back();
    std::size_t names = 0;
    for (std::size_t at = 0; at < words.size(); ++names) {
      const std::size_t end = std::min(words.find(' ', at), words.size());
      const std::string name = words.substr(at, end - at);
      CHECK_MESSAGE(deckmark({"help", topic, name}).exit_code == 0, topic, " ", name);
      at = end + 1;
    }
    CHECK(names > 10);
  }
}

TEST_CASE("man pages of the real program: every command with its options, and no complaint") {
  const CommandResult first = deckmark({"help", "--man", "deckmark.1"});
  const CommandResult overview = deckmark({"help"});
  std::size_t commands = 0;
  for (const std::string& line : lines_of(overview.out)) {
    if (line == "options:") break;
    if (!line.starts_with("  ") || line[2] == ' ') continue;
    ++commands;
    const std::string name = line.substr(2, line.find(' ', 2) - 2);
    CHECK_MESSAGE(says(first.out, ".SS deckmark " + name + " "), name);
  }
  CHECK(commands >= 11);
  for (const char* letter : {"\\-h, \\-\\-help", "\\-V, \\-\\-version"}) CHECK(says(first.out, letter));
  const fs::path mandoc = installed("mandoc");
  if (mandoc.empty()) MESSAGE("mandoc is not installed: pages were not held against it");
  const TempFolder folder;
  for (const std::string page : {"deckmark.1", "deckmark-job.5", "deckmark-tables.5", "deckmark-files.5"}) {
    CAPTURE(page);
    const CommandResult told = deckmark({"help", "--man", page});
    CHECK(told.exit_code == 0);
    CHECK(told.err == "");
    CHECK(told.out == deckmark({"help", "--man", page}).out);
    for (const std::string& line : lines_of(told.out)) CHECK_MESSAGE(line.size() <= 80, line);
    if (mandoc.empty()) continue;
    write_bytes(folder / page, told.out);
    const CommandResult lint = started(mandoc, {"-T", "lint", (folder / page).string()});
    CHECK(lint.out + lint.err == "");
  }
}

// help keys says that drawing.points is required without runs, but not for setups or a crs alone.
TEST_CASE("a drawing is needed where help says so") {
  JobFolder job;
  job.write("job.toml", "title = \"no drawing\"\n");
  const CommandResult without = job.run();
  CHECK(without.exit_code == 2);
  CHECK(says(without.err, "drawing.points: found no table of points"));
  job.write("runs.csv", "run,x1,y1,x2,y2\nR1,0,0,5,0\n");
  job.write("job.toml", "[drawing]\nruns = \"runs.csv\"\n[hangers]\nmax_spacing = \"1 m\"\n");
  CHECK(job.run().exit_code == 0);
  JobFolder measured;
  measured.write("control.csv", "point,northing,easting\nCP1,0 m,0 m\nCP4,9 m,3 m\nCP5,9 m,-3 m\n");
  measured.write(
      "job.toml",
      "[site]\ncontrol = \"control.csv\"\n[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n"
      "[[setup]]\nname = \"P1\"\nnorthing = \"4 m\"\neasting = \"1 m\"\nplan = [\"CP1\", \"CP4\", "
      "\"CP5\"]\n");
  const CommandResult of_setups = measured.run();
  CAPTURE(of_setups.err);
  CHECK_FALSE(says(of_setups.err, "drawing.points"));
}
