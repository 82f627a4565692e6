// Storeys of one building: a site file that they share, numbers that never meet, what was measured on
// another storey, one signature for all, and several jobs checked at once.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

bool says(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

const std::string kSite =
    "[site]\ncontrol = \"control.csv\"\nstoreys = [\"l3/job.toml\", \"l4/job.toml\"]\n[baselines]\nties = "
    "\"ties.csv\"\n[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n[list]\ndecimals = 3\n";

std::string ties(double shift = 0) {
  std::string text = "mark,x,y,northing,easting\n";
  struct Tie {
    const char* name;
    double x, y, off;
  };
  for (const Tie& t : {Tie{"B1", 0, 0, 0.0006},
                       {"B2", 30, 0, -0.0008},
                       {"B3", 0, 20, 0.0004},
                       {"B4", 30, 20, -0.0003},
                       {"B5", 15, 20, 0.0002}}) {
    char row[100];
    std::snprintf(row, sizeof row, "%s,%g,%g,%.5f,%.5f\n", t.name, t.x, t.y, 2000 + t.y + t.off,
                  1000 + t.x - t.off + shift);
    text += row;
  }
  return text;
}

/// 120 points in ten rows.
std::string drawing(const std::string& more = "") {
  std::string text = "point,x,y\n";
  for (int r = 0; r < 10; ++r)
    for (int c = 0; c < 12; ++c) {
      char row[100];
      std::snprintf(row, sizeof row, "%c%d,%.3f,%.3f\n", 'A' + r, c + 1, 1.2 * c + 0.6, 1.5 * r + 0.4);
      text += row;
    }
  return text + more;
}

std::string job_text(const std::string& name, double floor, const std::string& more = "") {
  char text[400];
  std::snprintf(
      text, sizeof text,
      "site_file = \"../site.toml\"\ntitle = \"Maple Yard\"\nrevision = \"A\"\n[storey]\nname = "
      "\"%s\"\n[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevation = \"%.3f m\"\n[deck]\nelevation "
      "= \"%.3f m\"\n",
      name.c_str(), floor, floor + 3.6);
  return text + more;
}

/// A building of two storeys, 4 m from floor to floor.
struct Building : JobFolder {
  Building() {
    for (const char* storey : {"l3", "l4"}) fs::create_directory(path() / storey);
    write("site.toml", kSite);
    write("ties.csv", ties());
    write("control.csv", "point,northing,easting,elevation\nCP1,1990,990,8.5\nCP2,1990,1040,8.5\n");
    third();
    fourth();
    for (const char* storey : {"l3/", "l4/"}) write(std::string(storey) + "drawing.csv", drawing());
  }
  void third(const std::string& more = "") { write("l3/job.toml", job_text("level 3", 8, more)); }
  void fourth(const std::string& more = "") { write("l4/job.toml", job_text("level 4", 12, more)); }
  CommandResult quietly(const std::string& command, const std::string& job) const {
    return run({command, job, "--quiet"});
  }
  /// Floor and deck numbers that a storey's ledger holds.
  std::set<long> numbers_of(const std::string& storey) const {
    std::set<long> out;
    for (const auto& row : named_rows(read(storey + "/numbers.csv"))) {
      out.insert(std::stol(row.at("number")));
      out.insert(std::stol(row.at("number")) + std::stol(row.at("deck_offset")));
    }
    return out;
  }
};

bool meet(const std::set<long>& a, const std::set<long>& b) {
  return std::ranges::any_of(a, [&](long n) { return b.count(n) > 0; });
}

const std::string kFromTwoThousand = "[numbers]\nstart = 2001\n";

}  // namespace

