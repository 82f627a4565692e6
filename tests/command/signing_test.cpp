// The page that is signed, the file of the signature, and what a signed fit does to later runs.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

constexpr const char* kToml =
    "title = \"Test \\\"floor\\\"\"\nrevision = \"C\"\n[drawing]\npoints = "
    "\"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n";

std::string ties(double shift_northing, double shift_easting, double turn, const std::string& wrong = "") {
  struct Tie {
    const char* name;
    double x, y, noise_n, noise_e;
  };
  std::string text = "mark,x,y,northing,easting\n";
  for (const Tie& t : {Tie{"B1", 0, 0, 0.0008, -0.0006},
                       {"B2", 30, 0, -0.0011, 0.0004},
                       {"B3", 0, 20, 0.0005, 0.0010},
                       {"B4", 30, 20, -0.0003, -0.0009},
                       {"M1", 15, 0, 0.0001, 0.0007}}) {
    // +X runs east; the turn is clockwise about the middle of the floor.
    const double e = t.x - 15, n = t.y - 10;
    const double northing = 2010 + n * std::cos(turn) - e * std::sin(turn) + t.noise_n + shift_northing +
                            (wrong == t.name ? 0.030 : 0),
                 easting = 1015 + e * std::cos(turn) + n * std::sin(turn) + t.noise_e + shift_easting;
    char row[100];
    std::snprintf(row, sizeof row, "%s,%g,%g,%.5f,%.5f\n", t.name, t.x, t.y, northing, easting);
    text += row;
  }
  return text;
}

void write_job(JobFolder& job) {
  job.write("drawing.csv", "point,x,y\nA,3,4\nB,27,16\nFAR,40,30\n");
  job.write("ties.csv", ties(0, 0, 0));
  job.write("job.toml", kToml);
}

CommandResult sign(const JobFolder& job, std::vector<std::string> more = {}) {
  std::vector<std::string> args{"baseline", ".",       "--sign", "signed.toml",
                                "--by",     "A. Name", "--on",   "2026-11-25"};
  args.insert(args.end(), more.begin(), more.end());
  return job.run(args);
}

void use_signed(JobFolder& job) { job.write("job.toml", std::string(kToml) + "signed = \"signed.toml\"\n"); }

}  // namespace

TEST_CASE("a signed fit is used unchanged, later ties only check it") {
  JobFolder job;
  write_job(job);
  CHECK(job.run().exit_code == 0);
  const std::string before = job.read("out/points.csv");
  const CommandResult signing = sign(job);
  CHECK(signing.exit_code == 0);
  CHECK(signing.out.find("signed by A. Name on 2026-11-25: signed.toml") != std::string::npos);
  const std::string file = job.read("signed.toml");
  CHECK(sign(job).exit_code == 0);  // the same again is the same file
  CHECK(job.read("signed.toml") == file);
  use_signed(job);
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/points.csv") == before);
  CHECK(job.run({"baseline", "."}).out.find("Every tie of today was signed: nothing new checks this fit.") !=
        std::string::npos);

  // The building moved, 4 mm north and 20" clockwise: told, and points stay where the signed fit has them.
  job.write("ties.csv", ties(0.004, 0, 20.0 / 3600 * M_PI / 180));
  const CommandResult moved = job.run();
  CHECK(job.read("out/points.csv") == before);
  CHECK(moved.err.find("the ties lie shifted or turned against the signed fit by more than chance") !=
        std::string::npos);
  CHECK(moved.err.find("ties.csv: file: not the \"ties.csv\" that was signed") != std::string::npos);
  const std::string page = job.run({"baseline", "."}).out;
  CHECK(page.find("turned 20\" clockwise") != std::string::npos);
  CHECK(page.find("4.0 mm along Y") != std::string::npos);
  // One wrong mark stands out whole: nothing of it went into the fit.
  job.write("ties.csv", ties(0, 0, 0, "B3"));
  const CommandResult wrong = job.run();
  CHECK(wrong.exit_code == 1);
  CHECK(wrong.err.find("DO NOT LAY OUT: tie B3 y is off by ") != std::string::npos);
  for (const auto& row : csv_rows(job.read("out/baseline.csv")))
    if (row[0] == "B3" && row[1] == "y") CHECK(std::stod(row[4]) == doctest::Approx(-0.030).epsilon(0.05));
  CHECK(job.read("out/points.csv") == before);
  // Without ties the signed fit still places the points, and the first line says that nothing checks it.
  job.write("job.toml",
            "title = \"Test\"\nrevision = \"D\"\n[drawing]\npoints = \"drawing.csv\"\n[baselines]\nsigned = "
            "\"signed.toml\"\n");
  const CommandResult alone = job.run();
  CHECK(alone.exit_code == 0);
  CHECK(alone.err.find("BASELINES NOT CHECKED: a signed fit is used, and no ties check it") !=
        std::string::npos);
  CHECK(alone.err.find("signed for revision C, the job is revision D") != std::string::npos);
  CHECK(job.read("out/points.csv") == before);
}

