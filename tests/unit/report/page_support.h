#pragma once
/// A small page with a bit of everything.

#include <string>
#include <vector>

#include "report/page.h"

namespace page_test {

using namespace deckmark;

inline Point<Drawing> at(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }

/// Four marks in a rectangle of 10 m by 5 m.
inline JobPage small_page() {
  JobPage page{.program = "deckmark 1",
               .title = "Hall",
               .revision = "A",
               .line = "READY TO LAY OUT",
               .list_id = "0a1b2c3d"};
  page.run_names = {"", "R1", "R2"};
  PlanLevel floor;
  floor.marks = {{at(1, 1), 1001, 1, PlanSymbol::within, "A"},
                 {at(11, 1), 1002, 1, PlanSymbol::outside, "B"},
                 {at(1, 6), 1003, 2, PlanSymbol::unsure, "C"},
                 {at(11, 6), 1004, 2, PlanSymbol::not_measured, "D"}};
  floor.total = 4;
  floor.count = {1, 1, 1, 1, 0};
  page.plan.levels = {floor};
  page.plan.low = at(1, 1), page.plan.high = at(11, 6);
  page.plan.north = "site north";
  page.runs = {{.run = "R1", .floor = {{1001, 1002}}, .count = 2},
               {.run = "R2", .floor = {{1003, 1004}}, .count = 2}};
  page.numbers = {{1001, 1004}};
  page.inputs = {{"job.toml", std::string(64, 'a')}};
  return page;
}

/// As-built lines whose rows live beside them.
struct Shots {
  std::vector<AsbuiltRow> rows;
  AsbuiltPage text;
  /// Offsets along +X in millimetres, judged against `millimetres`.
  Shots(const std::vector<double>& offsets, double tolerance) {
    text.options.plan = Length::millimetres(tolerance);
    text.shots = offsets.size();
    for (const double mm : offsets) {
      AsbuiltRow r{.design = {{.northing = Length::metres(0), .easting = Length::metres(0)}},
                   .at = {{.northing = Length::metres(0), .easting = Length::metres(0)}}};
      r.off.by.x = Length::millimetres(mm);
      r.offset = Length::millimetres(mm);
      r.sd = Length::millimetres(2);
      r.plan = judge(r.offset, text.options.plan);
      rows.push_back(r);
    }
    for (std::size_t i = 0; i < rows.size(); ++i)
      text.lines.push_back({static_cast<std::uint32_t>(i + 1), "P", &rows[i], "S2", "S1"});
    text.levels = level_statistics(rows);
  }
  void join(JobPage& page) {
    page.asbuilt = &text;
    page.asbuilt_places.assign(rows.size(), at(5, 3));
  }
};

}  // namespace page_test
