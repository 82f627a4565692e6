#include "pages/standing.h"

#include <doctest/doctest.h>

#include <optional>
#include <string>
#include <vector>

#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;

namespace {

/// Two ties whose four stated coordinates are all within and checked, and nothing else.
struct Judge {
  PlainBaselines baselines{};
  SitePlace by = SitePlace::by_fit;
  PlainLaid laid = laid_of({{"A", 1, 2}, {"B", 3, 4}});
  bool has_place = true;
  std::optional<Checked> checked{};
  std::optional<StringsFound> strings{};
  PlumbOptions plumb_options{};
  std::optional<Plumbed> plumb{};
  InstrumentJob instrument{};
  std::vector<ControlPoint> control{};
  std::optional<Setups> setups{};
  AsbuiltJob asbuilt_job{};
  Length flatness = mm(20);
  std::optional<AsbuiltFound> asbuilt{};

  Judge() {
    baselines.ties = {tie("T1", 0, 0, at(100, 200)), tie("T2", 10, 0, at(100, 210))};
    BaselineResult& fit = laid.placed.baseline.emplace();
    fit.status = FitStatus::solved;
    for (std::size_t t = 0; t < 2; ++t)
      for (const TieAxis axis : {TieAxis::x, TieAxis::y})
        fit.rows.push_back({.tie = t,
                            .axis = axis,
                            .stated = m(0),
                            .computed = m(0),
                            .residual = m(0),
                            .standardised = 0.0,
                            .redundancy = 0.5,
                            .sd = mm(2),
                            .tolerance = mm(6)});
    SquarenessResult& square = laid.placed.square.emplace();
    square.verdict = Verdict::within;
  }
  TieRow& row(std::size_t i) { return laid.placed.baseline->rows[i]; }
  SquarenessResult& square() { return *laid.placed.square; }
  /// No ties: what says where the drawing lies is something else.
  void without_ties(SitePlace place) {
    by = place;
    has_place = has_site_place(place);
    laid.placed.baseline.reset();
    laid.placed.square.reset();
  }
  void put_outside(std::size_t i, double residual_mm, double standardised) {
    row(i).residual = mm(residual_mm);
    row(i).standardised = standardised;
    row(i).verdict = Verdict::outside;
  }
  HeightsJob heights_job{};
  std::optional<HeightsFound> heights{};
  std::optional<BracketsJudged> brackets{};
  Standing standing() const {
    const LaidOut view = laid.view();
    const BaselinesStated stated = baselines.view();
    const SetupsStated setups_stated{instrument, control, {}, mm(6), std::nullopt, LengthUnit::metre};
    const HeightsStated heights_stated{heights_job, std::nullopt, std::nullopt, baselines.site_unit};
    const AsbuiltStated asbuilt_stated{asbuilt_job,  control,  baselines.ties,    instrument,
                                       std::nullopt, flatness, LengthUnit::metre, baselines.site_unit};
    return deckmark::standing({.baselines = stated,
                               .by = by,
                               .placed = has_place ? &laid.placed : nullptr,
                               .checked = checked ? &*checked : nullptr,
                               .laid = has_place ? &view : nullptr,
                               .strings = strings ? &*strings : nullptr,
                               .plumb_options = plumb_options,
                               .plumb = plumb ? &*plumb : nullptr,
                               .heights_stated = heights_stated,
                               .heights = heights ? &*heights : nullptr,
                               .brackets = brackets ? &*brackets : nullptr,
                               .setups_stated = setups_stated,
                               .setups = setups ? &*setups : nullptr,
                               .asbuilt_stated = asbuilt_stated,
                               .asbuilt = asbuilt ? &*asbuilt : nullptr});
  }
};

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// What is said, where the job may go on.
std::string line(const Judge& j) {
  const Standing s = j.standing();
  CHECK_FALSE(s.outside);
  return s.line;
}
/// What is said, where it must not.
std::string stop(const Judge& j) {
  const Standing s = j.standing();
  CHECK(s.outside);
  return s.line;
}

PlumbRow plumb_row(double offset_mm, Verdict verdict) {
  PlumbRow r;
  r.offset = mm(offset_mm);
  r.verdict = r.by_tolerance = verdict;
  return r;
}

AsbuiltRow asbuilt_row(std::uint32_t mark, AsbuiltLevel level, double offset_mm, Verdict verdict) {
  AsbuiltRow r{.design = at(0, 0), .at = at(0, 0)};
  r.mark = mark;
  r.level = level;
  r.offset = mm(offset_mm);
  r.plan = verdict;
  return r;
}

/// A setup whose sights are to the targets of its index.
SetupFound setup_found(Verdict verdict) {
  SetupFound f;
  f.result.verdict = f.verdict = verdict;
  f.reduction.sights.resize(2);
  f.reduction.sights[1].target = 1;
  return f;
}
StatedSetup stated_setup(std::string name) {
  StatedSetup s;
  s.name = std::move(name);
  s.targets = {"CP1", "CP2"};
  return s;
}

}  // namespace

