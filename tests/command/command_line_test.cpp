// What may be typed, what each wrong call is answered with, and what help says of it.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/on_terminal.h"
#include "support/text.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

using Words = std::vector<std::string>;

/// A job of two points that is READY, and one table of readings.
void write_job(JobFolder& job) {
  job.write("job.toml", "[drawing]\npoints = \"points.csv\"\n");
  job.write("points.csv", "point,x,y\nA,1,2\nB,3,4\n");
}

/// Lines of a text behind one that is `heading`, up to an empty one.
Words below(const std::string& text, const std::string& heading) {
  Words found;
  bool inside = false;
  for (const std::string& line : lines_of(text)) {
    if (inside && line.empty()) break;
    if (inside) found.push_back(line);
    inside = inside || line == heading;
  }
  return found;
}

/// The commands of the overview in order, by heading.
std::vector<std::pair<std::string, Words>> groups() {
  const JobFolder job;
  std::vector<std::pair<std::string, Words>> found;
  for (const std::string& line : lines_of(job.run({"--help"}).out)) {
    if (line == "options:") break;
    if (line.ends_with(":") && line[0] != ' ') found.push_back({line, {}});
    if (!found.empty() && line.starts_with("  ") && line[2] != ' ')
      found.back().second.push_back(line.substr(2, line.find(' ', 2) - 2));
  }
  return found;
}

Words all_commands() {
  Words found;
  for (const auto& group : groups()) found.insert(found.end(), group.second.begin(), group.second.end());
  return found;
}

/// An option as a help lists it: word, and what stands for its value.
std::map<std::string, std::string> options_of(const std::string& help) {
  std::map<std::string, std::string> found;
  const std::regex form("  (?:-[a-zA-Z], )?(--[a-z-]+)(?: ([A-Z]+))?(?: .*)?");
  std::smatch m;
  for (const std::string& line : below(help, "options:"))
    if (std::regex_match(line, m, form)) found[m[1]] = m[2];
  return found;
}

/// Copies of the jobs that come with the program.
class ShippedJobs {
 public:
  ShippedJobs() {
    for (const auto& entry : fs::directory_iterator(DECKMARK_DATA_DIR))
      fs::copy(entry.path(), folder_ / entry.path().filename());
  }
  /// Typed as in a shell, in the folder that holds the jobs.
  CommandResult type(const std::string& line) const {
    CommandRun run;
    run.program = "/bin/sh";
    run.args = {"-c", line};
    run.folder = folder_.path();
    run.env = {{"PATH", fs::path(DECKMARK_PROGRAM).parent_path().string() + ":/usr/bin:/bin"}};
    return run.run();
  }

 private:
  TempFolder folder_;
};

std::size_t longest_line(const std::string& text) {
  std::size_t longest = 0;
  for (const std::string& line : lines_of(text)) longest = std::max(longest, line.size());
  return longest;
}

}  // namespace

