#include "lists/points.h"

#include <doctest/doctest.h>

#include "issues/chain.h"
#include "unit/issues/plain_ledger.h"
#include "unit/stages/plain.h"
#include "written_text.h"

using namespace plain;
using lists_test::written_lines;

namespace {

using Lines = std::vector<std::string>;

/// Two hangers under a deck at 5 m over a floor at 1 m, a support and a reference point.
PlainLaid hall() {
  PlainLaid laid = laid_of({{"P1", 1, 2, "R1", "", 2.5}, {"P2", 3, 4}, {"E1", 5, 6, "R1", "reference"}});
  laid.floor = Elevation::metres(1);
  laid.put_deck(5);
  // sd 3 mm east, 4 mm north, everywhere: 4 mm is the larger semi-axis.
  laid.placed.fit.covariance[0][0] = 9e-6;
  laid.placed.fit.covariance[1][1] = 16e-6;
  return laid;
}

Lines declared(const OutputSpec& spec) {
  Lines out;
  for (const OutColumn& c : spec.columns) {
    out.emplace_back(c.name);
    CHECK_FALSE(c.meaning.empty());
  }
  return out;
}

}  // namespace

TEST_CASE("points.csv: heights of a hanger by its own bracket or that of all, none of a reference point") {
  PlainLaid laid = hall();
  CHECK(
      written_lines(*points_table(laid.view(), LengthUnit::metre)) ==
      Lines{"number,point,kind,run,x (m),y (m),northing (m),easting (m),floor_elevation (m),attach_elevation "
            "(m),deck_elevation (m),rise (m),drop (m),sd (m),above_datum (m)",
            "1001,P1,hanger,R1,1.00000,2.00000,102.00000,201.00000,1.00000,3.50000,5.00000,4.00000,1.50000,"
            "0.00400,",
            "1002,P2,hanger,,3.00000,4.00000,104.00000,203.00000,1.00000,,5.00000,4.00000,,0.00400,",
            "1003,E1,reference,R1,5.00000,6.00000,106.00000,205.00000,1.00000,,,,,0.00400,"});
  laid.attach_height = m(3);
  CHECK(
      written_lines(*points_table(laid.view(), LengthUnit::metre))[2] ==
      "1002,P2,hanger,,3.00000,4.00000,104.00000,203.00000,1.00000,4.00000,5.00000,4.00000,1.00000,0.00400,");
  laid.decks.reset();
  CHECK(written_lines(*points_table(laid.view(), LengthUnit::metre))[1] ==
        "1001,P1,hanger,R1,1.00000,2.00000,102.00000,201.00000,1.00000,3.50000,,,,0.00400,");
  laid.attach_height = m(2.5);
  CHECK(written_lines(*points_table(laid.view(), LengthUnit::metre, Elevation::metres(2)))[1].ends_with(
      ",0.00400,1.50000"));
}

TEST_CASE("lengths stand in the unit that the header names, with its decimals") {
  const PlainLaid laid = hall();
  const Lines lines = written_lines(*points_table(laid.view(), LengthUnit::millimetre));
  CHECK(lines[0].starts_with("number,point,kind,run,x (mm),"));
  CHECK(lines[1].starts_with("1001,P1,hanger,R1,1000.00,2000.00,102000.00,"));
}

TEST_CASE("the view may go before the table: what it views stays") {
  const PlainLaid laid = hall();
  std::unique_ptr<WrittenTable> table;
  {
    const LaidOut view = laid.view();
    table = points_table(view, LengthUnit::metre);
  }
  CHECK(written_lines(*table).size() == 4);
}

TEST_CASE("plumb.csv: a row for every deck mark, in their order, by the mark of each") {
  const PlainLaid laid = hall();
  Plumbed plumb;
  plumb.marks = {1, 0};
  PlumbRow row{};
  row.off = Vec<Drawing>{{.x = mm(3), .y = mm(-4)}};
  row.offset = mm(5);
  row.rise = m(4);
  row.drop = m(1.5);
  row.ratio = 300;
  row.sd = mm(2);
  row.verdict = Verdict::outside;
  PlumbRow other = row;
  other.rise.reset(), other.drop.reset(), other.ratio.reset();
  other.verdict = Verdict::unsure;
  plumb.rows = {row, other};
  CHECK(written_lines(*plumb_table(laid.view(), plumb, LengthUnit::millimetre)) ==
        Lines{"number,point,dx (mm),dy (mm),offset (mm),rise (mm),drop (mm),ratio,sd (mm),verdict",
              "1002,P2,3.00,-4.00,5.00,4000.00,1500.00,300.000,2.00,outside",
              "1001,P1,3.00,-4.00,5.00,,,,2.00,unsure"});
}

