#include "pages/offset_sheet.h"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "report/offset_text.h"
#include "support/sheet_text.h"
#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;

namespace {

struct Sheet {
  PlainHead head{};
  PlainBaselines baselines{};
  OffsetJob offsets{};
  std::vector<ControlPoint> control{};
  std::vector<StatedRun> runs{};
  PlainLaid laid;
  OffsetsFound found{};

  explicit Sheet(const std::vector<PlainMark>& marks) : laid(laid_of(marks)) {
    offsets.wanted = true;
    offsets.options.form = {LengthUnit::metre, 16};
  }
  /// Swing ties go out from these places of the drawing.
  void swing(double x1, double y1, double x2, double y2) {
    const auto& map = laid.placed.fit.site_from_drawing;
    found.swing_from = {{"T1", map(xy(x1, y1))}, {"T2", map(xy(x2, y2))}};
  }
  /// Strings from the first mark to the fourth and to the fifth.
  void hang_strings() {
    std::vector<FromMark> marks;
    for (const std::uint32_t m : {0u, 3u, 4u})
      marks.push_back({std::string(laid.marks->names[m]), laid.placed.marks[m]});
    const StringLines lines(marks[0].at, marks[1].at, marks[2].at, laid.placed.fit.site_from_drawing);
    found.strings.emplace(StringsFound{std::move(marks), lines, true});
  }
  std::optional<Elevation> datum{};
  std::optional<CutsFound> cuts{};
  std::vector<StatedCrew> crews{};  ///< the sheet is of the first, where there is one
  std::string text(std::string_view verdict = "READY TO LAY OUT") const {
    const BaselinesStated stated = baselines.view();
    const Staged<Crews> of = find_crews({crews, runs}, laid.marks);
    const LaidOut view = laid.view();
    const SheetDigests digests{"0123456789abcdef", "1a2b3c4d5e6f7a8b", "9c8d7e6f5a4b3c2d"};
    return offset_sheet({head.view(),
                         {offsets, stated, control, {}},
                         runs,
                         view,
                         found,
                         verdict,
                         digests,
                         crews.empty() ? CrewShare{} : CrewShare(*of.get(), 0),
                         datum,
                         cuts ? &*cuts : nullptr});
  }
  std::string words() const { return deckmark_test::on_one_line(text()); }
  bool says(std::string_view what) const { return words().find(what) != std::string::npos; }
};

SheetRow row(std::int64_t number, const char* point, std::optional<Length> along,
             const Point<Drawing>& place) {
  return {number, point, along, place, {}, {}, {}, {}};
}

/// A run of the runs table on its own.
void put_run(Sheet& s, const std::string& name, const Path& path) {
  s.runs.push_back({name, StatedRun::Kind::line, xy(0, 0), xy(1, 0), {}, {}});
  s.laid.overhead.runs.push_back({path, {path.length(), false, m(1), m(0), {}, {}, {}}, {}, {}, false});
}

}  // namespace

TEST_CASE("a sheet: runs in the order of their first point, those without last, checks along and across") {
  Sheet s({{"F", 2, 2, "", "brace"},
           {"A", 0, 0, "R1"},
           {"D", 0, 3, "R2"},
           {"B", 1.5, 0, "R1"},
           {"E", 4, 3, "R2"},
           {"C", 4, 0, "R1"}});
  s.laid.put_deck(4, 7000);
  s.laid.attach_height = m(3);
  std::vector<SheetBlock> blocks(3);
  blocks[0] = {.run = "R1",
               .rows = {row(1002, "A", m(0), xy(0, 0)), row(1004, "B", m(1.5), xy(1.5, 0)),
                        row(1006, "C", m(4), xy(4, 0))},
               .ends = SheetCheck{1002, 1006, m(4)},
               .diagonal = SheetCheck{1002, 1005, m(5)}};  // to E, which is further than D
  blocks[1] = {.run = "R2",
               .rows = {row(1003, "D", m(0), xy(0, 3)), row(1005, "E", m(4), xy(4, 3))},
               .ends = SheetCheck{1003, 1005, m(4)},
               .diagonal = SheetCheck{1003, 1001, m(2.2360679775)}};
  blocks[2] = {.run = "",
               .rows = {row(1001, "F", std::nullopt, xy(2, 2))},
               .ends = std::nullopt,
               .diagonal = SheetCheck{1001, 1005, m(2.2360679775)}};  // the run before; of equals its end
  for (SheetBlock& b : blocks)
    for (SheetRow& r : b.rows) r.drop = m(1);
  SheetHead head;
  head.title = "Hall", head.revision = "B", head.sha256 = {"0123456789abcdef", "1a2b3c4d5e6f7a8b"};
  head.baselines = "no baselines found";
  head.standing = "DO NOT LAY OUT: it is wrong";
  head.form = {LengthUnit::metre, 16};
  head.stand = {false, "+X", "+Y", true};
  head.deck_offset = 7000;
  head.largest_rounding = m(0.0000679775);  // 2.236 for 2.2360679775
  CHECK(s.text("DO NOT LAY OUT: it is wrong") == offset_sheet_text(head, blocks));
}

