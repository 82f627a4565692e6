// What the program promises about its outputs: counts, numbers for life, lists, files that it removes or
// leaves alone.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>

#include "cases_support.h"
#include "support/text.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

const std::string kDrawing = "[drawing]\npoints = \"d.csv\"\n";
const std::string kDeck = "[floor]\nelevation = 0\n[deck]\nelevation = \"4 m\"\n";

CommandResult run_with(JobFolder& job, const std::string& toml, const std::string& drawing,
                       std::vector<std::string> args = {"run", "."}) {
  job.write("job.toml", toml);
  job.write("d.csv", drawing);
  return job.run(std::move(args));
}

/// `number change` of every row of changes.csv, with the point where it says more.
std::vector<std::string> changes(const JobFolder& job) {
  std::vector<std::string> out;
  for (const auto& row : named_rows(job.read("out/changes.csv")))
    out.push_back(row.at("number") + " " + row.at("point") + " " + row.at("change"));
  return out;
}

using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("at most 100 problem lines a file, then an exact count") {
  struct Row {
    int rows;
    bool twice;  // one problem a row, or two
  };
  for (const Row r : {Row{50, true}, {100, false}, {101, false}, {51, true}, {60000, true}}) {
    CAPTURE(r.rows);
    JobFolder job;
    std::string rows = "point,x,y\n", control = "point,northing,easting\n";
    for (int i = 0; i < r.rows; ++i) rows += "P" + std::to_string(i) + ",a," + (r.twice ? "b\n" : "1\n");
    // As many rows are sound: where most are bad alike, that is one fault of the header.
    for (int i = 0; i < r.rows; ++i) rows += "Q" + std::to_string(i) + ",1,1\n";
    for (int i = 0; i < 103; ++i) control += "C,1,2\n";
    job.write("c.csv", control);
    const CommandResult result =
        run_with(job, kDrawing + "frame = \"site\"\n[site]\ncontrol = \"c.csv\"\n", rows);
    CHECK(result.exit_code == 2);
    const int count = r.rows * (r.twice ? 2 : 1);
    const auto lines = lines_of(result.err);
    const auto of = [&](const std::string& start) {
      return std::count_if(lines.begin(), lines.end(),
                           [&](const std::string& l) { return l.rfind(start, 0) == 0; });
    };
    CHECK(of("d.csv:") == std::min(count, 100) + (count > 100 ? 1 : 0));
    CHECK(of("c.csv:") == 101);
    CHECK(std::count(lines.begin(), lines.end(), "c.csv: and 2 more") == 1);
    CHECK(std::count(lines.begin(), lines.end(), "d.csv: and " + std::to_string(count - 100) + " more") ==
          (count > 100 ? 1 : 0));
    CHECK(lines.back().rfind(std::to_string(count + 102) + " problems", 0) == 0);
  }
}

TEST_CASE("at most ten doubts of one kind, then an exact count") {
  JobFolder job;
  std::string rows = "point,x,y\n";
  for (int i = 0; i < 60000; ++i)
    rows += (i < 25000   ? "@P"
             : i < 59987 ? "P"
                         : "#P") +
            std::to_string(i) + ",1.5e" + std::string(i % 2 && i < 26 ? "5" : "0") + "," + std::to_string(i) +
            "\n";
  const CommandResult result = run_with(job, kDrawing, rows);
  CHECK(result.exit_code == 0);
  const auto lines = lines_of(result.err);
  const auto holding = [&](const std::string& text) {
    return std::count_if(lines.begin(), lines.end(), [&](const std::string& l) {
      return l.rfind("doubt: ", 0) == 0 && l.find(text) != std::string::npos;
    });
  };
  CHECK(holding("has lost digits") == 10);
  CHECK(holding("d.csv: and 3 more: ") == 2);  // 13 of 1.5e5, 13 comment lines that could be rows
  CHECK(holding("begins like a formula") == 10);
  CHECK(holding("d.csv: and 24990 more: ") == 1);
  CHECK(holding("is skipped as a comment but could be a row") == 10);
}