TEST_CASE("changes.csv: a row for a number and what, against where it was told, in the unit of the list") {
  const PlainLaid laid = hall();
  const Ledger ledger =
      ledger_of({{hanger("A", 1001, 1, 2), hanger("B", 1002, 3, 4), hanger("Gone", 1003, 5, 6)}});
  std::vector<LedgerRow> now(7, hanger("P1", 1001, 1.03, 1.96));
  now[1] = hanger("P2", 1002, 3, 4);
  now[1].site = {kept(104.003), kept(203.004)};  // along the baselines: x is east
  now[2] = dropped(hanger("Gone", 1003));
  now[3] = hanger("P9", 1009, 1, 2);
  now[4].deck = kept(4.75);
  now[5].cut = kept(1.75);
  now[6].attach = Kept::none();
  const RowNow row = [&now](std::uint32_t i) { return now[i]; };
  const std::vector<ChangeRow> changes = {
      {1001, Change::moved, What::floor, 0, 0},   {1001, Change::lowered, What::deck, 4, 0},
      {1001, Change::gone, What::bracket, 6, 0},  {1001, Change::longer, What::cut, 5, 0},
      {1002, Change::refit, What::floor, 1, 1},   {1003, Change::dropped, What::floor, 2, 2},
      {1008, Change::renamed, What::floor, 3, 0}, {1009, Change::fresh, What::floor, 3, kNone32}};
  CHECK(written_lines(*changes_table(laid.view(), ledger, changes, row, LengthUnit::millimetre)) ==
        Lines{"number,point,change,dx (mm),dy (mm),distance (mm),what,dz (mm),old_northing (mm),old_easting "
              "(mm),old_elevation (mm)",
              "1001,P1,moved,30.00,-40.00,50.00,floor,,102000.00,201000.00,1000.00",
              "1001,P1,lowered,,,250.00,deck,-250.00,102000.00,201000.00,5000.00",
              "1001,P1,gone,,,,bracket,,102000.00,201000.00,3500.00", "1001,P1,longer,,,250.00,cut,250.00,,,",
              "1002,P2,refit,4.00,3.00,5.00,floor,,104000.00,203000.00,1000.00",
              "1003,Gone,dropped,,,,floor,,106000.00,205000.00,1000.00",
              "1008,P9,renamed,,,,floor,,102000.00,201000.00,1000.00", "1009,P9,new,,,,floor,,,,"});
  CHECK(written_lines(*changes_table(laid.view(), ledger, {}, row, LengthUnit::metre)).size() == 1);
}

const std::string kLedgerHeader =
    "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m),issue,floor_elevation (m),"
    "attach_elevation (m),deck_elevation (m),cut (m),kind,run,crew,told_in,told_in_deck,told_in_bracket,"
    "told_in_cut";

TEST_CASE(
    "the rows of a new issue: as they are handed out, in metres, with the header only where none stands") {
  IssueFound found;
  found.number = 3;
  std::vector<LedgerRow> now = {hanger("P1", 1001, 1.0000004, -2), dropped(hanger("P, 2", 1002, 3, 4))};
  now[0].run = "R1", now[0].crew = "north; south", now[0].revision = "B";
  now[1].deck = now[1].cut = Kept::none();
  found.row = [&now](std::uint32_t i) { return now[i]; };
  found.rows = {{1001, kNone32, 0}, {1002, 0, 1}};
  found.told = {{3, 3, 3, 3}, {3, 1, 2, 1}};
  const Lines rows = {
      "P1,1001,live,1.000000,-2.000000,5000,B,98.000000,201.000000,3,1.000000,3.500000,5.000000,1.500000,"
      "hanger,R1,north; south,3,3,3,3",
      "\"P, "
      "2\",1002,dropped,3.000000,4.000000,5000,A,104.000000,203.000000,3,1.000000,3.500000,,,hanger,,,3,1,2,"
      "1"};
  CHECK(written_lines(*issue_rows(found, true)) == Lines{kLedgerHeader, rows[0], rows[1]});
  CHECK(written_lines(*issue_rows(found, false)) == rows);
  found.told.clear();  // the first issue: told with it
  CHECK(written_lines(*issue_rows(found, false))[1].ends_with(",3,3,3,3"));
}