TEST_CASE("a hanger on a trapeze says so in place of its drop") {
  Sheet s({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}});
  s.laid.put_deck(4);
  s.laid.attach_height = m(3);
  s.laid.marks.bridged = {0, 1};
  s.laid.overhead.trapezes = {{1, {}, 7U, 8U}};
  CHECK(s.says("1001 A 0.000 0.000 0.000 1.000"));
  CHECK(s.says("1002 B 2.000 2.000 0.000 trapeze -a -b"));
}

TEST_CASE("one run alone has no diagonal; one point alone no check") {
  Sheet s({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}});
  CHECK(s.says("check first to last, 1001 to 1002: 2.000"));
  CHECK_FALSE(s.says("check diagonal"));
  CHECK_FALSE(Sheet({{"A", 0, 0, "R1"}}).says("check "));
  CHECK_FALSE(Sheet({{"A", 0, 0}, {"B", 1, 0}}).says("first to last"));
}

TEST_CASE("rows stand along their run, not as they are drawn") {
  Sheet s({{"B", 5, 0, "R1"}, {"A", 2, 0, "R1"}});
  put_run(s, "R1", *Path::line(xy(0, 0), xy(9, 0)));
  const std::string words = s.words();
  CHECK(words.find("1002 A 0.000 2.000 0.000") < words.find("1001 B 3.000 5.000 0.000"));
  CHECK(words.find("1001 B 3.000 5.000 0.000") != std::string::npos);
}

TEST_CASE("a pair is told under its run: how far beside the marks its members hang, and on which sides") {
  Sheet s({{"A", 0, 0, "R1"}, {"B", 4, 0, "R1"}, {"C", 0, 3, "R2"}, {"D", 4, 3, "R2"}});
  put_run(s, "R1", *Path::line(xy(0, 0), xy(4, 0)));
  put_run(s, "R2", *Path::line(xy(0, 3), xy(4, 3)));
  s.laid.overhead.runs[0].hangers = {{0, m(0)}, {1, m(4)}};
  s.laid.overhead.runs[1].hangers = {{2, m(0)}, {3, m(4)}};
  auto& members = s.laid.overhead.members.members;
  members = {{0, MemberSide::left, m(0.1254), m(0), m(4)},
             {0, MemberSide::right, m(-0.1254), m(0), m(4)},
             {1, MemberSide::single, m(0), m(0), m(4)}};
  const std::string words = s.words();
  const auto at = words.find("two members, 0.125 left and right of the marks.");
  REQUIRE(at != std::string::npos);
  CHECK(at > words.find("RUN R1"));
  CHECK(at < words.find("RUN R2"));
  CHECK(words.find("two members", at + 1) == std::string::npos);
  CHECK(s.says("largest 0.40 mm"));  // of the rounding
  members[0].side = MemberSide::outside, members[1].side = MemberSide::inside;
  CHECK(s.says("two members, 0.125 inside and outside of the marks."));
  members[1].to = m(3.9);  // it ends before the last mark
  CHECK(s.says("two members where they reach, 0.125 inside and outside of the marks."));
}