TEST_CASE("READY only where all is within and checked, and nothing is added") {
  CHECK(line({}) == "READY TO LAY OUT");
  Judge j;
  j.checked.emplace();
  j.plumb = Plumbed{{plumb_row(6, Verdict::within)}, {0}};
  j.instrument.setups = {stated_setup("S1")};
  j.setups = Setups{{setup_found(Verdict::within)}, {std::nullopt}, {}};
  j.asbuilt.emplace().rows = {asbuilt_row(0, AsbuiltLevel::floor, 5, Verdict::within)};
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(line(j) == "READY TO LAY OUT");
  j.laid.placed.square.reset();  // nothing was to be said of squareness
  CHECK(line(j) == "READY TO LAY OUT");
}

TEST_CASE("ties: every coordinate that is outside, with its axis, the worst first, three and how many more") {
  Judge j;
  j.put_outside(1, -7.5, -3);
  CHECK(stop(j) == "DO NOT LAY OUT: tie T1 y is off by 7.5 mm, permitted 6.0 mm");
  j.put_outside(2, 9, 4);
  CHECK(
      stop(j) ==
      "DO NOT LAY OUT: tie T2 x is off by 9.0 mm, permitted 6.0 mm; tie T1 y is off by 7.5 mm, permitted 6.0 "
      "mm");
  j.put_outside(0, 7, 2);
  const std::string three = stop(j);
  CHECK(three.ends_with("; tie T1 x is off by 7.0 mm, permitted 6.0 mm"));
  j.put_outside(3, 8, 1);
  CHECK(stop(j) == three + "; and 1 more");
}

TEST_CASE("ties: those that are off alike, but for binary noise, stand in their order") {
  Judge j;
  j.put_outside(0, 7, 3);
  j.put_outside(1, 8, 3 + 1e-9);
  CHECK(stop(j).starts_with("DO NOT LAY OUT: tie T1 x is off by 7.0 mm"));
  j.row(1).standardised = 3.001;
  CHECK(stop(j).starts_with("DO NOT LAY OUT: tie T1 y is off by 8.0 mm"));
  j.row(0).standardised.reset();
  j.row(1).standardised = -0.5;
  CHECK(stop(j).starts_with("DO NOT LAY OUT: tie T1 y is off by 8.0 mm"));
}

TEST_CASE("ties that no other checks: not ready, and told beside what is outside") {
  Judge j;
  j.row(1).verdict = j.row(2).verdict = Verdict::unsure;
  CHECK(line(j) == "BASELINES NOT CHECKED: not checked by other ties: tie T1 y; tie T2 x");
  j.put_outside(0, 7, 3);
  CHECK(
      stop(j) ==
      "DO NOT LAY OUT: tie T1 x is off by 7.0 mm, permitted 6.0 mm; not checked by other ties: tie T1 y; tie "
      "T2 x");
}

TEST_CASE("squareness outside: by how much over which length") {
  Judge j;
  j.square().verdict = Verdict::outside;
  j.square().deviation_over = mm(-9);
  j.square().shorter = m(12);
  j.square().limit.permitted = mm(5);
  CHECK(stop(j) ==
        "DO NOT LAY OUT: the baselines are out of square by 9.0 mm over 12.0000 m, permitted 5.0 mm");
}

