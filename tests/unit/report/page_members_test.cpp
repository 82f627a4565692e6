// Members of runs on the page: how they end and meet on the plan, and what the tables say.
#include <doctest/doctest.h>

#include <cstdlib>

#include "page_support.h"
#include "support/page_reader.h"

using namespace page_test;
using namespace deckmark_test;

namespace {

using End = PlanMember::End;
using Rows = std::vector<std::vector<std::string>>;

Length m(double v) { return Length::metres(v); }

/// The small page with a member from (1, 1) to (11, 1).
JobPage page_with(End start, End finish, bool is_of_pair = false) {
  JobPage page = small_page();
  page.plan.members = {{{at(1, 1), at(11, 1)}, start, finish, is_of_pair}};
  return page;
}
PageNode read(const JobPage& page) { return read_page(page_html(page)); }
const PageNode& plan_of(const PageNode& page) {
  return *elements(section(page, "Plan"), "svg", "plan").at(0);
}
std::string key_of(const PageNode& page) { return text_of(*elements(page, "ul", "key").at(0)); }

/// Ends of a straight path `M0 0L1 1`.
struct Segment {
  double x, y, to_x, to_y;
};
Segment segment(const PageNode& path) {
  Segment s{};
  char* at = nullptr;
  const std::string& d = path.attributes.at("d");
  s.x = std::strtod(d.c_str() + 1, &at);
  s.y = std::strtod(at, &at);
  s.to_x = std::strtod(at + 1, &at);
  s.to_y = std::strtod(at, &at);
  return s;
}

HungRunLine run_line(std::string_view name, std::string_view kind, std::vector<MemberLine> members) {
  return {name, kind, m(4), 3, 0, m(1), {}, {}, {}, std::move(members)};
}

}  // namespace

TEST_CASE("a free end has a thin bar across it, one at a wall a thick one, a joined one and a ring none") {
  struct Row {
    End start, finish;
    std::size_t thin, thick;
    std::string key;
  };
  for (const Row& r :
       {Row{End::free, End::free, 2, 0, "free end"}, Row{End::wall, End::free, 1, 1, "free endend at a wall"},
        Row{End::joined, End::wall, 0, 1, "end at a wallend that joins another run"},
        Row{End::none, End::none, 0, 0, ""}}) {
    CAPTURE(r.key);
    const PageNode page = read(page_with(r.start, r.finish));
    const PageNode& shapes = *elements(plan_of(page), "svg", "shapes").at(0);
    CHECK(elements(shapes, "path", "member").size() == 1);
    CHECK(elements(shapes, "path", "fine").size() == r.thin);
    CHECK(elements(shapes, "path", "wall").size() == r.thick);
    CHECK(key_of(page) == "within: 1outside: 1unsure: 1not measured: 1" + r.key);
  }
}

TEST_CASE("the bar stands square across its end, the wall's beyond it") {
  JobPage job = small_page();
  job.plan.members = {{{at(3, 2), at(7, 5)}, End::wall, End::free, false}};
  const PageNode page = read(job);
  const PageNode& shapes = *elements(plan_of(page), "svg", "shapes").at(0);
  const Segment line = segment(*elements(shapes, "path", "member").at(0)),
                wall = segment(*elements(shapes, "path", "wall").at(0)),
                thin = segment(*elements(shapes, "path", "fine").at(0));
  const double way_x = line.to_x - line.x, way_y = line.to_y - line.y;
  for (const Segment& bar : {wall, thin})
    CHECK((bar.to_x - bar.x) * way_x + (bar.to_y - bar.y) * way_y == doctest::Approx(0).epsilon(1).scale(30));
  CHECK((thin.x + thin.to_x) / 2 == doctest::Approx(line.to_x).epsilon(0.001));
  CHECK((thin.y + thin.to_y) / 2 == doctest::Approx(line.to_y).epsilon(0.001));
  // Before the start, as one walks along the member.
  CHECK(((wall.x + wall.to_x) / 2 - line.x) * way_x + ((wall.y + wall.to_y) / 2 - line.y) * way_y < 0);
}

TEST_CASE("a cut member is parted beside the one that goes through, but not where an eye could not see it") {
  struct Row {
    double apart;
    std::size_t gaps;
  };
  for (const Row& r : {Row{0, 1}, Row{0.4, 1}, Row{0.01, 0}}) {
    CAPTURE(r.apart);
    JobPage job = page_with(End::none, End::none);
    job.plan.members.push_back({{at(6, 0), at(6, 4)}, End::none, End::none, false});
    job.plan.through = {{at(6, 1), at(6, 2), m(r.apart)}};
    const PageNode page = read(job);
    const PageNode& shapes = *elements(plan_of(page), "svg", "shapes").at(0);
    const auto gaps = elements(shapes, "path", "gap");
    REQUIRE(gaps.size() == r.gaps);
    CHECK(elements(shapes, "path", "member").size() == 2 + r.gaps);
    CHECK(key_of(page).ends_with("goes through, notched for the other"));
    if (gaps.empty()) continue;
    // Along the one that goes through, which is upright here.
    const Segment gap = segment(*gaps[0]);
    CHECK(gap.x == gap.to_x);
    CHECK(std::abs(gap.y - gap.to_y) < 6);
  }
}

