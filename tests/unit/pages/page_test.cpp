#include "pages/page.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "report/page.h"
#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;

namespace {

constexpr std::string_view kLine = "READY TO LAY OUT", kProgram = "deckmark 1", kDigest = "0123456789abcdef";

/// A job by hand, and the page that it should come to, written down beside it.
struct Job {
  PlainBaselines baselines{};
  std::vector<ControlPoint> control{};
  OverheadJob overhead{};
  std::vector<std::string> only{};
  PlainLaid laid;
  PlumbOptions plumb_options{};
  std::optional<Plumbed> plumb{};
  InstrumentJob instrument{};
  AsbuiltJob asbuilt_job{};
  std::optional<AsbuiltFound> asbuilt{};
  std::vector<InputLine> inputs{{"drawing.csv", std::string(64, 'b')}};
  LengthUnit drawing_unit = LengthUnit::inch;
  std::string title = "Hall", revision = "B", file = "job.toml";

  explicit Job(const std::vector<PlainMark>& marks) : laid(laid_of(marks)) {}

  JobHead head() const {
    return {title,       revision, file, false, drawing_unit, LengthUnit::millimetre, LengthUnit::foot,
            "grid north"};
  }
  AsbuiltStated asbuilt_stated() const {
    return {asbuilt_job,  control, baselines.ties,    instrument,
            std::nullopt, mm(20),  LengthUnit::metre, LengthUnit::millimetre};
  }
  std::string page() const {
    const JobHead h = head();
    const BaselinesStated stated = baselines.view();
    const LaidOut view = laid.view();
    const AsbuiltStated shots = asbuilt_stated();
    return page_of({.head = h,
                    .baselines = stated,
                    .control = control,
                    .overhead = overhead,
                    .only = only,
                    .laid = view,
                    .checked = nullptr,
                    .plumb_options = plumb_options,
                    .plumb = plumb ? &*plumb : nullptr,
                    .asbuilt_stated = shots,
                    .asbuilt = asbuilt ? &*asbuilt : nullptr,
                    .inputs = inputs},
                   kLine, kProgram, kDigest);
  }
  /// A page of this job without marks' plan and numbers: those a test writes down itself.
  JobPage expected() const {
    JobPage page{
        .program = kProgram, .title = title, .revision = revision, .line = kLine, .list_id = "01234567"};
    page.drawing_unit = drawing_unit;
    page.site_unit = LengthUnit::millimetre;
    page.list_unit = LengthUnit::foot;
    page.baselines =
        baseline_page(head(), baselines.view(), laid.placed.by, laid.marks, &laid.placed, nullptr);
    page.plumb_options = plumb_options;
    page.plan.azimuth_x = Azimuth::degrees(90);
    page.plan.north = "grid north";
    page.plan.origin = at(100, 200);
    page.inputs = {{"drawing.csv", std::string(64, 'b')}};
    return page;
  }
};

/// Alike, or where the first difference is.
void check_page(const Job& job, const JobPage& want) {
  const std::string got = job.page(), text = page_html(want);
  std::size_t i = 0;
  while (i < got.size() && i < text.size() && got[i] == text[i]) ++i;
  const std::size_t from = i < 60 ? 0 : i - 60;
  CHECK_MESSAGE(got == text,
                "made   ... " << got.substr(from, 200) << "\nwanted ... " << text.substr(from, 200));
}

AsbuiltRow shot(std::uint32_t mark, AsbuiltLevel level, Verdict plan, std::optional<Verdict> height = {}) {
  AsbuiltRow r{.design = at(0, 0), .at = at(0, 0)};
  r.mark = mark;
  r.level = level;
  r.plan = plan;
  r.height = height;
  if (height) r.up = mm(1);
  return r;
}

constexpr PlanSymbol kIn = PlanSymbol::within, kOut = PlanSymbol::outside, kUnsure = PlanSymbol::unsure,
                     kNone = PlanSymbol::not_measured, kReference = PlanSymbol::reference;

}  // namespace