TEST_CASE("squareness that is not known: why, by ties and by lengths") {
  Judge j;
  j.square().verdict = Verdict::unsure;
  CHECK(line(j) == "BASELINES NOT CHECKED: the ties are too weak to judge the squareness of the baselines");
  for (bool SquarenessResult::*open : {&SquarenessResult::x_open, &SquarenessResult::y_open}) {
    j.square().x_open = j.square().y_open = false;
    j.square().*open = true;
    CHECK(line(j) == "BASELINES NOT CHECKED: the ties do not check the squareness of the baselines");
  }
  j.square().contradicted = true;
  CHECK(line(j) == "BASELINES NOT CHECKED: the lengths contradict one another, so no squareness is stated");

  Judge by_lengths;
  by_lengths.without_ties(SitePlace::as_drawn);
  by_lengths.checked.emplace().square = SquarenessResult{};
  CHECK(
      line(by_lengths) ==
      "BASELINES NOT CHECKED: no ties, so the drawing's own coordinates are taken for the site's (E = x, N = "
      "y); the lengths are too weak to judge the squareness of the baselines");
  by_lengths.checked->square->x_open = true;
  CHECK(line(by_lengths).ends_with("; the lengths are too weak to judge the squareness of the baselines"));
}

TEST_CASE("lengths and dimensions that are outside stop the job") {
  Judge j;
  j.checked.emplace().outside = {{.text = "length A to B is off"}, {.text = "dimension A to B is printed"}};
  CHECK(stop(j) == "DO NOT LAY OUT: length A to B is off; dimension A to B is printed");
  j.without_ties(SitePlace::unknown);
  CHECK(stop(j) == "DO NOT LAY OUT: length A to B is off; dimension A to B is printed");
}

TEST_CASE("deck marks that are out of plumb: floor number, name, by which limit") {
  Judge j;
  j.plumb_options.tolerance = mm(6);
  j.plumb_options.slope = 200;
  j.plumb = Plumbed{{plumb_row(5, Verdict::within), plumb_row(7, Verdict::outside)}, {0, 1}};
  j.laid.put_deck(4, 5000);
  CHECK(stop(j) ==
        "DO NOT LAY OUT from 1002: deck mark of 1002 (B) is out of plumb by 7.0 mm, permitted 6.0 mm; the "
        "other one stands");
  PlumbRow& r = j.plumb->rows[1];
  r.by_slope = Verdict::within;
  r.ratio = 142.857;
  CHECK(stop(j).ends_with("permitted 6.0 mm; the other one stands"));
  r.by_slope = Verdict::outside;
  CHECK(has(stop(j), "out of plumb by 7.0 mm, permitted 6.0 mm, slope 1:142.9 where 1:200 is permitted;"));
  r.by_tolerance = Verdict::within;
  CHECK(has(stop(j), "is out of plumb by 7.0 mm, slope 1:142.9 where 1:200 is permitted;"));
  r.ratio.reset();  // nothing to say of a slope
  r.mark_not_above_attach = true;
  CHECK(stop(j) ==
        "DO NOT LAY OUT from 1002: deck mark of 1002 (B) is not above its bracket, and out of plumb by 7.0 "
        "mm; the other one stands");
  j.plumb->rows[1].verdict = Verdict::unsure;
  CHECK(line(j) == "READY TO LAY OUT");
}

TEST_CASE("as-built shots outside, by deck number on the deck; guarded acceptance stops for unsure ones") {
  Judge j;
  j.laid.put_deck(4, 5000);
  j.asbuilt.emplace().rows = {asbuilt_row(0, AsbuiltLevel::deck, 2, Verdict::within),
                              asbuilt_row(1, AsbuiltLevel::deck, 9, Verdict::outside)};
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(stop(j) ==
        "DO NOT LAY OUT from 1002: 1 of 2 as-built shots on the deck outside in plan, worst 6002 (B) by 9.0 "
        "mm, permitted 6.0 mm; the other one stands");
  j.asbuilt->rows[1].level = j.asbuilt->rows[0].level = AsbuiltLevel::floor;
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(stop(j).find("on the floor outside in plan, worst 1002 (B)") != std::string::npos);

  j.asbuilt->rows[1].plan = Verdict::unsure;
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(line(j) == "READY TO LAY OUT");
  j.asbuilt_job.options.guarded = true;
  CHECK(stop(j) ==
        "DO NOT LAY OUT from 1002: 1 as-built verdict is on the floor unsure under guarded acceptance; the "
        "other one stands");
}

TEST_CASE("as-built heights on the deck are held to its flatness") {
  Judge j;
  j.laid.put_deck(4);
  AsbuiltRow r = asbuilt_row(0, AsbuiltLevel::deck, 1, Verdict::within);
  r.up = mm(-25);
  r.height = Verdict::outside;
  j.asbuilt.emplace().rows = {r};
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(stop(j) ==
        "DO NOT LAY OUT from 1001: 1 of 1 as-built shot on the deck outside in elevation, worst 6001 (A) by "
        "25.0 mm, permitted 20.0 mm; the other one stands");
}