TEST_CASE("storeys: two of 120 points with one site file: their numbers never meet") {
  Building b;
  const CommandResult first = b.run({"run", "l3", "--quiet"});
  REQUIRE(first.exit_code == 0);
  CHECK(says(first.out + b.quietly("check", "l3").err, "READY TO LAY OUT"));
  // Nobody says where level 4 begins: it would begin where level 3 did.
  const auto before = b.snapshot();
  const CommandResult same = b.quietly("run", "l4");
  CHECK(same.exit_code == 2);
  CHECK(b.snapshot() == before);
  const auto told = problem_lines(same.err);
  REQUIRE(told.size() == 1);
  CHECK(told[0].field == "numbers.start");
  CHECK(says(told[0].text,
             "found 1001 for \"A1\" and 239 more, given out on level 3 (../l3/numbers.csv) before,"));
  CHECK(suggestion_of(told[0]) == "start = 2001 under [numbers]");
  b.fourth(kFromTwoThousand);
  REQUIRE(b.quietly("run", "l4").exit_code == 0);
  CHECK_FALSE(meet(b.numbers_of("l3"), b.numbers_of("l4")));
  // Level 3 grows into what level 4 has: the point that would get 2001.
  std::string more;
  for (int i = 0; i < 881; ++i) more += "Z" + std::to_string(i) + "," + std::to_string(0.03 * i) + ",19\n";
  b.write("l3/drawing.csv", drawing(more));
  const CommandResult grown = b.quietly("run", "l3");
  CHECK(grown.exit_code == 2);
  const auto met = problem_lines(grown.err);
  REQUIRE(met.size() == 1);
  CHECK(says(met[0].text, "found 2001 for \"Z880\" and 1 more, given out on level 4"));
  CHECK(suggestion_of(met[0]) == "start = 3001 under [numbers]");
  b.third("[numbers]\nstart = 3001\n");
  REQUIRE(b.quietly("run", "l3").exit_code == 0);
  CHECK_FALSE(meet(b.numbers_of("l3"), b.numbers_of("l4")));
  // A number that level 4 drops stays its own.
  b.write("l4/drawing.csv", "point,x,y\nA1,0.6,0.4\n");
  REQUIRE(b.quietly("run", "l4").exit_code == 0);
  b.third("[numbers]\nstart = 2050\nstep = 1\n");
  b.write("l3/drawing.csv", drawing(more + "Y,1,19.5\n"));
  const CommandResult kept = b.quietly("check", "l3");
  CHECK(kept.exit_code == 0);  // above all that level 3 has: 3881 and on
  CHECK_FALSE(says(kept.err, "level 4"));
}

TEST_CASE("storeys: a deck number that is another's floor number needs another deck_offset, or start") {
  Building b;
  b.fourth("[numbers]\nstart = 6050\n");
  REQUIRE(b.quietly("run", "l4").exit_code == 0);
  const auto told = problem_lines(b.quietly("check", "l3").err);
  REQUIRE(told.size() == 1);
  CHECK(says(told[0].text, "found 6050 for \"E2\" and 70 more, given out on level 4"));
  CHECK(suggestion_of(told[0]) == "start = 2001 under [numbers]");
  b.third("[numbers]\nstart = 6001\nlast = 6999\n");
  // A last number gives way where no start below it does.
  CHECK(suggestion_of(problem_lines(b.quietly("check", "l3").err).at(0)) == "start = 2001 under [numbers]");
  b.third(kFromTwoThousand);
  CHECK(b.quietly("check", "l3").exit_code == 0);
}

TEST_CASE(
    "storeys: numbers that both gave out before they knew of one another are told; a new ledger mends it") {
  Building b;
  b.write("site.toml", kSite.substr(0, kSite.find("storeys")) + kSite.substr(kSite.find("[baselines]")));
  REQUIRE(b.quietly("run", "l3").exit_code == 0);
  REQUIRE(b.quietly("run", "l4").exit_code == 0);
  b.write("site.toml", kSite);
  for (const char* storey : {"l3", "l4"}) {
    const auto told = problem_lines(b.quietly("run", storey).err);
    REQUIRE(told.size() == 1);
    CHECK(says(told[0].text, "found 1001 for \"A1\" and 239 more, given out both here and on level "));
    const std::string anew = suggestion_of(told[0]);
    CHECK(anew.starts_with("mkdir " + std::string(storey) + "/ledger-before && mv "));
    CHECK(anew.ends_with(" && deckmark run " + std::string(storey) + "/job.toml --above 6120"));
  }
  for (const char* file : {"numbers.csv", "issued.csv", "out"})
    fs::rename(b.path() / "l4" / file, b.path() / (std::string("before-") + file));
  REQUIRE(b.run({"run", "l4/job.toml", "--above", "6120", "--quiet"}).exit_code == 0);
  CHECK_FALSE(meet(b.numbers_of("l3"), b.numbers_of("l4")));
}