TEST_CASE("a page: the floor alone, its marks, ties and control in the drawing, numbers by run") {
  Job job({{"A", 1, 2, "R2"}, {"B", 11, 2, "R1"}, {"C", 1, 7, "", "reference"}, {"D", 11, 8, "R2"}});
  job.baselines.ties = {tie("T1", 0, 0, at(100.5, 202))};
  job.control = {{"CP1", at(105, 204), {}, {}}};
  job.laid.numbers.issue.numbers = {1004, 1001, 1002, 1003};
  JobPage want = job.expected();
  want.plan.low = xy(1, 2), want.plan.high = xy(11, 8);
  want.plan.levels = {{.level = AsbuiltLevel::floor,
                       .marks = {{xy(1, 2), 1004, 1, kNone, "A"},
                                 {xy(11, 2), 1001, 2, kNone, "B"},
                                 {xy(1, 7), 1002, 0, kReference, "C"},
                                 {xy(11, 8), 1003, 1, kNone, "D"}},
                       .total = 4,
                       .count = {0, 0, 0, 3, 1}}};
  want.plan.ties = {{"T1", xy(2, 0.5)}};
  want.plan.control = {{"CP1", xy(4, 5)}};
  want.run_names = {"", "R2", "R1"};
  want.runs = {{.run = "R2", .floor = {{1003, 1004}}, .count = 2},
               {.run = "R1", .floor = {{1001, 1001}}, .count = 1},
               {.run = "", .floor = {{1002, 1002}}, .count = 1}};
  want.numbers = {{1001, 1004}};
  check_page(job, want);
}

TEST_CASE("a page: north, hand and origin of the drawing are those of its place on site") {
  Job job({{"A", 10, 20}});
  job.laid.placed.fit.site_from_drawing = claim({.drawing_centre = xy(10, 20),
                                                 .site_centre = at(500, 600),
                                                 .azimuth_x = Azimuth::degrees(0),
                                                 .scale = 1,
                                                 .mirrored = true});
  job.laid.map();
  JobPage want = job.expected();
  want.plan.low = want.plan.high = xy(10, 20);
  want.plan.levels = {{.marks = {{xy(10, 20), 1001, 0, kNone, "A"}}, .total = 1, .count = {0, 0, 0, 1, 0}}};
  want.plan.azimuth_x = Azimuth::degrees(0);
  want.plan.mirrored = true;
  want.plan.origin = at(490, 580);  // X goes north, and Y east, since it is mirrored
  want.run_names = {""};
  want.runs = {{.run = "", .floor = {{1001, 1001}}, .count = 1}};
  want.numbers = {{1001, 1001}};
  check_page(job, want);
}

TEST_CASE("a page: only the runs that are listed have their numbers there; the plan shows all") {
  Job job({{"A", 1, 2, "R1"}, {"B", 11, 2, "R2"}, {"C", 5, 5}});
  job.only = {"r2"};
  JobPage want = job.expected();
  want.plan.low = xy(1, 2), want.plan.high = xy(11, 5);
  want.plan.levels = {{.marks = {{xy(1, 2), 1001, 1, kNone, "A"},
                                 {xy(11, 2), 1002, 2, kNone, "B"},
                                 {xy(5, 5), 1003, 0, kNone, "C"}},
                       .total = 3,
                       .count = {0, 0, 0, 3, 0}}};
  want.run_names = {"", "R1", "R2"};
  want.runs = {{.run = "R2", .floor = {{1002, 1002}}, .count = 1}};
  want.numbers = {{1002, 1002}};
  check_page(job, want);
}