TEST_CASE("numbers for life: what changed is told, exactly") {
  struct Point {
    std::string name;
    double x, y;
  };
  const auto text = [](const std::vector<Point>& points) {
    std::string out = "point,x,y\n";
    for (const Point& p : points)
      out += p.name + "," + std::to_string(p.x) + "," + std::to_string(p.y) + "\n";
    return out;
  };
  std::vector<Point> points;
  for (int i = 0; i < 90; ++i) points.push_back({"H" + std::to_string(i), 1.2 * (i % 10), 1.5 * (i / 10)});
  JobFolder job;
  CHECK(run_with(job, "revision = \"A\"\n" + kDrawing + kDeck, text(points)).exit_code == 0);
  CHECK(changes(job).size() == 90);

  std::vector<Point> next;  // in another order: numbers stay
  for (std::size_t k = 0; k < points.size(); ++k) {
    Point p = points[(k * 37) % 90];
    if (p.name == "H70" || p.name == "H71") continue;
    for (const char* moved : {"H3", "H10", "H20", "H30", "H44", "H55", "H66"})
      if (p.name == moved) p.x += 0.0012;
    if (p.name == "H5") p.y += 0.0009;  // under 1 mm: not told
    if (p.name == "H80") p.name = "H80b";
    next.push_back(p);
  }
  for (const char* name : {"N1", "N2", "N3"}) next.push_back({name, 50.0 + name[1], 0});
  const CommandResult result = run_with(job, "revision = \"B\"\n" + kDrawing + kDeck, text(next));
  CHECK(result.exit_code == 0);
  const auto told = changes(job);
  const std::vector<std::string> numbers_in_drawing_order = {"1091", "1092", "1093", "1094"};
  CHECK(told.size() == 13);
  CHECK((Texts(told.begin(), told.begin() + 9) ==
         Texts{"1004 H3 moved", "1011 H10 moved", "1021 H20 moved", "1031 H30 moved", "1045 H44 moved",
               "1056 H55 moved", "1067 H66 moved", "1071 H70 dropped", "1072 H71 dropped"}));
  CHECK(std::count_if(told.begin(), told.end(), [](const std::string& t) {
          return t.find(" N") != std::string::npos && t.find(" new") != std::string::npos;
        }) == 3);
  CHECK(std::count_if(told.begin(), told.end(), [](const std::string& t) {
          return t.find(" H80b renamed") != std::string::npos;
        }) == 1);
  // The summary: first line the verdict, then the changes by number, before anything else.
  const auto summary = lines_of(job.read("out/summary.txt"));
  REQUIRE_FALSE(summary.empty());
  CHECK(summary[0].rfind("BASELINES NOT CHECKED: ", 0) == 0);
  CHECK(last_line(result.err) == summary[0]);
  const auto at = [&](const std::string& word) {
    return std::find_if(summary.begin(), summary.end(),
                        [&](const std::string& l) { return l.find(word) != std::string::npos; }) -
           summary.begin();
  };
  CHECK(at("1004 H3 ") < at("1011 H10 "));
  CHECK(at("H80b") < at("distance"));
  CHECK(at("number 1081") == at("H80b"));  // both numbers of a renamed point
  CHECK(at("distance") < at("sha256"));

  // A job without change is the same issue: its changes again; numbers as before.
  const std::string ledger = job.read("numbers.csv"), again = job.read("out/changes.csv");
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/changes.csv") == again);
  CHECK(job.read("numbers.csv") == ledger);

  // Dropped points come back under their own numbers, wherever they stand; a new name at an old place is
  // told.
  next.push_back({"H70", 99, 99});
  next.push_back({"Z", points[71].x, points[71].y});
  CHECK(run_with(job, "revision = \"C\"\n" + kDrawing + kDeck, text(next)).exit_code == 0);
  CHECK((changes(job) == Texts{"1071 H70 returned", "1095 Z renamed"}));
}