TEST_CASE("shots that were not judged are told behind whatever the verdict is") {
  Judge j;
  j.asbuilt.emplace().other_floors = {
      {.level = AsbuiltLevel::floor, .off = 2, .known = 2, .aside = 2, .up = m(4)}};
  CHECK(line(j) == "READY TO LAY OUT; not judged: 2 as-built shots on the floor, 4.0000 m too high");
  j.put_outside(0, 7, 3);
  CHECK(stop(j).ends_with("permitted 6.0 mm; not judged: 2 as-built shots on the floor, 4.0000 m too high"));
}

TEST_CASE("setups: what is outside stops the job, what nothing checks is named") {
  Judge j;
  j.instrument.setups = {stated_setup("S1"), stated_setup("S2"), stated_setup("S3")};
  j.setups = Setups{{setup_found(Verdict::unsure), std::nullopt, setup_found(Verdict::within)}, {}, {}};
  j.setups->plans.resize(3);
  CHECK(line(j) == "BASELINES NOT CHECKED: setup S1 not checked by any other sight");
  j.setups->setups[2]->result.verdict = Verdict::unsure;
  CHECK(line(j) == "BASELINES NOT CHECKED: setups S1, S3 not checked by any other sight");
  j.row(0).verdict = Verdict::unsure;
  j.square().verdict = Verdict::unsure;
  CHECK(line(j) ==
        "BASELINES NOT CHECKED: not checked by other ties: tie T1 x; the ties are too weak to judge the "
        "squareness of the baselines; setups S1, S3 not checked by any other sight");

  SetupFound& f = *j.setups->setups[0];
  f.result.verdict = Verdict::outside;
  f.result.rows.resize(2);
  f.result.rows[0].standardised = 1;
  f.result.rows[1].sight = 1;
  f.result.rows[1].standardised = -4.25;
  CHECK(stop(j).starts_with(
      "DO NOT LAY OUT: setup S1: a reading to CP2 is off by 4.3 times its sd; not checked"));
}

TEST_CASE("reasons of all kinds count together: three are told, in the order ties, square, lengths, plumb") {
  Judge j;
  j.put_outside(0, 7, 3);
  j.square().verdict = Verdict::outside;
  j.square().deviation_over = mm(9);
  j.square().shorter = m(12);
  j.checked.emplace().outside = {{.text = "length A to B is off"}};
  j.plumb = Plumbed{{plumb_row(7, Verdict::outside)}, {0}};
  const std::string text = stop(j);
  CHECK(text.starts_with("DO NOT LAY OUT: tie T1 x is off"));
  CHECK(text.find("; the baselines are out of square") < text.find("; length A to B is off; and 1 more"));
  CHECK(text.ends_with("; length A to B is off; and 1 more"));
}

TEST_CASE("what stands is told where every reason is of single marks, and counted without them") {
  Judge j;
  j.laid = laid_of({{"A", 1, 2}, {"B", 3, 4}, {"C", 5, 6}, {"D", 7, 8}, {"E", 9, 10}});
  j.laid.placed.baseline = Judge().laid.placed.baseline;
  j.laid.placed.square = Judge().laid.placed.square;
  j.laid.put_deck(4, 5000);
  j.plumb = Plumbed{{plumb_row(5, Verdict::within), plumb_row(7, Verdict::outside)}, {0, 3}};
  CHECK(stop(j) ==
        "DO NOT LAY OUT from 1004: deck mark of 1004 (D) is out of plumb by 7.0 mm, permitted 6.0 mm; the "
        "other 4 stand");
  // The same mark once more, by another check: it is one mark. A second one: the first is named.
  j.asbuilt.emplace().rows = {asbuilt_row(3, AsbuiltLevel::floor, 9, Verdict::outside)};
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(stop(j).starts_with("DO NOT LAY OUT from 1004: "));
  CHECK(stop(j).ends_with("; the other 4 stand"));
  j.asbuilt->rows = {asbuilt_row(1, AsbuiltLevel::floor, 8, Verdict::outside),
                     asbuilt_row(3, AsbuiltLevel::floor, 9, Verdict::outside),
                     asbuilt_row(0, AsbuiltLevel::floor, 7, Verdict::outside),
                     asbuilt_row(4, AsbuiltLevel::floor, 1, Verdict::within)};
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(stop(j).starts_with("DO NOT LAY OUT from 1004 and 2 more: deck mark of 1004 (D)"));
  CHECK(stop(j).ends_with("; the other 2 stand"));
  const std::vector<Reason> reasons = j.standing().reasons;
  REQUIRE(reasons.size() == 2);
  CHECK(reasons[0].numbers == std::vector<std::uint32_t>{1004});
  CHECK(reasons[0].point == "D");
  CHECK(reasons[1].numbers == std::vector<std::uint32_t>{1004, 1001, 1002});  // the worst first
  CHECK(reasons[1].scope == ReasonScope::mark);
  // Every mark: nothing is left to stand.
  j.asbuilt->rows.push_back(asbuilt_row(4, AsbuiltLevel::floor, 8, Verdict::outside));
  j.asbuilt->rows.push_back(asbuilt_row(2, AsbuiltLevel::floor, 8, Verdict::outside));
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  CHECK(stop(j).starts_with("DO NOT LAY OUT from 1004 and 4 more: "));
  CHECK_FALSE(has(stop(j), "stand"));
}

