// The runner of command cases, tried with the shell as the program: a case that is wrong must fail.
#include "case_file.h"

#include <doctest/doctest.h>

#include <csignal>
#include <string>

#include "support/command.h"
#include "support/temp_folder.h"

using namespace deckmark_test;

namespace {

std::string outcome(const std::string& text) {
  const TempFolder folder;
  return run_case(parse_case(text), "/bin/sh", folder.path());
}

}  // namespace

TEST_CASE("text matches line by line, with {*} and ... alone") {
  struct Row {
    const char *expected, *found;
    bool same;
  };
  for (const Row& r : {Row{"", "", true},
                       Row{"", "x\n", false},
                       Row{"a\n", "a\n", true},
                       Row{"a\n", "a", false},
                       Row{"a\n", "b\n", false},
                       Row{"a\nb\n", "a\n", false},
                       Row{"a\n", "a\nb\n", false},
                       Row{"a{*}c\n", "abbc\n", true},
                       Row{"a{*}c\n", "abb\n", false},
                       Row{"{*}\n", "\n", true},
                       Row{"{*}\n", "a\nb\n", false},
                       Row{"{*}=1 {*}\n", "x=2 y=1 z\n", true},
                       Row{"...\n", "", true},
                       Row{"...\n", "a\nb\n", true},
                       Row{"a\n...\nd\n", "a\nb\nc\nd\n", true},
                       Row{"a\n...\nd\n", "a\nd\n", true},
                       Row{"a\n...\nd\n", "a\nb\n", false},
                       Row{"...\nb\n...\n", "a\nb\nc\n", true},
                       Row{"...\nx\n...\n", "a\nb\nc\n", false},
                       Row{"...\n", "a\nno line end", true},
                       Row{"x....\n", "xyz\n", false}}) {
    CAPTURE(r.expected);
    CAPTURE(r.found);
    CHECK(difference(r.expected, r.found).empty() == r.same);
  }
}

TEST_CASE("a case that states what happens passes") {
  CHECK(outcome("# two streams and a status\nargs: -c 'echo hi; echo no >&2; exit 3'\nexit: 3\n--- "
                "stdout\nhi\n--- stderr\nno\n")
            .empty());
  CHECK(outcome("args: -c 'cat in/a.txt'\n--- file in/a.txt (escaped)\n\\x41\\tb\\r\nend\\\n\n--- stdout "
                "(escaped)\nA\\tb\\r\nend\n")
            .empty());
  CHECK(outcome("args: -c 'echo $COLOR'\nenv: COLOR=a=b\n--- stdout\na=b\n").empty());
  CHECK(outcome("args: -c 'echo x > new.txt'\n--- new.txt\nx\n").empty());
  CHECK(outcome("args: -c 'echo x > new.txt'\nwrote: any\n").empty());
  CHECK(outcome("args: -c 'rm old.txt'\n--- file old.txt\nx\n--- absent old.txt\n").empty());
  CHECK(outcome("args: -c 'true'\n--- file old.txt\nx\n--- same old.txt\n").empty());
  CHECK(outcome("args: -c 'echo 1 > a'\n--- a\n1\n--- then\nargs: -c 'cat a; echo 2 > b'\n--- stdout\n1\n--- "
                "b\n2\n")
            .empty());
}

TEST_CASE("a case that states anything else fails") {
  for (const char* text : {
           "args: -c 'exit 1'\n",  // another status
           "args: -c 'exit 0'\nexit: 1\n",
           "args: -c 'echo x'\n",  // output that is not stated
           "args: -c 'echo x >&2'\n", "args: -c 'echo x'\n--- stdout\ny\n",
           "args: -c 'printf x'\n--- stdout\nx\n",  // a line end is missing
           "args: -c 'echo x > new.txt'\n",         // a file that is not stated
           "args: -c 'echo x > old.txt'\n--- file old.txt\ny\n",
           "args: -c 'rm old.txt'\n--- file old.txt\ny\n",
           "args: -c 'true'\n--- new.txt\nx\n",  // a file that is not there
           "args: -c 'true'\n--- file old.txt\nx\n--- absent old.txt\n",
           "args: -c 'echo y > old.txt'\nwrote: any\n--- file old.txt\nx\n--- same old.txt\n",
           "args: -c 'kill -9 $$'\n",                         // ended by a signal
           "args: -c 'true'\n--- then\nargs: -c 'exit 1'\n",  // the second run
       }) {
    CAPTURE(text);
    CHECK_FALSE(outcome(text).empty());
  }
}

TEST_CASE("a text that is not a case is refused with its line") {
  for (const char* text : {"nonsense\n", "args: 'open\n", "args: a\n--- some thing\n",
                           "args: a\n--- absent x\ntext\n", "args: a\n--- stdout (escaped)\n\\q\n"}) {
    CAPTURE(text);
    CHECK_THROWS_WITH(parse_case(text), doctest::Contains("line "));
  }
}

TEST_CASE(
    "a run that does not end is killed, output goes where it is told, a program that is missing is told") {
  CommandRun run;
  run.program = "/bin/sh";
  run.args = {"-c", "exec sleep 60"};
  run.seconds = 1;
  const CommandResult late = run.run();
  CHECK(late.timed_out);
  CHECK(late.signal == SIGKILL);

  const TempFolder folder;
  run.args = {"-c", "echo x; echo y >&2"};
  run.out_target = folder / "out.txt";
  const CommandResult sent = run.run();
  CHECK(sent.out.empty());
  CHECK(sent.err == "y\n");
  CHECK(read_bytes(folder / "out.txt") == "x\n");

  run.program = folder / "missing";
  CHECK_THROWS(run.run());
}