TEST_CASE("a drawing that is mapped elsewhere is told as refit, in drawing axes") {
  JobFolder job;
  CHECK(run_with(job, kDrawing, "point,x,y\nP1,3,0\nP2,5,5\n").exit_code == 0);
  job.write("t.csv", "mark,x,y,northing,easting\nA,0,0,0,0.01\nB,10,0,0,10.01\nC,0,10,10,0.01\n");
  CHECK(
      run_with(job, kDrawing + "[baselines]\nties = \"t.csv\"\n", "point,x,y\nP1,3,0\nP2,5,5\n").exit_code ==
      0);
  const auto rows = named_rows(job.read("out/changes.csv"));
  REQUIRE(rows.size() == 2);
  for (const auto& row : rows) {
    CHECK(row.at("change") == "refit");
    check_length(row.at("dx"), "0.01");
    check_length(row.at("dy"), "0");
    check_length(row.at("distance"), "0.01");
  }
}

TEST_CASE("texts that begin like formulas are written neutral and read back") {
  const Texts names = {"-A1", "+B", "@C", "'-D", "''+E", "'F", "-3'-4\"", "1-2"};
  JobFolder job;
  std::string drawing = "point,x,y,kind,run\n";
  for (std::size_t i = 0; i < names.size(); ++i)
    drawing += csv_cell(names[i][0] == '\'' && i < 5 ? "'" + names[i] : names[i]) + "," + std::to_string(i) +
               ",0,-k,=r\n";
  const std::string toml =
      "revision = \"=1+1\"\n" + kDrawing + "[list]\nline_end = \"lf\"\ncolumns = [\"point\"]\n";
  const CommandResult first = run_with(job, toml, drawing);
  REQUIRE(first.exit_code == 0);
  for (const char* file : {"out/points.csv", "numbers.csv", "out/changes.csv"}) {
    CAPTURE(file);
    for (const auto& row : csv_rows(job.read(file)))
      for (std::size_t c = 0; c < row.size(); ++c) {
        CAPTURE(row[c]);
        const bool is_text = row[c].find_first_not_of("-+.0123456789") != std::string::npos;
        CHECK(!(is_text && std::string("=+-@").find(row[c].substr(0, 1)) != std::string::npos &&
                !row[c].empty()));
      }
  }
  CHECK(named_rows(job.read("out/points.csv"))[0].at("point") == "'-A1");
  CHECK(named_rows(job.read("out/points.csv"))[0].at("run") == "'=r");
  CHECK(named_rows(job.read("numbers.csv"))[0].at("revision") == "'=1+1");
  // In instrument lists names stay as they are, and a doubt says so.
  const auto list = csv_rows(job.read("out/floor-list.csv"));
  for (std::size_t i = 0; i < names.size(); ++i) CHECK(list[i][0] == names[i]);
  CHECK(first.err.find("doubt: d.csv:2:1: point: \"-A1\"") != std::string::npos);
  // The same drawing again, and points.csv as the drawing: nothing has changed, so that it is one issue.
  const std::string issued = job.read("issued.csv");
  CHECK(job.run().exit_code == 0);
  CHECK(run_with(job, toml, job.read("out/points.csv")).exit_code == 0);
  CHECK(job.read("issued.csv") == issued);
  // Names that begin with '=' are refused, behind an apostrophe too.
  for (const std::string name : {"=E", "'=E"})
    CHECK(run_with(job, toml, "point,x,y\n" + name + ",0,0\n").exit_code == 2);
}