TEST_CASE("what an earlier version left stands as issue 1, and no later row with it") {
  const Ledger ledger =
      ledger_of({{from_before(hanger("P1", 1001, 1, 2)), dropped(from_before(hanger("P2", 1002)))},
                 {hanger("P1", 1001, 1, 2.5)}});
  CHECK(written_lines(*first_issue_rows(ledger)) ==
        Lines{kLedgerHeader, "P1,1001,live,1.000000,2.000000,5000,A,102.000000,201.000000,1,,,,,,,,1,1,1,1",
              "P2,1002,dropped,0.000000,0.000000,5000,A,100.000000,200.000000,1,,,,,,,,1,1,1,1"});
}

TEST_CASE("issued.csv: one row an issue") {
  const std::vector<IssuedRow> issues = {
      {1, "A", "job.toml", "", 480, 480, "out", "", "0123456789abcdef"},
      {2, "B, again", "../l3.toml", "level 3", 479, 0, "issued/B", "0123456789abcdef", "fedcba9876543210"}};
  const Lines rows = {"1,A,job.toml,,480,480,out,,0123456789abcdef",
                      "2,\"B, again\",../l3.toml,level 3,479,0,issued/B,0123456789abcdef,fedcba9876543210"};
  CHECK(written_lines(*issued_rows(issues, true)) ==
        Lines{"issue,revision,job,storey,live,rows,folder,before,digest", rows[0], rows[1]});
  CHECK(written_lines(*issued_rows(issues, false)) == rows);
  // What its digest is of is what stands there.
  for (std::size_t i = 0; i < 2; ++i)
    CHECK(rows[i] == issued_head(issues[i]) + "," + issues[i].before + "," + issues[i].digest);
}

TEST_CASE("issued-control.csv: one row a point, empty where it has no height") {
  const auto um = [](std::int64_t v) { return Kept::micrometres(v); };
  const std::vector<IssuedControl> control = {{1, {"CP1", {um(1'000'001), um(-2'000'000)}, um(500)}},
                                              {3, {"=CP2", {um(3), um(4)}, Kept::none()}}};
  const Lines rows = {"1,CP1,1.000001,-2.000000,0.000500", "3,'=CP2,0.000003,0.000004,"};
  CHECK(written_lines(*issued_control_rows(control, true)) ==
        Lines{"issue,point,northing (m),easting (m),elevation (m)", rows[0], rows[1]});
  CHECK(written_lines(*issued_control_rows(control, false)) == rows);
}

TEST_CASE("names that a spreadsheet would compute are marked") {
  const PlainLaid laid = laid_of({{"=P1", 1, 2}});
  CHECK(written_lines(*points_table(laid.view(), LengthUnit::metre))[1].starts_with("1001,'=P1,"));
}

TEST_CASE("every column is declared with a meaning, in the order of the header") {
  CHECK(declared(kPointsOutput).size() == 15);
  CHECK(declared(kPlumbOutput) ==
        Lines{"number", "point", "dx", "dy", "offset", "rise", "drop", "ratio", "sd", "verdict"});
  CHECK(declared(kChangesOutput) == Lines{"number", "point", "change", "dx", "dy", "distance", "what", "dz",
                                          "old_northing", "old_easting", "old_elevation"});
  CHECK(declared(kLedgerOutput).size() == 21);
  CHECK(declared(kIssuedOutput).size() == 9);
  CHECK(kLedgerOutput.is_journal);
  CHECK(kIssuedOutput.is_journal);
  CHECK(kIssuedControlOutput.is_journal);
  CHECK(declared(kIssuedControlOutput).size() == 5);
  CHECK_FALSE(kChangesOutput.is_journal);
  CHECK(kPointsOutput.name == "points.csv");
  CHECK(kLedgerOutput.name == "numbers.csv");
  CHECK_FALSE(kPointsOutput.is_of_survey);
}