TEST_CASE("nothing is said to stand where more than the marks is in doubt") {
  const auto bad = [] {
    Judge j;
    j.plumb = Plumbed{{plumb_row(7, Verdict::outside)}, {0}};
    return j;
  };
  const auto is_plain = [](const Judge& j) {
    const std::string text = stop(j);
    return text.starts_with("DO NOT LAY OUT: ") && !has(text, "stand");
  };
  CHECK_FALSE(is_plain(bad()));
  Judge tie = bad();
  tie.put_outside(0, 7, 3);
  CHECK(is_plain(tie));
  Judge unchecked_tie = bad();
  unchecked_tie.row(0).verdict = Verdict::unsure;
  CHECK(is_plain(unchecked_tie));
  Judge square = bad();
  square.square().verdict = Verdict::unsure;
  CHECK(is_plain(square));
  Judge length = bad();
  length.checked.emplace().outside = {{.text = "length A to B is off"}};
  CHECK(is_plain(length));
  Judge no_ties = bad();
  no_ties.without_ties(SitePlace::as_drawn);
  CHECK(is_plain(no_ties));
  Judge setup = bad();
  setup.instrument.setups = {stated_setup("S1")};
  setup.setups = Setups{{setup_found(Verdict::unsure)}, {std::nullopt}, {}};
  CHECK(is_plain(setup));
  Judge floors = bad();
  floors.asbuilt.emplace().other_floors = {
      {.level = AsbuiltLevel::floor, .off = 2, .known = 2, .aside = 2, .up = m(4)}};
  CHECK(is_plain(floors));
}

TEST_CASE("as-built marks that share a cause speak for more than themselves") {
  Judge j;
  j.asbuilt.emplace().rows = {asbuilt_row(0, AsbuiltLevel::floor, 9, Verdict::outside)};
  j.asbuilt->levels = level_statistics(j.asbuilt->rows);
  const auto scope = [&] { return j.standing().reasons.at(0).scope; };
  CHECK(scope() == ReasonScope::mark);
  std::vector<Cause>& causes = j.asbuilt->causes.causes;
  causes.emplace_back().kind = CauseKind::one_point;
  causes[0].points = 1;
  CHECK(scope() == ReasonScope::mark);
  causes.emplace_back().points = 8;
  causes[1].group.kind = GroupKind::setup;
  CHECK(scope() == ReasonScope::setup);
  CHECK(stop(j).starts_with("DO NOT LAY OUT: "));
  causes[1].group.kind = GroupKind::run;
  CHECK(scope() == ReasonScope::run);
  causes.emplace_back().points = 2;
  causes[2].group.kind = GroupKind::setup;
  CHECK(scope() == ReasonScope::job);  // a run and a setup
  causes.pop_back();
  causes[1].group.kind = GroupKind::all;
  CHECK(scope() == ReasonScope::job);
}