TEST_CASE("lists: runs, order, reference points, all in one") {
  const std::string points =
      "point,x,y,run,kind\nB1,5,0,R2,\nA1,0,0,R1,hanger\nC,9,9,,reference\nA2,1,0,R1,\nB2,6,0,R2,sleeve\n";
  const auto numbers = [&](const std::string& list, const std::string& file) {
    JobFolder job;
    job.write("c.csv", "point,northing,easting\nCP1,100,200\n-CP2,1,2\n");
    const CommandResult result = run_with(
        job, kDrawing + "frame = \"site\"\n" + kDeck + "[site]\ncontrol = \"c.csv\"\n[list]\n" + list,
        points);
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(named_rows(job.read("out/points.csv")).size() == 5);  // always all
    std::string out;
    if (!job.has(file)) return std::string("none");
    for (const auto& row : csv_rows(job.read(file))) out += (out.empty() ? "" : " ") + row[0];
    return out;
  };
  CHECK(numbers("", "out/floor-list.csv") == "1001 1002 1003 1004 1005");
  CHECK(numbers("", "out/deck-list.csv") == "6001 6002 6004 6005");
  CHECK(numbers("order = \"run\"\n", "out/floor-list.csv") == "1001 1005 1002 1004 1003");
  CHECK(numbers("order = \"run\"\nonly = [\"R1\", \"R2\"]\n", "out/deck-list.csv") == "6001 6005 6002 6004");
  CHECK(numbers("only = [\"R1\"]\n", "out/floor-list.csv") == "1002 1004");
  CHECK(numbers("split = \"run\"\n", "out/floor-list-R2.csv") == "1001 1005");
  CHECK(numbers("split = \"run\"\n", "out/floor-list-none.csv") == "1003");
  CHECK(numbers("split = \"run\"\n", "out/deck-list-none.csv") == "none");
  CHECK(numbers("split = \"run\"\n", "out/floor-list.csv") == "none");
  CHECK(numbers("split = \"run\"\nonly = [\"R1\"]\n", "out/deck-list-R1.csv") == "6002 6004");
  CHECK(numbers("split = \"run\"\nonly = [\"R1\"]\n", "out/deck-list-R2.csv") == "none");
  CHECK(numbers("together = true\n", "out/list.csv") ==
        "CP1 -CP2 1001 1002 1003 1004 1005 6001 6002 6004 6005");
  CHECK(numbers("together = true\n", "out/floor-list.csv") == "none");
  CHECK(numbers("together = true\nonly = [\"R2\"]\n", "out/list.csv") == "CP1 -CP2 1001 1005 6001 6005");
}

TEST_CASE("two runs that would have one list are refused") {
  for (const std::string pair : {"R 1|R_1", "none|", "a/b|a.b", "\xC3\xA9|_"}) {
    JobFolder job;
    job.write("job.toml", kDrawing + "[list]\nsplit = \"run\"\n");
    job.write("d.csv", "point,x,y,run\nA,1,2," + pair.substr(0, pair.find('|')) + "\nB,2,3," +
                           pair.substr(pair.find('|') + 1) + "\n");
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    check_told(result.err, {"job.toml:4:9: list.split", {}});
  }
  JobFolder job;  // no name leaves the output folder
  CHECK(run_with(job, kDrawing + "[list]\nsplit = \"run\"\n", "point,x,y,run\nA,1,2,../../x\n").exit_code ==
        0);
  CHECK(job.has("out/floor-list-______x.csv"));
}

TEST_CASE("descriptions: parts, drop, cut, separator") {
  const auto described = [](const std::string& list, const std::string& points) {
    JobFolder job;
    const CommandResult result = run_with(
        job, kDrawing + kDeck + "[list]\nline_end = \"lf\"\ncolumns = [\"description\"]\n" + list, points);
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    return job.read("out/deck-list.csv");
  };
  const std::string one = "point,x,y,run,height\nA,0,0,,1\n";
  CHECK(described("description = [\"run\", \"point\", \"drop\", \"kind\"]\ndecimals = 2\n", one) ==
        "A 3.00 hanger\n");
  CHECK(described(
            "description = [\"point\", \"drop\"]\ndecimals = 1\nseparator = \";\"\ndecimal_mark = \",\"\n",
            one) == "A 3,0\n");
  CHECK(described("description = [\"drop\"]\nunit = \"ft\"\ndecimals = 3\n", one) == "9.843\n");
  CHECK(described("description_length = 4\n", one) == "A ha\n");
  CHECK(described("description_length = 2\n", one) == "A\n");
  CHECK(described("separator = \";\"\n", "point,x,y\n\"A;B\",0,0\n") == "A B hanger\n");
  CHECK(described("separator = \"\\t\"\n", "point,x,y\n\"A,B\",0,0\n") == "A,B hanger\n");
}

