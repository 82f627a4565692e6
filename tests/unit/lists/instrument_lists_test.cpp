#include "lists/instrument_lists.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "unit/lists/written_text.h"
#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;
using lists_test::written_lines;
using Strings = std::vector<std::string>;
using Level = ListFile::Level;
using enum ListColumn;

namespace {

/// Lists of marks laid out by hand: E = 200 + x, N = 100 + y, floor at 0.25 m, three decimals of metres.
struct Lists {
  PlainLaid laid;
  ListOptions options{};
  GroundJob ground{};
  std::vector<ControlPoint> control{};
  std::optional<LaidOut> view{};
  std::vector<StatedCrew> stated_crews{};
  Staged<Crews> crews{};

  explicit Lists(const std::vector<PlainMark>& marks) : laid(laid_of(marks)) {
    options.unit = LengthUnit::metre;
    options.decimals = 3;
    laid.floor = Elevation::metres(0.25);
  }
  void number(const std::vector<std::uint32_t>& numbers) {
    laid.numbers.issue.numbers.assign(numbers.begin(), numbers.end());
  }
  ListsInput input() {
    view.emplace(laid.view());
    if (!stated_crews.empty()) crews = find_crews({stated_crews, {}}, laid.marks);
    return {options,    ground, control, *view, Where::at("job.toml", {7, 1}), Where::at("job.toml", {8, 1}),
            crews.get()};
  }
  /// Files and their lines.
  struct File {
    std::string part;
    Level level;
    Strings lines;
  };
  std::vector<File> files() {
    const ListsInput in = input();
    std::vector<File> out;
    for (ListFile& file : list_files(in)) {
      const std::string part = file.part;
      const Level level = file.level;
      out.push_back({part, level, written_lines(*list_table(in, std::move(file)))});
    }
    return out;
  }
  Messages look() { return look_at_lists(input()); }
};

}  // namespace

TEST_CASE("the floor list: by number, northing before easting, the floor's elevation, name and kind") {
  Lists l({{"A", 1, 2, "R1"}, {"B", 3, 4.5, "", "reference"}, {"C", 0, 0}});
  l.number({1003, 1001, 1002});
  const auto files = l.files();
  REQUIRE(files.size() == 1);
  CHECK(files[0].level == Level::floor);
  CHECK(files[0].part.empty());
  CHECK(files[0].lines == Strings{"1001,104.500,203.000,0.250,B reference",
                                  "1002,100.000,200.000,0.250,C hanger",
                                  "1003,102.000,201.000,0.250,A hanger"});
}

TEST_CASE("the deck list: deck numbers and heights, without reference points and bridged hangers") {
  Lists l({{"A", 1, 2}, {"B", 3, 4}, {"C", 5, 6, "", "reference"}, {"D", 7, 8}});
  l.laid.put_deck(6.5, 4000);
  l.laid.marks.bridged = {0, 1, 0, 0};
  const auto files = l.files();
  REQUIRE(files.size() == 2);
  CHECK(files[0].level == Level::floor);
  CHECK(files[0].lines.size() == 4);
  CHECK(files[1].level == Level::deck);
  CHECK(files[1].lines ==
        Strings{"5001,102.000,201.000,6.500,A hanger", "5004,108.000,207.000,6.500,D hanger"});
}

TEST_CASE("every column stands where the job wants it, in the list's unit, with its header") {
  Lists l({{"A", 0.3048, 0.6096, "R1", "brace"}});
  l.options.columns = {description, elevation, easting, northing, y, x, run, kind, point, ListColumn::number};
  l.options.unit = LengthUnit::foot;
  l.options.header = true;
  l.laid.placed.marks[0] = at(0.3048 * 7, 0.3048 * 9);
  l.laid.floor = Elevation::metres(0.3048 * 3);
  CHECK(l.files()[0].lines ==
        Strings{"description,elevation (ft),easting (ft),northing (ft),y (ft),x (ft),run,kind,point,number",
                "A brace,3.000,9.000,7.000,2.000,1.000,R1,brace,A,1001"});
}

TEST_CASE("by run: runs in the order of their first point in the drawing, in a run by number") {
  Lists l({{"A", 0, 0, "Z"}, {"B", 0, 0}, {"C", 0, 0, "K"}, {"D", 0, 0, "Z"}, {"E", 0, 0}, {"F", 0, 0, "K"}});
  l.number({1006, 1005, 1004, 1003, 1002, 1001});
  l.options.columns = {ListColumn::number, run};
  l.options.order = ListOrder::run;
  CHECK(l.files()[0].lines == Strings{"1003,Z", "1006,Z", "1002,", "1005,", "1001,K", "1004,K"});
}