TEST_CASE("storeys: no floor number above the last") {
  Building b;
  b.third("[numbers]\nlast = 1100\n");
  const auto told = problem_lines(b.quietly("check", "l3").err);
  REQUIRE(told.size() == 1);
  CHECK(told[0].line == 13);
  CHECK(told[0].field == "numbers.last");
  CHECK(says(told[0].text, "found 1100, which is 20 numbers short for 120 marks,"));
  CHECK(suggestion_of(told[0]) == "last = 1120");
  b.third("[numbers]\nlast = 1120\n");
  CHECK(b.quietly("check", "l3").exit_code == 0);
}

TEST_CASE("storeys: what was measured on another one is refused, at 50 mm and not beyond") {
  Building b;
  b.third("[asbuilt]\nshots = \"asbuilt.csv\"\n[plumb]\nmarks = \"marks.csv\"\n");
  struct Row {
    double shot, mark;
    bool shot_refused, mark_refused;
  };
  for (const Row& r :
       {Row{8.004, 11.602, false, false}, Row{12.050, 15.649, true, true}, Row{12.051, 15.651, false, false},
        Row{11.950, 15.550, true, true}, Row{11.649, 12.010, false, true}}) {
    CAPTURE(r.shot);
    char shots[200], marks[200];
    // Its name is none of this storey's: that it is level 4's is known all the same.
    std::snprintf(shots, sizeof shots, "point,x,y,elevation\nA1,0.6,0.4,%.3f\nnobody,0.6,0.4,%.3f\n", r.shot,
                  r.shot);
    std::snprintf(marks, sizeof marks, "point,x,y,elevation\nA2,1.8,0.4,%.3f\n", r.mark);
    b.write("l3/asbuilt.csv", shots);
    b.write("l3/marks.csv", marks);
    const auto told = problem_lines(b.quietly("run", "l3").err);
    const auto count = [&](const std::string& file) {
      return std::ranges::count_if(told, [&](const ToldLine& t) {
        return t.file == file && t.field == "elevation" &&
               says(t.text, "the height of level 4, and of none of this") &&
               suggestion_of(t) == "the job of level 4 (../l4/job.toml)";
      });
    };
    CHECK(count("asbuilt.csv") == (r.shot_refused ? 2 : 0));
    CHECK(count("marks.csv") == (r.mark_refused ? 1 : 0));
  }
}

TEST_CASE("storeys: a number of another one, floor or deck, is told as that where it means no point here") {
  Building b;
  b.fourth(kFromTwoThousand);
  REQUIRE(b.quietly("run", "l4").exit_code == 0);
  b.third("[asbuilt]\nshots = \"asbuilt.csv\"\n");
  b.write("l3/asbuilt.csv", "point,x,y\nA1,0.6,0.4\n2003,3,0.4\n2999,3,0.4\n");
  const std::string shots = b.quietly("check", "l3").err;
  CHECK(says(shots,
             "point: \"2003\", a number of level 4, is not in the drawing: neither a name nor a number;"));
  CHECK(says(shots, "point: \"2999\" is not in the drawing"));
  b.third("[plumb]\nmarks = \"marks.csv\"\n");
  b.write("l3/marks.csv", "point,x,y\nA1,0.6,0.4\n7003,3,0.4\n");
  CHECK(says(
      b.quietly("check", "l3").err,
      "marks.csv:3:1: point: found \"7003\", a number of level 4, expected the name, floor number or deck"));
}

TEST_CASE(
    "storeys: heights that are one's own too are exempt, and a bracket may hang where another floor lies") {
  Building b;
  b.third("[hangers]\nheight = \"4.000 m\"\n[asbuilt]\nshots = \"asbuilt.csv\"\n");
  b.write("l3/job.toml", b.read("l3/job.toml").replace(b.read("l3/job.toml").find("11.600"), 6, "14.000"));
  b.write("l3/asbuilt.csv",
          "point,x,y,elevation,level\nA1,0.6,0.4,12.003,bracket\nA2,1.8,0.4,12.003,floor\n");
  const auto told = problem_lines(b.quietly("check", "l3").err);
  REQUIRE(told.size() == 1);
  CHECK(told[0].line == 3);
  b.write("l4/job.toml", job_text("level 4", 8));  // another part of the same storey
  b.write("l3/asbuilt.csv", "point,x,y,elevation\nA1,0.6,0.4,8.003\n");
  CHECK(problem_lines(b.quietly("check", "l3").err).empty());
}