TEST_CASE("lists that an earlier summary names are removed, nothing else") {
  JobFolder job;
  const std::string points = "point,x,y,run\nA,1,2,R1\nB,2,2,R2\n";
  CHECK(run_with(job, kDrawing + kDeck + "[list]\nsplit = \"run\"\n", points).exit_code == 0);
  CHECK(job.has("out/deck-list-R2.csv"));
  job.write("out/floor-list-R9.csv", "mine");
  CHECK(run_with(job, kDrawing + kDeck + "[list]\nsplit = \"rum\"\n", points).exit_code == 2);
  CHECK(job.has("out/deck-list-R2.csv"));  // a job that is refused removes nothing
  CHECK(run_with(job, kDrawing + "[list]\ntogether = true\n", points).exit_code == 0);
  Texts files;
  for (const auto& [name, bytes] : job.snapshot())
    if (name.rfind("out/", 0) == 0 && name != "out/") files.push_back(name.substr(4));
  CHECK((files == Texts{"SHA256SUMS", "changes.csv", "floor-list-R9.csv", "kept/", "kept/issued.csv",
                        "kept/numbers.csv", "list.csv", "points.csv", "report.html", "shape.csv",
                        "summary.txt"}));
}

TEST_CASE("a summary that was tampered with removes nothing outside") {
  JobFolder job;
  CHECK(run_with(job, kDrawing, "point,x,y\nA,1,2\n", {"run", ".", "--out", "x/out"}).exit_code == 0);
  const Texts victims = {"x/a.csv", "a.csv", "x/out/sub/a.csv", "x/out/notes.txt", "x/out/.hidden.csv"};
  for (const std::string& v : victims) job.write(v, "mine");
  fs::create_symlink("../a.csv", job.path() / "x/out/link.csv");
  std::string summary = "READY TO LAY OUT\n\nFILES WRITTEN\n";
  for (const std::string name :
       {"../a.csv", "../../a.csv", "../../numbers.csv", "../../d.csv", "sub/a.csv", "sub", "notes.txt",
        ".hidden.csv", "link.csv", "..", ".", "./../a.csv", "sub/../../a.csv"})
    summary += "  " + name + ": 1 row\n    sha256 0\n";
  summary += "  " + (job.path() / "a.csv").string() + ": 1 row\n";
  job.write("x/out/summary.txt", summary);
  CHECK(job.run({"run", ".", "--out", "x/out"}).exit_code == 0);
  for (const std::string& v : victims) {
    CAPTURE(v);
    CHECK(job.has(v));
  }
  CHECK(fs::is_symlink(job.path() / "x/out/link.csv"));
  CHECK(job.has("numbers.csv"));
  CHECK(job.has("d.csv"));
}

TEST_CASE("links in the output folder are replaced, not followed") {
  JobFolder job;
  CHECK(run_with(job, kDrawing, "point,x,y\nA,1,2\n").exit_code == 0);
  job.write("precious.txt", "mine");
  for (const char* name : {"points.csv", "summary.txt"}) {
    fs::remove(job.path() / "out" / name);
    fs::create_symlink("../precious.txt", job.path() / "out" / name);
  }
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("precious.txt") == "mine");
  CHECK(!fs::is_symlink(job.path() / "out/points.csv"));
}

