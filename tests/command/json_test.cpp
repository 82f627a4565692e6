// What a program reads: --json of every command that computes, parsed by a reader of its own.
#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;
using Json = nlohmann::ordered_json;

namespace {

const std::string kToml =
    "[drawing]\npoints = \"drawing.csv\"\n[site]\ncontrol = \"control.csv\"\n"
    "[baselines]\nties = \"ties.csv\"\n[floor]\nelevation = \"10 m\"\n[deck]\nelevation = \"14 m\"\n"
    "[plumb]\nmarks = \"deckmarks.csv\"\n[asbuilt]\nshots = \"asbuilt.csv\"\n"
    "[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n"
    "[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = \"s1.csv\"\n"
    "[[setup]]\nname = \"P1\"\nnorthing = \"2005 m\"\neasting = \"1005 m\"\nplan = [\"CP2\", \"CP3\"]\n";

/// One deck mark is outside where `bad`.
void write_job(JobFolder& job, bool bad) {
  job.write("job.toml", kToml);
  job.write("drawing.csv", "point,x,y,run,kind\n007,3,4,R1,\n1E5,4,4,R1,\nC,27,16,,\n");
  job.write("control.csv",
            "point,northing,easting,elevation\nCP1,2000,1000,10\nCP2,2020,1000,10\nCP3,2000,1030,10\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\nB3,0,20,2020,1000\n"
            "B4,30,20,2020,1030\n");
  job.write("s1.csv",
            "target,circle,zenith,slope,height\nCP2,0-00-00,90-00-00,20,1.5\nCP3,90-00-00,90-00-00,30,1.5\n"
            "SIDE,45-00-00,90-00-00,10,1.5\n");
  job.write("deckmarks.csv", std::string("point,dx,dy\nC,1 mm,1 mm\n") + (bad ? "007,30 mm,0 mm\n" : ""));
  job.write("asbuilt.csv", "point,x,y\n007,3.001,4\n1E5,4,4.001\n");
}

Json parsed(const CommandResult& result) {
  CAPTURE(result.out);
  CAPTURE(result.err);
  REQUIRE(result.out.ends_with("\n"));
  // ASCII alone: nothing of it acts on a screen.
  CHECK(std::ranges::all_of(result.out, [](char c) { return c == '\n' || (c >= ' ' && c <= '~'); }));
  return Json::parse(result.out);
}

/// A cell of `--csv` as it must stand in `--json`; numbers digit by digit are compared in the text.
std::string plain(const Json& value) {
  return value.is_null() ? "" : value.is_string() ? value.get<std::string>() : value.dump();
}

const std::vector<std::vector<std::string>>& computing() {
  static const std::vector<std::vector<std::string>> all{
      {"check"}, {"baseline"}, {"setup"}, {"setup", "--shots"}, {"stake"}, {"plan"}, {"asbuilt"}, {"run"}};
  return all;
}

}  // namespace

TEST_CASE("every command tells verdict, status and the rows of its table") {
  for (const bool bad : {false, true})
    for (const std::vector<std::string>& command : computing()) {
      CAPTURE(command.back());
      CAPTURE(bad);
      JobFolder job;
      write_job(job, bad);
      std::vector<std::string> args = command;
      args.insert(args.end(), {".", "--json"});
      const CommandResult result = job.run(args);
      const Json json = parsed(result);
      const bool is_plan = command[0] == "plan";
      CHECK(result.exit_code == (bad && !is_plan ? 1 : 0));
      CHECK(json.at("status") == result.exit_code);
      CHECK(json.at("unit") == "m");
      if (is_plan) {
        CHECK(json.at("verdict").is_null());
        CHECK(json.at("text") == "a plan is a prediction: it judges nothing");
        CHECK(json.at("reasons").empty());
      } else {
        CHECK(json.at("verdict") == (bad ? "do-not-lay-out" : "ready"));
        CHECK(lines_of(result.err).back() == json.at("text").get<std::string>());
        REQUIRE(json.at("reasons").size() == (bad ? 1 : 0));
      }
      if (bad && !is_plan) {
        const Json& reason = json["reasons"][0];
        CHECK(reason.at("scope") == "mark");
        CHECK(reason.at("number") == 1001);
        CHECK(reason.at("point") == "007");
        CHECK(reason.at("file") == "deckmarks.csv");
        CHECK(reason.at("line") == 3);
      }
      // The rows of --csv, with plain keys.
      if (command[0] == "run") job.forget_issues();
      args.back() = "--csv";
      if (command.size() > 1) args.pop_back();
      const auto rows = csv_rows(job.run(args).out);
      REQUIRE(rows.size() > (command[0] == "check" ? 0 : 1));
      REQUIRE(json.at("rows").size() == rows.size() - 1);
      for (std::size_t r = 1; r < rows.size(); ++r) {
        const Json& row = json["rows"][r - 1];
        REQUIRE(row.size() == rows[0].size());
        std::size_t c = 0;
        for (const auto& [key, value] : row.items()) {
          CHECK(key == rows[0][c].substr(0, rows[0][c].find(" (")));
          if (value.is_number()) {
            CHECK(value.get<double>() == std::stod(rows[r][c]));
            CHECK(result.out.find("\"" + key + "\":" + rows[r][c]) != std::string::npos);
          } else {
            CHECK(plain(value) == rows[r][c]);
          }
          ++c;
        }
      }
    }
}