TEST_CASE("what is outside is not signed without a reason") {
  JobFolder job;
  write_job(job);
  job.write("ties.csv", ties(0, 0, 0, "B3"));
  const CommandResult refused = sign(job);
  CHECK(refused.exit_code == 1);
  CHECK_FALSE(job.has("signed.toml"));
  CHECK(refused.err.find("not signed: something is outside; --accept-outside REASON") != std::string::npos);
  CHECK(refused.err.find("DO NOT LAY OUT: ") != std::string::npos);
  const CommandResult accepted = sign(job, {"--accept-outside", "B3 was hit by a lift, \"ignored\""});
  CHECK(accepted.exit_code == 1);
  CHECK(job.read("signed.toml").find("accepted_outside = \"B3 was hit by a lift, \\\"ignored\\\"\"") !=
        std::string::npos);
  use_signed(job);
  CHECK(job.run({"baseline", "."}).out.find("B3 was hit by a lift, \"ignored\"") != std::string::npos);
}

TEST_CASE("a signature that cannot be, or a file that is not as it was signed, is refused") {
  JobFolder job;
  write_job(job);
  struct Wrong {
    std::vector<std::string> args;
    const char* told;
  };
  for (const Wrong& w :
       {Wrong{{"--sign", "s.toml", "--on", "2026-11-25"}, "--by: found nothing"},
        Wrong{{"--sign", "s.toml", "--by", "A"}, "--on: found nothing"},
        Wrong{{"--sign", "s.toml", "--by", "A", "--on", "03/04/2026"}, "--on: found \"03/04/2026\""},
        Wrong{{"--sign", "s.toml", "--by", "A", "--on", "2026-13-01"}, "--on: found"},
        Wrong{{"--sign", "s.toml", "--by", "A", "--on", "yesterday"}, "--on: found"},
        Wrong{{"--sign", "s.toml", "--by", "A", "--on", "2026-02-31"}, "--on: found"},
        Wrong{{"--sign", "s.toml", "--by", "A", "--on", "November 2026"}, "--on: found"},
        Wrong{{"--sign", "s.toml", "--by", "A", "--on", "32 November 2026"}, "--on: found"},
        Wrong{{"--sign", "job.toml", "--by", "A", "--on", "2026-11-25"},
              "--sign: found \"job.toml\", which the job reads"},
        Wrong{{"--sign", "./ties.csv", "--by", "A", "--on", "2026-11-25"},
              "--sign: found \"./ties.csv\", which the job reads"},
        Wrong{{"--sign", "numbers.csv", "--by", "A", "--on", "2026-11-25"},
              "--sign: found \"numbers.csv\", which is the ledger of numbers"},
        Wrong{{"--sign", "out/floor-list-R9.csv", "--by", "A", "--on", "2026-11-25"},
              "--sign: found \"out/floor-list-R9.csv\", which is a name that run writes"},
        Wrong{{"--sign", "out/../out/summary.txt", "--by", "A", "--on", "2026-11-25"},
              "which is a name that run writes"},
        Wrong{{"--sign", "issued/report.html", "--out", "issued", "--by", "A", "--on", "2026-11-25"},
              "which is a name that run writes"},
        Wrong{{"--sign", "", "--by", "A", "--on", "2026-11-25"}, "--sign is empty"},
        Wrong{{"--by", "A"}, "go with --sign FILE"}}) {
    CAPTURE(w.told);
    std::vector<std::string> args{"baseline", "."};
    args.insert(args.end(), w.args.begin(), w.args.end());
    const auto before = job.snapshot();
    const CommandResult result = job.run(args);
    CHECK(result.exit_code == 2);
    CHECK(result.err.find(w.told) != std::string::npos);
    CHECK(job.snapshot() == before);
  }
  REQUIRE(sign(job).exit_code == 0);
  const std::string good = job.read("signed.toml");
  use_signed(job);
  CHECK(sign(job).exit_code == 2);  // signing a signed fit again
  const auto refused = [&](const std::string& bytes, const std::string& told) {
    CAPTURE(told);
    job.write("signed.toml", bytes);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    CHECK(result.exit_code == 2);
    CHECK(result.err.find("signed.toml") != std::string::npos);
    CHECK(result.err.find(told) != std::string::npos);
    CHECK(job.snapshot() == before);
  };
  std::string other = good;
  other.replace(other.find("northing = 20"), 13, "northing = 21");
  refused(other, "it was changed after it was signed");
  refused(good.substr(0, good.find("[seal]")), "without all that is signed");
  refused("title = \"nothing\"\n", "without all that is signed");
  job.write("signed.toml", good);
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\nmirrored = true\n[baselines]\nsigned = \"signed.toml\"\n");
  CHECK(job.run().err.find("baselines.signed: found baselines signed with mirrored = false") !=
        std::string::npos);
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nsigned = \"gone.toml\"\n");
  CHECK(job.run().err.find("baselines.signed: found \"gone.toml\": no such file") != std::string::npos);
}