TEST_CASE(
    "a page: deck marks make a deck plan with deck numbers, without reference points and bridged hangers") {
  Job job(
      {{"A", 0, 0, "R"}, {"B", 2, 0, "R"}, {"C", 4, 0, "R"}, {"D", 6, 0, "", "reference"}, {"E", 8, 3, "R"}});
  job.laid.put_deck(4, 5000);
  job.laid.marks.bridged = {0, 1, 0, 0, 0};
  // C twice: the worst of its verdicts counts, whichever came first
  job.plumb = Plumbed{{{}, {}, {}, {}}, {2, 2, 0, 2}};
  for (PlumbRow& r : job.plumb->rows) r.verdict = Verdict::unsure;
  job.plumb->rows[1].verdict = Verdict::outside;
  job.plumb->rows[2].verdict = Verdict::within;
  job.plumb_options.tolerance = mm(9);
  JobPage want = job.expected();
  want.plan.low = xy(0, 0), want.plan.high = xy(8, 3);
  want.plan.levels = {{.level = AsbuiltLevel::floor,
                       .marks = {{xy(0, 0), 1001, 1, kNone, "A"},
                                 {xy(2, 0), 1002, 1, kNone, "B"},
                                 {xy(4, 0), 1003, 1, kNone, "C"},
                                 {xy(6, 0), 1004, 0, kReference, "D"},
                                 {xy(8, 3), 1005, 1, kNone, "E"}},
                       .total = 5,
                       .count = {0, 0, 0, 4, 1}},
                      {.level = AsbuiltLevel::deck,
                       .by_plumb = true,
                       .marks = {{xy(0, 0), 6001, 1, kIn, "A"},
                                 {xy(4, 0), 6003, 1, kOut, "C"},
                                 {xy(8, 3), 6005, 1, kNone, "E"}},
                       .total = 3,
                       .count = {1, 1, 0, 1, 0}}};
  want.run_names = {"", "R"};
  want.runs = {{.run = "R",
                .floor = {{1001, 1003}, {1005, 1005}},
                .count = 4,
                .deck = number_ranges({1001, 1003, 1005}),
                .on_deck = 3},
               {.run = "", .floor = {{1004, 1004}}, .count = 1}};
  want.numbers = {{1001, 1005}};
  want.deck_offset = 5000;
  const PlumbRow* rows = job.plumb->rows.data();
  want.plumb = {{1003, "C", rows}, {1003, "C", rows + 1}, {1001, "A", rows + 2}, {1003, "C", rows + 3}};
  check_page(job, want);
  job.plumb = Plumbed{};  // no deck marks, no plan of the deck
  want.plan.levels.pop_back();
  want.plumb.clear();
  check_page(job, want);
}

TEST_CASE("a page: as-built shots stand on the plan of their level, by the worse of plan and height") {
  Job job({{"A", 0, 0}, {"B", 2, 0}, {"C", 4, 0}, {"D", 6, 1, "", "reference"}});
  job.laid.put_deck(4, 5000);
  job.laid.marks.bridged = {0, 0, 1, 0};
  const auto put = [&](std::vector<AsbuiltRow> rows) {
    job.asbuilt.emplace().rows = std::move(rows);
    job.asbuilt->levels = level_statistics(job.asbuilt->rows);
  };
  JobPage want = job.expected();
  want.plan.low = xy(0, 0), want.plan.high = xy(6, 1);
  want.run_names = {""};
  want.runs = {{.run = "", .floor = {{1001, 1004}}, .count = 4, .deck = {{1001, 1002}}, .on_deck = 2}};
  want.numbers = {{1001, 1004}};
  want.deck_offset = 5000;
  const auto check = [&] {
    const AsbuiltPage shots = asbuilt_page(job.asbuilt_stated(), job.laid.view(), *job.asbuilt);
    want.asbuilt = &shots;
    want.asbuilt_places.clear();
    for (const AsbuiltRow& r : job.asbuilt->rows)
      want.asbuilt_places.push_back(xy(r.mark == 0   ? 0
                                       : r.mark == 1 ? 2
                                       : r.mark == 2 ? 4
                                                     : 6,
                                       r.mark == 3 ? 1 : 0));
    check_page(job, want);
  };
  const auto floor = [](bool by_shots, PlanSymbol a, PlanSymbol d,
                        std::array<std::size_t, kPlanSymbols> count) {
    return PlanLevel{.level = AsbuiltLevel::floor,
                     .by_shots = by_shots,
                     .marks = {{xy(0, 0), 1001, 0, a, "A"},
                               {xy(2, 0), 1002, 0, kNone, "B"},
                               {xy(4, 0), 1003, 0, kNone, "C"},
                               {xy(6, 1), 1004, 0, d, "D"}},
                     .total = 4,
                     .count = count};
  };
  SUBCASE("on the floor; a reference point that was measured shows its verdict") {
    put({shot(0, AsbuiltLevel::floor, Verdict::unsure), shot(3, AsbuiltLevel::floor, Verdict::within)});
    want.plan.levels = {floor(true, kUnsure, kIn, {1, 0, 1, 2, 0})};
    check();
  }
  SUBCASE("on the deck, beside deck marks") {
    put({shot(1, AsbuiltLevel::deck, Verdict::within, Verdict::outside),
         shot(0, AsbuiltLevel::deck, Verdict::within)});
    const PlanLevel deck{.level = AsbuiltLevel::deck,
                         .by_shots = true,
                         .marks = {{xy(0, 0), 6001, 0, kIn, "A"}, {xy(2, 0), 6002, 0, kOut, "B"}},
                         .total = 2,
                         .count = {1, 1, 0, 0, 0}};
    want.plan.levels = {floor(false, kNone, kReference, {0, 0, 0, 3, 1}), deck};
    check();
    job.plumb = Plumbed{{{}}, {0}};
    job.plumb->rows[0].verdict = Verdict::outside;
    want.plumb = {{1001, "A", job.plumb->rows.data()}};
    want.plan.levels[1].by_plumb = true;
    want.plan.levels[1].marks[0].symbol = kOut;
    want.plan.levels[1].count = {0, 2, 0, 0, 0};
    check();
  }
  SUBCASE("on brackets: all but reference points, with floor numbers; no deck plan") {
    put({shot(2, AsbuiltLevel::bracket, Verdict::unsure, Verdict::within)});
    want.plan.levels = {floor(false, kNone, kReference, {0, 0, 0, 3, 1}),
                        {.level = AsbuiltLevel::bracket,
                         .by_shots = true,
                         .marks = {{xy(0, 0), 1001, 0, kNone, "A"},
                                   {xy(2, 0), 1002, 0, kNone, "B"},
                                   {xy(4, 0), 1003, 0, kUnsure, "C"}},
                         .total = 3,
                         .count = {0, 0, 1, 2, 0}}};
    check();
  }
}