TEST_CASE("a wrong call is answered with one line, and nothing is done") {
  struct Wrong {
    Words args;
    std::string line;
  };
  JobFolder job;
  write_job(job);
  const auto before = job.snapshot();
  for (const Wrong& w : std::vector<Wrong>{
           // Commands: nothing shorter is taken for one; what is near is named.
           {{"ru", "."}, "command \"ru\" is not known; try run; see deckmark --help"},
           {{"ba"}, "command \"ba\" is not known; try baseline; see deckmark --help"},
           {{"s", "."}, "command \"s\" is not known; setup and stake begin so; see deckmark --help"},
           {{"chekc", "."}, "command \"chekc\" is not known; try check; see deckmark --help"},
           {{"wombat"}, "command \"wombat\" is not known; see deckmark --help"},
           {{"wombat", "--help"}, "command \"wombat\" is not known; see deckmark --help"},
           {{""}, "command \"\" is not known; see deckmark --help"},
           {{"--quiet"}, "a command is missing; see deckmark --help"},
           {{"--", "."}, "command \".\" is not known; see deckmark --help"},
           // Order and number of words.
           {{".", "check"}, "the command comes first; try deckmark check ."},
           {{"--quiet", ".", "run"}, "the command comes first; try deckmark run ."},
           {{"run", "a", "b"},
            "run: one JOB at a time; found \"a\" and \"b\" (a path with blanks stands in quotes)"},
           {{"new", "a", "b"},
            "new: one FOLDER at a time; found \"a\" and \"b\" (a path with blanks stands in quotes)"},
           {{"new"}, "new: the folder to make is missing; try deckmark new my-job --units m"},
           {{"help", "keys", "list", "x"}, "help: [TOPIC [NAME]] is expected; found \"x\" too"},
           {{"run", ""}, "run: JOB is empty"},
           {{"new", ""}, "new: FOLDER is empty"},
           // Options.
           {{"check", "--qui"}, "check: option --qui is not known; try --quiet; see deckmark check --help"},
           {{"--qui", "check"}, "check: option --qui is not known; try --quiet; see deckmark check --help"},
           {{"run", "--ou=x"}, "run: option --ou is not known; try --out; see deckmark run --help"},
           {{"run", "--otu", "x"}, "run: option --otu is not known; try --out; see deckmark run --help"},
           {{"setup", "--s"}, "setup: option --s is not known; try --shots; see deckmark setup --help"},
           {{"baseline", "--o"},
            "baseline: option --o is not known; --on and --out begin so; see deckmark baseline --help"},
           {{"--wombat"}, "option --wombat is not known; see deckmark --help"},
           {{"check", "-quiet"}, "check: option -quiet is not known; try --quiet; see deckmark check --help"},
           {{"check", "-job"},
            "check: option -job is not known; a path that begins with a dash stands behind --; see deckmark "
            "check --help"},
           {{"check", "--sign", "x"}, "check: --sign is an option of baseline; see deckmark check --help"},
           {{"run", "--setup", "S1"},
            "run: --setup is an option of stake, book, plan; see deckmark run --help"},
           {{"new", "x", "--out", "y"},
            "new: --out is an option of check, baseline, run, issued, today; see deckmark new --help"},
           {{"run", "--csv=1"}, "--csv takes no value"},
           {{"run", "--csv", "--csv"}, "run: --csv is given twice"},
           {{"--out", "x", "run", "--out=y"}, "run: --out is given twice"},
           {{"run", "--out"}, "--out lacks its value; --out DIR is expected"},
           {{"run", "--out", "--csv"}, "--out lacks its value; --out DIR is expected"},
           {{"run", "--color", "alway"},
            "run: --color \"alway\": expected auto, always or never; try always"},
           {{"run", "--color", "blue"}, "run: --color \"blue\": expected auto, always or never"},
       }) {
    CAPTURE(w.line);
    const CommandResult r = job.run(w.args);
    CHECK(r.exit_code == 2);
    CHECK(r.out == "");
    CHECK(r.err == "deckmark: " + w.line + "\n");
  }
  CHECK((job.snapshot() == before));
}

TEST_CASE("an option with a value says that it is empty, whichever it is and however it is typed") {
  JobFolder job;
  write_job(job);
  std::set<std::string> seen;
  for (const std::string& command : all_commands())
    for (const auto& [word, value] : options_of(job.run({command, "--help"}).out)) {
      if (value.empty()) continue;
      for (const Words& typed : {Words{command, "x", word + "="}, Words{command, "x", word, ""}}) {
        const CommandResult r = job.run(typed);
        CHECK(r.exit_code == 2);
        CHECK(r.err == "deckmark: " + word + " is empty; " + word + " " + value + " is expected\n");
      }
      seen.insert(word);
    }
  CHECK(seen ==
        std::set<std::string>{
            "--above",     "--accept-outside", "--as-issued", "--at",    "--by",    "--color", "--completion",
            "--crew",      "--done",           "--from",      "--issue", "--list",  "--man",   "--on",
            "--out",       "--read",           "--sd",        "--setup", "--sheet", "--sign",  "--since",
            "--take-over", "--ticks",          "--to",        "--units", "--with"});
}

TEST_CASE("options stand before and behind the command, short and long, and end with --") {
  JobFolder job;
  write_job(job);
  const std::string result = job.run({"check", "."}).out;
  CHECK(!result.empty());
  CHECK(job.run({"--color", "never", "check", "."}).out == result);
  CHECK(job.run({"--", "check", "."}).out == result);
  CHECK(job.run({"check", "--", "."}).out == result);
  for (const Words& quiet : {Words{"--quiet", "check", "."}, Words{"check", "--quiet", "."},
                             Words{"check", ".", "--quiet"}, Words{"check", "--quiet", "--", "."}}) {
    CHECK(job.run(quiet).out == "");
    CHECK(job.run(quiet).exit_code == 0);
  }
  // Behind -- nothing is an option, and behind = a dash is no sign of one.
  CHECK(job.run({"check", "--", "--quiet"}).err.starts_with("--quiet: file: found no such file"));
  CHECK(job.run({"--out=--odd", "--quiet", "run"}).exit_code == 0);
  CHECK(job.has("--odd/points.csv"));
  const std::string all = job.run({"--help"}).out, version = job.run({"--version"}).out;
  CHECK(job.run({"-h"}).out == all);
  CHECK(job.run({"--quiet", "-h"}).out == all);
  CHECK(job.run({"-V"}).out == version);
  const CommandResult alone = job.run(Words{});
  CHECK(alone.exit_code == 2);
  CHECK(alone.out == "");
  CHECK(alone.err == all);
  for (const std::string& command : all_commands()) {
    const std::string help = job.run({command, "--help"}).out;
    CHECK(help.starts_with("usage: deckmark " + command + " "));
    for (const Words& same : {Words{command, "-h"}, Words{"-h", command}, Words{"--help", command, "x"}})
      CHECK(job.run(same).out == help);
    CHECK(job.run({command, "-V"}).out == version);
  }
}