TEST_CASE("running distances: straight to half a step, else from mark to mark, or along a curve") {
  const char *const bent = "not one straight line", *const curved =
                                                        "not straight: running distances go along the curve";
  Sheet straight({{"A", 0, 0, "R1"}, {"B", 1, 0, "R1"}, {"C", 2, 0.02, "R1"}});  // 2.0002 against 2.0001
  CHECK_FALSE(straight.says(bent));
  CHECK_FALSE(straight.says(curved));
  CHECK(Sheet({{"A", 0, 0, "R1"}, {"B", 1, 0, "R1"}, {"C", 2, 0.06, "R1"}})
            .says(bent));                                                       // 2.0018 against 2.0009
  CHECK_FALSE(Sheet({{"A", 0, 0}, {"B", 1, 0}, {"C", 2, 1}}).says(bent));       // no run
  Sheet off_line({{"A", 0, 0, "R1"}, {"B", 1, 0.1, "R1"}, {"C", 2, 0, "R1"}});  // 1 against 1.005, then 2
  put_run(off_line, "R1", *Path::line(xy(0, 0), xy(2, 0)));
  CHECK(off_line.says(bent));
  Sheet on_arc({{"A", 1, 0, "R1"}, {"B", 0, 1, "R1"}});
  put_run(on_arc, "R1", *Path::arc(xy(1, 0), xy(0.6, 0.8), xy(0, 1)));
  CHECK(on_arc.says(curved));
  CHECK_FALSE(on_arc.says(bent));
}

TEST_CASE("supports that stand beside their run are told, on a straight run or one whose line is known") {
  const char* const beside = "supports beside the run";
  const auto with_support = [](std::vector<PlainMark> marks) {
    Sheet s(marks);
    s.laid.marks.drawn = s.laid.marks.supports = marks.size() - 1;
    s.laid.marks.from_run = {kOfHanger | 0};
    return s;
  };
  CHECK(with_support({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}, {"S", 1, 0.5, "R1"}}).says(beside));
  CHECK_FALSE(with_support({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}, {"S", 1, 0, "R1"}}).says(beside));
  CHECK_FALSE(with_support({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}, {"C", 2, 2, "R1"}, {"S", 1, 0.5, "R1"}})
                  .says(beside));
  for (const double off : {0.0, 0.0004, 0.0006, 0.5}) {
    CAPTURE(off);
    Sheet line = with_support({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}, {"S", 1, off, "R1"}});
    put_run(line, "R1", *Path::line(xy(0, 0), xy(2, 0)));
    CHECK(line.says(beside) == (off > 0.0005));
    CHECK_FALSE(line.says("not one straight line"));  // a support makes no run bent
  }
  Sheet two = with_support({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}, {"S1", 1, 0.5, "R1"}, {"S2", 1, 0, "R1"}});
  two.laid.marks.drawn = two.laid.marks.supports = 2;
  two.laid.marks.from_run = {kOfHanger | 0, kOfHanger | 0};
  CHECK(two.says(beside));  // known by its points alone
  put_run(two, "R1", *Path::line(xy(0, 0), xy(2, 0)));
  CHECK(two.says(beside));
  Sheet on_arc = with_support({{"A", 1, 0, "R1"}, {"B", 0, 1, "R1"}, {"S", 0.9, 0.9, "R1"}});
  put_run(on_arc, "R1", *Path::arc(xy(1, 0), xy(0.6, 0.8), xy(0, 1)));
  CHECK(on_arc.says(beside));
}

TEST_CASE("where to stand: on marks of one baseline, looking along it; the other axis left or right") {
  struct Row {
    double x1, y1, x2, y2;
    const char *look, *side, *hand, *mirrored;
  };
  for (const Row& r :
       {Row{0, 0, 6, 0, "+X", "+Y", "left", "right"}, Row{6, 0, 0, 0, "-X", "+Y", "right", "left"},
        Row{0, 0, 0, 6, "+Y", "+X", "right", "left"}, Row{0, 6, 0, 0, "-Y", "+X", "left", "right"}}) {
    Sheet s({{"A", 3, 4}});
    s.swing(r.x1, r.y1, r.x2, r.y2);
    const auto want = [&](const char* hand) {
      return std::string("Stand on T1, face T2: ") + r.side + " is on your " + hand + ". You look along " +
             r.look + ".";
    };
    CHECK(s.says(want(r.hand)));
    s.baselines.mirrored = true;
    CHECK(s.says(want(r.mirrored)));
  }
  Sheet none({{"A", 3, 4}});
  CHECK(none.says("Stand where the baselines cross and look along +X: +Y is on your left."));
  none.baselines.mirrored = true;
  CHECK(none.says("look along +X: +Y is on your right."));
}