TEST_CASE("a page: bays, obstructions and runs are drawn, 500 shapes at most, the bays first") {
  Job job({{"A", 0, 0, "R7"}, {"B", 8, 3, "R7"}});
  const auto box = [](double x) {
    return std::vector<Point<Drawing>>{xy(x, 0), xy(x + 1, 0), xy(x + 1, 1), xy(x, 1)};
  };
  Overhead& o = job.laid.overhead;
  o.bays.names = {"bay 1"};
  o.bays.outlines = {std::get<Outline>(Outline::make(box(0)))};
  o.obstruction_names = {"duct", "pipe"};
  for (const double x : {2.0, 4.0})
    o.obstructions.push_back({std::get<Outline>(Outline::make(box(x))), m(0)});
  const Path path = *Path::arc(xy(1, 0), xy(0.6, 0.8), xy(0, 1));
  o.runs = {{path, {path.length(), false, m(1), m(0), {}, {}, {}}, {}, {}, false}};
  o.members.begins = {0, 0};
  job.overhead.runs = {{"R7", StatedRun::Kind::arc, xy(1, 0), xy(0, 1), {}, {}}};
  JobPage want = job.expected();
  want.plan.low = xy(0, 0), want.plan.high = xy(8, 3);
  want.plan.levels = {{.marks = {{xy(0, 0), 1001, 1, kNone, "A"}, {xy(8, 3), 1002, 1, kNone, "B"}},
                       .total = 2,
                       .count = {0, 0, 0, 2, 0}}};
  want.plan.shapes = {{PlanShape::Kind::bay, "bay 1", box(0)},
                      {PlanShape::Kind::obstruction, "duct", box(2)},
                      {PlanShape::Kind::obstruction, "pipe", box(4)},
                      {PlanShape::Kind::run, "R7", polyline(path, mm(5))}};
  want.run_names = {"", "R7"};
  want.runs = {{.run = "R7", .floor = {{1001, 1002}}, .count = 2}};
  want.numbers = {{1001, 1002}};
  check_page(job, want);

  while (o.obstructions.size() < 499) {
    o.obstruction_names.push_back("duct");
    o.obstructions.push_back(o.obstructions[0]);
    want.plan.shapes.insert(want.plan.shapes.begin() + 3, {PlanShape::Kind::obstruction, "duct", box(2)});
  }
  want.plan.shapes.pop_back();  // 1 bay and 499 obstructions
  check_page(job, want);
  o.obstruction_names.pop_back(), o.obstructions.pop_back();  // one less, and the run finds room
  want.plan.shapes.back() = {PlanShape::Kind::run, "R7", polyline(path, mm(5))};
  check_page(job, want);
}

