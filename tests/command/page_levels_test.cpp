// The page of whole jobs: a plan for every level with its own numbers and verdicts, keys without a sign that
// is not drawn, and numbers of the runs that are the run's own, held against points.csv.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/page_reader.h"

using namespace deckmark_test;

namespace {

PageNode page_of(const JobFolder& job) { return read_page(job.read("out/report.html")); }

/// `1001-1013, 1038` and `1001-1061 by 5` taken apart.
std::set<long> expanded(std::string text) {
  std::set<long> out;
  const char* at = text.c_str();
  while (*at) {
    char* end = nullptr;
    const long first = std::strtol(at, &end, 10);
    long last = first, step = 1;
    if (*end == '-') last = std::strtol(end + 1, &end, 10);
    if (std::string(end).starts_with(" by ")) step = std::strtol(end + 4, &end, 10);
    for (long n = first; n <= last; n += step) out.insert(n);
    REQUIRE((*end == 0 || std::string(end).starts_with(", ")));
    at = *end ? end + 2 : end;
  }
  return out;
}

std::string key_of(const PageNode& section) { return text_of(*elements(section, "ul", "key").at(0)); }

bool labels(const PageNode& section, const std::string& number) {
  return std::ranges::any_of(elements(section, "text"),
                             [&](const PageNode* t) { return text_of(*t) == number; });
}

}  // namespace

// 2026-11-27: one plan told the worst verdict of floor and deck under floor numbers: good floor marks were
// drawn as outside. And the key named control that lay off the plan.
TEST_CASE("floor, deck and brackets have a plan each, with its own numbers, verdicts and key") {
  JobFolder job;
  job.write("job.toml",
            "[drawing]\npoints = \"d.csv\"\n[site]\ncontrol = \"c.csv\"\n[baselines]\nties = \"t.csv\"\n"
            "[floor]\nelevation = \"0 m\"\n[deck]\nelevation = \"4 m\"\n[hangers]\nheight = \"3 m\"\n"
            "[asbuilt]\nshots = \"a.csv\"\n");
  job.write("c.csv", "point,northing,easting\nFAR,900,900\n");
  job.write("t.csv", "mark,x,y,northing,easting\nT1,0,0,0,0\nT2,12,0,0,12\nT3,0,8,8,0\nT4,12,8,8,12\n");
  std::string points = "point,x,y,run,kind\n", shots = "point,northing,easting,elevation,level\n";
  for (int i = 0; i < 6; ++i) {
    const std::string n = std::to_string(i + 1), x = std::to_string(1 + i);
    points += "H" + n + "," + x + ",2,R1,hanger\n";
    shots += "H" + n + ",2," + x + ",,floor\n";                 // all good
    if (i < 3) shots += "H" + n + ",2.05," + x + ",4,deck\n";   // 50 mm off
    if (i == 4) shots += "H" + n + ",2," + x + ",3,bracket\n";  // good
  }
  job.write("d.csv", points + "REF,9,5,,reference\n");
  job.write("a.csv", shots);
  const CommandResult r = job.run();
  CAPTURE(r.err);
  REQUIRE(r.exit_code == 1);
  const PageNode page = page_of(job);
  struct Row {
    std::string section, key;
    std::size_t ok, bad, dots;
    std::string number, other;
  };
  for (const Row& row :
       {Row{"Plan of the floor marks", "within: 6reference point: 1tie", 6, 0, 0, "1001", "6001"},
        Row{"Plan of the deck points", "outside: 3not measured: 3tie", 0, 3, 3, "6001", "1001"},
        Row{"Plan of the brackets", "within: 1not measured: 5tie", 1, 0, 5, "1005", "6005"}}) {
    CAPTURE(row.section);
    const PageNode& plan = section(page, row.section);
    CHECK(key_of(plan) == row.key);
    const PageNode& figure = *elements(plan, "svg", "plan").at(0);
    CHECK(elements(figure, "circle", "ok").size() == row.ok);
    CHECK(elements(figure, "rect", "bad").size() == row.bad);
    CHECK(elements(figure, "circle", "dot").size() == row.dots);
    CHECK(labels(plan, row.number));
    CHECK_FALSE(labels(plan, row.other));
    CHECK(text_of(plan).find(row.number[0] == '6'
                                 ? "Deck numbers; signs by the as-built shots."
                                 : "Floor numbers; signs by the as-built shots.") != std::string::npos);
  }
  // Nothing measured on the deck or on brackets: the floor alone.
  job.write("a.csv", "point,northing,easting\nH1,2,1\n");
  REQUIRE(job.run().exit_code == 0);
  const PageNode floor_only = page_of(job);
  std::size_t plans = 0;
  for (const PageNode* h : elements(floor_only, "h2")) plans += text_of(*h).starts_with("Plan") ? 1U : 0U;
  CHECK(plans == 1);
}

