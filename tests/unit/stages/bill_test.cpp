#include "stages/bill.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "stages/parts.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using Strings = std::vector<std::string>;

namespace {

/// What a job says of its parts, with the tables that state it: row 0 stands on line 2.
struct PlainBill {
  BillJob job{};
  LengthUnit unit = LengthUnit::metre;

  PlainBill& needs(std::vector<PartNeed> rows) {
    std::string text = "part\n";
    for (const PartNeed& n : rows) text += n.part + "\n";
    job.needs_table = table_of("needs.csv", {{"part", ColumnKind::name}}, text);
    job.needs = std::move(rows);
    return *this;
  }
  /// `head`: the header of the lengths.
  PlainBill& bill(std::vector<BilledPart> rows, std::vector<std::optional<BilledLength>> lengths = {},
                  const std::string& head = "length") {
    std::string text = "part,count," + head + "\n";
    for (const BilledPart& b : rows) text += b.part + "," + std::to_string(b.count) + ",\n";
    job.bill_table =
        table_of("bill.csv", {{"part", ColumnKind::name}, {"count"}, {"length", ColumnKind::length}}, text);
    job.bill = std::move(rows);
    job.lengths = std::move(lengths);
    job.lengths.resize(job.bill.size());
    return *this;
  }
  PlainBill& arrived(std::vector<ArrivedPart> rows) {
    std::string text = "part,count\n";
    for (const ArrivedPart& a : rows) text += a.part + "," + std::to_string(a.count) + "\n";
    job.arrived_table = table_of("arrived.csv", {{"part", ColumnKind::name}, {"count"}}, text);
    job.arrived = std::move(rows);
    return *this;
  }
  Staged<BillFound> held(const Staged<Hung>& hung, const OverheadJob& stated) const {
    return hold_bill({job, stated, unit}, hung.value->marks, hung.value->overhead);
  }
};

BilledLength bare(double metres) { return {m(metres), true}; }

/// R1 of 6 m with 7 hangers in two pieces, R2 of 3 m with 4 hangers in one.
PlainOverhead two_runs() {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 6, 0), line("R2", 0, 5, 3, 5)})
      .pieces({{"A", "R1", m(4)}, {"B", "R1", m(2)}, {"C", "R2", m(3)}});
  return o;
}

Strings told(const Staged<BillFound>& found, Grade grade) {
  Strings out;
  for (const Message& one : found.told.sorted(grade)) out.push_back(message_line(one));
  return out;
}

}  // namespace

TEST_CASE("the bill: absent without its tables, and with needs alone nothing is judged") {
  const PlainOverhead o = two_runs();
  const auto hung = o.hung();
  CHECK(PlainBill{}.held(hung, o.job).came == Came::absent);
  const auto found = PlainBill{}.needs({{"CLIP", PartPer::hanger, 2}}).held(hung, o.job);
  REQUIRE(found.is_there());
  CHECK(told(found, Grade::doubt).empty());
  CHECK(found.value->held.parts[0].drawing == 22);
  CHECK(found.value->stuck_runs() == 0);
}

TEST_CASE("the bill: runs that cannot begin are one doubt, with what each lacks, hangers of no run last") {
  const PlainOverhead o = two_runs();
  const auto hung = o.hung({{"P1", 9, 9}, {"P2", 9, 8}});
  PlainBill b;
  b.needs({{"CLIP", PartPer::hanger, 2}, {"BAR", PartPer::joint, 1}});
  auto found = b.arrived({{"CLIP", 14, 1}, {"BAR", 1, 1}}).held(hung, o.job);
  CHECK(told(found, Grade::doubt) ==
        Strings{"arrived.csv: file: 1 of 2 runs cannot begin: R1 lacks 1 CLIP, 1 BAR; see "
                "short.csv"});
  // R2 took eight of 13; the two hangers of no run find five for their four.
  CHECK_FALSE(found.value->lacks_any(1));
  CHECK_FALSE(found.value->lacks_any(2));
  found = b.arrived({{"CLIP", 23, 0}, {"BAR", 1, 0}}).held(hung, o.job);
  CHECK(told(found, Grade::doubt) ==
        Strings{"arrived.csv: file: hangers of no run lack 3 CLIP; see short.csv"});
  CHECK(told(b.arrived({{"CLIP", 26, 0}, {"BAR", 1, 0}}).held(hung, o.job), Grade::doubt).empty());
  PlainBill alone;
  alone.needs({{"CLIP", PartPer::hanger, 2}}).bill({{"CLIP", 15}});
  CHECK(told(alone.held(hung, o.job), Grade::doubt) ==
        Strings{"bill.csv: file: 1 of 2 runs cannot begin, by the bill: R2 lacks 7 CLIP; "
                "hangers of "
                "no run lack 3 CLIP; see short.csv"});
}