TEST_CASE("the page stands on one sheet, and every limit says where it is from") {
  JobFolder job;
  write_job(job);
  std::string many = "mark,x,y,northing,easting,tolerance\n", lengths = "from,to,measured\n",
              dimensions = "from,to,distance\n";
  for (int i = 0; i < 40; ++i) {
    const std::string x = std::to_string(i), y = std::to_string(i % 7);
    many += "LONG-NAMED-MARK-" + x + "," + x + "," + y + "," + std::to_string(2000 + i % 7) + "," +
            std::to_string(1000 + i) + "," + (i == 3 ? "25 mm" : "") + "\n";
    if (i > 0)
      lengths += "LONG-NAMED-MARK-0,LONG-NAMED-MARK-" + x + "," + std::to_string(std::hypot(i, i % 7)) + "\n";
    dimensions += "A,B,26.8328\n";
  }
  job.write("ties.csv", many);
  job.write("lengths.csv", lengths);
  job.write("dimensions.csv", dimensions);
  job.write("job.toml",
            "title = \"A job with a title that is longer than any sheet of paper can be wide, and goes "
            "on\"\nrevision = \"C\"\n[drawing]\npoints = \"drawing.csv\"\ndimensions = \"dimensions.csv\"\n"
            "[baselines]\nties = \"ties.csv\"\nlengths = \"lengths.csv\"\n");
  const std::string all = job.run({"baseline", "."}).out;
  // Cause, 2026-11-27: the page that is signed showed 16 rows and "and 142 more: see baseline.csv", which
  // `baseline` does not write.
  CHECK(all.find(" more, ") == std::string::npos);
  CHECK(all.find("see baseline.csv") == std::string::npos);
  const std::string table = all.substr(all.find("what "));
  std::size_t rows = 0;
  for (std::size_t i = table.find(" within   "); i != std::string::npos; i = table.find(" within   ", i + 1))
    ++rows;
  CHECK(rows + 1 == 80 + 1 + 39 + 40 + (table.find("square, X to Y") == std::string::npos ? 0 : 1));
  CHECK(all.find("I accept these baselines for layout of revision C.") != std::string::npos);
  // The summary, with the tables beside it, keeps to a sheet.
  const std::string printed = job.run().out;
  const std::size_t begin = printed.find("\nBASELINES"), end = printed.find("\nCAUTIONS");
  const std::string page = printed.substr(begin, end - begin);
  std::size_t lines = 0, wide = 0, at = 0;
  for (const char c : page) {
    if (c == '\n')
      ++lines, at = 0;
    else if ((static_cast<unsigned char>(c) & 0xC0) != 0x80)
      wide = std::max(wide, ++at);
  }
  CHECK(wide <= 80);
  CHECK(lines <= 60);
  CHECK(page.find("more, within: see baseline.csv and checks.csv") != std::string::npos);
  CHECK(page.find("A tie wrong by less than ") != std::string::npos);
  // Letters of the table are told below it, each with where its figure is from.
  job.write("ties.csv", ties(0, 0, 0) + "");
  job.write("lengths.csv", "from,to,measured\nB1,B2,30.001\n");
  const std::string few = job.run({"baseline", "."}).out;
  for (const char* source : {"default of 5 mm where the job states none (common practice, no source)",
                             "ISO 4463-1:1989, secondary system (from memory; setout_* override)",
                             "default of 1/16\" for dimensions (common practice, no source)"}) {
    CAPTURE(source);
    CHECK(few.find(source) != std::string::npos);
  }
}