TEST_CASE("the verdict as a word, and every reason of a job that nothing stops") {
  Judge j;
  CHECK(j.standing().verdict == JobVerdict::ready);
  CHECK(j.standing().reasons.empty());
  j.row(0).verdict = Verdict::unsure;
  j.square().verdict = Verdict::unsure;
  CHECK(j.standing().verdict == JobVerdict::not_checked);
  REQUIRE(j.standing().reasons.size() == 2);
  CHECK(j.standing().reasons[0].text == "tie T1 x is not checked by other ties");
  CHECK(j.standing().reasons[1].text == "the ties are too weak to judge the squareness of the baselines");
  j.put_outside(1, 7, 3);
  CHECK(j.standing().verdict == JobVerdict::stop);
  CHECK(j.standing().reasons.size() == 3);
  Judge bare;
  bare.without_ties(SitePlace::as_drawn);
  REQUIRE(bare.standing().reasons.size() == 1);
  CHECK(line(bare) == "BASELINES NOT CHECKED: " + bare.standing().reasons[0].text);
  CHECK(bare.standing().verdict == JobVerdict::not_checked);
}

TEST_CASE("a signed fit without ties of today is not checked") {
  Judge j;
  j.without_ties(SitePlace::by_fit);
  j.baselines.checks.signed_fit.emplace();
  CHECK(line(j) == "BASELINES NOT CHECKED: a signed fit is used, and no ties check it");
  j.plumb = Plumbed{{plumb_row(7, Verdict::outside)}, {0}};
  CHECK(stop(j).starts_with("DO NOT LAY OUT: deck mark of 1001 (A)"));
  Judge checked;  // with ties they count
  checked.baselines.checks.signed_fit.emplace();
  CHECK(line(checked) == "READY TO LAY OUT");
}

TEST_CASE("a job without ties says what its coordinates are taken for") {
  struct Row {
    SitePlace by;
    bool mirrored;
    const char* words;
  };
  for (const Row& r :
       {Row{SitePlace::no_drawing, false, "no drawing, so no lists: setups and control alone"},
        Row{SitePlace::unknown, false, "no ties, so nothing says where the drawing lies on site"},
        Row{SitePlace::as_stated, false,
            "no ties; x is taken for easting and y for northing, as frame = \"site\" says"},
        Row{SitePlace::as_drawn, false,
            "no ties, so the drawing's own coordinates are taken for the site's (E = x, N = y)"},
        Row{SitePlace::as_drawn, true,
            "no ties, so the drawing's own coordinates are taken for the site's (E = x, N = -y)"}}) {
    Judge j;
    j.without_ties(r.by);
    j.baselines.mirrored = r.mirrored;
    CHECK(line(j) == std::string("BASELINES NOT CHECKED: ") + r.words);
    j.instrument.setups = {stated_setup("S1")};
    j.setups = Setups{{setup_found(Verdict::unsure)}, {std::nullopt}, {}};
    CHECK(line(j) ==
          std::string("BASELINES NOT CHECKED: ") + r.words + "; setup S1 not checked by any other sight");
  }
}

TEST_CASE("strings alone: READY where lengths check them and all is within, else what to tape") {
  Judge j;
  j.without_ties(SitePlace::as_drawn);
  const std::vector<FromMark> marks{{"B1", at(100, 200)}, {"B2", at(100, 210)}, {"B3", at(109, 200)}};
  j.strings.emplace(StringsFound{
      marks, {marks[0].at, marks[1].at, marks[2].at, j.laid.placed.fit.site_from_drawing}, true, ""});
  CHECK(j.standing().verdict == JobVerdict::ready);
  CHECK(line(j) == "READY TO LAY OUT");
  j.strings->not_checked = "no lengths fix the strings: tape B2 to B3";
  CHECK(line(j) == "BASELINES NOT CHECKED: no lengths fix the strings: tape B2 to B3");
  REQUIRE(j.standing().reasons.size() == 1);
  CHECK(j.standing().reasons[0].text == "no lengths fix the strings: tape B2 to B3");
  j.strings->not_checked = "";
  j.checked.emplace();
  j.checked->square.emplace().verdict = Verdict::unsure;
  CHECK(line(j) ==
        "BASELINES NOT CHECKED: the lengths are too weak to judge the squareness of the baselines");
  j.checked->outside.push_back({.text = "length B1 to B2 is off"});
  CHECK(j.standing().verdict == JobVerdict::stop);
  j.checked.reset();
  // With ties, or where x and y are site coordinates, strings are a way to tape alone.
  j.strings->alone = false;
  CHECK(j.standing().verdict == JobVerdict::not_checked);
}