TEST_CASE("a page: members are drawn to their ends, and where one goes through another") {
  Job job({{"A", 0, 0, "R1"}, {"B", 8, 0, "R1"}});
  const Path along = *Path::line(xy(0, 0), xy(8, 0)), across = *Path::line(xy(2, -1), xy(2, 3)),
             round = *Path::ring(xy(6, 3), xy(4, 3));
  Overhead& o = job.laid.overhead;
  for (const Path& p : {along, across, round})
    o.runs.push_back({p, {p.length(), false, m(9), m(0), {}, {}, {}}, {}, {}, false});
  job.overhead.runs = {{"R1", StatedRun::Kind::line, xy(0, 0), xy(8, 0), {}, {}},
                       {"R2", StatedRun::Kind::line, xy(2, -1), xy(2, 3), {}, {}},
                       {"O1", StatedRun::Kind::ring, xy(6, 3), xy(4, 3), {}, {}}};
  // R1 is a pair whose left member goes on for half a metre; R2, a single one, is cut.
  o.members.members = {{0, MemberSide::left, m(0.1), m(0), m(8.5)},
                       {0, MemberSide::right, m(-0.1), m(0), m(8)},
                       {1, MemberSide::single, m(0), m(0), m(4)},
                       {2, MemberSide::single, m(0), m(0), round.length()}};
  auto& members = o.members.members;
  for (std::size_t k = 0; k < 3; ++k) members[k].order = HangFirst::from, members[k].from_run = k < 2 ? 1 : 0;
  members[0].start = members[1].start = RunEnd::wall;
  members[1].finish = RunEnd::joined;
  o.members.begins = {0, 2, 3, 4};
  o.crossings = {{0, 1, xy(2, 0), m(2), m(1), Angle::degrees(90), {}, {}, {}, 0, false}};
  o.members.meetings = {{0, 0, 2, m(2), m(1.1)}, {0, 1, 2, m(2), m(0.9)}, {0, 1, 3, m(5), m(0), false, true}};
  o.pieces.resize(4);

  JobPage want = job.expected();
  using End = PlanMember::End;
  want.plan.low = xy(0, -1), want.plan.high = xy(8.5, 4);
  want.plan.levels = {{.marks = {{xy(0, 0), 1001, 1, kNone, "A"}, {xy(8, 0), 1002, 1, kNone, "B"}},
                       .total = 2,
                       .count = {0, 0, 0, 2, 0}}};
  want.plan.shapes = {{PlanShape::Kind::run, "R1", {xy(0, 0), xy(8, 0)}},
                      {PlanShape::Kind::run, "R2", {xy(2, -1), xy(2, 3)}},
                      {PlanShape::Kind::run, "O1", polyline(round, mm(5))}};
  want.plan.members = {{{xy(0, 0.1), xy(8.5, 0.1)}, End::wall, End::free, true},
                       {{xy(0, -0.1), xy(8, -0.1)}, End::wall, End::joined, true},
                       {{xy(2, -1), xy(2, 3)}, End::free, End::free, false},
                       {polyline(round, mm(5)), End::none, End::none, false}};
  want.plan.through = {{xy(2, 0.1), xy(3, 0.1), m(0.2)}, {xy(2, -0.1), xy(3, -0.1), m(0.2)}};
  want.run_names = {"", "R1"};
  want.runs = {{.run = "R1", .floor = {{1001, 1002}}, .count = 2}};
  want.numbers = {{1001, 1002}};
  const auto run = [](std::string_view name, std::string_view kind, Length length,
                      std::optional<Length> radius, std::vector<MemberLine> of) {
    return HungRunLine{name, kind, length, 0, 0, {}, radius, {}, {}, std::move(of)};
  };
  want.hung = {
      run("R1", "line", m(8), {},
          {{"left", m(8.5), "wall", "free", HangFirst::from, "R2"},
           {"right", m(8), "wall", "joined", HangFirst::from, "R2"}}),
      run("R2", "line", m(4), {}, {{"", m(4), "free", "free", HangFirst::from, "R1"}}),
      run("O1", "ring", round.length(), m(1), {{"", round.length(), "free", "free", HangFirst::first, {}}})};
  want.crossings = {{"R1", "R2", m(2), m(1), Angle::degrees(90), {}, {}, "R1", "R2", false, true}};
  check_page(job, want);

  // More members than an eye could part are not drawn; more meetings than that leave their gaps out.
  const MemberMeeting meeting = o.members.meetings[0];
  o.members.meetings.resize(2001, meeting);
  want.plan.through.clear();
  check_page(job, want);
}