// 2026-11-27: first and last of a run (R1: 1001 to 1039) told 24 numbers of another run as its own.
TEST_CASE("numbers on the page are those of points.csv, after additions, drops and any step") {
  unsigned state = 1;
  const auto random = [&](unsigned below) {
    state = state * 1664525U + 1013904223U;
    return (state >> 8U) % below;
  };
  for (int trial = 0; trial < 30; ++trial) {
    CAPTURE(trial);
    JobFolder job;
    const int step = std::vector{1, 1, 2, 5}.at(random(4));
    job.write("job.toml",
              "[drawing]\npoints = \"d.csv\"\n[floor]\nelevation = \"0 m\"\n[deck]\nelevation = \"4 "
              "m\"\n[numbers]\nstep "
              "= " +
                  std::to_string(step) + "\n");
    std::map<int, std::string> rows;  // by the drawing's order
    int next = 0;
    for (int issue = 0; issue < 3; ++issue) {
      for (unsigned k = 2 + random(9); k > 0; --k, ++next) {
        const bool reference = random(6) == 0;
        rows[random(2) == 0 ? next : 1000 - next] =
            "P" + std::to_string(next) + "," + std::to_string(next % 7 * 2) + "," +
            std::to_string(next / 7 * 2) + (random(5) == 0 ? "," : ",R" + std::to_string(1 + random(3))) +
            (reference ? ",reference\n" : ",hanger\n");
      }
      if (issue > 0) rows.erase(std::next(rows.begin(), random(static_cast<unsigned>(rows.size()))));
      std::string points = "point,x,y,run,kind\n";
      for (const auto& [at, row] : rows) points += row;
      job.write("d.csv", points);
      const CommandResult r = job.run();
      CAPTURE(r.err);
      REQUIRE(r.exit_code == 0);
    }
    std::map<std::string, std::set<long>> floor, deck;
    std::set<long> all;
    const auto table = csv_rows(job.read("out/points.csv"));
    for (std::size_t i = 1; i < table.size(); ++i) {
      const long number = std::atol(table[i][0].c_str());
      const std::string run = table[i][3].empty() ? "(no run)" : table[i][3];
      floor[run].insert(number);
      all.insert(number);
      if (table[i][2] != "reference") deck[run].insert(number + 5000);
    }
    const PageNode page = page_of(job);
    const auto told = table_with(section(page, "Numbers of the lists"), "run");
    REQUIRE(told.size() == floor.size() + 1);
    for (std::size_t i = 1; i < told.size(); ++i) {
      CAPTURE(told[i][0]);
      CAPTURE(told[i][1]);
      CHECK(expanded(told[i][1]) == floor[told[i][0]]);
      CHECK(std::atol(told[i][2].c_str()) == static_cast<long>(floor[told[i][0]].size()));
      if (told[i][3] != "-") CHECK(expanded(told[i][3]) == deck[told[i][0]]);
      CHECK(std::atol(told[i][4].c_str()) == static_cast<long>(deck[told[i][0]].size()));
    }
    CHECK(text_of(page).find("marks on the floor" + std::to_string(all.size()) + ": ") != std::string::npos);
  }
}