TEST_CASE("storeys: a numbered point that was sighted at the height of another storey") {
  Building b;
  b.write("l3/job.toml",
          job_text("level 3", 8,
                   "[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = "
                   "\"s1.csv\"\n"));
  const auto sight = [&](const char* zenith, const char* slope) {
    b.write("l3/s1.csv", std::string("target,circle,zenith,slope\nCP2,90-00-00,91-43-06.1,50.0225\nA1,") +
                             "45-38-58.0," + zenith + "," + slope + "\n");
    return b.quietly("setup", "l3");
  };
  // The axis is at 10 m, A1 14.850 m off: 2 m up is level 4's floor.
  const CommandResult other = sight("82-19-46.6", "14.9835");
  CHECK(other.exit_code == 2);
  const auto told = problem_lines(other.err);
  REQUIRE(told.size() == 1);
  CHECK(told[0].file == "s1.csv");
  CHECK(told[0].line == 3);
  CHECK(says(told[0].text, "found \"A1\" at 11.9999 m, within 50.0 mm of 12.0000 m, the height of level 4,"));
  CHECK(problem_lines(sight("97-40-13.4", "14.9835").err).empty());  // 2 m down: its own floor
}

TEST_CASE("storeys: the name stands on every sheet, page and summary") {
  Building b;
  b.third(
      "[offsets]\nfrom = [\"B1\", \"B2\"]\n[[setup]]\nname = \"S1\"\nat = \"CP1\"\norientation = \"0°\"\n");
  const CommandResult run = b.run({"run", "l3"});
  REQUIRE(run.exit_code == 0);
  CHECK(says(run.out, "STOREY: level 3\n"));
  CHECK(says(b.read("l3/out/summary.txt"), "STOREY: level 3\n"));
  std::size_t sheets = 0;
  for (const auto& file : fs::directory_iterator(b.path() / "l3/out")) {
    const std::string name = file.path().filename().string();
    if (name == "SHA256SUMS" || name == "kept" || file.path().extension() == ".csv") continue;
    CAPTURE(name);
    CHECK(says(read_bytes(file.path()), "Maple Yard, level 3"));
    ++sheets;
  }
  CHECK(sheets == 4);  // page, summary, offset sheet, stake sheet
  CHECK(says(b.run({"baseline", "l3"}).out, "BASELINES: Maple Yard, level 3, revision A"));
  CHECK(says(b.run({"check", "l3"}).out, "STOREY: level 3\n"));
}

TEST_CASE("storeys: the site file is an input, and no output replaces it or what another storey keeps") {
  Building b;
  REQUIRE(b.quietly("run", "l3").exit_code == 0);
  CHECK(says(b.read("l3/out/summary.txt"), "\n  ../site.toml\n    sha256 "));
  CHECK_FALSE(says(b.read("l3/out/summary.txt"), "l4"));  // its runs do not change the files of this one
  fs::create_directory(b.path() / "l3/mine");
  b.write("l3/mine/points.csv", "[list]\ndecimals = 3\n");
  b.write("l3/job.toml", "site_file = \"mine/points.csv\"\n[drawing]\npoints = \"drawing.csv\"\n");
  const CommandResult site = b.run({"run", "l3", "--out", "l3/mine"});
  CHECK(site.exit_code == 2);
  CHECK(says(site.err, "replace \"mine/points.csv\", which the job reads"));
  b.third();
  b.write("l4/job.toml", job_text("level 4", 12, "[numbers]\nstart = 2001\nledger = \"points.csv\"\n"));
  REQUIRE(b.quietly("run", "l4").exit_code == 0);
  const CommandResult ledger = b.run({"run", "l3", "--out", "l4"});
  CHECK(ledger.exit_code == 2);
  CHECK(says(ledger.err, "replace \"../l4/points.csv\", of level 4"));
}

