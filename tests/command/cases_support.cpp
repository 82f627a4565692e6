#include "cases_support.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <stdexcept>

namespace deckmark_test {

namespace {

const std::vector<Case>& all_cases() {
  static const std::vector<Case> rows = read_vectors("cases/cases.csv");
  return rows;
}

}  // namespace

std::vector<Case> cases_of(const std::string& kind) {
  std::vector<Case> out;
  for (const Case& row : all_cases())
    if (row.at("kind") == kind) out.push_back(row);
  REQUIRE(!out.empty());
  return out;
}

const Case& case_of(const std::string& id) {
  for (const Case& row : all_cases())
    if (row.at("id") == id) return row;
  throw std::runtime_error("no case " + id);
}

const std::map<std::string, std::string>& cases_left_out() {
  static const std::map<std::string, std::string> reasons = {
      {"lenout-03", "printing to 1/8 inch needs the offset sheet; tests/unit/measure holds it"},
      {"lenout-06",
       "no command prints a negative length in feet and inches before the offset sheet; tests/unit/measure "
       "holds it"},
      {"lenout-07", "as lenout-06"},
      {"lenout-09", "no command prints decimal inches with feet; tests/unit/measure holds it"},
      {"lenout-11", "as lenout-06"},
      {"lenout-12", "as lenout-03"},
      {"angout-02", "no command prints two decimals of a second; tests/unit/measure holds it"},
      {"angout-05",
       "no command prints a signed angle in degrees, minutes and seconds; tests/unit/measure holds it"},
      {"angout-06", "as angout-05"},
      {"fit-06", "only if an affine fit is ever offered"},
      {"lift-04",
       "decks are carried up plumb, not turned by marks in common: one deck mark alone can be checked"},
      {"lift-05", "distances between marks come with the tape checks of the baselines"},
  };
  return reasons;
}

const std::map<std::string, std::string>& kinds_left_out() {
  static const std::map<std::string, std::string> reasons;
  return reasons;
}

void check_all_are_met(const std::string& kind, const std::map<std::string, std::function<void()>>& tests) {
  std::vector<std::string> ids;
  for (const Case& row : cases_of(kind)) {
    const std::string& id = row.at("id");
    CAPTURE(id);
    ids.push_back(id);
    CHECK(tests.count(id) + cases_left_out().count(id) == 1);
  }
  for (const auto& [id, test] : tests) {
    CAPTURE(id);
    CHECK(std::find(ids.begin(), ids.end(), id) != ids.end());
  }
}

void run_all(const std::map<std::string, std::function<void()>>& tests) {
  for (const auto& [id, test] : tests) {
    CAPTURE(id);
    CAPTURE(case_of(id).at("what"));
    test();
  }
}

void check_told(const std::string& err, const Refusal& refusal) {
  bool told = false;
  for (const ToldLine& p : problem_lines(err)) {
    if (place_of(p) != refusal.place) continue;
    const auto holds = [&](const std::string& word) { return p.text.find(word) != std::string::npos; };
    told = told || std::all_of(refusal.words.begin(), refusal.words.end(), holds);
  }
  std::string wanted = refusal.place + ":";
  for (const std::string& word : refusal.words) wanted += " [" + word + "]";
  CAPTURE(wanted);
  CAPTURE(err);
  CHECK(told);
}

void check_refused_with(const JobFolder& job, const std::vector<Refusal>& refusals) {
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  CAPTURE(result.err);
  check_refused(job, before, result);
  for (const Refusal& refusal : refusals) check_told(result.err, refusal);
  CHECK(problem_lines(result.err).size() == refusals.size());
}

void write_plain_job(JobFolder& job, const std::string& more_drawing, const std::string& more_site) {
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n" + more_drawing +
                "[site]\ncontrol = \"control.csv\"\n" + more_site +
                "[list]\nunit = \"m\"\ntogether = true\nheader = true\nline_end = \"lf\"\ndecimals = 9\n"
                "columns = [\"number\", \"northing\", \"easting\", \"elevation\", \"x\", \"y\"]\n");
  job.write("drawing.csv", "point,x,y\nD1,0,0\n");
  job.write("control.csv", "point,northing,easting,elevation\nC1,0,0,0\n");
}

std::vector<std::map<std::string, std::string>> listed(const JobFolder& job) {
  return named_rows(job.read("out/list.csv"));
}

void check_length(const std::string& cell, const std::string& metres) {
  CAPTURE(cell);
  CAPTURE(metres);
  char* end = nullptr;
  const double found = std::strtod(cell.c_str(), &end);
  CHECK(!cell.empty());
  CHECK(*end == '\0');
  const double wanted = std::strtod(metres.c_str(), nullptr);
  CHECK(std::abs(found - wanted) <= std::max(1e-9, std::abs(wanted) * 1e-15));
}

}  // namespace deckmark_test
