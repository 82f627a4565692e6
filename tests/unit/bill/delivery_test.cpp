// What is short and who can begin, worked by hand.
#include "bill/delivery.h"

#include <doctest/doctest.h>

#include <optional>
#include <string>
#include <vector>

using namespace deckmark;

namespace {

struct Job {
  std::vector<PartNeed> needs;
  std::vector<PieceNeed> pieces;
  std::vector<PlaceCounts> places;
  std::optional<std::vector<BilledPart>> bill;
  std::optional<std::vector<ArrivedPart>> arrived;

  DeliveryResult hold() const {
    DeliveryInput in{needs, pieces, places};
    if (bill) in.bill = *bill;
    if (arrived) in.arrived = *arrived;
    return hold_delivery(in);
  }
};

PlaceCounts hangers(double n) {
  PlaceCounts out{};
  out[index_of(PartPer::hanger)] = n;
  return out;
}
PlaceCounts places(double n_hangers, double joints, double metres) {
  PlaceCounts out = hangers(n_hangers);
  out[index_of(PartPer::joint)] = joints;
  out[index_of(PartPer::metre)] = metres;
  return out;
}

std::string cell(const std::optional<std::int64_t>& n) { return n ? std::to_string(*n) : "-"; }
/// `CLIP 24 24 20 1 5 [1 2]`: part, drawing, bill, arrived, damaged, short, who lacked it.
std::string words(const PartHeld& p) {
  std::string out = p.part + " " + std::to_string(p.drawing) + " " + cell(p.bill) + " " + cell(p.arrived) +
                    " " + cell(p.damaged) + " " + std::to_string(p.short_by) + " [";
  for (std::size_t i = 0; i < p.lacked_by.size(); ++i) out += (i ? " " : "") + std::to_string(p.lacked_by[i]);
  return out + "]";
}
std::vector<std::string> words(const DeliveryResult& r) {
  std::vector<std::string> out;
  for (const PartHeld& p : r.parts) out.push_back(words(p));
  return out;
}
/// `1: 3 CLIP, 1 BAR`: what each run lacks.
std::vector<std::string> stuck(const DeliveryResult& r) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < r.lacks.size(); ++i) {
    if (r.lacks[i].empty()) continue;
    std::string line = std::to_string(i) + ":";
    for (const PartLack& l : r.lacks[i]) line += " " + std::to_string(l.count) + " " + r.parts[l.part].part;
    out.push_back(line);
  }
  return out;
}
using Strings = std::vector<std::string>;

}  // namespace

TEST_CASE("a run that cannot have all takes nothing, and leaves what it would have taken to the next") {
  // Two clips a hanger, one bar a joint. Run 0 needs 8 clips and 1 bar, run 1 12 and 2, run 2 4 and 0.
  const Job job{{{"CLIP", PartPer::hanger, 2}, {"BAR", PartPer::joint, 1}},
                {},
                {places(4, 1, 0), places(6, 2, 0), places(2, 0, 0), places(0, 0, 0)},
                std::vector<BilledPart>{{"CLIP", 24}, {"BAR", 3}},
                std::vector<ArrivedPart>{{"CLIP", 20, 1}, {"BAR", 2, 0}}};
  // 19 sound clips: 8 for run 0 leave 11, one under 12; run 2 takes 4 of them. Of 2 bars run 0 takes 1, so
  // run 1 lacks one of two.
  const DeliveryResult r = job.hold();
  CHECK(r.is_judged);
  CHECK(words(r) == Strings{"CLIP 24 24 20 1 5 [1]", "BAR 3 3 2 0 1 [1]"});
  CHECK(stuck(r) == Strings{"1: 1 CLIP 1 BAR"});
}

TEST_CASE("runs take in their order, not by what would let most of them begin") {
  const Job job{{{"CLIP", PartPer::hanger, 1}},
                {},
                {hangers(5), hangers(2), hangers(3), hangers(0)},
                {},
                std::vector<ArrivedPart>{{"CLIP", 7, 0}}};
  CHECK(stuck(job.hold()) == Strings{"2: 3 CLIP"});
}

TEST_CASE("hangers of no run come last") {
  const Job job{{{"CLIP", PartPer::hanger, 1}},
                {},
                {hangers(2), hangers(3)},
                {},
                std::vector<ArrivedPart>{{"CLIP", 4, 0}}};
  const DeliveryResult r = job.hold();
  CHECK(stuck(r) == Strings{"1: 1 CLIP"});
  CHECK(words(r) == Strings{"CLIP 5 - 4 0 1 [1]"});
}

TEST_CASE("a sum over the job is rounded up once, and halves are not rounded run by run") {
  struct Row {
    double count, per_run;
    std::size_t runs;
    std::int64_t drawing;
  };
  for (const Row& row : {Row{0.5, 5, 2, 5}, Row{0.5, 5, 1, 3}, Row{0.5, 5, 3, 8}, Row{0.1, 10, 3, 3},
                         Row{0.1, 1, 30, 3}, Row{0.1, 1, 31, 4}, Row{1.0 / 3.0, 1, 3, 1}, Row{0, 7, 3, 0},
                         Row{0.7, 1, 10, 7}, Row{0.07, 1, 100, 7}, Row{1.1, 1, 1000, 1100}}) {
    CAPTURE(row.count);
    CAPTURE(row.runs);
    Job job{{{"CLIP", PartPer::hanger, row.count}}, {}, {}, {}, {}};
    job.places.assign(row.runs, hangers(row.per_run));
    job.places.push_back(hangers(0));
    CHECK(job.hold().parts[0].drawing == row.drawing);
    // What the drawing needs lets all begin; one fewer does not.
    job.arrived = std::vector<ArrivedPart>{{"CLIP", row.drawing, 0}};
    CHECK(stuck(job.hold()).empty());
    if (row.drawing == 0) continue;
    job.arrived = std::vector<ArrivedPart>{{"CLIP", row.drawing, 1}};
    CHECK_FALSE(stuck(job.hold()).empty());
    CHECK(job.hold().parts[0].short_by == 1);
  }
}