TEST_CASE("storeys: one signature serves all where the ties stand in the site file") {
  Building b;
  const auto sign = [&](const std::string& job, const std::string& file, std::vector<std::string> more = {}) {
    std::vector<std::string> args{"baseline", job, "--sign", file, "--by", "A. Name", "--on", "2026-11-25"};
    args.insert(args.end(), more.begin(), more.end());
    return b.run(args);
  };
  REQUIRE(sign("l3", "signed.toml").exit_code == 0);
  CHECK(says(b.read("signed.toml"), "\nfor = \"site.toml\"\n"));
  std::string with = kSite;
  with.replace(with.find("ties = "), 0, "signed = \"signed.toml\"\n");
  b.write("site.toml", with);
  b.fourth(kFromTwoThousand + "[plumb]\ntolerance = \"5 mm\"\n");
  std::string fourth = b.read("l4/job.toml");
  b.write("l4/job.toml", fourth.replace(fourth.find("\"A\""), 3, "\"D\""));
  for (const char* storey : {"l3", "l4"}) {
    const CommandResult check = b.quietly("check", storey);
    CHECK(check.exit_code == 0);
    CHECK(check.err == "READY TO LAY OUT\n");  // that level 4 has another revision is no news
  }
  // In a job file it is another's.
  b.write("site.toml", kSite);
  b.third("[baselines]\nsigned = \"../signed.toml\"\n");
  const auto told = problem_lines(b.quietly("check", "l3").err);
  REQUIRE(told.size() == 1);
  CHECK(place_of(told[0]) == "job.toml:13:10: baselines.signed");
  CHECK(says(told[0].text, "found \"../signed.toml\", which was signed for ../site.toml, expected"));
}

TEST_CASE("storeys: a fit that one storey signed is none of another's, by path or as a copy") {
  Building b;
  const auto ties_here = [&](const std::string& storey, double floor, const std::string& more) {
    b.write(storey + "/ties.csv", ties());
    b.write(storey + "/job.toml", job_text(storey == "l3" ? "level 3" : "level 4", floor,
                                           kFromTwoThousand + "[baselines]\nties = \"ties.csv\"\n" + more));
  };
  b.write("site.toml", "[list]\ndecimals = 3\n");
  ties_here("l3", 8, "");
  REQUIRE(b.run({"baseline", "l3", "--sign", "l3/signed.toml", "--by", "A. Name", "--on", "2026-11-25"})
              .exit_code == 0);
  ties_here("l3", 8, "signed = \"signed.toml\"\n");
  CHECK(b.quietly("check", "l3").exit_code == 0);
  ties_here("l4", 12, "signed = \"../l3/signed.toml\"\n");
  auto told = problem_lines(b.quietly("check", "l4").err);
  REQUIRE(told.size() == 1);
  CHECK(
      says(told[0].text, "which was signed for ../l3/job.toml, expected a fit that was signed for job.toml"));
  b.write("l4/signed.toml", b.read("l3/signed.toml"));
  ties_here("l4", 12, "signed = \"signed.toml\"\n");
  told = problem_lines(b.quietly("check", "l4").err);
  REQUIRE(told.size() == 1);
  CHECK(says(told[0].text, "which was signed for level 3, expected"));
  // A folder that is renamed takes its signed fit along; so does a signed file that is moved to its job.
  fs::rename(b.path() / "l3", b.path() / "third");
  CHECK(b.quietly("check", "third").exit_code == 0);
  fs::remove(b.path() / "third/signed.toml");
  ties_here("l4", 12, "");
  REQUIRE(
      b.run({"baseline", "l4", "--sign", "four.toml", "--by", "A. Name", "--on", "2026-11-25"}).exit_code ==
      0);
  fs::rename(b.path() / "four.toml", b.path() / "l4/four.toml");
  ties_here("l4", 12, "signed = \"four.toml\"\n");
  CHECK(b.quietly("check", "l4").exit_code == 0);
}

