#include "measure/shell_word.h"

#include <doctest/doctest.h>

using namespace deckmark;

TEST_CASE("a path is one word of a shell, plain where it may be, never an option") {
  struct Row {
    std::string text, want;
  };
  for (const Row& r : {Row{"out", "out"}, Row{"/a_b/c-1.2/job.toml", "/a_b/c-1.2/job.toml"}, Row{"", "''"},
                       Row{"level 3", "'level 3'"}, Row{"it's", "'it'\\''s'"}, Row{"-rf", "./'-rf'"},
                       Row{"$(x)`y`\"\n", "'$(x)`y`\"\n'"}, Row{"a\\b", "'a\\b'"}, Row{"~", "'~'"},
                       Row{"caf\xC3\xA9", "'caf\xC3\xA9'"}}) {
    CAPTURE(r.text);
    CHECK(shell_word(r.text) == r.want);
  }
}
