// Files of one run that would have one name.
#include "work/output_names.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace deckmark;
using plain::told;
using Strings = std::vector<std::string>;

namespace {

NamedAfter named_after(const std::string& words, std::uint32_t line, std::string rename = "-") {
  return {words, rename == "-" ? words : rename, Where::at("job.toml", {line, 8}), "crew.name"};
}

}  // namespace

TEST_CASE("two files of one name are told once for what they are named after, at the later one") {
  const NamedAfter run = named_after("run \"x\"", 1), crew = named_after("crew \"X\"", 2),
                   other = named_after("crew \"z\"", 3);
  const std::vector<OutputName> names{{"floor-list-x.csv", run},  {"floor-list-X.csv", crew},
                                      {"deck-list-x.csv", run},   {"deck-list-X.csv", crew},
                                      {"deck-list-z.csv", other}, {"list-x.csv", run},
                                      {"list-X.CSV", other}};
  Messages messages;
  tell_names_that_meet(names, messages);
  CHECK(
      told(messages, Grade::problem) ==
      Strings{
          "job.toml:2:8: crew.name: found run \"x\" and crew \"X\" with one file name, floor-list-X.csv, "
          "expected names that differ in letters (A and a are one), digits, - or _; rename run \"x\" or "
          "crew \"X\"",
          "job.toml:3:8: crew.name: found run \"x\" and crew \"z\" with one file name, list-X.CSV, expected "
          "names that differ in letters (A and a are one), digits, - or _; rename run \"x\" or crew \"z\""});
}

TEST_CASE("what cannot be renamed is not told to be") {
  Messages messages;
  tell_names_that_meet(std::vector<OutputName>{{"a", named_after("points without a run", 1, "")},
                                               {"A", named_after("run \"A\"", 2)}},
                       messages);
  const Strings lines = told(messages, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].ends_with("; rename run \"A\""));
}