TEST_CASE("a wrong mark stands on the page that is signed, with how far it is off") {
  JobFolder job;
  write_job(job);
  CHECK(job.run({"baseline", "."}).out.find("  No tie contradicts the others.\n") != std::string::npos);
  job.write("ties.csv", ties(0, 0, 0, "B3"));
  // B3 was shot 30 mm too far north: its stated y is 30 mm too small for where it was found.
  const std::string page = job.run({"baseline", "."}).out;
  const std::size_t at = page.find("  THE OTHER TIES CONTRADICT B3 y, which seems to be off by ");
  REQUIRE(at != std::string::npos);
  const double error = std::stod(page.substr(page.find("off by", at) + 6));
  CHECK(error == doctest::Approx(30).epsilon(0.12));  // the ties' own noise is about 1 mm
}

namespace {

constexpr const char* kReason = "seen by the superintendent";

struct Unready {
  std::string what, toml, verdict;
  int status;
};

/// Jobs that are not READY, each for another reason; the baselines themselves are within.
std::vector<Unready> unready() {
  const std::string plain = kToml;
  return {
      {"a deck mark outside",
       plain + "[floor]\nelevation = 0\n[deck]\nelevation = \"4 m\"\n[plumb]\nmarks = \"deckmarks.csv\"\n",
       "DO NOT LAY OUT from 1001: deck mark of 1001 (A)", 1},
      {"an as-built shot outside", plain + "[asbuilt]\nshots = \"asbuilt.csv\"\n",
       "DO NOT LAY OUT from 1001: ", 1},
      {"a tape outside", plain + "lengths = \"lengths.csv\"\n", "DO NOT LAY OUT: ", 1},
      {"a lone setup",
       plain +
           "[site]\ncontrol = \"control.csv\"\n[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n"
           "[[setup]]\nname = \"S1\"\nnorthing = \"2010 m\"\neasting = \"1015 m\"\nsd = \"1 mm\"\n",
       "BASELINES NOT CHECKED: setup S1", 0},
      {"ties that do not check one another", "few", "BASELINES NOT CHECKED: ", 0}};
}

void write_unready(JobFolder& job, const Unready& u) {
  write_job(job);
  job.write("deckmarks.csv", "point,dx,dy\nA,30 mm,0 mm\n");
  job.write("asbuilt.csv", "point,x,y\nA,3.04,4\nB,27,16\nFAR,40,30\n");
  job.write("lengths.csv", "from,to,measured\nB1,B2,30.050\n");
  job.write("control.csv", "point,northing,easting,elevation\nC1,2000,1000,0\n");
  job.write("job.toml", u.toml == "few" ? kToml : u.toml);
  if (u.toml == "few")
    job.write("ties.csv", "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\n");
}

}  // namespace

// Cause, 2026-11-27: only ties, squareness, lengths and dimensions were asked; a deck mark or a shot outside
// and whatever nothing checks were signed without a reason, and a given one was stored empty.
TEST_CASE("what is not READY is signed with a reason alone, and the reason is kept") {
  for (const Unready& u : unready()) {
    CAPTURE(u.what);
    JobFolder job;
    write_unready(job, u);
    const CommandResult page = job.run({"baseline", "."});
    CAPTURE(page.err);
    REQUIRE(page.exit_code == u.status);
    REQUIRE(page.err.find(u.verdict) != std::string::npos);
    // Paper: nothing to sign under DO NOT LAY OUT, a reason to fill where something is not checked.
    const bool stopped = u.status == 1;
    CHECK((page.out.find("I accept these baselines") == std::string::npos) == stopped);
    CHECK((page.out.find("  reason ____") == std::string::npos) == stopped);
    CHECK((page.out.find("Nothing to accept here: DO NOT LAY OUT.") != std::string::npos) == stopped);
    const auto before = job.snapshot();
    const CommandResult refused = sign(job);
    CHECK(refused.exit_code == (stopped ? 1 : 2));
    CHECK(refused.out.empty());
    CHECK(refused.err.find("--accept-outside") != std::string::npos);
    CHECK((job.snapshot() == before));
    const CommandResult accepted = sign(job, {"--accept-outside", kReason});
    CHECK(accepted.exit_code == u.status);
    const std::string file = job.read("signed.toml");
    CHECK(file.find(std::string("accepted_outside = \"") + kReason + "\"\nstanding = \"" + u.verdict) !=
          std::string::npos);
    // The page of the signed fit shows the reason, and no second acceptance.
    std::string toml = job.read("job.toml");
    toml.replace(toml.find("[baselines]\n"), 12, "[baselines]\nsigned = \"signed.toml\"\n");
    job.write("job.toml", toml);
    const std::string later = job.run({"baseline", "."}).out;
    CHECK(later.find(std::string("Accepted though not ") + (stopped ? "within: " : "checked: ")) !=
          std::string::npos);
    CHECK(later.find("I accept") == std::string::npos);
    CHECK(later.find("Nothing to accept here: signed already.") != std::string::npos);
    CHECK(job.run().exit_code == u.status);
    const std::string report = job.read("out/report.html");
    CHECK(report.find("I accept") == std::string::npos);
    CHECK(report.find("Nothing to accept here: signed already.") != std::string::npos);
  }
}

