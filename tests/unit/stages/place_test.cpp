#include "stages/place.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// Coordinates that a tie states, and where it was found: N = 100 + y, E = 200 + x when nothing is wrong.
struct Keyed {
  std::string name;
  double x, y;
  double off_x = 0, off_y = 0;  ///< stated too much
};

/// Six ties round 20 m by 10 m.
std::vector<Keyed> six() {
  return {{"T1", 0, 0}, {"T2", 20, 0}, {"T3", 20, 10}, {"T4", 0, 10}, {"T5", 10, 0}, {"T6", 10, 10}};
}

PlainBaselines baselines_of(const std::vector<Keyed>& rows) {
  PlainBaselines out;
  std::string text = "mark,x,y,northing,easting\n";
  for (const Keyed& r : rows) {
    out.ties.push_back(tie(r.name, r.x + r.off_x, r.y + r.off_y, at(100 + r.y, 200 + r.x)));
    text += r.name + ",11,22,33,44\n";
  }
  out.ties_table = table_of("ties.csv",
                            {{"mark", ColumnKind::name, true},
                             {"x", ColumnKind::length, false},
                             {"y", ColumnKind::length, false},
                             {"northing", ColumnKind::length, false},
                             {"easting", ColumnKind::length, false}},
                            text);
  return out;
}

/// A fit that was signed: what `shifted_fit` is.
SignedBaselines signed_fit(const PlainBaselines& b) {
  SignedBaselines s;
  s.revision = "B";
  s.held = "both";
  s.ties_file = "ties.csv";
  s.ties_sha256 = b.ties_table.table ? b.ties_table.table->source()->sha256() : "";
  s.site_centre = at(100, 200);
  s.azimuth_x = Azimuth::degrees(90);
  return s;
}

void check_at(const Point<Site>& p, double northing, double easting) {
  CHECK(p.at.northing.metres() == doctest::Approx(northing).epsilon(1e-10));
  CHECK(p.at.easting.metres() == doctest::Approx(easting).epsilon(1e-10));
}

bool tells(const std::vector<std::string>& lines, const std::string& words) {
  for (const std::string& line : lines)
    if (line.find(words) != std::string::npos) return true;
  return false;
}

const JobMarks& two_marks() {
  static const JobMarks marks = marks_of({{"P1", 3, 4}, {"P2", 20, 10}});
  return marks;
}

}  // namespace

TEST_CASE("without ties x is easting and y northing; mirrored y runs south; nothing is uncertain") {
  PlainBaselines b;
  for (const SitePlace by : {SitePlace::as_drawn, SitePlace::as_stated}) {
    b.mirrored = false;
    const auto plain = place(b.view(), by, two_marks());
    REQUIRE(plain.is_there());
    CHECK(plain.value->by == by);
    CHECK_FALSE(plain.value->baseline.has_value());
    CHECK_FALSE(plain.value->square.has_value());
    REQUIRE(plain.value->marks.size() == 2);
    check_at(plain.value->marks[0], 4, 3);
    CHECK(semi_major(plain.value->fit.covariance_at(xy(50, 50))) == m(0));
    b.mirrored = true;
    check_at(place(b.view(), by, two_marks()).value->marks[0], -4, 3);
  }
}

TEST_CASE("ties without a fault place every mark, and nothing is doubted") {
  const PlainBaselines b = baselines_of(six());
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  CHECK(placed.value->by == SitePlace::by_fit);
  check_at(placed.value->marks[0], 104, 203);
  check_at(placed.value->marks[1], 110, 220);
  REQUIRE(placed.value->baseline);
  CHECK(placed.value->baseline->rows.size() == 12);
  CHECK(placed.value->baseline->fit.has_value());
  REQUIRE(placed.value->square);
  CHECK(placed.value->square->included->degrees() == doctest::Approx(90));
  CHECK(placed.value->wrong.empty());
  CHECK_FALSE(placed.value->today.has_value());
  CHECK(placed.told.doubts() == 0);
  CHECK(semi_major(placed.value->fit.covariance_at(xy(3, 4))) > m(0));
}