TEST_CASE("names stay text, an empty cell is null, a number keeps its digits") {
  JobFolder job;
  write_job(job, false);
  const CommandResult result = job.run({"run", ".", "--json"});
  const Json json = parsed(result);
  const Json& first = json.at("rows").at(0);
  CHECK(first.at("point") == "007");
  CHECK(first.at("number") == 1001);
  CHECK(first.at("attach_elevation").is_null());
  CHECK(json.at("rows").at(1).at("point") == "1E5");
  CHECK(json.at("rows").at(2).at("run").is_null());
  CHECK(result.out.find("\"x\":3.00000,") != std::string::npos);
}

TEST_CASE("problems stand in the object, with status 2, and nothing is written") {
  JobFolder job;
  write_job(job, false);
  job.write("drawing.csv", "point,x,y\nA,3,4\nA,5,five\n");
  for (const std::vector<std::string>& command : computing()) {
    if (command[0] == "plan" || command[0] == "setup" || command[0] == "baseline")
      continue;  // a bad point does not stop these
    CAPTURE(command[0]);
    const auto before = job.snapshot();
    const CommandResult result = job.run({command[0], ".", "--json"});
    CHECK(result.exit_code == 2);
    const Json json = parsed(result);
    CHECK(json.at("status") == 2);
    CHECK(json.at("verdict").is_null());
    REQUIRE(json.at("problems").size() == 1);
    const Json& one = json["problems"][0];
    CHECK(one.at("file") == "drawing.csv");
    CHECK(one.at("line") == 3);
    CHECK(one.at("column") == 5);
    CHECK(one.at("field") == "y");
    CHECK(one.at("text").get<std::string>().find("found \"five\"") == 0);
    CHECK(job.snapshot() == before);
  }
}

TEST_CASE("a doubt is told with its place") {
  JobFolder job;
  write_job(job, false);
  job.write("drawing.csv", "point,x,y\n#12,1,1\n007,3,4\n1E5,4,4\nC,27,16\n");
  const Json json = parsed(job.run({"check", ".", "--json"}));
  const auto at = std::ranges::find_if(json.at("doubts"), [](const Json& d) { return d.at("line") == 2; });
  REQUIRE(at != json["doubts"].end());
  CHECK(at->at("file") == "drawing.csv");
  CHECK(at->at("text").get<std::string>().find("#12") != std::string::npos);
  CHECK(json.at("rows").at(0).at("grade") == "doubt");
}

TEST_CASE("a verdict that is withheld is null, and the text says why") {
  JobFolder job;
  write_job(job, false);
  job.write("asbuilt.csv", "point,x,y\n007,three,4\n");
  const CommandResult result = job.run({"baseline", ".", "--json"});
  const Json json = parsed(result);
  CHECK(json.at("verdict").is_null());
  CHECK(json.at("text").get<std::string>().find("so the job as a whole is not judged here") !=
        std::string::npos);
  CHECK(json.at("reasons").empty());
  CHECK(json.at("rows").size() == 8);
}

TEST_CASE("a field test judges no job") {
  JobFolder job;
  job.write(
      "level.csv",
      "setup,staff,reading (mm),distance (m)\n1,A,1500.0,20\n1,B,1400.2,20\n2,A,1600.1,2\n2,B,1500.0,38\n"
      "3,A,1500.3,20\n3,B,1400.1,20\n4,A,1600.0,2\n4,B,1500.4,38\n");
  const CommandResult result = job.run({"fieldtest", "level.csv", "--json"});
  const Json json = parsed(result);
  CHECK(json.at("verdict").is_null());
  CHECK(json.at("unit").is_null());
  CHECK(json.at("status") == result.exit_code);
  CHECK(json.at("text") == "a field test judges an instrument, not a job");
  REQUIRE(json.at("rows").size() > 1);
  CHECK(json["rows"][0].at("test").is_string());
  CHECK(json["rows"][0].at("value").is_number());
}

TEST_CASE("hostile text is escaped, and comes out as it was where it may stand in a table") {
  JobFolder job;
  const std::string evil = "a\x1b[31m\x07\x7f";
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n");
  job.write("drawing.csv",
            "point,x,y,kind,run\n"
            "\"q\"\"\\Ä€😀\",1,2,\"=1,+2\",\"@r\"\n"
            "B,3,4,\"'=x\",-\n");
  const Json json = parsed(job.run({"run", ".", "--json"}));
  CHECK(json.at("rows").at(0).at("point") == "q\"\\Ä€😀");
  CHECK(json["rows"][0].at("kind") == "=1,+2");  // without the apostrophe against spreadsheets
  CHECK(json["rows"][0].at("run") == "@r");
  CHECK(json["rows"][1].at("kind") == "=x");  // as it was read
  CHECK(json["rows"][1].at("run") == "-");
  job.write("drawing.csv", "point,x,y\n" + evil + ",1,2\n\xFFz,3,four\n");
  const Json told = parsed(job.run({"check", ".", "--json"}));
  CHECK(told.at("problems").size() >= 2);
  const CommandResult path = job.run({"check", "no\x1b\xFFsuch", "--json"});
  CHECK(path.exit_code == 2);
  CHECK(parsed(path).at("problems").size() == 1);
}

TEST_CASE("what does not go together is said at once") {
  JobFolder job;
  write_job(job, false);
  const auto before = job.snapshot();
  for (const std::vector<std::string>& args : std::vector<std::vector<std::string>>{
           {"check", ".", "--json", "--csv"},
           {"run", ".", "--csv", "--json"},
           {"baseline", ".", "--json", "--sign", "s.toml", "--by", "N", "--on", "2026-11-25"}}) {
    const CommandResult result = job.run(args);
    CHECK(result.exit_code == 2);
    CHECK(result.out.empty());
    CHECK(result.err.find("--json") != std::string::npos);
  }
  CHECK(job.snapshot() == before);
}