TEST_CASE("only some runs: whatever the case of their names, on floor and deck alike") {
  Lists l({{"A", 0, 0, "R1"}, {"B", 0, 0, "R2"}, {"C", 0, 0}, {"D", 0, 0, "R1"}});
  l.laid.put_deck(3, 100);
  l.options.columns = {ListColumn::number};
  l.options.only = {"r1"};
  auto files = l.files();
  CHECK(files[0].lines == Strings{"1001", "1004"});
  CHECK(files[1].lines == Strings{"1101", "1104"});
  l.options.only = {"R2", "R1"};
  CHECK(l.files()[0].lines == Strings{"1001", "1002", "1004"});
}

TEST_CASE("split: a file for every run, one for points without, on floor and deck") {
  Lists l({{"A", 0, 0, "R 1"},
           {"B", 0, 0},
           {"C", 0, 0, "R2"},
           {"D", 0, 0, "R 1"},
           {"E", 0, 0, "R2", "reference"}});
  l.laid.put_deck(3, 100);
  l.options.columns = {ListColumn::number};
  l.options.split = ListSplit::run;
  const auto files = l.files();
  REQUIRE(files.size() == 6);
  const struct {
    const char* run;
    Level level;
    Strings lines;
  } want[] = {{"R_1", Level::floor, {"1001", "1004"}}, {"none", Level::floor, {"1002"}},
              {"R2", Level::floor, {"1003", "1005"}},  {"R_1", Level::deck, {"1101", "1104"}},
              {"none", Level::deck, {"1102"}},         {"R2", Level::deck, {"1103"}}};
  for (std::size_t i = 0; i < files.size(); ++i) {
    CAPTURE(i);
    CHECK(files[i].part == want[i].run);
    CHECK(files[i].level == want[i].level);
    CHECK(files[i].lines == want[i].lines);
  }
}

TEST_CASE("together: control by name, then the floor, then the deck") {
  Lists l({{"A", 1, 2}, {"B", 3, 4, "", "reference"}});
  l.options.together = true;
  l.options.columns = {ListColumn::number, x, y, northing, easting, elevation, kind};
  l.control = {{"CP1", at(110, 220), Elevation::metres(0.5), {}}, {"CP2", at(100, 200), {}, {}}};
  const Strings control{"CP1,20.000,10.000,110.000,220.000,0.500,control",
                        "CP2,0.000,0.000,100.000,200.000,,control"},
      floor{"1001,1.000,2.000,102.000,201.000,0.250,hanger",
            "1002,3.000,4.000,104.000,203.000,0.250,reference"};
  Strings want = control;
  want.insert(want.end(), floor.begin(), floor.end());
  auto files = l.files();
  REQUIRE(files.size() == 1);
  CHECK(files[0].level == Level::together);
  CHECK(files[0].lines == want);
  l.laid.put_deck(7);
  want.emplace_back("6001,1.000,2.000,102.000,201.000,7.000,hanger");
  CHECK(l.files()[0].lines == want);
}

TEST_CASE("grid coordinates: from the base point by the combined factor; x and y stay the drawing's") {
  Lists l({{"A", 1, 2}});
  l.options.frame = ListFrame::grid;
  l.options.header = true;
  l.options.columns = {northing, easting, x, y};
  l.ground.ground = claim_ground({{.northing = m(100), .easting = m(200)}}, 0.99);
  // N = 100 + 0.99 * 2, E = 200 + 0.99 * 1
  CHECK(l.files()[0].lines ==
        Strings{"grid_northing (m),grid_easting (m),x (m),y (m)", "101.980,200.990,1.000,2.000"});
}

TEST_CASE("a drop in the description: deck minus bracket, none on a trapeze or where nothing is known") {
  Lists l({{"A", 0, 0, "", "", 2.5}, {"B", 0, 0}, {"C", 0, 0, "", "", 2.5}});
  l.laid.put_deck(4);
  l.laid.marks.bridged = {0, 0, 1};
  l.options.columns = {ListColumn::number, description};
  l.options.description = {DescriptionPart::drop, DescriptionPart::point};
  // 4 - (0.25 + 2.5) = 1.25
  CHECK(l.files()[0].lines == Strings{"1001,1.250 A", "1002,B", "1003,C"});
  CHECK(l.files()[1].lines == Strings{"6001,1.250 A", "6002,B"});
  l.options.decimal_mark = ',';
  l.options.separator = ';';
  CHECK(l.files()[0].lines[0] == "1001;1,250 A");
  l.options.description_length = 3;  // the cut text
  CHECK(l.files()[0].lines[0] == "1001;1,2");
}

