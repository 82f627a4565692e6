#include "lists/asbuilt.h"

#include <doctest/doctest.h>

#include "unit/lists/written_text.h"
#include "unit/stages/plain_shots.h"

using namespace plain;
using lists_test::written_lines;

namespace {

using Lines = std::vector<std::string>;

AsbuiltRow row_of(std::uint32_t mark, AsbuiltLevel level) {
  AsbuiltRow r{.mark = mark, .level = level, .design = at(0, 0), .at = at(0, 0)};
  r.off = {{.x = mm(3), .y = mm(-4)}};
  r.offset = mm(5);
  r.sd = mm(2);
  r.plan = Verdict::unsure;
  return r;
}

}  // namespace

TEST_CASE("asbuilt.csv: every row by its number at its level") {
  PlainLaid laid = laid_of({{"A", 0, 0}, {"B", 1, 0}});
  laid.put_deck(6);
  AsbuiltFound found;
  found.rows = {row_of(1, AsbuiltLevel::floor), row_of(0, AsbuiltLevel::deck),
                row_of(1, AsbuiltLevel::bracket)};
  found.rows[1].up = mm(-6);
  found.rows[1].height = Verdict::outside;
  const Lines lines = written_lines(*asbuilt_table(laid.view(), &found, nullptr, LengthUnit::metre));
  CHECK(lines == Lines{"number,point,level,dx (m),dy (m),dz (m),offset (m),sd (m),plan_verdict,level_verdict",
                       "1002,B,floor,0.00300,-0.00400,,0.00500,0.00200,unsure,",
                       "6001,A,deck,0.00300,-0.00400,-0.00600,0.00500,0.00200,unsure,outside",
                       "1002,B,bracket,0.00300,-0.00400,,0.00500,0.00200,unsure,"});
  CHECK(kAsbuiltOutput.columns.size() == 10);
  CHECK(kAsbuiltOutput.name == "asbuilt.csv");
  CHECK_FALSE(kAsbuiltOutput.is_of_survey);
}

TEST_CASE("causes.csv: a cause, its shots, its value in the unit beside it") {
  Cause shift, scale;
  shift.value = 0.0125;
  shift.sd = 0.0005;
  shift.points = 12;
  shift.before = mm(9);
  shift.after = mm(1);
  scale.kind = CauseKind::scale;
  scale.value = 120;
  scale.sd = 15;
  scale.points = 4;
  scale.level = AsbuiltLevel::deck;
  std::vector<CauseLine> causes(2);
  causes[0].cause = &shift;
  causes[1].cause = &scale;
  causes[1].group = {GroupKind::setup, "S2", std::nullopt};
  const Lines lines = written_lines(*causes_table(causes, LengthUnit::metre));
  REQUIRE(lines.size() == 3);
  CHECK(lines[0] == "cause,group,level,value,unit,sd,points,before_rms (m),after_rms (m)");
  CHECK(lines[1] == "shift,all,all,0.01250,m,0.00050,12,0.00900,0.00100");
  CHECK(lines[2] == "scale,setup S2,deck,120.0000,ppm,15.0000,4,0.00000,0.00000");
  CHECK(kCausesOutput.columns.size() == 9);
  CHECK(kCausesOutput.name == "causes.csv");
}
