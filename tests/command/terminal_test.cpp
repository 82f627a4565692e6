// The program on a terminal of its own: colours, and where there are none.
#include <doctest/doctest.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// All that the program writes to a terminal that is its standard output and error.
std::string on_terminal(const JobFolder& job, std::vector<std::string> args,
                        const std::map<std::string, std::string>& env) {
  std::vector<char*> words{const_cast<char*>("deckmark")};
  for (std::string& a : args) words.push_back(a.data());
  words.push_back(nullptr);
  fflush(stdout);
  int terminal = -1;
  const pid_t child = forkpty(&terminal, nullptr, nullptr, nullptr);
  REQUIRE(child >= 0);
  if (child == 0) {
    unsetenv("NO_COLOR");
    setenv("TERM", "xterm", 1);
    for (const auto& [name, value] : env) setenv(name.c_str(), value.c_str(), 1);
    if (chdir(job.path().c_str()) != 0) _exit(126);
    execv(DECKMARK_PROGRAM, words.data());
    _exit(127);
  }
  std::string out;
  char buffer[4096];
  for (ssize_t got = 0; (got = read(terminal, buffer, sizeof buffer)) > 0;)
    out.append(buffer, static_cast<std::size_t>(got));
  close(terminal);
  int status = 0;
  waitpid(child, &status, 0);
  REQUIRE(WIFEXITED(status));
  REQUIRE(WEXITSTATUS(status) < 2);
  return out;
}

/// READY, NOT CHECKED or DO NOT LAY OUT.
void write_job(JobFolder& job, int ties, double off) {
  job.write("job.toml", "[drawing]\npoints = \"d.csv\"\n[baselines]\nties = \"t.csv\"\n");
  job.write("d.csv", "point,x,y\nP1,3,4\n");
  const std::string rows[] = {"A,0,0,0,0\n", "B,10,0,0," + std::to_string(10 + off) + "\n", "C,0,10,10,0\n",
                              "D,10,10,10,10\n"};
  std::string text = "mark,x,y,northing,easting\n";
  for (int i = 0; i < ties; ++i) text += rows[i];
  job.write("t.csv", text);
}

struct Look {
  int ties;
  double off;
  std::string codes, words;
};
const Look kLooks[] = {{4, 0, "1;32", "READY TO LAY OUT"},
                       {2, 0, "1;33", "BASELINES NOT CHECKED: "},
                       {4, 0.03, "1;7;31", "DO NOT LAY OUT: "}};

}  // namespace

TEST_CASE("the verdict has a look of its own on a terminal, and the words alone elsewhere") {
  for (const Look& look : kLooks)
    for (const char* command : {"check", "baseline", "run"}) {
      CAPTURE(command);
      CAPTURE(look.words);
      JobFolder job;
      write_job(job, look.ties, look.off);
      const std::string colored = "\x1b[" + look.codes + "m" + look.words;
      const std::string shown = on_terminal(job, {command, "."}, {});
      CHECK(has(shown, colored));
      CHECK(shown.ends_with("\x1b[0m\r\n"));
      CHECK(has(on_terminal(job, {command, ".", "--quiet"}, {}), colored));
      for (const auto& [name, value] :
           std::map<std::string, std::string>{{"NO_COLOR", "1"}, {"TERM", "dumb"}}) {
        CAPTURE(name);
        const std::string plain = on_terminal(job, {command, "."}, {{name, value}});
        CHECK(!has(plain, "\x1b"));
        CHECK(has(plain, "\n" + look.words));
      }
      CHECK(!has(on_terminal(job, {command, ".", "--color", "never"}, {}), "\x1b"));
      CHECK(!has(job.run({command, "."}).err, "\x1b"));  // no terminal
      CHECK(has(job.run({command, ".", "--color", "always"}).err, colored));
    }
}