TEST_CASE("a description that needs the full rules comes out as a plain one would") {
  Lists l({{"St\u00fctze", 0, 0}, {"A,B", 0, 0}, {"C", 0, 0}});
  l.options.columns = {description};
  CHECK(l.files()[0].lines == Strings{"Stutze hanger", "A B hanger", "C hanger"});
}

TEST_CASE("decimals that round by over 2 mm are doubted, with how many would do") {
  struct Row {
    LengthUnit unit;
    int decimals;
    const char* words;
  };
  for (const Row& r :
       {Row{LengthUnit::metre, 3, ""}, Row{LengthUnit::metre, 2, "2 decimals of m"},
        Row{LengthUnit::metre, 0, "0 decimals of m"}, Row{LengthUnit::foot, 2, ""},
        Row{LengthUnit::foot, 1, "1 decimals of ft"}, Row{LengthUnit::millimetre, 0, ""},
        Row{LengthUnit::centimetre, 0, "0 decimals of cm"}, Row{LengthUnit::centimetre, 1, ""}}) {
    CAPTURE(r.words);
    Lists l({{"A", 0, 0}});
    l.options.unit = r.unit;
    l.options.decimals = r.decimals;
    const Messages messages = l.look();
    const Strings lines = told(messages, Grade::doubt);
    CHECK(messages.doubts() == (*r.words ? 1 : 0));
    if (!*r.words) continue;
    CHECK(lines[0].starts_with(std::string("job.toml:8:1: list.decimals: ") + r.words));
    const char* enough = r.unit == LengthUnit::metre  ? ": 3 or more"
                         : r.unit == LengthUnit::foot ? ": 2 or"
                                                      : ": 1 or";
    CHECK_MESSAGE(lines[0].find(enough) != std::string::npos, lines[0]);
  }
  Lists coarse({{"A", 0, 0}});
  coarse.options.decimals = 2;
  CHECK(told(coarse.look(), Grade::doubt)[0].find("move marks by up to 5.0 mm in the lists") !=
        std::string::npos);  // half of 10 mm
}

TEST_CASE("names like formulas are doubted at their place, described or not") {
  Lists l({{"A", 0, 0}, {"=B", 0, 0}, {"C-1", 0, 0}, {"-D", 0, 0}});
  l.options.columns = {ListColumn::number};
  const Strings lines = told(l.look(), Grade::doubt);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].starts_with("drawing.csv:3:1: point: \"=B\" begins like a formula"));
  CHECK(lines[1].starts_with("drawing.csv:5:1: point: \"-D\" begins like a formula"));
}

TEST_CASE("a separator in a description is noticed, in names and in kinds, where there is a description") {
  Lists l({{"A", 0, 0, "", "x,y"}, {"B,1", 0, 0}, {"C", 0, 0, "r,s"}});
  const Strings lines = told(l.look(), Grade::notice);
  REQUIRE(lines.size() == 2);  // runs are not described
  CHECK(lines[0].starts_with("drawing.csv:2:1: point: \"A x y\" in the lists"));
  CHECK(lines[1].starts_with("drawing.csv:3:1: point: \"B 1 hanger\" in the lists"));
  l.options.separator = ';';
  CHECK(told(l.look(), Grade::notice).empty());
  l.options.separator = ',';
  l.options.columns = {ListColumn::number};
  CHECK(told(l.look(), Grade::notice).empty());
}

TEST_CASE("descriptions that become equal are doubted at the later point") {
  const auto doubts = [](Lists& l) { return told(l.look(), Grade::doubt); };
  SUBCASE("cut to the same first characters") {
    Lists l({{"COLUMN-1", 0, 0}, {"B", 0, 0}, {"COLUMN-2", 0, 0}});
    l.options.description_length = 7;
    const Strings lines = doubts(l);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0] ==
          "drawing.csv:4:1: point: \"COLUMN-1\" and \"COLUMN-2\" have one description in the lists: "
          "\"COLUMN-\"");
    l.options.description_length = 8;
    CHECK(doubts(l).empty());
  }
  SUBCASE("cut behind a part that stands before the name") {
    Lists l({{"A1", 0, 0}, {"A2", 0, 0}});
    l.options.description = {DescriptionPart::kind, DescriptionPart::point};
    l.options.description_length = 8;  // hanger A
    CHECK(doubts(l).size() == 1);
  }
  SUBCASE("letters that ASCII lacks") {
    Lists l({{"A1", 0, 0}, {"\u00c41", 0, 0}});
    CHECK(doubts(l).size() == 1);
    l.options.ascii = false;
    CHECK(doubts(l).empty());
  }
  SUBCASE("blanks that run a name and a kind together") {
    Lists l({{"P", 0, 0, "", "Q hanger"}, {"P Q", 0, 0}});
    CHECK(doubts(l).size() == 1);
  }
  SUBCASE("without the name they are meant to be alike") {
    Lists l({{"A", 0, 0}, {"B", 0, 0}});
    l.options.description = {DescriptionPart::kind};
    CHECK(doubts(l).empty());
  }
}