TEST_CASE("the same inputs give the same bytes, wherever they lie") {
  const std::string toml = "title = \"t\"\nrevision = \"A\"\n" + kDrawing + kDeck;
  std::map<std::string, std::string> outputs[3];
  for (int i = 0; i < 3; ++i) {
    JobFolder job;
    const std::string under = i == 1 ? "deep/er/" : "";
    job.write(under + "job.toml", toml);
    job.write(under + "d.csv", "point,x,y\nA,1,2\nB,3,4.5\n");
    CommandRun run = job.prepared({"run", i == 2 ? "job.toml" : under.empty() ? "." : under});
    run.env = {
        {"LC_ALL", i == 2 ? "de_DE.UTF-8" : "C"}, {"TZ", i == 1 ? "Asia/Tokyo" : "UTC"}, {"COLUMNS", "200"}};
    CHECK(run.run().exit_code == 0);
    for (const auto& [name, bytes] : job.snapshot())
      outputs[i][name.substr(std::min(name.size(), under.size()))] = bytes;
    if (i == 1) outputs[i].erase("");
  }
  outputs[1].erase("er/");
  for (const char* name : {"out/points.csv", "out/floor-list.csv", "out/deck-list.csv", "out/changes.csv",
                           "out/summary.txt", "numbers.csv"}) {
    CAPTURE(name);
    CHECK(!outputs[0][name].empty());
    CHECK(outputs[0][name] == outputs[1][name]);
    CHECK(outputs[0][name] == outputs[2][name]);
  }
}

TEST_CASE("a second run of the same job at the same time is refused") {
  JobFolder job;
  job.write("job.toml", kDrawing);
  job.write("d.csv", "point,x,y\nA,1,2\n");
  const int held = ::open((job.path() / "job.toml").c_str(), O_RDONLY | O_CLOEXEC);
  REQUIRE(held >= 0);
  REQUIRE(::flock(held, LOCK_EX) == 0);
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  CHECK(result.exit_code == 3);
  CHECK(result.err.find("job.toml") != std::string::npos);
  CHECK((job.snapshot() == before));
  CHECK(job.run({"check", "."}).exit_code == 0);  // looking is no second run
  ::close(held);
  CHECK(job.run().exit_code == 0);
}

TEST_CASE("check and baseline write nothing and end as run does") {
  struct Row {
    std::string ties;
    int exit;
    std::string line;
  };
  const std::string head = "mark,x,y,northing,easting\n";
  for (const Row& r : {Row{"A,0,0,0,0\nB,10,0,0,10\nC,0,10,10,0\nD,10,10,10,10\n", 0, "READY TO LAY OUT"},
                       Row{"A,0,0,0,0\nB,10,0,0,10.03\nC,0,10,10,0\nD,10,10,10,10\n", 1, "DO NOT LAY OUT: "},
                       Row{"A,0,0,0,0\nB,10,0,0,10\n", 0, "BASELINES NOT CHECKED: "}}) {
    CAPTURE(r.ties);
    JobFolder job;
    job.write("job.toml", kDrawing + "[baselines]\nties = \"t.csv\"\n");
    job.write("d.csv", "point,x,y\nP1,3,4\n");
    job.write("t.csv", head + r.ties);
    const auto before = job.snapshot();
    for (const char* command : {"check", "baseline", "run"})
      for (const bool quiet : {false, true}) {
        CAPTURE(command);
        const CommandResult result = job.run(quiet ? Texts{command, ".", "--quiet"} : Texts{command, "."});
        CHECK(result.exit_code == r.exit);
        CHECK(last_line(result.err).rfind(r.line, 0) == 0);
        CHECK(result.out.empty() == quiet);
        CHECK(result.err.find("notice: ") == std::string::npos);
        if (std::string(command) != "run") CHECK((job.snapshot() == before));
      }
    CHECK(first_line(job.read("out/summary.txt")).rfind(r.line, 0) == 0);
    CHECK(job.run({"baseline", ".", "--csv"}).out == job.read("out/baseline.csv"));
    CHECK(job.run({"run", ".", "--csv"}).out == job.read("out/points.csv"));
  }
}