TEST_CASE("a long drawing is mapped to its last point") {
  const std::size_t n = 100001;  // from 100,000 on two threads work
  MarkTable rows;
  for (std::size_t i = 0; i < n; ++i) {
    rows.names.push_back("P" + std::to_string(i));
    rows.places.push_back(xy(static_cast<double>(i), 1));
  }
  const auto placed =
      place(PlainBaselines{}.view(), SitePlace::as_drawn, drawn_marks(std::move(rows), nullptr));
  REQUIRE(placed.value->marks.size() == n);
  for (const std::size_t i : {std::size_t{0}, n / 2 - 1, n / 2, n - 1})
    check_at(placed.value->marks[i], 1, static_cast<double>(i));
}

TEST_CASE("ties that leave something open are refused at their table, and there is no place") {
  const PlainBaselines b = baselines_of({{"T1", 0, 0}});
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  CHECK(placed.is_spoiled());
  CHECK_FALSE(placed.value.has_value());
  const auto lines = told(placed.told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with("ties.csv: file: found "));
}

TEST_CASE("ties that could not be read leave the drawing without a place, not at its own coordinates") {
  const auto placed = place(PlainBaselines{}.view(), SitePlace::by_fit, two_marks());
  CHECK(placed.is_spoiled());
  CHECK_FALSE(placed.value.has_value());
  CHECK_FALSE(placed.told.has_problems());
}

TEST_CASE(
    "a stated coordinate that the others contradict is named at its cell, with what is left without it") {
  auto rows = six();
  rows[2].off_y = 0.050;
  const PlainBaselines b = baselines_of(rows);
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  REQUIRE(placed.value->wrong.size() == 1);
  CHECK(placed.value->wrong[0].tie == 2);
  CHECK(placed.value->wrong[0].axis == TieAxis::y);
  const auto lines = told(placed.told, Grade::doubt);
  CHECK(tells(lines,
              "ties.csv:4:7: y: y of tie T3 is contradicted by the others: it seems to be off by 50.0 mm"));
  CHECK(tells(lines, "ties.csv:4:1: mark: without T3 the other ties fit within 0.0 mm: look at it first"));
  CHECK_FALSE(tells(lines, "without T1"));
  CHECK(tells(lines, "looks like "));

  rows = six();
  rows[1].off_x = -0.050;
  CHECK(tells(told(place(baselines_of(rows).view(), SitePlace::by_fit, two_marks()).told, Grade::doubt),
              "ties.csv:3:4: x: x of tie T2 is contradicted by the others"));
}

TEST_CASE("an everyday blunder is named with how much it is off, at the cell or at the ties that carry it") {
  const auto lines_of = [](const std::vector<Keyed>& rows) {
    return told(place(baselines_of(rows).view(), SitePlace::by_fit, two_marks()).told, Grade::doubt);
  };
  auto rows = six();
  rows[2].off_x = 10;  // a bay of T5 to T2
  const auto tie_words = std::string("ties.csv:4:4: x: tie T3: looks like shifted by a bay or an offset, ");
  CHECK(tells(lines_of(rows), tie_words + "10.0000 m too much; put right, the ties fit within 0.0 mm (rms)"));
  rows[2].off_x = -10;
  CHECK(
      tells(lines_of(rows), tie_words + "10.0000 m too little; put right, the ties fit within 0.0 mm (rms)"));
  rows = six();
  rows[0].off_x = 10, rows[4].off_x = -10;  // T1 at 0 and T5 at 10 under each other's names
  CHECK(tells(lines_of(rows), "ties.csv:2:1: mark: ties T1 and T5: looks like exchanged names; put right"));
}

TEST_CASE("what is left without a tie is told where it is within the smallest tolerance of all") {
  auto rows = six();
  rows[2].off_y = 0.050;
  rows[4].off_x = 0.020;
  PlainBaselines b = baselines_of(rows);
  const auto lines = [&] { return told(place(b.view(), SitePlace::by_fit, two_marks()).told, Grade::doubt); };
  CHECK_FALSE(tells(lines(), "without T3"));
  b.ties[3].tie.tolerance = mm(500);
  CHECK_FALSE(tells(lines(), "without T3"));
  for (NamedTie& t : b.ties) t.tie.tolerance = mm(30);  // T5 is off by less
  CHECK(tells(lines(), "without T3 the other ties fit within "));
}