TEST_CASE("where to stand: how far off a baseline a mark may be") {
  const auto stands = [](double y1, double y2, double tolerance_mm, const char* tie_name = "T1") {
    Sheet s({{"A", 3, 4}});
    s.swing(0, y1, 6, y2);
    s.baselines.ties = {tie(tie_name, 0, 0, at(100, 200), 2, tolerance_mm)};
    const bool on = s.says("Stand on T1, face T2");
    CHECK(on != s.says("The line from T1 to T2 is no baseline"));
    return on;
  };
  CHECK(stands(0.0004, 0, 0));  // reads 0 on the sheet
  CHECK_FALSE(stands(0.0006, 0, 0));
  CHECK(stands(0.004, 0, 6));  // permitted of its tie
  CHECK(stands(-0.004, 0, 6));
  CHECK_FALSE(stands(0.004, 0, 3));
  CHECK_FALSE(stands(0.0055, 0, 6));  // over 5 mm, whatever is permitted
  CHECK_FALSE(stands(-0.0055, 0, 6));
  CHECK_FALSE(stands(0.004, 0, 6, "T9"));
  CHECK_FALSE(stands(0, 0.004, 6));  // the second mark counts too
  for (const auto& [x1, x2] : {std::pair(0.02, 0.0), std::pair(0.0, 0.02)}) {
    Sheet along_y({{"A", 3, 4}});
    along_y.swing(x1, 0, x2, 6);
    CHECK_FALSE(along_y.says("Stand on T1"));
  }
  Sheet near({{"A", 3, 4}});  // marks too near one another to be faced
  near.swing(0, 0, 0.004, 0);
  CHECK_FALSE(near.says("Stand on T1"));
  near.swing(0, 0, 0.006, 0);
  CHECK(near.says("Stand on T1"));
  near.swing(0, 0, 0, 0.006);
  CHECK(near.says("Stand on T1"));
}

TEST_CASE("marks of the swing ties lie where they were found, and rows state their ties") {
  Sheet s({{"A", 3, 4}});
  s.swing(0, 1, 6, 2);
  CHECK(s.says("T1 lies at X 0.000, Y 1.000."));
  CHECK(s.says("T2 lies at X 6.000, Y 2.000."));
  s.swing(0, 0, 6, 0);
  CHECK(s.says("1001 A 5.000 5.000 left"));
}

TEST_CASE("the largest rounding is that of every length on the sheet") {
  const auto largest = [](const Sheet& s, const char* words) {
    CHECK_MESSAGE(s.says(std::string("(largest ") + words + " mm)"), s.words());
  };
  largest(Sheet({{"A", 1, 2, "R1"}, {"B", 1, 4, "R1"}}), "0.00");
  largest(Sheet({{"A", 1.0003, 2}}), "0.30");
  largest(Sheet({{"A", 1, -1.9998}}), "0.20");
  {
    Sheet s({{"A", 1, 2, "", "", 2.7496}});
    s.laid.put_deck(4);  // a drop of 1.2504
    largest(s, "0.40");
  }
  for (const bool second : {false, true}) {
    CAPTURE(second);
    Sheet s({{"A", 1, 1}});
    if (second)
      s.swing(1, 5, 0, 0);
    else
      s.swing(0, 0, 1, 5);
    largest(s, "0.21");  // 1.414 for 1.41421
  }
  Sheet from({{"A", 1, 1}});
  from.swing(0.0004, 5, 1, 5);
  largest(from, "0.40");
  from.swing(1, 5, 5, 0.0004);
  largest(from, "0.40");
  // along alone: 1.41421, then 2.82843, but 2 from the first to the last
  largest(Sheet({{"A", 0, 0, "R1"}, {"B", 1, 1, "R1"}, {"C", 2, 0, "R1"}}), "0.43");
  // (1, 1) to (2, 2): 1.41421, from the first to the last, and along
  largest(Sheet({{"A", 1, 1, "R1"}, {"B", 2, 2, "R1"}}), "0.21");
  // across to the other run
  largest(Sheet({{"A", 1, 1, "R1"}, {"B", 2, 2, "R2"}}), "0.21");
}