TEST_CASE("check tells of an output in an input's place") {
  JobFolder job;
  job.write("job.toml", "[drawing]\npoints = \"points.csv\"\n");
  job.write("points.csv", "point,x,y\nA,1,2\n");
  const auto before = job.snapshot();
  CHECK(job.run({"check", "."}).exit_code == 0);
  const CommandResult result = job.run({"check", ".", "--out", "."});
  check_refused(job, before, result);
  check_told(result.err, {"./points.csv: file", {"points.csv"}});
  CHECK(job.run({"baseline", ".", "--out", "elsewhere"}).exit_code == 0);
  CHECK((job.snapshot() == before));
  for (const std::string command : {"new", "check", "baseline", "run"})
    CHECK(job.run({command, "--version"}).out == job.run({"--version"}).out);
}

TEST_CASE("check --csv holds every problem, doubt and notice") {
  JobFolder job;
  const CommandResult good =
      run_with(job, kDrawing, "point,x,y,colour\n@P,1e5,2,\n", {"check", ".", "--csv"});
  CHECK(good.exit_code == 0);
  auto rows = named_rows(good.out);
  REQUIRE(rows.size() == 3);
  const auto find = [&](const std::string& grade, const std::string& line, const std::string& column,
                        const std::string& field) {
    return std::count_if(rows.begin(), rows.end(), [&](const auto& row) {
      return row.at("file") == "d.csv" && row.at("grade") == grade && row.at("line") == line &&
             row.at("column") == column && row.at("field") == field;
    });
  };
  CHECK(find("notice", "1", "11", "header") == 1);
  CHECK(find("doubt", "2", "1", "point") == 1);
  CHECK(find("doubt", "2", "4", "x") == 1);
  CHECK(good.err.find("doubt: d.csv:2:4: x: ") != std::string::npos);  // standard error says the same
  const CommandResult bad = run_with(job, kDrawing, "point,x,y\n\"=P\",a,\n", {"check", ".", "--csv"});
  CHECK(bad.exit_code == 2);
  rows = named_rows(bad.out);
  CHECK(find("problem", "2", "1", "point") == 1);
  CHECK(find("problem", "2", "6", "x") == 1);
  CHECK(find("problem", "2", "8", "y") == 1);
  CHECK(rows.size() == 3);
}

TEST_CASE("deck marks by name, floor number and deck number; empty cells are empty") {
  JobFolder job;
  job.write("m.csv", "point,dx,dy,elevation\np1,0.003,0.004,\n1002,0,0,4.1\n6004,6.02 mm,0,\nP3,0.001,0,\n");
  const CommandResult result =
      run_with(job, kDrawing + kDeck + "[hangers]\nheight = \"3 m\"\n[plumb]\nmarks = \"m.csv\"\n",
               "point,x,y,kind,height\nP1,0,0,,\nP2,1,0,,2.5\nP3,2,0,reference,\n5001,3,0,,\n");
  CHECK(result.exit_code == 1);
  CHECK(last_line(result.err).find("1004 (5001) is out of plumb by 6.02 mm, permitted 6.0 mm") !=
        std::string::npos);
  const auto rows = named_rows(job.read("out/plumb.csv"));
  REQUIRE(rows.size() == 4);
  const auto row = [&](std::size_t i) {
    return rows[i].at("number") + " " + rows[i].at("rise") + " " + rows[i].at("drop") + " " +
           rows[i].at("ratio") + " " + rows[i].at("verdict");
  };
  CHECK(row(0) == "1001 4.00000 1.00000 200.000 within");
  CHECK(row(1) == "1002 4.10000 1.60000  within");
  CHECK(row(2) == "1004 4.00000 1.00000 166.113 outside");
  CHECK(row(3) == "1003 4.00000   within");
  const auto points = named_rows(job.read("out/points.csv"));
  for (const char* column : {"attach_elevation", "deck_elevation", "rise", "drop"})
    CHECK(points[2].at(column).empty());
  CHECK(points[2].at("floor_elevation") == "0.00000");
}
