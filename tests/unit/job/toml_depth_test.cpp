// The depth that is found before the parser sees a text, held against the depth of what the parser makes of
// it.

#include "job/toml_depth.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <string>

#include "job/job_file.h"

using namespace deckmark;

namespace {

std::string repeated(const std::string& text, std::size_t times) {
  std::string out;
  for (std::size_t i = 0; i < times; ++i) out += text;
  return out;
}

/// Levels of sections, keys and lists under a value.
std::size_t depth_of(const JobValue& value) {
  std::size_t deepest = 0;
  for (const JobValue& item : value.items) deepest = std::max(deepest, depth_of(item) + 1);
  return deepest;
}

/// A text that is mostly TOML, of the signs that make a text nest or hide what nests.
std::string random_text(std::mt19937& random) {
  static const char* const kPieces[] = {
      "a = ",   "[a.b]\n", "[[c]]\n", "b.c.d = ", "1\n",       "\"[{.\"",    "'''", "\"\"\"", "[",  "]",
      "{",      "}",       ", ",      "e = ",     "1",         "# [[[\n",    "\n",  "\\\"",   "\"", "'",
      "k.k = ", "{f = ",   "[[1]]",   "'\"'",     "g.\"h.i\"", "\"\"\"\"\"", " = ", "."};
  std::string out;
  const std::size_t pieces = 1 + random() % 24;
  for (std::size_t i = 0; i < pieces; ++i) out += kPieces[random() % std::size(kPieces)];
  return out;
}

}  // namespace

TEST_CASE("what the parser takes is never deeper than was found, nor refused without being deep") {
  std::mt19937 random(1);
  int read = 0, refused = 0;
  for (int i = 0; i < 200000; ++i) {
    // Some signs in great number: an error of one level then shows.
    std::string text = random_text(random);
    const char* const many[] = {"[", "k.", "{x = ", "[[", "m.n."};
    if (random() % 2 == 0) {
      const std::size_t at = random() % (text.size() + 1), kind = random() % 5, times = 20 + random() % 60;
      const std::string close = kind == 0 ? repeated("]", times) : kind == 2 ? repeated("}", times) : "";
      text.insert(at, repeated(many[kind], times) + (kind == 0 || kind == 2 ? "1" : "z = 1\n") + close);
    }
    const bool deep = too_deep_at(text).has_value();
    refused += deep ? 1 : 0;
    if (deep) continue;
    Messages messages;
    const auto value = parse_job_file(Source::from_bytes("job.toml", text), messages);
    if (!value) continue;
    ++read;
    CAPTURE(text);
    // A list of sections is one level here and two in the tree.
    REQUIRE(depth_of(*value) <= 2 * kDeepestToml);
  }
  CHECK(read > 1000);
  CHECK(refused > 1000);
}

TEST_CASE("levels are counted over sections, keys, lists and tables, and not in texts or comments") {
  struct Row {
    std::string text;
    bool deep;
  };
  const auto n = [](const std::string& text, std::size_t times) { return repeated(text, times); };
  for (const Row& r : {
           Row{"", false},
           Row{n("a.", 63) + "a = 1\n", false},
           Row{n("a.", 64) + "a = 1\n", true},
           Row{"[" + n("a.", 62) + "a]\nb = 1\n", false},
           Row{"[" + n("a.", 62) + "a]\nb.c = 1\n", true},
           Row{"[" + n("a.", 62) + "a]\nb = 1\n[c]\nd.e.f = 1\n", false},
           Row{"a = " + n("[", 63) + n("]", 63), false},
           Row{"a = " + n("[", 64) + n("]", 64), true},
           Row{"a = [" + n("[1],", 200) + "]\n", false},
           Row{"a = {" + n("b.c = 1, ", 200) + "d = 1}\n", false},
           Row{n("a = [[1]]\n", 200), false},
           Row{"a = {b = " + n("{b = ", 31) + "1" + n("}", 31) + "}", true},
           Row{"a = {b = " + n("{b = ", 30) + "1" + n("}", 30) + "}", false},
           Row{"a = \"" + n("[", 200) + "\"\n", false},
           Row{"a = '" + n("[", 200) + "'\n", false},
           Row{"a = \"\"\"\n" + n("[\n", 200) + "\"\"\"\n", false},
           Row{"a = \"\"\"\"\" \"\"\"\"\"\nb = " + n("[", 70), true},
           Row{"a = '''\\''' # '\nb = " + n("[", 70), true},
           Row{"a = \"\\\"\" # \"\nb = " + n("[", 70), true},
           Row{"# " + n("a.", 200) + "\n", false},
           Row{"\"" + n("a.", 200) + "\" = 1\n", false},
           Row{"a = 1." + n("1.", 70) + "\n", false},
       }) {
    CAPTURE(r.text);
    CHECK(too_deep_at(r.text).has_value() == r.deep);
  }
}