TEST_CASE(
    "the tie that the others fit best without is told, and no other that would do within the tolerance") {
  // Four corners: without T2 the other three share out the 10 mm within the tolerance too.
  std::vector<Keyed> rows{{"T1", 0, 0}, {"T2", 20, 0}, {"T3", 20, 10}, {"T4", 0, 10}};
  rows[2].off_y = 0.010;
  PlainBaselines b = baselines_of(rows);
  for (NamedTie& t : b.ties) t.tie.tolerance = mm(5);
  const auto lines = told(place(b.view(), SitePlace::by_fit, two_marks()).told, Grade::doubt);
  CHECK(tells(lines, "without T3 the other ties fit within 0.0 mm: look at it first"));
  for (const char* other : {"without T1", "without T2", "without T4"}) CHECK_FALSE(tells(lines, other));
}

TEST_CASE("a tie whose cells are exchanged is told as that, once") {
  const auto lines_of = [](const PlainBaselines& b) {
    return told(place(b.view(), SitePlace::by_fit, two_marks()).told, Grade::doubt);
  };
  PlainBaselines b = baselines_of(six());
  std::swap(b.ties[1].tie.at.at.northing, b.ties[1].tie.at.at.easting);
  const auto lines = lines_of(b);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with(
      "ties.csv:3:1: mark: tie T2: looks like northing and easting exchanged; put right"));
  auto rows = six();
  rows[2].off_x = -10, rows[2].off_y = 10;  // 20, 10 as 10, 20
  const auto axes = lines_of(baselines_of(rows));
  REQUIRE(axes.size() == 1);
  CHECK(axes[0].starts_with("ties.csv:4:1: mark: tie T3: looks like x and y exchanged; put right"));
}

TEST_CASE("units of drawing and site that do not belong together are one problem, and there is no place") {
  PlainBaselines b = baselines_of(six());
  for (NamedTie& t : b.ties)
    t.tie.at = {{.northing = t.tie.at.at.northing * 0.3048, .easting = t.tie.at.at.easting * 0.3048}};
  b.site_unit = LengthUnit::foot;
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  CHECK(placed.is_spoiled());
  CHECK_FALSE(placed.value);
  CHECK(placed.told.doubts() == 0);
  CHECK(told(placed.told, Grade::problem) ==
        std::vector<std::string>{
            "ties.csv: file: found northing and easting read as feet, expected metres: so read the ties fit "
            "within 0.00 in (rms); or x and y in feet in place of metres, within 0.00 in"});
}

TEST_CASE("a header whose unit departs from the job's is the one that is told") {
  PlainBaselines b = baselines_of(six());
  for (NamedTie& t : b.ties)
    t.tie.at = {{.northing = t.tie.at.at.northing * 0.3048, .easting = t.tie.at.at.easting * 0.3048}};
  std::string text = "mark,x,y,northing (ft),easting (ft)\n";
  for (const NamedTie& t : b.ties) text += t.name + ",11,22,33,44\n";
  b.ties_table = table_of("ties.csv",
                          {{"mark", ColumnKind::name, true},
                           {"x", ColumnKind::length, false},
                           {"y", ColumnKind::length, false},
                           {"northing", ColumnKind::length, false},
                           {"easting", ColumnKind::length, false}},
                          text);
  CHECK(told(place(b.view(), SitePlace::by_fit, two_marks()).told, Grade::problem) ==
        std::vector<std::string>{
            "ties.csv:1:10: northing: found northing and easting read as feet, expected metres: so read the "
            "ties fit within 0.0 mm (rms)"});
}

TEST_CASE("where all are within their tolerances the wrong one is named, and no blunder is looked for") {
  auto rows = six();
  rows[2].off_y = 0.050;
  PlainBaselines b = baselines_of(rows);
  for (NamedTie& t : b.ties) t.tie.tolerance = m(1);
  const auto lines = told(place(b.view(), SitePlace::by_fit, two_marks()).told, Grade::doubt);
  CHECK(tells(lines, "y of tie T3 is contradicted"));
  CHECK_FALSE(tells(lines, "without T3"));
  CHECK_FALSE(tells(lines, "looks like "));
}