TEST_CASE("how the members of a pair are called is told where there is one") {
  const std::string note = "left and right as one walks from the run's start";
  CHECK(text_of(read(page_with(End::free, End::free, true))).find(note) != std::string::npos);
  CHECK(text_of(read(page_with(End::free, End::free))).find(note) == std::string::npos);
}

TEST_CASE("numbers keep off members where there is room, and are there where there is none") {
  JobPage job = small_page();
  PlanLevel& floor = job.plan.levels[0];
  floor.marks = {{at(5, 1), 1001, 1, PlanSymbol::not_measured, "A"},
                 {at(5, 4), 1002, 1, PlanSymbol::not_measured, "B"}};
  const auto label = [&](const std::string& text) -> const PageNode* {
    static PageNode page;
    page = read(job);
    for (const PageNode* t : elements(plan_of(page), "text"))
      if (text_of(*t) == text) return t;
    return nullptr;
  };
  const auto left_of = [](const PageNode* t) { return std::strtod(t->attributes.at("x").c_str(), nullptr); };
  REQUIRE(label("1002"));
  const double alone = left_of(label("1002"));
  for (const double side : {-0.05, 0.05})
    job.plan.members.push_back({{at(5 + side, 0.5), at(5 + side, 5.5)}, End::none, End::none, true});
  REQUIRE(label("1002"));
  CHECK(left_of(label("1002")) > alone + 15);  // beside the upright pair, no longer over the mark
  for (int i = 0; i < 40; ++i)
    job.plan.members.push_back({{at(0, 0.2 * i), at(12, 0.2 * i)}, End::none, End::none, true});
  CHECK(label("1001"));
  CHECK(label("1002"));
}

TEST_CASE("members, where runs meet and labels stand in tables of their own") {
  JobPage job = small_page();
  job.hung = {run_line("R1", "line",
                       {{"left", m(3.9), "wall", "joined", HangFirst::from, "R2"},
                        {"right", m(4.1), "wall", "joined", HangFirst::from, "R2"}}),
              run_line("R2", "line", {{"", m(2), "free", "free", HangFirst::middle}}),
              run_line("O1", "ring",
                       {{"inside", m(5), "free", "free", HangFirst::first},
                        {"outside", m(6), "free", "free", HangFirst::second}})};
  job.crossings = {{"R1", "R2", m(4), m(0), Angle::degrees(90), Angle::degrees(45), m(0.1)},
                   {"R1", "R3", m(1), m(2), Angle::degrees(60), {}}};
  job.crossings[1].through = "R3", job.crossings[1].cut = "R1";
  job.pieces = {{{"K1", "R1", "left", m(3.9), {{"1001", m(0.2)}, {"notch R3", m(1)}}, m(0.1), "finish"},
                 {"K2", "R2", "", m(2), {}}},
                5};
  const PageNode page = read(job);
  CHECK(table_with(section(page, "Members of the runs"), "member") ==
        Rows{{"run", "member", "length, m", "start", "finish", "hanging"},
             {"R1", "left", "3.900", "wall", "joined", "begin at R2"},
             {"", "right", "4.100", "wall", "joined", ""},
             {"R2", "single", "2.000", "free", "free", "begin in the middle"},
             {"O1", "inside", "5.000", "-", "-", "hang the inside one first"},
             {"", "outside", "6.000", "-", "-", ""}});
  CHECK(table_with(section(page, "Where runs meet"), "how") ==
        Rows{{"run", "at, m", "run", "at, m", "how"},
             {"R1", "4.000", "R2", "0.000",
              "corner of 90.00 degrees, mitre 45.00; the inside member ends 0.100 before the corner, the "
              "outside one "
              "beyond"},
             {"R1", "1.000", "R3", "2.000", "cross at 60.00 degrees; R3 goes through"}});
  const PageNode& labels = section(page, "Pieces: a line for each label");
  const auto items = elements(labels, "li");
  REQUIRE(items.size() == 2);
  CHECK(text_of(*items[0]) ==
        "\u2610K1 on R1 left, 3.900: from\u00A04.000 cut 0.100 off its finish, 0.200\u00A01001, "
        "1.000\u00A0notch R3");
  CHECK(text_of(*items[1]) == "\u2610K2 on R2, 2.000");
  CHECK(text_of(labels).find("3 more in piece-marks.csv.") != std::string::npos);
}

TEST_CASE("a page without members has none of their sections") {
  JobPage job = small_page();
  job.hung = {run_line("R1", "line", {})};
  const std::string text = text_of(read(job));
  CHECK(text.find("Members of the runs") == std::string::npos);
  CHECK(text.find("a line for each label") == std::string::npos);
}

TEST_CASE("long tables of members are cut between runs, and say what is left out") {
  JobPage job = small_page();
  for (int i = 0; i < 120; ++i)
    job.hung.push_back(run_line("R", "line",
                                {{"left", m(1), "free", "free", HangFirst::middle},
                                 {"right", m(1), "free", "free", HangFirst::middle}}));
  const PageNode page = read(job);
  const PageNode& members = section(page, "Members of the runs");
  CHECK(table_with(members, "member").size() == 201);
  CHECK(text_of(members).find("40 more in members.csv.") != std::string::npos);
}