TEST_CASE("--version names version and commit; files that are written name the version alone") {
  JobFolder job;
  write_job(job);
  const CommandResult r = job.run({"--version"});
  CHECK(r.exit_code == 0);
  CHECK(std::regex_match(r.out,
                         std::regex("deckmark [0-9]+\\.[0-9]+\\.[0-9]+( \\([0-9a-f]{12}(-dirty)?\\))?\n")));
  const std::string version = r.out.substr(0, std::min(r.out.find(" ("), r.out.find('\n')));
  CHECK(version == std::string("deckmark ") + DECKMARK_VERSION);
  CHECK(job.run().exit_code == 0);
  std::size_t naming = 0;
  for (const auto& [name, bytes] : job.snapshot()) {
    CAPTURE(name);
    if (bytes.find(version) != std::string::npos) ++naming;
    CHECK(bytes.find(version + " (") == std::string::npos);
  }
  CHECK(naming >= 1);
}

TEST_CASE("the overview tells the commands by what they are for") {
  const std::vector<std::pair<std::string, Words>> want = {
      {"commands for every job:", {"new", "check", "baseline", "run", "give", "issued", "today", "help"}},
      {"with laser and tape:", {"offsets", "heights"}},
      {"with an instrument:", {"setup", "stake", "book", "plan", "compare", "fieldtest"}},
      {"afterwards:", {"asbuilt", "history"}},
      {"rarely:", {"restore", "ground"}}};
  CHECK((groups() == want));
}

TEST_CASE("a command lists the options that it uses, and knows no others") {
  const JobFolder job;
  const std::set<std::string> shared = {"--quiet", "--color", "--help", "--version"};
  std::map<std::string, std::set<std::string>> own;
  std::map<std::string, std::string> values;  // the command line is taken apart before its command is known
  for (const std::string& command : all_commands()) {
    const std::string help = job.run({command, "--help"}).out;
    CHECK(help.find("not used") == std::string::npos);
    for (const auto& [word, value] : options_of(help)) {
      own[command].insert(word);
      CHECK(values.emplace(word, value).first->second == value);
    }
    for (const std::string& word : shared) CHECK(own[command].erase(word) == 1);
  }
  for (const auto& [command, words] : own)
    for (const auto& [other, others] : own)
      for (const std::string& word : others) {
        if (words.count(word) || word == "--out") continue;
        CAPTURE(command);
        CAPTURE(word);
        CHECK(job.run({command, word + (word == "--shots" ? "" : "=x")}).exit_code == 2);
      }
  CHECK(own["new"] == std::set<std::string>{"--units"});
  CHECK(own["run"] ==
        std::set<std::string>{"--above", "--csv", "--details", "--json", "--out", "--since", "--take-over"});
  CHECK(own["ground"] == std::set<std::string>{"--csv", "--json"});
}

TEST_CASE("a command without an output folder says so to --out, and goes on") {
  const ShippedJobs jobs;
  for (const std::string call :
       {"baseline gallery-m", "offsets lounge-ft-in", "heights lounge-ft-in", "setup arcade-m",
        "stake arcade-m", "plan arcade-m", "asbuilt hall-m", "ground concourse-us-ft"}) {
    const std::string command = call.substr(0, call.find(' '));
    CAPTURE(command);
    const CommandResult plain = jobs.type("deckmark " + call), told = jobs.type("deckmark --out x " + call);
    CHECK(told.exit_code == plain.exit_code);
    CHECK(told.exit_code < 2);
    CHECK(told.out == plain.out);
    CHECK(told.err ==
          "notice: --out: " + command +
              (command == "baseline" ? " writes nothing without --sign" : " has no output folder") + "\n" +
              plain.err);
    CHECK(jobs.type("deckmark --quiet --out x " + call).err.find("--out") == std::string::npos);
    CHECK(jobs.type("test -e x").exit_code == 1);
  }
}