TEST_CASE("doubts of the fit are told under the baselines, each kind by itself") {
  // Two ties leave nothing over and do not tell the hands apart.
  const PlainBaselines b = baselines_of({{"T1", 0, 0}, {"T2", 20, 0}});
  BaselineOptions free;
  free.scale_free = true;
  PlainBaselines with_scale = b;
  with_scale.options = free;
  const auto placed = place(with_scale.view(), SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  const auto lines = told(placed.told, Grade::doubt);
  CHECK(lines.size() == placed.value->baseline->doubts.size());
  CHECK(lines.size() >= 2);
  for (const std::string& line : lines) CHECK(line.starts_with("ties.csv: baselines: "));
}

TEST_CASE(
    "sds of shots that are not round lie along the site's axes: with +X east that of easting counts for x") {
  PlainBaselines b = baselines_of(six());
  for (NamedTie& t : b.ties) t.tie.shot_sd_northing = mm(1), t.tie.shot_sd_easting = mm(10);
  const auto check = [&] {
    const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
    REQUIRE(placed.is_there());
    for (const TieRow& r : placed.value->baseline->rows)
      CHECK(r.sd.millimetres() ==
            doctest::Approx(r.axis == TieAxis::x ? std::hypot(2, 10) : std::hypot(2, 1)).epsilon(1e-6));
  };
  check();
  b.checks.signed_fit = signed_fit(b);  // turned by the signed fit
  check();
}

TEST_CASE(
    "found places that share an error of their setup: it moves the baselines and no tie against another") {
  PlainBaselines b = baselines_of(six());
  for (NamedTie& t : b.ties) t.tie.shot_sd_northing = t.tie.shot_sd_easting = mm(50);  // in the covariance
  Matrix places(12, 12);
  for (std::size_t i = 1; i < 12; i += 2)
    for (std::size_t j = 1; j < 12; j += 2) places(i, j) = 1e-4;  // 10 mm, easting
  BaselinesStated stated = b.view();
  stated.tie_places = &places;
  const auto placed = place(stated, SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  CHECK(placed.value->fit.covariance[0][0] == doctest::Approx(1e-4 + 4e-6 / 6).epsilon(1e-6));
  CHECK(placed.value->fit.covariance[1][1] == doctest::Approx(4e-6 / 6).epsilon(1e-6));
  for (const TieRow& r : placed.value->baseline->rows) {
    CHECK(r.sd.millimetres() == doctest::Approx(r.axis == TieAxis::x ? std::hypot(2, 10) : 2).epsilon(1e-6));
    CHECK(r.residual_sd < mm(2));
  }
  REQUIRE(placed.value->gain.cols == 12);
  double together = 0;
  for (std::size_t j = 1; j < 12; j += 2) together += placed.value->gain(0, j);
  CHECK(together == doctest::Approx(1));
}

TEST_CASE(
    "found places that share an error: what is wrong is named by that, and a signed fit is checked by it") {
  std::vector<Keyed> rows = six();
  rows[2].off_x = 0.040;
  const PlainBaselines b = baselines_of(rows);
  Matrix places(12, 12);
  for (std::size_t i = 1; i < 12; i += 2)
    for (std::size_t j = 1; j < 12; j += 2) places(i, j) = 1e-4;
  BaselinesStated stated = b.view();
  stated.tie_places = &places;
  const auto wrong = place(stated, SitePlace::by_fit, two_marks());
  REQUIRE(wrong.is_there());
  REQUIRE(wrong.value->wrong.size() == 1);
  CHECK(wrong.value->wrong[0].tie == 2);
  CHECK(wrong.value->wrong[0].error.millimetres() == doctest::Approx(40).epsilon(0.01));
  CHECK(wrong.value->wrong[0].sd < mm(4));  // the shared 10 mm are no part of it

  // All 15 mm too far east: chance where they share 10 mm, a move where each has 2 mm of its own.
  PlainBaselines later = baselines_of(six());
  later.checks.signed_fit = signed_fit(later);
  for (NamedTie& t : later.ties) t.tie.at.at.easting += mm(15);
  BaselinesStated today = later.view();
  today.tie_places = &places;
  const auto shared = place(today, SitePlace::by_fit, two_marks());
  REQUIRE(shared.is_there());
  CHECK_FALSE(shared.value->today->moved);
  CHECK(shared.value->today->sd_x.millimetres() ==
        doctest::Approx(std::hypot(10, 2 / std::sqrt(6))).epsilon(0.01));
  CHECK(shared.value->gain.values.empty());  // a signed fit stands whatever today's ties are
  const auto alone = place(later.view(), SitePlace::by_fit, two_marks());
  CHECK(alone.value->today->moved);
}

TEST_CASE("a signed fit without ties is used as it is") {
  PlainBaselines b;
  b.checks.signed_fit = signed_fit(b);
  b.checks.signed_file = "signed.toml";
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  CHECK(placed.value->by == SitePlace::by_fit);
  check_at(placed.value->marks[0], 104, 203);
  CHECK_FALSE(placed.value->baseline.has_value());
  CHECK_FALSE(placed.value->today.has_value());
  CHECK(placed.told.doubts() == 0);
  CHECK(told(placed.told, Grade::notice).empty());
}

TEST_CASE("a signed fit of another revision is a doubt, other ways of fitting are a notice") {
  PlainBaselines b;
  b.checks.signed_fit = signed_fit(b);
  b.checks.signed_file = "signed.toml";
  b.revision = "";
  const auto messages = [&] { return place(b.view(), SitePlace::by_fit, two_marks()).told; };
  CHECK(told(messages(), Grade::doubt) ==
        std::vector<std::string>{"signed.toml: revision: signed for revision B, the job is revision (none)"});
  b.revision = "B";
  b.options.hold = Hold::x;
  CHECK(told(messages(), Grade::notice) ==
        std::vector<std::string>{
            "signed.toml: baselines: the signed fit holds both with a fixed scale; hold and "
            "scale of the job are not used"});
  b.checks.signed_fit->held = "x";
  CHECK(told(messages(), Grade::notice).empty());
  b.options.scale_free = true;
  CHECK(told(messages(), Grade::notice).size() == 1);
  b.checks.signed_fit->scale_free = true;
  CHECK(told(messages(), Grade::notice).empty());
}

TEST_CASE("ties beside a signed fit check it: only what it was not made from is new") {
  PlainBaselines b = baselines_of(six());
  b.options.hold = Hold::y;
  b.checks.signed_fit = signed_fit(b);
  b.checks.signed_fit->held = "x";
  for (const NamedTie& t : b.ties) {
    b.checks.signed_fit->ties.push_back({"t" + t.name.substr(1), true, *t.tie.x, 0.5, t.tie.at, mm(1)});
    if (t.name != "T6") b.checks.signed_fit->ties.push_back({t.name, false, *t.tie.y, 0.5, t.tie.at, mm(1)});
  }
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  REQUIRE(placed.value->today);
  CHECK(placed.value->today->new_stated == 1);  // y of T6
  CHECK(placed.value->today->rows.back().axis == TieAxis::y);
  CHECK(placed.value->today->is_new.back());
  REQUIRE(placed.value->baseline);
  CHECK(placed.value->baseline->degrees_of_freedom == 1);
  CHECK(placed.value->baseline->rows.size() == 12);
  CHECK(placed.value->baseline->status == FitStatus::solved);
  CHECK(placed.value->baseline->options.hold == Hold::x);  // as signed
  CHECK(placed.value->square.has_value());
  CHECK_FALSE(placed.value->today->moved);
  CHECK(placed.told.doubts() == 0);
  CHECK(told(placed.told, Grade::notice).size() == 1);  // the hold
  CHECK_FALSE(tells(told(placed.told, Grade::notice), "ties.csv"));
}

TEST_CASE("ties that are not those that were signed change nothing, and are told where they have moved") {
  auto rows = six();
  PlainBaselines b = baselines_of(rows);
  b.checks.signed_fit = signed_fit(b);
  b.checks.signed_fit->ties_sha256 = "0";
  for (NamedTie& t : b.ties) t.tie.x = *t.tie.x + m(0.1);  // found 0.1 m too far west
  const auto placed = place(b.view(), SitePlace::by_fit, two_marks());
  REQUIRE(placed.is_there());
  check_at(placed.value->marks[0], 104, 203);
  CHECK(placed.value->today->moved);
  CHECK(placed.value->today->new_stated == 12);
  CHECK(placed.value->baseline->degrees_of_freedom == 12);
  CHECK(placed.value->baseline->variance_factor == placed.value->today->variance_factor);
  CHECK(told(placed.told, Grade::notice) ==
        std::vector<std::string>{"ties.csv: file: not the \"ties.csv\" that was signed: these ties check the "
                                 "signed fit and change nothing"});
  const auto lines = told(placed.told, Grade::doubt);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with("ties.csv: baselines: the ties lie shifted or turned against the signed fit"));
}
