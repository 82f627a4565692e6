// What is said of a cause is what was computed: marks are marks, shots are shots, and no figure is another's.
#include "report/cause_text.h"

#include <doctest/doctest.h>

using namespace deckmark;

namespace {

Vec<Site> site(double north, double east) {
  return {{.northing = Length::millimetres(north), .easting = Length::millimetres(east)}};
}
Vec<Drawing> drawing(double x, double y) {
  return {{.x = Length::millimetres(x), .y = Length::millimetres(y)}};
}

Cause cause(CauseKind kind, std::size_t points, std::size_t shots) {
  Cause c;
  c.kind = kind;
  c.points = points;
  for (std::size_t i = 0; i < shots; ++i) c.shots.push_back(i);
  return c;
}

CauseLine line(const Cause& c, NamedGroup group, std::vector<std::uint32_t> numbers = {}) {
  CauseLine l;
  l.cause = &c;
  l.group = std::move(group);
  l.numbers = std::move(numbers);
  return l;
}

}  // namespace

TEST_CASE("marks are counted as marks and shots as shots, and numbers stand as ranges") {
  const Cause once = cause(CauseKind::shift, 4, 4), twice = cause(CauseKind::shift, 3, 5);
  CHECK(cause_words(line(once, {}, {1001, 1002, 1003, 1007}), LengthUnit::metre).marks ==
        "4 marks: 1001-1003, 1007");
  CHECK(cause_words(line(twice, {}, {1001, 1002, 1002, 1001, 1007}), LengthUnit::metre).marks ==
        "3 marks, 5 shots: 1001-1002, 1007");
  const Cause names = cause(CauseKind::renumbered, 3, 4);
  CHECK(cause_sentence(line(names, {}), LengthUnit::metre).starts_with("4 shots lie on other points"));
}

TEST_CASE("a set of marks has its count for a name, a column's group its level") {
  Cause c = cause(CauseKind::shift, 15, 16);
  c.value = 0.015;
  const CauseLine set = line(c, {GroupKind::marks, ""});
  CHECK(cause_sentence(set, LengthUnit::metre) == "15 marks stand 15.0 mm off the same way");
  CHECK(cause_group_text(set) == "15 marks");
  const CauseLine part = line(c, {GroupKind::marked_from, "S1", AsbuiltLevel::deck});
  CHECK(cause_sentence(part, LengthUnit::metre) ==
        "marks set out from S1 on the deck stand 15.0 mm off the same way");
  CHECK(cause_group_text(part) == "marked_from S1");
  const CauseLine run = line(c, {GroupKind::run, "L4"});
  CHECK(cause_sentence(run, LengthUnit::metre) == "marks of run L4 stand 15.0 mm off the same way");
  CHECK(cause_group_text(run) == "run L4");
  c.kind = CauseKind::wavy_run;
  CHECK(cause_sentence(run, LengthUnit::metre) == "marks of run L4 wander, up to 15.0 mm off");
}

TEST_CASE("a bump says what the marks did, and what the instrument did by its own figure") {
  Cause c = cause(CauseKind::bump, 9, 9);
  c.value = 0.0201;
  c.by = site(3, 4);
  CauseLine l = line(c, {GroupKind::setup, "S2"});
  l.from = "10:05";
  l.by = drawing(-3, 4);
  CHECK(cause_sentence(l, LengthUnit::metre) ==
        "from 10:05 on the instrument stands elsewhere: shots from S2 stand 5.0 mm off the same way (-3.0 mm "
        "along X, +4.0 mm along Y)");
  c.turned = -0.025;
  CHECK(
      cause_sentence(l, LengthUnit::metre) ==
      "from 10:05 on the instrument stands elsewhere: shots from S2 are turned 90\" counter-clockwise, and "
      "stand 5.0 mm off in their middle (-3.0 mm along X, +4.0 mm along Y); the instrument itself moved 20.1 "
      "mm");
}

TEST_CASE("three causes are told, the rest is counted") {
  // 2026-11-27: ten were told, each of them a single mark.
  const Cause single = cause(CauseKind::one_point, 1, 1), many = cause(CauseKind::shift, 9, 9);
  std::vector<CauseLine> lines(3, line(many, {}));
  CHECK(causes_left_words(lines) == "");
  lines.push_back(line(single, {}));
  CHECK(causes_left_words(lines) == "1 more in causes.csv, a single mark");
  lines.push_back(line(single, {}));
  CHECK(causes_left_words(lines) == "2 more in causes.csv, all of them single marks");
  lines.push_back(line(many, {}));
  CHECK(causes_left_words(lines) == "3 more in causes.csv, 2 of them single marks");
  lines.assign(4, line(many, {}));
  CHECK(causes_left_words(lines) == "1 more in causes.csv");
  const std::string text = causes_text(lines, Length::millimetres(2), 40, 100, LengthUnit::metre);
  CHECK(text.find("  3. shift: ") != std::string::npos);
  CHECK(text.find("  4. ") == std::string::npos);
  CHECK(text.find("  and 1 more in causes.csv\n") != std::string::npos);
}

TEST_CASE("shots in another unit are told by it, not by parts in a million") {
  struct Row {
    double ratio;
    LengthUnit site;
    std::string_view words;
  };
  for (const Row& r : {Row{1000, LengthUnit::metre, "all shots are in millimetres, read as metres"},
                       Row{1 / 0.3048, LengthUnit::metre, "all shots are in feet, read as metres"},
                       Row{0.3048, LengthUnit::foot, "all shots are in metres, read as feet"},
                       Row{0.3048, LengthUnit::feet_inches, "all shots are in metres, read as feet"},
                       Row{7, LengthUnit::metre,
                           "all shots are in another unit: their numbers are 7.0000 times the design's"}}) {
    CAPTURE(r.words);
    Cause c = cause(CauseKind::scale, 4, 4);
    c.value = (r.ratio - 1) * 1e6;
    c.sd = 293;
    const CauseWords w = cause_words(line(c, {}), r.site);
    CHECK(w.what == r.words);
    CHECK(w.confirm == "look at the unit of the shots: the header of their table, and [site] unit");
  }
  Cause ppm = cause(CauseKind::scale, 4, 4);
  ppm.value = 400;
  CHECK(cause_words(line(ppm, {}), LengthUnit::metre).what.starts_with("all shots are stretched by 400 ppm"));
}
