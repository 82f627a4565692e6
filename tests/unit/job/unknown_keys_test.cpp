// What a key or a section that is not known is told with.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "declared_keys.h"

using namespace deckmark_test;

namespace {

struct Unknown {
  const char* what;
  std::string toml;
  std::vector<std::string> told;  ///< every line that is told, as `LINE field: text`
};

std::vector<std::string> lines_of(const std::string& toml) {
  std::vector<std::string> out;
  for (const auto& m : problems_of(toml))
    out.push_back(std::to_string(m.place.line) + " " + m.field + ": " + m.text);
  return out;
}

}  // namespace

TEST_CASE("a key or a section that is not known is told with the place where it belongs") {
  const std::vector<Unknown> cases = {
      {"a slip of the key",
       "[deck]\nflatnes = \"20 mm\"\n",
       {"2 deck.flatnes: found key \"flatnes\", which is not known, expected a key of [deck]; try flatness"}},
      {"a key of another section",
       "[deck]\nmax_spacing = \"1 m\"\n",
       {"2 deck.max_spacing: found key \"max_spacing\", which is not known, expected a key of [deck]; "
        "max_spacing "
        "belongs under [hangers]"}},
      {"a key of two other sections",
       "[deck]\nheight = \"3 m\"\n",
       {"2 deck.height: found key \"height\", which is not known, expected a key of [deck]; height belongs "
        "under "
        "[hangers] or [[setup]]"}},
      {"a key of four other sections",
       "[deck]\nsd = \"3 mm\"\n",
       {"2 deck.sd: found key \"sd\", which is not known, expected a key of [deck]; sd belongs under "
        "[plumb], "
        "[asbuilt], [[setup]] or [book]"}},
      {"a slip of a key of another section",
       "[deck]\nmax_spacin = \"1 m\"\n",
       {"2 deck.max_spacin: found key \"max_spacin\", which is not known, expected a key of [deck]; try "
        "max_spacing "
        "under [hangers]"}},
      {"a slip that is nearer here than elsewhere",
       "[plumb]\nmark = \"marks.csv\"\n",
       {"2 plumb.mark: found key \"mark\", which is not known, expected a key of [plumb]; try marks"}},
      {"a key that is like none",
       "[deck]\nwombat = 1\n",
       {"2 deck.wombat: found key \"wombat\", which is not known, expected a key of [deck]"}},
      {"a key above all sections",
       "max_spacing = \"1 m\"\n",
       {"1 max_spacing: found key \"max_spacing\", which is not known, expected a known section or key; "
        "max_spacing "
        "belongs under [hangers]"}},
      {"a slip of a key above all sections",
       "titel = \"A\"\n",
       {"1 titel: found key \"titel\", which is not known, expected a known section or key; try title"}},
      {"the title in a section",
       "[drawing]\ntitle = \"A\"\n",
       {"2 drawing.title: found key \"title\", which is not known, expected a key of [drawing]; title "
        "belongs above "
        "all sections"}},
      {"a slip of a section: its keys are not told one by one",
       "[hanger]\nheigth = 3\nwombat = 1\n",
       {"1 hanger: found section [hanger], which is not known, expected a known section or key; try "
        "hangers"}},
      {"a key in place of a section",
       "[ties]\nfile = \"ties.csv\"\n",
       {"1 ties: found section [ties], which is not known, expected a known section or key; ties belongs "
        "under "
        "[baselines]"}},
      {"a section within a section",
       "[drawing.hangers]\nstock = \"3 m\"\n",
       {"1 drawing.hangers: found key \"hangers\", which is not known, expected a key of [drawing]; "
        "[hangers] is a "
        "section of its own"}},
      {"several setups under a wrong word",
       "[[setups]]\nname = \"S1\"\n",
       {"1 setups: found section [setups], which is not known, expected a known section or key; try setup"}},
      {"several crews under a wrong word",
       "[[crews]]\nname = \"north\"\n",
       {"1 crews: found section [crews], which is not known, expected a known section or key; try crew"}},
      {"a key of a setup in the instrument",
       "[instrument]\norientation = \"0°\"\n",
       {"2 instrument.orientation: found key \"orientation\", which is not known, expected a key of "
        "[instrument]; "
        "orientation belongs under [[setup]]"}},
      {"a word of a table",
       "[deck]\nbays = { file = \"bays.csv\", colums = [\"x\"] }\n",
       {"2 deck.bays.colums: found key \"colums\", which is not known, expected a key of [deck.bays]; try "
        "columns"}},
      {"a frame of a table that has none",
       "[deck]\nbays = { file = \"bays.csv\", frame = \"grid\" }\n",
       {"2 deck.bays.frame: found key \"frame\", which is not known, expected a key of [deck.bays]"}},
      {"a section that is none", "deck = 3\n", {"1 deck: found \"3\", expected a section [deck]"}},
  };
  for (const Unknown& c : cases) {
    CAPTURE(c.what);
    std::vector<std::string> told = lines_of(c.toml);
    // What else such a job lacks is told elsewhere.
    std::erase_if(told,
                  [](const std::string& line) { return line.find("no such file") != std::string::npos; });
    CHECK(told == c.told);
  }
}

TEST_CASE("a key of one part that is not known spoils no other part's reading") {
  const auto told = lines_of("[deck]\nwombat = 1\nflatness = 5\n[plumb]\nsd = 3\n[list]\ndecimals = \"x\"\n");
  REQUIRE(told.size() == 4);
  CHECK(told[0].starts_with("2 deck.wombat"));
  CHECK(told[1].starts_with("3 deck.flatness"));
  CHECK(told[2].starts_with("5 plumb.sd"));
  CHECK(told[3].starts_with("7 list.decimals"));
}