TEST_CASE("a page: trapezes of two supports, and hangers that go straight up beside them") {
  Job job({{"A", 0, 0},
           {"B", 1, 0},
           {"C", 2, 0},
           {"D", 3, 0, "", "reference"},
           {"B-a", 0.5, 0},
           {"B-b", 1.5, 0}});
  job.laid.put_deck(4, 5000);
  job.laid.marks.supports = 4;
  job.laid.marks.bridged = {0, 1, 1, 0, 0, 0};
  job.laid.overhead.trapezes = {{1, {}, 4U, 5U}, {2, {}, {}, {}}};  // C finds no supports
  JobPage want = job.expected();
  want.plan.low = xy(0, 0), want.plan.high = xy(3, 0);
  want.plan.levels = {{.marks = {{xy(0, 0), 1001, 0, kNone, "A"},
                                 {xy(1, 0), 1002, 0, kNone, "B"},
                                 {xy(2, 0), 1003, 0, kNone, "C"},
                                 {xy(3, 0), 1004, 0, kReference, "D"},
                                 {xy(0.5, 0), 1005, 0, kNone, "B-a"},
                                 {xy(1.5, 0), 1006, 0, kNone, "B-b"}},
                       .total = 6,
                       .count = {0, 0, 0, 5, 1}}};
  want.run_names = {""};
  want.runs = {{.run = "",
                .floor = {{1001, 1006}},
                .count = 6,
                .deck = number_ranges({1001, 1005, 1006}),
                .on_deck = 3}};
  want.deck_offset = 5000;
  want.numbers = {{1001, 1006}};
  want.trapezes = 1;
  want.straight = 1;  // A; neither the reference point nor the supports
  check_page(job, want);
  job.laid.overhead.trapezes.clear();
  want.trapezes = want.straight = 0;
  check_page(job, want);
}

TEST_CASE("a page: a large drawing is thinned to one mark of every symbol in every square") {
  struct Row {
    int columns, rows;
    double apart, side;  // metres
  };
  // side: the square root of width times height over 2500, or the longer of the two over 2500, rounded up to
  // 1, 2, 5 times a power of ten
  for (const Row& r : {Row{60, 60, 1, 2},     // 1.18
                       Row{60, 60, 2, 5},     // 2.36
                       Row{60, 60, 5, 10},    // 5.9
                       Row{60, 60, 0.8, 1},   // 0.944
                       Row{2501, 1, 1, 1},    // exactly 1
                       Row{2600, 1, 3, 5},    // 3.1188
                       Row{50, 50, 1, 0}}) {  // 2500 marks: all are drawn
    CAPTURE(r.apart);
    CAPTURE(r.columns);
    std::vector<PlainMark> marks;
    for (int y = 0; y < r.rows; ++y)
      for (int x = 0; x < r.columns; ++x)
        marks.push_back({"P" + std::to_string(marks.size()), x * r.apart, y * r.apart, "",
                         marks.size() % 7 == 3 ? "reference" : ""});
    Job job(marks);
    job.drawing_unit = LengthUnit::metre;  // of the squares
    JobPage want = job.expected();
    PlanLevel level{.level = AsbuiltLevel::floor, .total = marks.size(), .count = {}};
    if (r.side > 0) level.square = m(r.side);
    std::set<std::tuple<long, long, bool>> seen;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const bool is_reference = i % 7 == 3;
      const PlanSymbol symbol = is_reference ? kReference : kNone;
      ++level.count[static_cast<std::size_t>(symbol)];
      const auto square = [&](double v) { return static_cast<long>(v * (1 / r.side)); };
      if (r.side > 0 && !seen.insert({square(marks[i].x), square(marks[i].y), is_reference}).second) continue;
      level.marks.push_back({xy(marks[i].x, marks[i].y), static_cast<std::uint32_t>(1001 + i), 0, symbol,
                             job.laid.marks->names[i]});
    }
    want.plan.levels = {level};
    want.plan.low = xy(0, 0), want.plan.high = xy((r.columns - 1) * r.apart, (r.rows - 1) * r.apart);
    want.run_names = {""};
    const auto last = static_cast<std::uint32_t>(1000 + marks.size());
    want.runs = {{.run = "", .floor = {{1001, last}}, .count = marks.size()}};
    want.numbers = {{1001, last}};
    check_page(job, want);
  }
}