TEST_CASE("what is told of lists is no problem, and nothing is told of plain ones") {
  Lists l({{"A", 0, 0, "R1"}, {"B", 1, 1}});
  const Messages messages = l.look();
  CHECK_FALSE(messages.has_problems());
  CHECK(messages.doubts() == 0);
  CHECK(told(messages, Grade::notice).empty());
}

namespace {

constexpr CrewWork kFloor = CrewWork::floor, kDeck = CrewWork::deck, kHang = CrewWork::hang;

StatedCrew crew(const std::string& name, std::uint32_t line, const Strings& runs,
                std::vector<CrewWork> does) {
  StatedCrew out{name, Where::at("job.toml", {line, 1}), {}, {}, {}, {}, std::move(does)};
  for (const std::string& run : runs) out.runs.push_back({run, out.where});
  return out;
}

using Parts = std::vector<std::pair<std::string, Strings>>;
Parts numbers_of(const std::vector<Lists::File>& files) {
  Parts out;
  for (const auto& f : files) out.emplace_back((f.level == Level::deck ? "deck " : "") + f.part, f.lines);
  return out;
}

}  // namespace

TEST_CASE("crews: each has its own marks, of the work that it does, and no list that would be empty") {
  Lists l({{"A", 0, 0, "R1"}, {"B", 0, 0, "R2"}, {"C", 0, 0, "R1"}, {"D", 0, 0, "R3", "reference"}});
  l.options.columns = {ListColumn::number};
  l.laid.put_deck(3, 100);
  l.stated_crews = {crew("up", 20, {"R1"}, {kDeck, kHang}), crew("all", 30, {"R1", "R2"}, {kFloor, kDeck}),
                    crew("rods", 40, {"R2"}, {kHang}), crew("refs", 50, {"R3"}, {kFloor, kDeck})};
  CHECK(numbers_of(l.files()) == Parts{{"", {"1001", "1002", "1003", "1004"}},
                                       {"deck ", {"1101", "1102", "1103"}},
                                       {"deck up", {"1101", "1103"}},
                                       {"all", {"1001", "1002", "1003"}},
                                       {"deck all", {"1101", "1102", "1103"}},
                                       {"refs", {"1004"}}});
  CHECK(told(l.look(), Grade::doubt) ==
        Strings{"job.toml:50:1: crew: crew \"refs\" has no point for a deck list: none is written for it"});
  // Split by run a crew has one list for all its runs; runs that are not listed are in no crew's either.
  l.options.split = ListSplit::run;
  l.options.only = {"r2", "R3"};
  CHECK(numbers_of(l.files()) == Parts{{"R2", {"1002"}},
                                       {"R3", {"1004"}},
                                       {"deck R2", {"1102"}},
                                       {"all", {"1002"}},
                                       {"deck all", {"1102"}},
                                       {"refs", {"1004"}}});
  CHECK(
      told(l.look(), Grade::doubt) ==
      Strings{"job.toml:20:1: crew: crew \"up\" has no point for a deck list among the runs of [list] only: "
              "none is written for it",
              "job.toml:50:1: crew: crew \"refs\" has no point for a deck list among the runs of [list] "
              "only: none is written for it"});
}

TEST_CASE("crews: together, control stands first in every crew's list") {
  Lists l({{"A", 0, 0, "R1"}, {"B", 0, 0, "R2"}});
  l.options.columns = {ListColumn::number};
  l.options.together = true;
  l.control = {{"CP1", at(0, 0), {}, {}}};
  l.laid.put_deck(3, 100);
  l.stated_crews = {crew("up", 20, {"R1"}, {kDeck}), crew("down", 30, {"R2"}, {kFloor}),
                    crew("rods", 40, {"R2"}, {kHang})};
  CHECK(numbers_of(l.files()) == Parts{{"", {"CP1", "1001", "1002", "1101", "1102"}},
                                       {"up", {"CP1", "1101"}},
                                       {"down", {"CP1", "1002"}}});
}
