// Which readings make lines, and what they close to.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <string>

#include "heights_support.h"

using namespace heights_test;

namespace {

/// `0-3 2 +1.5`: from, to, set-ups, closure in mm; `open` where it has none.
std::string told(const HeightsResult& r) {
  std::string out;
  for (const HeightLine& l : r.lines) {
    if (!out.empty()) out += ", ";
    out += std::to_string(l.from) + "-" + std::to_string(l.to) + " " + std::to_string(l.legs.size()) + " ";
    if (!l.closure) {
      out += "open";
    } else {
      const long tenths = std::lround(l.closure->millimetres() * 10);
      out += (tenths < 0 ? "-" : "+") + std::to_string(std::abs(tenths) / 10) + "." +
             std::to_string(std::abs(tenths) % 10);
    }
  }
  return out;
}

}  // namespace

TEST_CASE("lines go on through backs and close on their first target or a benchmark") {
  struct Row {
    const char* what;
    Book book;
    const char* want;
  };
  const std::vector<Row> rows = {
      {"out and back, 2 mm too high", Book().benchmark(0, 10).way(0, 0, 1.502, 1, 1.2).way(1, 1, 1.2, 0, 1.5),
       "0-0 2 +2.0"},
      {"between benchmarks, 1 mm too low",
       Book().benchmark(0, 10).benchmark(2, 11).way(0, 0, 2, 1, 1).way(1, 1, 1, 2, 1.001), "0-2 2 -1.0"},
      {"without a benchmark it closes on where it began", Book().way(0, 0, 1, 1, 2).way(1, 1, 2, 0, 1),
       "0-0 2 +0.0"},
      {"open: it ends on what is not known", Book().benchmark(0, 10).way(0, 0, 1, 1, 2).way(1, 1, 2, 2, 1),
       "0-2 2 open"},
      {"from an unknown target to a benchmark nothing is checked", Book().benchmark(1, 10).way(0, 0, 1, 1, 2),
       "0-1 1 open"},
      {"intermediate sights are no lines",
       Book()
           .benchmark(0, 10)
           .way(0, 0, 1, 5, 3)
           .fore(0, 6, 3)
           .fore(0, 1, 2)
           .way(1, 1, 2, 7, 1)
           .fore(1, 0, 1),
       "0-0 2 +0.0"},
      {"a benchmark under way ends a line and begins one",
       Book().benchmark(0, 10).benchmark(1, 10).way(0, 0, 1, 1, 1.001).way(1, 1, 1, 0, 1.002),
       "0-1 1 -1.0, 1-0 1 -2.0"},
      {"a benchmark read under way, without being a turning point, closes too",
       Book().benchmark(0, 10).benchmark(3, 10).way(0, 0, 1, 3, 1.001).fore(0, 1, 2).way(1, 1, 2, 0, 1),
       "0-3 1 -1.0, 0-0 2 +0.0"},
      {"a loop from an unknown target goes on over a benchmark, a line from there too",
       Book().benchmark(1, 10).way(0, 0, 1, 1, 1).way(1, 1, 1, 0, 1.002), "0-0 2 -2.0, 1-0 1 open"},
      {"two backs to two benchmarks in one set-up",
       Book().benchmark(0, 10).benchmark(1, 11).back(0, 0, 2).back(0, 1, 1.003).fore(0, 2, 1), "0-1 1 -3.0"},
      {"a further back on a benchmark closes a line that comes in",
       Book().benchmark(0, 10).benchmark(2, 10).way(0, 0, 1, 1, 2).back(1, 1, 2).back(1, 2, 1.001),
       "0-2 2 -1.0"},
      {"also where the benchmark was read first",
       Book().benchmark(0, 10).benchmark(2, 10).way(0, 0, 1, 1, 2).back(1, 2, 1.001).back(1, 1, 2),
       "0-2 2 -1.0"},
      {"one target read twice by one set-up, back and fore", Book().way(0, 0, 1.001, 0, 1), "0-0 1 +1.0"},
      {"two lines part at a turning point",
       Book().benchmark(0, 10).way(0, 0, 1, 1, 2).way(1, 1, 2, 0, 1.001).way(2, 1, 2, 0, 1.002),
       "0-0 2 -1.0, 0-0 2 -2.0"},
      {"a set-up that is read again later",
       Book().benchmark(0, 10).way(0, 0, 1, 1, 2).way(1, 1, 2, 2, 2).way(0, 0, 1, 0, 1.001),
       "0-0 1 +0.0, 0-0 1 -1.0, 0-2 2 open"},
      {"a fore written before its back",
       Book().benchmark(0, 10).fore(0, 1, 2).back(0, 0, 1).way(1, 1, 2, 0, 1), "0-0 2 +0.0"},
      {"only fores, only a back", Book().benchmark(0, 10).fore(0, 0, 1).fore(0, 1, 1).back(1, 0, 1), ""},
      {"a loop in a loop comes home through both",
       Book()
           .benchmark(0, 10)
           .way(0, 0, 1, 1, 1)
           .way(1, 1, 1, 2, 1)
           .way(2, 2, 1, 1, 1)
           .way(3, 1, 1, 0, 1.001),
       "0-0 4 -1.0"},
      {"a fore that was a back before, and one that its own set-up reads back, do not go on",
       Book()
           .benchmark(0, 10)
           .way(0, 0, 1, 1, 1)
           .way(1, 1, 1, 2, 1)
           .way(2, 2, 1, 1, 1)
           .fore(2, 7, 1)
           .way(3, 0, 1, 8, 1)
           .way(3, 8, 1, 9, 1),
       "0-7 3 open, 0-9 1 open"},
      {"of a turning point that its set-up reads twice the first reading goes on",
       Book().benchmark(0, 10).way(0, 0, 1, 1, 2).fore(0, 1, 2.002).way(1, 1, 2, 0, 1), "0-0 2 +0.0"},
      {"ways from an unknown target end where the first benchmark is, told once",
       Book().benchmark(1, 10).way(0, 0, 1, 1, 1).way(1, 1, 1, 2, 1).way(2, 1, 1, 3, 1),
       "0-1 1 open, 1-2 1 open, 1-3 1 open"},
      {"a loop that turns for ever on itself ends",
       Book().way(0, 0, 1, 1, 1).way(1, 1, 1, 2, 1).way(2, 2, 1, 1, 1).way(3, 1, 1, 2, 1), "0-2 4 open"},
      {"no back is ever later: each set-up reads back what comes after it",
       Book().fore(0, 1, 1).back(0, 0, 1).fore(1, 0, 1).back(1, 1, 1), "0-0 2 +0.0"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    CHECK(told(row.book.run()) == row.want);
  }
}

TEST_CASE("a line names its legs in order, and the lines stand as they begin") {
  const HeightsResult r =
      Book().benchmark(0, 10).way(0, 0, 1, 9, 1).fore(0, 1, 2).way(1, 1, 2, 0, 1).way(2, 0, 1, 0, 1).run();
  REQUIRE(r.lines.size() == 2);
  REQUIRE(r.lines[0].legs.size() == 2);
  CHECK(r.lines[0].legs[0].back == 0);
  CHECK(r.lines[0].legs[0].fore == 2);
  CHECK(r.lines[0].legs[1].back == 3);
  CHECK(r.lines[0].legs[1].fore == 4);
  CHECK(r.lines[1].legs[0].back == 5);
}

TEST_CASE("limit of a line: 3 mm, by its length, by its set-ups, or the job's") {
  struct Row {
    std::size_t setups;
    std::optional<double> away;  // of each back and fore
    std::optional<double> loop_limit;
    double want;
  };
  for (const Row& row : {Row{1, {}, {}, 3}, Row{4, 500, {}, 3}, Row{5, 50, {}, 8.485281374}, Row{5, 5, {}, 3},
                         Row{5, {}, {}, 3.354101966}, Row{16, {}, {}, 6}, Row{20, 25, {}, 12},
                         Row{20, 25, 2.5, 2.5}, Row{2, {}, 7, 7}}) {
    CAPTURE(row.setups);
    Book book;
    if (row.loop_limit) book.options.loop_limit = mm(*row.loop_limit);
    book.benchmark(0, 10);
    for (std::size_t s = 0; s < row.setups; ++s)
      book.way(s, s, 1, s + 1 == row.setups ? 0 : s + 1, 1, row.away).fore(s, 100 + s, 1);
    HeightsResult r = book.run();
    REQUIRE(r.lines.size() == 1);
    CHECK(r.lines[0].limit.millimetres() == doctest::Approx(row.want));
    CHECK(r.lines[0].length.has_value() == row.away.has_value());
    if (row.away)
      CHECK(r.lines[0].length->metres() == doctest::Approx(2 * *row.away * static_cast<double>(row.setups)));
    r.lines[0].closure = r.lines[0].limit;
    CHECK(r.lines[0].is_within());
    r.lines[0].closure = -r.lines[0].limit - mm(1e-6);
    CHECK_FALSE(r.lines[0].is_within());
    r.lines[0].closure.reset();
    CHECK(r.lines[0].is_within());
  }
}

TEST_CASE(
    "a closure exactly at its limit is within, whatever binary noise its sum has, and no slip is told") {
  const auto line = [](double last) {
    return Book().benchmark(0, 10).benchmark(2, 10.5).way(0, 0, 1.5, 1, 1.2).way(1, 1, 1.6, 2, last).run();
  };
  CHECK(line(1.397).lines.at(0).is_within());  // 3.0000000000003 mm in doubles
  CHECK(line(1.397).slips.empty());
  CHECK(line(1.403).lines.at(0).is_within());
  CHECK_FALSE(line(1.3969999).lines.at(0).is_within());
  const auto plane = [](double second) {
    Book book;
    book.options.reading_sd = mm(0.5);  // 2.5 sds of the difference are under 3 mm
    return book.benchmark(0, 10).benchmark(1, 10.2).laser(0, 0, 1.3).laser(0, 1, second).run();
  };
  CHECK(plane(1.103).planes.at(0).is_within());
  CHECK(plane(1.097).planes.at(0).is_within());
  CHECK_FALSE(plane(1.1030001).planes.at(0).is_within());
}

TEST_CASE("one distance that is not known leaves the length out") {
  const HeightsResult r =
      Book().benchmark(0, 10).way(0, 0, 1, 1, 1, 20).back(1, 1, 1, 20).fore(1, 0, 1).run();
  CHECK_FALSE(r.lines.at(0).length);
}

TEST_CASE("ways that multiply at every turning point stay few lines") {
  // Each turning point is reached by two set-ups: 2^30 ways, of which the later at each point goes on.
  Book book;
  book.benchmark(0, 10);
  for (std::size_t k = 0; k < 30; ++k)
    for (std::size_t way = 0; way < 2; ++way) book.way(2 * k + way, k, 1, k + 1, 1);
  book.way(60, 30, 1, 0, 1);
  const HeightsResult r = book.run();
  REQUIRE(r.lines.size() == 1);
  CHECK(r.lines[0].legs.size() == 31);
  CHECK(r.spare == 31);
}
