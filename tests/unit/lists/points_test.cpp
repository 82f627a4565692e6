#include "lists/points.h"

#include <doctest/doctest.h>

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

LedgerTable ledger_of(const std::vector<std::string>& names) {
  LedgerTable out;
  for (std::size_t i = 0; i < names.size(); ++i) {
    out.names.push_back(names[i]);
    out.numbers.push_back(static_cast<std::uint32_t>(500 + i));
    out.live.push_back(1);
    out.places.push_back(xy(10 + static_cast<double>(i), 20));
    out.site_places.push_back(at(30, 40 + static_cast<double>(i)));
    out.revisions.put(i, "old");
    out.begins.push_back(0);
  }
  return out;
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
            "(m),deck_elevation (m),rise (m),drop (m),sd (m)",
            "1001,P1,hanger,R1,1.00000,2.00000,102.00000,201.00000,1.00000,3.50000,5.00000,4.00000,1.50000,"
            "0.00400",
            "1002,P2,hanger,,3.00000,4.00000,104.00000,203.00000,1.00000,,5.00000,4.00000,,0.00400",
            "1003,E1,reference,R1,5.00000,6.00000,106.00000,205.00000,1.00000,,,,,0.00400"});
  laid.attach_height = m(3);
  CHECK(
      written_lines(*points_table(laid.view(), LengthUnit::metre))[2] ==
      "1002,P2,hanger,,3.00000,4.00000,104.00000,203.00000,1.00000,4.00000,5.00000,4.00000,1.00000,0.00400");
  laid.decks.reset();
  CHECK(written_lines(*points_table(laid.view(), LengthUnit::metre))[1] ==
        "1001,P1,hanger,R1,1.00000,2.00000,102.00000,201.00000,1.00000,3.50000,,,,0.00400");
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

TEST_CASE("changes.csv: a move with its distance; what was dropped by its old name; no move of what is new") {
  PlainLaid laid = hall();
  ChangeRow moved{1001, Change::moved, 0, 0, Vec<Drawing>{{.x = mm(30), .y = mm(-40)}}, std::nullopt};
  ChangeRow refit{1002, Change::refit, 1, 1, std::nullopt, Vec<Site>{{.northing = mm(3), .easting = mm(4)}}};
  ChangeRow dropped{501, Change::dropped, kNone32, 1, std::nullopt, std::nullopt};
  ChangeRow fresh{1003, Change::fresh, 2, kNone32, std::nullopt, std::nullopt};
  laid.numbers.issue.changes = {dropped, moved, refit, fresh};
  const LedgerTable ledger = ledger_of({"A", "Gone"});
  CHECK(written_lines(*changes_table(laid.view(), ledger, LengthUnit::millimetre)) ==
        Lines{"number,point,change,dx (mm),dy (mm),distance (mm)", "501,Gone,dropped,,,",
              "1001,P1,moved,30.00,-40.00,50.00", "1002,P2,refit,4.00,3.00,5.00", "1003,E1,new,,,"});
}

TEST_CASE("the ledger: marks as they are now, and old entries that no mark has, by number") {
  PlainLaid laid = hall();
  const LedgerTable ledger = ledger_of({"P1", "Gone", "P2"});
  laid.numbers.issue.numbers = {500, 502, 1001};
  laid.numbers.join.unmatched = {1};
  const std::string revision = "B";
  CHECK(written_lines(*ledger_table(laid.view(), ledger, revision, 5000)) ==
        Lines{"point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)",
              "P1,500,live,1.000000,2.000000,5000,B,102.000000,201.000000",
              "Gone,501,dropped,11.000000,20.000000,5000,old,30.000000,41.000000",
              "P2,502,live,3.000000,4.000000,5000,B,104.000000,203.000000",
              "E1,1001,live,5.000000,6.000000,5000,B,106.000000,205.000000"});
}

TEST_CASE("the ledger stands by number though the marks do not") {
  PlainLaid laid = hall();
  laid.numbers.issue.numbers = {1003, 1001, 1002};
  const std::string revision;
  const Lines lines = written_lines(*ledger_table(laid.view(), LedgerTable{}, revision, 5000));
  REQUIRE(lines.size() == 4);
  CHECK(lines[1].starts_with("P2,1001,live"));
  CHECK(lines[2].starts_with("E1,1002,live"));
  CHECK(lines[3].starts_with("P1,1003,live"));
}

TEST_CASE("names that a spreadsheet would compute are marked") {
  const PlainLaid laid = laid_of({{"=P1", 1, 2}});
  CHECK(written_lines(*points_table(laid.view(), LengthUnit::metre))[1].starts_with("1001,'=P1,"));
}

TEST_CASE("every column is declared with a meaning, in the order of the header") {
  CHECK(declared(kPointsOutput).size() == 14);
  CHECK(declared(kPlumbOutput) ==
        Lines{"number", "point", "dx", "dy", "offset", "rise", "drop", "ratio", "sd", "verdict"});
  CHECK(declared(kChangesOutput) == Lines{"number", "point", "change", "dx", "dy", "distance"});
  CHECK(declared(kLedgerOutput).size() == 9);
  CHECK(kPointsOutput.name == "points.csv");
  CHECK(kLedgerOutput.name == "numbers.csv");
  CHECK_FALSE(kPointsOutput.is_of_survey);
}