TEST_CASE("half a clip that is left counts for the next run") {
  // 2.5 clips each: five for two runs.
  Job job{{{"CLIP", PartPer::hanger, 0.5}}, {}, {hangers(5), hangers(5), hangers(0)}, {}, {}};
  job.arrived = std::vector<ArrivedPart>{{"CLIP", 5, 0}};
  CHECK(stuck(job.hold()).empty());
  job.arrived = std::vector<ArrivedPart>{{"CLIP", 4, 0}};
  CHECK(stuck(job.hold()) == Strings{"1: 1 CLIP"});
  job.arrived = std::vector<ArrivedPart>{{"CLIP", 2, 0}};
  CHECK(stuck(job.hold()) == Strings{"0: 1 CLIP", "1: 1 CLIP"});
}

TEST_CASE("several rows of a part add up, in needs, bill and what arrived, in any letter case") {
  const Job job{{{"Clip", PartPer::hanger, 2}, {"CLIP", PartPer::joint, 1}, {"clip", PartPer::metre, 0.25}},
                {},
                {places(4, 1, 10), places(0, 0, 0)},
                std::vector<BilledPart>{{"CLIP", 5}, {"clip", 4}},
                std::vector<ArrivedPart>{{"CLIP", 6, 1}, {"clip", 5, 2}}};
  // 8 + 1 + 2.5 = 11.5: 12; 11 arrived, 3 damaged: 8 are there.
  const DeliveryResult r = job.hold();
  CHECK(words(r) == Strings{"Clip 12 9 11 3 4 [0]"});
  CHECK(stuck(r) == Strings{"0: 4 Clip"});
}

TEST_CASE("what is there: what arrived, else the bill; without both nothing is judged") {
  Job job{{{"CLIP", PartPer::hanger, 1}}, {}, {hangers(4), hangers(0)}, {}, {}};
  DeliveryResult r = job.hold();
  CHECK_FALSE(r.is_judged);
  CHECK(words(r) == Strings{"CLIP 4 - - - 0 []"});
  CHECK(r.lacks.empty());
  job.bill = std::vector<BilledPart>{{"CLIP", 3}};
  CHECK(words(job.hold()) == Strings{"CLIP 4 3 - - 1 [0]"});
  job.arrived = std::vector<ArrivedPart>{{"CLIP", 9, 0}};  // the bill no longer counts
  CHECK(words(job.hold()) == Strings{"CLIP 4 3 9 0 0 []"});
  CHECK(job.hold().parts[0].beyond() == 5);
  job.arrived = std::vector<ArrivedPart>{};  // nothing came
  CHECK(words(job.hold()) == Strings{"CLIP 4 3 0 0 4 [0]"});
}

TEST_CASE("pieces count where bill or arrived name one, behind the needs and before what nothing needs") {
  Job job{{{"CLIP", PartPer::hanger, 1}},
          {{"P1", 0, 2}, {"P2", 1, 1}, {"P3", 1, 1}, {"p3", 1, 1}},
          {hangers(1), hangers(1), hangers(0)},
          std::vector<BilledPart>{{"CLIP", 2}},
          {}};
  CHECK(words(job.hold()) == Strings{"CLIP 2 2 - - 0 []"});
  job.bill = std::vector<BilledPart>{{"ODD", 7}, {"p1", 2}, {"P3", 1}, {"CLIP", 2}};
  CHECK(words(job.hold()) == Strings{"CLIP 2 2 - - 0 []", "P1 2 2 - - 0 []", "P2 1 0 - - 1 [1]",
                                     "P3 2 1 - - 1 [1]", "ODD 0 7 - - 0 []"});
  CHECK(stuck(job.hold()) == Strings{"1: 1 P2 1 P3"});
  // The bill names them, so what arrived is held against them too.
  job.arrived = std::vector<ArrivedPart>{{"CLIP", 2, 0}};
  CHECK(stuck(job.hold()) == Strings{"0: 2 P1", "1: 1 P2 2 P3"});
}

TEST_CASE("a piece that two runs share goes to the one that comes first and has all else") {
  Job job{{{"CLIP", PartPer::hanger, 1}},
          {{"P1", 0, 2}, {"P1", 1, 2}},
          {hangers(3), hangers(1), hangers(0)},
          {},
          std::vector<ArrivedPart>{{"P1", 2, 0}, {"CLIP", 2, 0}}};
  CHECK(stuck(job.hold()) == Strings{"0: 1 CLIP"});
  job.arrived = std::vector<ArrivedPart>{{"P1", 3, 0}, {"CLIP", 4, 0}};
  CHECK(stuck(job.hold()) == Strings{"1: 1 P1"});
}

TEST_CASE("a run that needs nothing of a part that is short is not held up by it") {
  const Job job{{{"CLIP", PartPer::hanger, 1}, {"BAR", PartPer::joint, 1}},
                {},
                {places(2, 3, 0), places(2, 0, 0), hangers(0)},
                {},
                std::vector<ArrivedPart>{{"CLIP", 4, 0}}};
  const DeliveryResult r = job.hold();
  CHECK(stuck(r) == Strings{"0: 3 BAR"});
  CHECK(words(r) == Strings{"CLIP 4 - 4 0 0 []", "BAR 3 - 0 0 3 [0]"});
}