TEST_CASE("the page for a browser offers a signature only where there is something to sign") {
  JobFolder job;
  write_job(job);
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/report.html").find("I accept these baselines for layout of revision C.") !=
        std::string::npos);
  for (const Unready& u : unready()) {
    CAPTURE(u.what);
    JobFolder other;
    write_unready(other, u);
    CHECK(other.run().exit_code == u.status);
    const std::string report = other.read("out/report.html");
    CHECK((report.find("I accept these baselines") == std::string::npos) == (u.status == 1));
    CHECK((report.find("though NOT CHECKED, because") != std::string::npos) == (u.status == 0));
  }
  JobFolder bare;
  bare.write("drawing.csv", "point,x,y\nA,3,4\n");
  bare.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n");
  CHECK(bare.run({"baseline", "."}).out.find("Nothing to accept here: no ties and no lengths.") !=
        std::string::npos);
}

TEST_CASE("a reason that is not needed is told and not kept") {
  JobFolder job;
  write_job(job);
  const CommandResult signing = sign(job, {"--accept-outside", kReason});
  CHECK(signing.exit_code == 0);
  CHECK(signing.err.find("the reason is not needed, and not kept") != std::string::npos);
  const std::string file = job.read("signed.toml");
  CHECK(file.find("accepted_outside = \"\"\n") != std::string::npos);
  CHECK(file.find("standing") == std::string::npos);
  const CommandResult again = sign(job);
  CHECK(again.exit_code == 0);
  CHECK(again.out.find("signed already by A. Name on 2026-11-25") == 0);
  CHECK(job.read("signed.toml") == file);
  // A link that leads nowhere is no name for a new file.
  std::filesystem::create_symlink("nowhere.toml", job.path() / "link.toml");
  const CommandResult link =
      job.run({"baseline", ".", "--sign", "link.toml", "--by", "A", "--on", "2026-11-25"});
  CHECK(link.exit_code == 2);
  CHECK(link.err.find("a link that leads to no file") != std::string::npos);
}

// Cause, 2026-11-27: a signed file with CR LF was called one without all that is signed, with the advice to
// sign anew.
TEST_CASE("a signed file that a mail changed says so, and does not invite a new signature") {
  JobFolder job;
  write_job(job);
  REQUIRE(sign(job).exit_code == 0);
  const std::string good = job.read("signed.toml");
  use_signed(job);
  std::string crlf, wrapped, quoted, trimmed = "\xEF\xBB\xBF" + good;
  std::size_t column = 0;
  for (const char c : good) {
    crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
    column = c == '\n' ? 0 : column + 1;
    wrapped += c == ' ' && column > 60 ? '\n' : c;
    if (wrapped.back() == '\n') column = 0;
  }
  for (std::size_t at = 0; at < good.size();) {
    const std::size_t end = good.find('\n', at);
    quoted += "> " + good.substr(at, end + 1 - at);
    at = end + 1;
  }
  struct Row {
    std::string bytes, told;
  };
  for (const Row& r : {Row{crlf, "line ends that were changed after it was signed, perhaps by mail"},
                       Row{wrapped, "lines that were broken, quoted or given blanks after it was signed"},
                       Row{quoted, "lines that were broken, quoted or given blanks after it was signed"},
                       Row{good + "--\nsent from site\n", "text behind the seal, which nobody signed"},
                       Row{good.substr(0, good.size() - 80), "no seal ends it"}}) {
    CAPTURE(r.told);
    job.write("signed.toml", r.bytes);
    const CommandResult result = job.run();
    CHECK(result.exit_code == 2);
    CHECK(result.err.find(r.told) != std::string::npos);
    CHECK(result.err.find("--by") == std::string::npos);
    CHECK(result.err.find("from whoever signed it") != std::string::npos);
    CHECK(std::ranges::count(result.err, '\n') == 2);  // one fault, not one a line
  }
  job.write("signed.toml", trimmed);  // a byte-order mark is no part of the text
  CHECK(job.run().exit_code == 0);
}
