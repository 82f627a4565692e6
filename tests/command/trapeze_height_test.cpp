// A trapeze has its own level, to which its rods are cut: what follows from it, through the real program.
#include "overhead_support.h"

using namespace deckmark_test;

namespace {

/// R1 from x 0 to 6 at y 3, hangers every 1.2 m, the floor at 0, the deck at 4, brackets at 2.5; the duct
/// lies over R1-03 at 2.4 and, with its clearance, from 2.1 to 2.6.
struct Ducted : JobFolder {
  explicit Ducted(const std::string& obstructions, const std::string& hangers = "",
                  const std::string& height = "") {
    write("runs.csv", "run,kind,x1,y1,x2,y2,height\nR1,line,0,3,6,3," + height + "\n");
    write("ducts.csv", "name,x,y,clearance\nD1,2.2,0,0.1\nD1,2.5,0,\nD1,2.5,6,\nD1,2.2,6,\n");
    write_overhead(*this, {.drawing = "runs = \"runs.csv\"\nframe = \"site\"\n",
                           .hangers = "max_spacing = \"1.2 m\"\n" + hangers,
                           .more = "[list]\ndescription = [\"point\", \"drop\"]\n[obstructions]\noutlines = "
                                   "\"ducts.csv\"\n" +
                                   obstructions});
  }
};
const std::string kCuts = "cut_top = \"150 mm\"\ncut_bottom = \"100 mm\"\nstock = \"3.66 m\"\n";

}  // namespace

TEST_CASE("supports are cut to the trapeze's height, hangers to their own") {
  const Ducted job("trapeze_height = \"3.2 m\"\n", kCuts);
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  const TableRows points = table(job, "points.csv"), hangers = table(job, "hangers.csv");
  REQUIRE(points.size() == 8);
  for (const TableRow& p : points) {
    const bool is_support = p.at("kind") == "support";
    CAPTURE(p.at("point"));
    CHECK(number(p, "attach_elevation") == (is_support ? 3.2 : 2.5));
    CHECK(number(p, "drop") == doctest::Approx(is_support ? 0.8 : 1.5));
    CHECK(number(p, "rise") == 4);
  }
  for (const TableRow& h : hangers) {
    const bool is_support = h.at("point").find("R1-03-") == 0;
    CHECK(number(h, "drop") == doctest::Approx(is_support ? 0.8 : 1.5));
    CHECK(number(h, "cut") == doctest::Approx(is_support ? 1.05 : 1.75));
  }
  CHECK(count_of(hangers, "drop", "0.80000") == 2);
  // what is handed out and kept: list, ledger, the changes of an issue
  std::size_t listed = 0;
  for (const auto& row : csv_rows(job.read("out/deck-list.csv")))
    listed += row[4].find("0.8000") != std::string::npos;
  CHECK(listed == 2);
  const TableRows ledger = named_rows(job.read("numbers.csv"));
  CHECK(number(row_of(ledger, "point", "R1-03-a"), "attach_elevation") == 3.2);
  CHECK(number(row_of(ledger, "point", "R1-03-a"), "cut") == doctest::Approx(1.05));
  Ducted raised("trapeze_height = \"3.3 m\"\n", kCuts);
  for (const char* kept : {"numbers.csv", "issued.csv"}) raised.write(kept, job.read(kept));
  CHECK(raised.run().exit_code == 0);
  const TableRows changes = table(raised, "changes.csv");
  CHECK(changes.size() == 4);
  CHECK(count_of(changes, "change", "raised") == 2);
  CHECK(count_of(changes, "change", "shorter") == 2);
  CHECK(count_of(changes, "point", "R1-03-b") == 2);
}

TEST_CASE("without trapeze_height supports keep the height of the hanger that they carry; stated, it wins") {
  for (const auto& [key, height, want] :
       {std::tuple{"", "", 2.5}, {"", "2.8", 2.8}, {"trapeze_height = \"3.2 m\"\n", "2.8", 3.2}}) {
    const Ducted job(key, "", height);
    CHECK(job.run().exit_code == 0);
    CHECK(number(row_of(table(job, "points.csv"), "point", "R1-03-b"), "attach_elevation") == want);
  }
}

TEST_CASE("a trapeze over its deck is refused, one below what it carries doubted, at its key") {
  struct Row {
    std::string key, height;
    int exit_code;
    std::string told;
  };
  for (const Row& row : {
           Row{"trapeze_height = \"4 m\"\n", "", 2,
               "job.toml:15:18: obstructions.trapeze_height: found 2 supports, R1-03-a the first: attach "
               "elevation "
               "4.000 m, deck 4.000 m there, expected a deck above the attach elevation; try checking "
               "trapeze_height, floor and deck elevations\n"},
           Row{"trapeze_height = \"2.4 m\"\n", "", 0,
               "doubt: job.toml:15:18: obstructions.trapeze_height: the bar at 2.4000 m would hang below the "
               "bracket "
               "that it carries, R1-03 at 2.5000 m: raise trapeze_height, or check the height of the "
               "bracket\n"},
           Row{"trapeze_height = \"2.5 m\"\n", "", 0, ""},
           Row{"trapeze_height = \"2.5 m\"\n", "2.6", 0, "R1-03 at 2.6000 m"},
           Row{"trapeze_height = \"2.5\"\n", "", 2, "obstructions.trapeze_height: found \"2.5\""},
           Row{"trapeze_height = \"3.2 km\"\n", "", 2, "obstructions.trapeze_height"},
           Row{"trapeze_hight = \"3.2 m\"\n", "", 2, "trapeze_height"},
       }) {
    CAPTURE(row.key);
    CAPTURE(row.height);
    const Ducted job(row.key, "", row.height);
    const CommandResult r = job.run({"check", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == row.exit_code);
    CHECK(r.err.find(row.told) != std::string::npos);
    if (row.told.empty()) CHECK(r.err.find("trapeze_height") == std::string::npos);
  }
}