TEST_CASE("the bill: what nothing needs is a doubt at its row, with the name that is near") {
  const PlainOverhead o = two_runs();
  PlainBill b;
  b.needs({{"CLIP-1", PartPer::hanger, 1}}).bill({{"CLIP-1", 11}, {"CLP-1", 3}, {"CLP-1", 2}, {"ODD", 1}});
  const auto found = b.arrived({{"CLIP-1", 11, 0}, {"CLP-1", 1, 0}, {"ZINC-9", 1, 0}}).held(o.hung(), o.job);
  CHECK(told(found, Grade::doubt) == Strings{"bill.csv:3:1: part: nothing in the drawing needs CLP-1: is "
                                             "CLIP-1 meant?",
                                             "bill.csv:5:1: part: nothing in the drawing needs ODD",
                                             "arrived.csv:4:1: part: nothing in the drawing needs ZINC-9"});
  CHECK(found.value->held.parts.size() == 4);  // no piece is named, so none is held against the bill
}

TEST_CASE(
    "the bill: a length over 1 mm from the drawing's piece is a doubt; of a part of needs it says nothing") {
  const PlainOverhead o = two_runs();
  PlainBill b;
  b.needs({{"RAIL", PartPer::metre, 1}})
      .bill({{"a", 1}, {"B", 1}, {"C", 1}, {"RAIL", 9}}, {bare(4.001), bare(2.0011), bare(3), bare(3)});
  CHECK(told(b.held(o.hung(), o.job), Grade::doubt) ==
        Strings{"bill.csv:3:5: length: B is 2.0011 m on the bill and 2.0000 m in the drawing: 1.1 mm apart, "
                "more than "
                "1 mm"});
}

TEST_CASE("the bill: lengths in another unit than they were read in are one problem at the header") {
  struct Row {
    std::string what, head;
    LengthUnit drawing;
    std::vector<std::optional<BilledLength>> lengths;
    std::string wanted;
  };
  const auto feet = [](double metres) { return bare(metres / 0.3048); };
  const auto own = [](double metres) { return BilledLength{m(metres), false}; };
  for (const Row& row : {
           Row{"feet beside metres",
               "length",
               LengthUnit::metre,
               {feet(4), feet(2.004), feet(3)},
               "bill.csv:1:12: length: found lengths read as metres, expected feet: read as feet 3 of 3 are "
               "the "
               "drawing's pieces, read as metres none; try length (ft)"},
           Row{"metres beside feet",
               "length",
               LengthUnit::foot,
               {bare(4 * 0.3048), bare(2 * 0.3048), bare(9)},
               "bill.csv:1:12: length: found lengths read as feet, expected metres: read as metres 2 of 3 "
               "are the "
               "drawing's pieces, read as feet none; try length (m)"},
           Row{"millimetres in the header",
               "length (m)",
               LengthUnit::foot,
               {bare(4000), bare(2), bare(3000)},
               "bill.csv:1:12: length: found lengths read as metres, expected millimetres: read as "
               "millimetres 2 "
               "of 3 are the drawing's pieces, read as metres 1; try length (mm)"},
           Row{"half of them as they are", "length", LengthUnit::metre, {feet(4), bare(2), {}}, ""},
           Row{"each with its own unit",
               "length",
               LengthUnit::metre,
               {own(4 / 0.3048), own(2 / 0.3048), {}},
               ""},
           Row{"another length in any unit",
               "length",
               LengthUnit::metre,
               {bare(4.5), bare(2.5), bare(3.5)},
               ""},
       }) {
    CAPTURE(row.what);
    const PlainOverhead o = two_runs();
    PlainBill b;
    b.unit = row.drawing;
    const auto found = b.bill({{"A", 1}, {"B", 1}, {"C", 1}}, row.lengths, row.head).held(o.hung(), o.job);
    CHECK(told(found, Grade::problem) == (row.wanted.empty() ? Strings{} : Strings{row.wanted}));
    CHECK(found.is_spoiled() == !row.wanted.empty());
  }
}

TEST_CASE("parts of needs stand behind what is hung, rounded up once, with what they need and without runs") {
  const PlainOverhead o = two_runs();
  const auto hung = o.hung();
  const auto found = PlainBill{}
                         .needs({{"CLIP", PartPer::hanger, 0.5}, {"CAP", PartPer::wall, 1}})
                         .bill({{"ODD", 1}})
                         .held(hung, o.job);
  const auto words = [](const std::vector<PartLine>& parts) {
    Strings out;
    for (const PartLine& p : parts) out.push_back(std::string(p.part) + " " + std::to_string(p.count));
    return out;
  };
  CHECK(words(all_parts(o.job, hung.value->marks, hung.value->overhead, nullptr, found.get())) ==
        Strings{"hanger 11", "joint 1", "end 4", "crossing 0", "corner 0", "piece 3", "end-left 2",
                "end-right 2", "CLIP 6", "CAP 0"});
  const PlainOverhead none;
  const auto loose = none.hung({{"P1", 0, 0}});
  CHECK(words(all_parts(none.job, loose.value->marks, loose.value->overhead, nullptr, nullptr)).empty());
  const auto need = PlainBill{}.needs({{"CLIP", PartPer::hanger, 2}}).held(loose, none.job);
  CHECK(words(all_parts(none.job, loose.value->marks, loose.value->overhead, nullptr, need.get())) ==
        Strings{"hanger 1", "CLIP 2"});
}