TEST_CASE("the head says of the baselines whether they are signed, and which is held") {
  Sheet s({{"A", 1, 2}});
  CHECK(s.says("no baselines found"));
  s.baselines.ties_table = table_of("ties.csv", {{"mark", ColumnKind::name, true}}, "mark\nT1\n");
  struct Row {
    Hold hold;
    const char *word, *held;
  };
  for (const Row& r : {Row{Hold::both, "both", "neither"}, Row{Hold::x, "x", "X"}, Row{Hold::y, "y", "Y"}}) {
    s.baselines.options.hold = r.hold;
    CHECK(s.says(std::string("baselines not signed (held: ") + r.held + ")"));
    s.baselines.checks.signed_fit.emplace().held = r.word;
    CHECK(s.says(std::string("baselines signed (held: ") + r.held + ")"));
    s.baselines.checks.signed_fit.reset();
  }
}

TEST_CASE("a freed scale that shows, and deck numbers, are told where they are") {
  Sheet s({{"A", 0, 0}, {"B", 30, 40}});
  CHECK_FALSE(s.says("The scale is freed"));
  CHECK_FALSE(s.says("On the deck write"));
  s.laid.placed.fit.site_from_drawing = claim({.drawing_centre = xy(0, 0),
                                               .site_centre = at(100, 200),
                                               .azimuth_x = Azimuth::degrees(90),
                                               .scale = 1.0001,
                                               .mirrored = false});
  CHECK(s.says("The scale is freed"));
  s.laid.put_deck(4, 3000);
  CHECK(s.says("On the deck write the number plus 3000."));
}

TEST_CASE("a crew's sheet: its marks alone, lengths along the whole run, checks between its own marks") {
  Sheet s({{"A1", 0, 0, "A"}, {"A2", 3, 0, "A"}, {"A3", 7, 4, "A"}, {"B1", 0, 5, "B"}, {"C1", 3, 9, "C"}});
  s.laid.put_deck(4, 3000);
  s.crews = {{"left", {}, {}, {{"C", {}}}, {{"A2", {}}, {"A3", {}}}, {}, {CrewWork::floor}}};
  CHECK(s.says("for crew left date __________ ="));
  CHECK(s.says("1002 A2 3.000 3.000 0.000"));  // three metres from A1, which another has
  CHECK_FALSE(s.says("1001 A1"));
  CHECK_FALSE(s.says("RUN B"));
  CHECK(s.says("check first to last, 1002 to 1003: 5.657"));
  CHECK(s.says("check diagonal, 1002 to 1005: 9.000"));  // past run B
  CHECK(s.says("zero is the mark 1001, which another crew lays out. not one straight line"));
  CHECK_FALSE(s.says("On the deck write"));
  s.crews[0].points = {{"A1", {}}, {"A2", {}}};
  s.crews[0].does = {CrewWork::deck};
  CHECK(s.says("On the deck write the number plus 3000."));
  CHECK_FALSE(s.says("another crew"));
  CHECK(s.says("not one straight line"));  // the run is bent, though not between these two
  s.crews.clear();
  CHECK(s.says("date __________ crew __________"));
}

TEST_CASE("marks that stand already are no rows, and the tape may hook on them") {
  Sheet s({{"B1", 0, 0, "A"},
           {"A2", 3, 0, "A"},
           {"A3", 6, 0, "A"},
           {"B2", 9, 0, "", "reference"},
           {"B3", 0, 6, "", "reference"}});
  s.hang_strings();
  CHECK(s.says("POINTS WITHOUT A RUN"));
  CHECK_FALSE(s.says("already"));
  s.found.strings->stand = {0, 3, 4};
  CHECK(s.says("B1, B2 and B3 stand already: do not mark them again."));
  CHECK_FALSE(s.says("POINTS WITHOUT A RUN"));
  CHECK(s.says("RUN A 1002-1003 2 points"));
  CHECK_FALSE(s.says("[ ] 1001"));
  CHECK(s.says("check first to last, 1002 to 1003: 3.000"));
  CHECK(s.says("zero is the mark 1001, which stands already."));
}

