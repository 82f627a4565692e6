// The program on a terminal of its own: colours, and where there are none.
#include "terminal.h"

#include <doctest/doctest.h>

#include <map>
#include <string>
#include <vector>

using namespace deckmark_test;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

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
      for (const std::map<std::string, std::string>& env :
           {std::map<std::string, std::string>{{"NO_COLOR", "1"}}, {{"TERM", "dumb"}}}) {
        const std::string plain = on_terminal(job, {command, "."}, env);
        CHECK(!has(plain, "\x1b"));
        CHECK(has(plain, "\n" + look.words));
      }
      CHECK(!has(on_terminal(job, {command, ".", "--color", "never"}, {}), "\x1b"));
      CHECK(!has(job.run({command, "."}).err, "\x1b"));  // no terminal
      CHECK(has(job.run({command, ".", "--color", "always"}).err, colored));
    }
}
