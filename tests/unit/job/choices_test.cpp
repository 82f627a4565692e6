// What a word of a key means: stated here a second time, by hand, so that two words exchanged in a
// declaration are seen.
#include <doctest/doctest.h>

#include <functional>
#include <string>

#include "job/job.h"
#include "job/parts.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;

TEST_CASE("choices: every word of a key has the meaning that the reference gives it") {
  struct Row {
    std::string toml;
    std::function<bool(const Job&)> holds;
  };
  const Row rows[] = {
      {"[baselines]\nhold = \"both\"", [](const Job& j) { return j.baseline.hold == Hold::both; }},
      {"[baselines]\nhold = \"x\"", [](const Job& j) { return j.baseline.hold == Hold::x; }},
      {"[baselines]\nhold = \"y\"", [](const Job& j) { return j.baseline.hold == Hold::y; }},
      {"[baselines]\nscale = \"fixed\"", [](const Job& j) { return !j.baseline.scale_free; }},
      {"[baselines]\nscale = \"free\"", [](const Job& j) { return j.baseline.scale_free; }},
      {"[baselines]\nsetout = \"primary\"",
       [](const Job& j) { return j.square.setout.tier == SetOut::primary; }},
      {"[baselines]\nsetout = \"secondary\"",
       [](const Job& j) { return j.square.setout.tier == SetOut::secondary; }},
      {"[asbuilt]\nacceptance = \"simple\"", [](const Job& j) { return !j.asbuilt.options.guarded; }},
      {"[asbuilt]\nacceptance = \"guarded\"", [](const Job& j) { return j.asbuilt.options.guarded; }},
      {"[instrument]\nangles = \"degrees\"",
       [](const Job& j) { return j.instrument.angles == AngleNotation::degrees; }},
      {"[instrument]\nangles = \"gon\"",
       [](const Job& j) { return j.instrument.angles == AngleNotation::gon; }},
      {"[instrument]\nangles = \"packed\"",
       [](const Job& j) { return j.instrument.angles == AngleNotation::packed; }},
      {"[asbuilt]\nmatch = \"name\"", [](const Job& j) { return !j.asbuilt.options.by_nearest; }},
      {"[asbuilt]\nmatch = \"nearest\"", [](const Job& j) { return j.asbuilt.options.by_nearest; }},
      {"[stake]\norder = \"run\"", [](const Job& j) { return j.instrument.order == StakeOrder::run; }},
      {"[stake]\norder = \"walk\"", [](const Job& j) { return j.instrument.order == StakeOrder::walk; }},
      {"[instrument]\ndistances = \"raw\"",
       [](const Job& j) { return j.instrument.options.distances == Distances::raw; }},
      {"[instrument]\ndistances = \"corrected\"",
       [](const Job& j) { return j.instrument.options.distances == Distances::corrected; }},
      {"[list]\nline_end = \"crlf\"", [](const Job& j) { return j.list.crlf; }},
      {"[list]\nline_end = \"lf\"", [](const Job& j) { return !j.list.crlf; }},
      {"[list]\norder = \"number\"", [](const Job& j) { return j.list.order == ListOrder::number; }},
      {"[list]\norder = \"run\"", [](const Job& j) { return j.list.order == ListOrder::run; }},
      {"[list]\nsplit = \"none\"", [](const Job& j) { return j.list.split == ListSplit::none; }},
      {"[list]\nsplit = \"run\"", [](const Job& j) { return j.list.split == ListSplit::run; }},
      {"[list]\nframe = \"ground\"", [](const Job& j) { return j.list.frame == ListFrame::ground; }},
      {"[site]\ncrs = \"EPSG:32632\"\n[list]\nframe = \"grid\"",
       [](const Job& j) { return j.list.frame == ListFrame::grid; }}};
  for (const Row& row : rows) {
    CAPTURE(row.toml);
    TempFolder folder;
    write_bytes(folder / "job.toml", row.toml + "\n");
    Job job;
    PartMessages told;
    read_job(folder.path(), job, told);
    CHECK(row.holds(job));
  }
}