TEST_CASE("above: brackets over the datum line, where the job states one; rounded as all is") {
  Sheet s({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1", "", 0.4004}, {"C", 4, 0, "", "reference"}});
  s.laid.attach_height = m(3);
  CHECK_FALSE(s.says("above"));
  CHECK(s.says("Write at the mark its number and run, as 1001 R1>;"));
  s.datum = Elevation::metres(1);
  CHECK(s.says("above = bracket above the datum line; a minus is under it."));
  CHECK(s.says("drop above write"));
  CHECK(s.says("1001 A 0.000 0.000 0.000 2.000 1001 R1>"));
  CHECK(s.says("1002 B 2.000 2.000 0.000 -0.600 1002 R1>"));
  CHECK(s.says("(largest 0.40 mm)"));
  CHECK(s.says("1003 C 4.000 0.000 1003"));  // nothing hangs from a reference point
}

TEST_CASE("the head states the digests of the tables, so that two sheets of one head say the same") {
  Sheet s({{"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}});
  CHECK(s.says("points.csv 01234567 | offsets.csv 1a2b3c4d"));
}

TEST_CASE("rods: behind the runs, by run, in the order of the rows, rounded as all is") {
  Sheet s({{"C", 4, 0, "R1"}, {"A", 0, 0, "R1"}, {"B", 2, 0, "R1"}, {"D", 0, 3, "R2"}, {"E", 0, 5, ""}});
  CHECK_FALSE(s.says("RODS"));
  // Of C there is no drop and so no cut; E hangs alone.
  s.cuts.emplace(CutsFound{
      {0, 1, 2, 3, 4}, {{}, m(1), m(1), m(1), m(1)}, {{}, m(1.2504), m(1.1), m(1.3), m(10.05)}, {}, {}});
  const std::string text = s.text();
  CHECK(s.says("RODS 4 rods hangers.csv 9c8d7e6f"));
  CHECK(text.find("\nRUN R1\n[ ] 1002 A   1.250   [ ] 1003 B   1.100\nRUN R2\n[ ] 1004 D   1.300\n"
                  "POINTS WITHOUT A RUN\n[ ] 1005 E  10.050\n") != std::string::npos);
  CHECK(text.find("RODS") > text.find("POINTS WITHOUT A RUN"));
  CHECK(text.find("RODS") < text.find("CAUTIONS"));
  CHECK(s.says("none over 0.5 mm (largest 0.40 mm)"));  // of 1.2504
}

TEST_CASE("rods go on over the page with their head; a crew that is not on the deck has none") {
  std::vector<PlainMark> marks;
  for (int i = 0; i < 400; ++i) marks.push_back({"P" + std::to_string(i), 1.0 * i, 0, "R1"});
  Sheet s(marks);
  s.cuts.emplace();
  for (std::uint32_t i = 0; i < 400; ++i) {
    s.cuts->marks.push_back(i);
    s.cuts->drops.push_back(m(1));
    s.cuts->cuts.push_back(m(1 + 0.001 * i));
  }
  const std::string words = s.words(), text = s.text();
  CHECK(words.find("RODS (continued) RUN R1 (continued) [ ] 1") != std::string::npos);
  const std::size_t rods = text.find("RODS");
  for (int i = 0; i < 400; ++i) {
    const std::string number = std::to_string(1001 + i), cut = std::to_string(1000 + i);
    CAPTURE(number);
    const std::size_t at = text.find("[ ] " + number + " P" + std::to_string(i), rods);
    REQUIRE(at != std::string::npos);
    CHECK(text.substr(at, 26).find("1." + cut.substr(1)) != std::string::npos);
  }
  std::size_t lines = 0;
  for (std::size_t i = 0, from = 0; i < text.size(); ++i) {
    if (text[i] == '\f') lines = 0, from = i + 1;
    if (text[i] != '\n') continue;
    CHECK(++lines <= 58);
    CHECK(i - from <= 76);
    from = i + 1;
  }
  s.crews = {{"left", {}, {}, {{"R1", {}}}, {}, {}, {CrewWork::floor}}};
  CHECK_FALSE(s.says("RODS"));
  s.crews[0].does = {CrewWork::deck};
  CHECK(s.says("RODS"));
}