TEST_CASE("every example of every help runs on the jobs that come with the program") {
  std::size_t run = 0;
  for (const std::string& command : all_commands()) {
    const ShippedJobs jobs;
    const std::string help = jobs.type("deckmark " + command + " --help").out;
    CHECK(help.find("\nexit status: 0 ") != std::string::npos);
    Words examples = below(help, "example:");
    for (std::string& line : below(help, "examples:")) examples.push_back(line);
    CHECK(examples.size() >= 1);
    // What speaks of issues needs one.
    if (std::set<std::string>{"give", "issued", "today", "restore", "compare", "history"}.count(command) > 0)
      REQUIRE(jobs.type("deckmark run gallery-m --quiet").exit_code == 0);
    if (command == "book") REQUIRE(jobs.type("deckmark run arcade-m --quiet").exit_code < 2);
    for (const std::string& line : examples) {
      CAPTURE(line);
      CHECK(line.starts_with("  deckmark " + command + " "));
      const CommandResult r = jobs.type(line);
      CHECK(r.exit_code < 2);
      CHECK(r.exit_code >= 0);
      ++run;
    }
  }
  CHECK(run >= 12);
}

TEST_CASE("help is laid out for the terminal: 60 to 100 columns, and 80 where there is none") {
  CommandRun run;
  run.program = DECKMARK_PROGRAM;
  run.env = {{"TERM", "xterm"}};
  run.env_without = {"COLUMNS", "NO_COLOR"};
  const auto words_in = [](const std::string& text) {
    return std::regex_replace(text, std::regex("\\s+"), " ");
  };
  for (const Words& args : {Words{"--help"}, Words{"fieldtest", "--help"}, Words{"setup", "--help"}}) {
    run.args = args;
    const std::string paper = run.run().out;
    CHECK(longest_line(paper) <= 80);
    CHECK(run_on_terminal(run, 80).out == paper);
    CHECK(run_on_terminal(run, 0).out == paper);  // a terminal that does not know
    for (const auto& [columns, least, most] : std::vector<std::array<std::size_t, 3>>{
             {40, 55, 60}, {60, 55, 60}, {72, 65, 72}, {100, 90, 100}, {300, 90, 100}}) {
      CAPTURE(columns);
      const std::string shown = run_on_terminal(run, static_cast<unsigned short>(columns)).out;
      CHECK(longest_line(shown) >= least);
      CHECK(longest_line(shown) <= most);
      CHECK(words_in(shown) == words_in(paper));
    }
    CommandRun stated = run;
    stated.env_without = {};
    stated.env["COLUMNS"] = "60";
    CHECK(stated.run().out == paper);  // a pipe gets the same bytes everywhere
    CHECK(longest_line(run_on_terminal(stated, 100).out) <= 60);
    stated.env["COLUMNS"] = "wide";
    CHECK(run_on_terminal(stated, 80).out == paper);
  }
}

TEST_CASE("colours show on a terminal that takes them, and where they are asked for") {
  JobFolder job;
  job.write("job.toml", "[drawing]\npoints = \"points.csv\"\n");
  job.write("points.csv", "point,x,y\nA,one,2\n");
  struct Row {
    std::string term, no_color;
    Words more;
    bool on_terminal, colors;
  };
  for (const Row& r : std::vector<Row>{{"xterm", "", {}, true, true},
                                       {"dumb", "", {}, true, false},
                                       {"xterm", "1", {}, true, false},
                                       {"xterm", "", {"--color=never"}, true, false},
                                       {"xterm", "", {}, false, false},
                                       {"dumb", "1", {"--color=always"}, false, true},
                                       {"dumb", "", {"--color=auto"}, true, false}}) {
    CAPTURE(r.term);
    CAPTURE(r.no_color);
    Words args = {"check", "."};
    args.insert(args.end(), r.more.begin(), r.more.end());
    CommandRun run = job.prepared(args);
    run.env["TERM"] = r.term;
    run.env["NO_COLOR"] = r.no_color;
    run.env_without = {};
    const CommandResult shown = r.on_terminal ? run_on_terminal(run, 80) : run.run();
    CHECK(shown.exit_code == 2);
    CHECK(((shown.out + shown.err).find('\x1b') != std::string::npos) == r.colors);
  }
}
