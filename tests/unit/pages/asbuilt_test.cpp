#include "pages/asbuilt.h"

#include <doctest/doctest.h>

#include "unit/stages/plain_shots.h"

using namespace plain;

namespace {

using Names = std::vector<std::string_view>;

struct Case {
  PlainLaid laid = laid_of({{"A", 0, 0, "R7"}, {"B", 5, 0}, {"C", 9, 0}, {"D", 12, 0}});
  PlainAsbuilt stated;
  AsbuiltFound found;

  Case() {
    laid.put_deck(6);
    stated.asbuilt = shots_of({{"p", at(0, 0)},
                               {"q", at(0, 0), {}, {}, "S1", "S2"},
                               {"r", at(0, 0)},
                               {"s", at(0, 0), {}, {}, "S3"},
                               {"t", at(0, 0)}});
    stated.asbuilt.options.plan = mm(7);
    stated.flatness = mm(33);
    stated.site_unit = LengthUnit::foot;
    AsbuiltRow row{.shot = 1, .mark = 2, .level = AsbuiltLevel::deck, .design = at(0, 0), .at = at(0, 0)};
    found.rows = {row, row, row};
    found.rows[1].shot = 3;
    found.rows[1].level = AsbuiltLevel::floor;
    found.rows[2].mark = 1;
    found.unmatched = {2};
    found.ambiguous = {{4, 0}};
    found.missing = {3, 0};
    found.doubled = {{0, 1}, {0, 1}, {0, 2}};
    found.levels.resize(2);
    found.other_floors.resize(1);
    found.unplaced = {"S3"};
    found.causes.noise = mm(1.5);
    found.causes.tried = 17;
    Cause cause;
    cause.shots = {1, 0};
    cause.group = {.kind = GroupKind::setup, .word = 2};
    found.causes.causes = {cause};
  }
  AsbuiltPage page() const { return asbuilt_page(stated.view(), laid.view(), found); }
};

}  // namespace

TEST_CASE("the page of as-built shots: every row with its number, its point and its setups") {
  const Case c;
  const AsbuiltPage page = c.page();
  REQUIRE(page.lines.size() == 3);
  CHECK(page.lines[0].number == 6003);
  CHECK(page.lines[0].point == "C");
  CHECK(page.lines[0].row == &c.found.rows[0]);
  CHECK(page.lines[0].shot_from == "S1");
  CHECK(page.lines[0].marked_from == "S2");
  CHECK(page.lines[1].number == 1003);
  CHECK(page.lines[1].shot_from == "S3");
  CHECK(page.lines[1].marked_from == "");
  CHECK(page.lines[2].point == "B");
  CHECK(page.shots == 5);
  CHECK(page.options.plan == mm(7));
  CHECK(page.flatness == mm(33));
  CHECK(page.unit == LengthUnit::foot);
  CHECK(page.runs == &c.found.runs);
  CHECK(page.run_name(1) == "R7");
  CHECK(page.levels.size() == 2);
  CHECK(page.other_floors.size() == 1);
}

TEST_CASE("names of shots that met no mark, of marks without a shot, of marks shot twice") {
  const Case c;  // the page views it
  const AsbuiltPage page = c.page();
  CHECK(page.unmatched == Names{"r"});
  CHECK(page.ambiguous == Names{"t"});
  CHECK(page.missing == Names{"D", "A"});
  CHECK(page.doubled == Names{"C", "B"});  // each once, by the mark of the later row
  CHECK(page.unplaced == Names{"S3"});
}

TEST_CASE("causes with the names behind their numbers") {
  const Case c;
  const AsbuiltPage page = c.page();
  REQUIRE(page.causes.size() == 1);
  CHECK(page.causes[0].cause == &c.found.causes.causes[0]);
  CHECK(page.causes[0].group.name == "S3");
  CHECK(page.causes[0].numbers == std::vector<std::uint32_t>{1003, 6003});
  CHECK(page.noise == mm(1.5));
  CHECK(page.tried == 17);
}

TEST_CASE("as-built shots in words") {
  Case c;
  c.found = {};
  c.found.unmatched = {2};
  c.found.unplaced = {"S3"};
  const std::string text = asbuilt_part(c.stated.view(), c.laid.view(), c.found);
  CHECK(text.starts_with("AS-BUILT: 5 shots against the design\n"));
  CHECK(text.find("no shot meets a point of the drawing") != std::string::npos);
}