TEST_CASE("storeys: a signed fit is signed again for a new revision, its figures unchanged") {
  Building b;
  const auto sign = [&](const std::string& file, std::vector<std::string> more = {}) {
    std::vector<std::string> args{"baseline", "l3", "--sign", file, "--by", "B. Name", "--on", "2026-11-26"};
    args.insert(args.end(), more.begin(), more.end());
    return b.run(args);
  };
  CHECK(sign("again.toml", {"--again"}).exit_code == 2);  // nothing was signed before
  REQUIRE(sign("signed.toml").exit_code == 0);
  std::string with = kSite;
  with.replace(with.find("ties = "), 0, "signed = \"signed.toml\"\n");
  b.write("site.toml", with);
  std::string job = b.read("l3/job.toml");
  job.replace(job.find("\"A\""), 3, "\"B\"");
  b.write("l3/job.toml", job);
  CHECK(says(b.quietly("check", "l3").err, "signed for revision A, the job is revision B"));
  CHECK(sign("new.toml").exit_code == 2);
  REQUIRE(sign("again.toml", {"--again"}).exit_code == 0);
  const std::string before = b.read("signed.toml"), after = b.read("again.toml");
  const auto figures = [](const std::string& text) {
    return text.substr(text.find("\n[fit]\n"), text.find("\n[seal]\n") - text.find("\n[fit]\n"));
  };
  CHECK(figures(before) == figures(after));
  CHECK(says(figures(after), "\n[[tie]]\nmark = \"B1\"\naxis = \"x\"\nnorthing = 2000.0006"));
  CHECK(says(after, "revision = \"B\"\n"));
  CHECK(says(after, "signed_before = \"by B. Name on 2026-11-26 for revision A\"\n"));
  with.replace(with.find("signed.toml"), 11, "again.toml");
  b.write("site.toml", with);
  CHECK(b.quietly("check", "l3").err == "READY TO LAY OUT\n");
  // Ties that have moved against it no longer bear it.
  b.write("ties.csv", ties(0.020));
  const CommandResult moved = sign("third.toml", {"--again", "--accept-outside", "no time"});
  CHECK(moved.exit_code == 2);
  CHECK(says(moved.err, "found ties that lie shifted or turned against the signed fit by more than chance"));
  CHECK_FALSE(b.has("third.toml"));
}

TEST_CASE("storeys: several jobs are checked as if each were checked alone; the worst status counts") {
  Building b;
  b.fourth(kFromTwoThousand);
  const std::string alone3 = b.run({"check", "l3"}).out, alone4 = b.run({"check", "l4"}).out;
  const CommandResult both = b.run({"check", "l3", "l4"});
  CHECK(both.exit_code == 0);
  CHECK(both.out == "l3:\n\n" + alone3 + "\nl4:\n\n" + alone4);
  CHECK(both.err == "l3:\n" + b.run({"check", "l3"}).err + "l4:\n" + b.run({"check", "l4"}).err +
                        "2 of 2 jobs ready to lay out\n");
  b.fourth(kFromTwoThousand + "bogus = 1\n");
  const CommandResult bad = b.run({"check", "l3", "l4", "none", "--quiet"});
  CHECK(bad.exit_code == 2);
  CHECK(bad.out.empty());
  CHECK(bad.err.ends_with("\n1 of 3 jobs ready to lay out\n"));
  CHECK(says(bad.err, "\nl4:\njob.toml:14:1: numbers.bogus: "));
  const auto rows = csv_rows(b.run({"check", "l3", "l4", "--csv"}).out);
  CHECK(rows[0] == std::vector<std::string>{"file", "line", "column", "grade", "field", "text", "job"});
  CHECK(std::ranges::any_of(rows, [](const auto& r) { return r[6] == "l4" && r[4] == "numbers.bogus"; }));
  CHECK(csv_rows(b.run({"check", "l4", "--csv"}).out)[0].size() == 6);
  const std::string json = b.run({"check", "l3", "l4", "--json"}).out;
  CHECK(json.starts_with("{\"status\":2,\"ready\":1,\"jobs\":[\n{\"job\":\"l3\",\"verdict\":\"ready\","));
  CHECK(says(json, "\n{\"job\":\"l4\",\"verdict\":null,\"status\":2,\"problems\":[{"));
  // Outside is worse than ready.
  b.fourth(kFromTwoThousand + "[baselines]\ntolerance = \"0.1 mm\"\n");
  const CommandResult outside = b.run({"check", "l4", "l3", "--quiet"});
  CHECK(outside.exit_code == 1);
  CHECK(outside.err.ends_with("\n1 of 2 jobs ready to lay out\n"));
  CHECK(b.run({"check", "l3", "l4", "--out", "x"}).exit_code == 2);
}
