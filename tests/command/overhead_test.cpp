// Runs, bays, obstructions, pieces and cuts through the real program. Places are computed here once more, by
// hand or from the contract's words.
#include "overhead_support.h"

using namespace deckmark_test;

namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kCell = 0.51e-5;  // of a table in metres

const std::string kRunHead = "run,kind,x1,y1,x2,y2,xm,ym,height\n";

}  // namespace

TEST_CASE("what there is none of is not told as a part, and a length only where one is known") {
  JobFolder job;
  job.write("runs.csv", "run,kind,x1,y1,x2,y2\nR1,line,1,1,3,1\n");
  write_overhead(job, {.deck = "", .hangers = "max_spacing = \"1.2 m\"\ncut_top = \"150 mm\"\n", .more = ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  const std::string summary = job.read("out/summary.txt");
  CHECK(summary.find("\nPARTS: to hold against the bill of materials\n        3 hanger\n        2 end\n") !=
        std::string::npos);
  for (const char* none : {" 0 ", "in all", "piece", "joint", "crossing", "CUT LIST"})
    CHECK_MESSAGE(summary.substr(summary.find("PARTS")).substr(0, 90).find(none) == std::string::npos, none);
  job.write("points.csv", "point,x,y,kind\nREF,1,1,reference\n");
  write_overhead(job,
                 {.drawing = "points = \"points.csv\"\n", .hangers = "cut_top = \"150 mm\"\n", .more = ""});
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/summary.txt").find("PARTS") == std::string::npos);
}

TEST_CASE("a kerf over 10 mm is doubted at its key") {
  JobFolder job;
  job.write("runs.csv", "run,kind,x1,y1,x2,y2\nR1,line,1,1,3,1\n");
  const auto with = [&](const std::string& kerf) {
    write_overhead(
        job, {.hangers = "max_spacing = \"1.2 m\"\nstock = \"3 m\"\nkerf = \"" + kerf + "\"\n", .more = ""});
    return job.run({"check", "."}).err;
  };
  CHECK(with("30 mm").find(
            "doubt: job.toml:11:8: hangers.kerf: wider than 10 mm (common practice, no source)") !=
        std::string::npos);
  CHECK(with("10 mm").find("kerf") == std::string::npos);
}

TEST_CASE("points are generated along a line, an arc and a ring, behind the drawing's own") {
  JobFolder job;
  write_overhead(job, {.drawing = "points = \"points.csv\"\nruns = \"runs.csv\"\n",
                       .hangers = "max_spacing = \"1.2 m\"\nend_distance = \"200 mm\"\n",
                       .more = ""});
  job.write("points.csv", "point,x,y,run\nP1,0,9,Q\nP2,1,9,Q\n");
  // A quarter of radius 2 about (0, 20); its middle lies at 45 degrees.
  job.write(
      "runs.csv",
      kRunHead + "R1,line,1,3,6,3,,,\nA1,arc,2,20,0,22,1.41421356,21.41421356,2.8\nO1,ring,12,5,8,5,,,\n");
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  const TableRows points = table(job, "points.csv");
  // Line: 5.0 less two ends of 0.2 over 1.2 wants 4 spaces. Arc: pi less 0.4, 3 spaces. Ring: 4 pi over 1.2,
  // 11 spaces.
  REQUIRE(points.size() == 2 + 5 + 4 + 11);
  CHECK(points[0].at("number") == "1001");
  CHECK(points[2].at("point") == "R1-01");
  CHECK(points[2].at("number") == "1003");
  for (std::size_t i = 0; i < 5; ++i) {
    const TableRow& p = points[2 + i];
    CHECK(p.at("point") == "R1-0" + std::to_string(i + 1));
    CHECK(p.at("kind") == "hanger");
    CHECK(p.at("run") == "R1");
    CHECK(std::abs(number(p, "x") - (1.2 + 1.15 * static_cast<double>(i))) < kCell);
    CHECK(std::abs(number(p, "y") - 3) < kCell);
    CHECK(std::abs(number(p, "attach_elevation") - 2.5) < kCell);
  }
  for (std::size_t i = 0; i < 4; ++i) {
    const TableRow& p = points[7 + i];
    const double angle = (0.2 + (kPi - 0.4) / 3 * static_cast<double>(i)) / 2;
    CHECK(p.at("point") == "A1-0" + std::to_string(i + 1));
    CHECK(std::abs(number(p, "x") - 2 * std::cos(angle)) < 2 * kCell);
    CHECK(std::abs(number(p, "y") - (20 + 2 * std::sin(angle))) < 2 * kCell);
    CHECK(std::abs(number(p, "attach_elevation") - 2.8) < kCell);
  }
  for (std::size_t i = 0; i < 11; ++i) {
    const TableRow& p = points[11 + i];
    const double angle = 2 * kPi / 11 * static_cast<double>(i);  // counter-clockwise from the first point
    CHECK(std::abs(number(p, "x") - (10 + 2 * std::cos(angle))) < kCell);
    CHECK(std::abs(number(p, "y") - (5 + 2 * std::sin(angle))) < kCell);
  }
  CHECK(points[20].at("point") == "O1-10");
  CHECK(table(job, "crossings.csv").empty());
  CHECK(csv_rows(job.read("out/deck-list.csv")).size() == points.size());
}

TEST_CASE("without end_distance hangers stand at the ends, and a short run has its hanger in the middle") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "R1,line,0,0,2.4,0,,,\nR2,,0,5,0.3,5,,,\n");
  write_overhead(job, {.more = ""});
  CHECK(job.run().exit_code == 0);
  TableRows points = table(job, "points.csv");
  REQUIRE(points.size() == 5);
  CHECK(number(points[0], "x") == 0);
  CHECK(number(points[2], "x") == 2.4);
  write_overhead(job, {.hangers = "max_spacing = \"1.2 m\"\nend_distance = \"200 mm\"\n", .more = ""});
  CHECK(job.run().exit_code == 0);
  points = table(job, "points.csv");
  REQUIRE(points.size() == 4);
  CHECK(points[3].at("point") == "R2-01");
  CHECK(number(points[3], "x") == 0.15);
}

TEST_CASE("generated points keep their numbers when a run is added before them") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "R1,line,0,0,2.4,0,,,\n");
  write_overhead(job, {.more = ""});
  CHECK(job.run().exit_code == 0);
  job.write("runs.csv", kRunHead + "R0,line,0,5,1.2,5,,,\nR1,line,0,0,2.4,0,,,\n");
  CHECK(job.run().exit_code == 0);
  const TableRows points = table(job, "points.csv");
  CHECK(row_of(points, "point", "R1-01").at("number") == "1001");
  CHECK(row_of(points, "point", "R0-01").at("number") == "1004");
}

TEST_CASE("every bay lifts its own points") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "R1,line,1,3,9,3,,,\n");
  // The second bay goes round clockwise and rises 10 mm a metre along x from 5.0 at x = 5.
  job.write("bays.csv",
            "bay,x,y,elevation\nlow,0,0,4.0\nlow,5.4,0,\nlow,5.4,6,\nlow,0,6,\nhigh,5.4,0,\nhigh,5.4,6,"
            "\nhigh,10,6,\nhigh,10,0,\n");
  job.write(
      "deck.csv",
      "shot,bay,x,y,elevation\nS1,high,6,1,5.01\nS2,high,9,1,5.04\nS3,high,6,5,5.01\nS4,high,9,5,5.04\n");
  write_overhead(job, {.deck = "bays = \"bays.csv\"\nshots = \"deck.csv\"\n", .more = ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  const TableRows points = table(job, "points.csv");
  REQUIRE(points.size() == 8);
  for (const TableRow& p : points) {
    const double x = number(p, "x"), deck = x < 5.4 ? 4.0 : 5.0 + 0.01 * (x - 5);
    CHECK(std::abs(number(p, "deck_elevation") - deck) < 2 * kCell);
    CHECK(std::abs(number(p, "drop") - (deck - 2.5)) < 2 * kCell);
  }
  CHECK(r.out.find("step from low to high: up 1.0040 m") != std::string::npos);
}

TEST_CASE("a hanger in a duct is bridged: floor mark yes, deck point no") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "R1,line,0,3,6,3,,,\n");
  job.write("ducts.csv", "name,x,y,clearance\nD1,2.2,0,0.1\nD1,2.5,0,\nD1,2.5,6,\nD1,2.2,6,\n");
  job.write("cp.csv", "point,northing,easting,elevation\nC1,-5,-5,0\nC2,10,-5,0\n");
  job.write("s1.csv", "target,circle,zenith,slope,height\nC2,90,90,15,1.5\n");
  write_overhead(
      job,
      {.drawing = "runs = \"runs.csv\"\nframe = \"site\"\n",
       .hangers =
           "max_spacing = \"1.2 m\"\ncut_top = \"150 mm\"\ncut_bottom = \"100 mm\"\nstock = \"3.66 m\"\n",
       .more = "[list]\ndescription = [\"point\", \"drop\"]\n[site]\ncontrol = "
               "\"cp.csv\"\n[obstructions]\noutlines = \"ducts.csv\"\n[instrument]\nangles "
               "= \"degrees\"\nangle_sd = \"2\\\"\"\n"
               "distance_sd = \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = \"C1\"\nheight = \"1.5 "
               "m\"\nobservations = \"s1.csv\"\n"});
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  const TableRows points = table(job, "points.csv");
  REQUIRE(points.size() == 8);  // six hangers at 1.2, and two supports
  const TableRow &hanger = row_of(points, "point", "R1-03"), &a = row_of(points, "point", "R1-03-a"),
                 &b = row_of(points, "point", "R1-03-b");
  CHECK(number(hanger, "x") == 2.4);
  CHECK(number(a, "x") == 2.1);  // clear begins at the clearance itself
  CHECK(number(b, "x") == 2.6);
  CHECK(number(a, "y") == 3);
  CHECK(a.at("number") == "1007");
  CHECK(b.at("number") == "1008");
  const auto listed = [&](const std::string& file, const std::string& number) {
    std::size_t n = 0;
    for (const auto& row : csv_rows(job.read("out/" + file))) n += row[0] == number;
    return n;
  };
  CHECK(listed("floor-list.csv", "1003") == 1);
  CHECK(listed("deck-list.csv", "6003") == 0);
  CHECK(listed("deck-list.csv", "6007") == 1);
  CHECK(listed("deck-list.csv", "6008") == 1);
  CHECK(csv_rows(job.read("out/deck-list.csv")).size() == 7);
  const TableRows stake = table(job, "stake-S1.csv");
  std::size_t floor = 0, deck = 0, of_hanger = 0, of_support = 0;
  for (const TableRow& s : stake) {
    floor += s.at("level") == "floor", deck += s.at("level") == "deck";
    of_hanger += s.at("point") == "R1-03",
        of_support += s.at("point") == "R1-03-a" && s.at("level") == "deck";
  }
  CHECK(floor == 8);
  CHECK(deck == 7);
  CHECK(of_hanger == 1);
  CHECK(of_support == 1);
  const TableRows hangers = table(job, "hangers.csv");
  CHECK(hangers.size() == 7);
  CHECK(count_of(hangers, "point", "R1-03") == 0);
  for (const TableRow& h : hangers) {
    CHECK(number(h, "drop") == 1.5);
    CHECK(number(h, "cut") == 1.75);
  }
  const TableRows trapezes = table(job, "trapeze.csv");
  REQUIRE(trapezes.size() == 1);
  CHECK(trapezes[0] == TableRow{{"point", "R1-03"},
                                {"obstruction", "D1"},
                                {"support1_x", "2.10000"},
                                {"support1_y", "3.00000"},
                                {"support2_x", "2.60000"},
                                {"support2_y", "3.00000"},
                                {"span", "0.50000"}});
  CHECK(r.out.find("belongs to the engineer of record") != std::string::npos);
  // What is hung: five straight, one on a trapeze of two supports (2026-11-27: the sixth was counted too).
  const TableRows parts = table(job, "parts.csv");
  CHECK(row_of(parts, "part", "hanger").at("count") == "5");
  CHECK(row_of(parts, "part", "support").at("count") == "2");
  CHECK(row_of(parts, "part", "trapeze").at("count") == "1");
  CHECK(job.read("out/report.html").find("5 hangers go straight up; 1 hangs on a trapeze") !=
        std::string::npos);
  CHECK(r.out.find("and 1 hanger in an obstruction") != std::string::npos);
  // The floor list tells drops where one goes straight up; the stake sheet says what stands over the mark.
  for (const auto& row : csv_rows(job.read("out/floor-list.csv")))
    CHECK(row[4] == (row[0] == "1003"   ? "R1-03"
                     : row[0] == "1007" ? "R1-03-a 1.5000"
                     : row[0] == "1008" ? "R1-03-b 1.5000"
                                        : "R1-0" + row[0].substr(3) + " 1.5000"));
  const std::string sheet = job.read("out/stake-S1.txt");
  std::size_t said = 0;
  for (std::size_t at = sheet.find("trapeze -a -b"); at != std::string::npos;
       at = sheet.find("trapeze -a -b", at + 1)) {
    ++said;
    const std::size_t begin = sheet.rfind("[ ]", at);
    CHECK(sheet.substr(begin, at - begin).find("1003 R1-03 ") != std::string::npos);
  }
  CHECK(said == 1);
}

TEST_CASE("a ring is staked in its order, supports of trapezes in their place") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "O1,ring,8,3,2,3,,,\n");
  job.write("ducts.csv", "name,x,y,clearance\nD1,4,5,0.1\nD1,7.5,5,\nD1,7.5,5.4,\nD1,4,5.4,\n");
  job.write("cp.csv", "point,northing,easting,elevation\nC1,3,12,0\nC2,10,-5,0\n");
  job.write("s1.csv", "target,circle,zenith,slope,height\nC2,90,90,18.385,1.5\n");
  write_overhead(job,
                 {.drawing = "runs = \"runs.csv\"\nframe = \"site\"\n",
                  .more = "[site]\ncontrol = \"cp.csv\"\n[obstructions]\noutlines = "
                          "\"ducts.csv\"\n[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\n"
                          "distance_sd = \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = \"C1\"\nheight = \"1.5 "
                          "m\"\nobservations = \"s1.csv\"\n"});
  const CommandResult r = job.run();
  CAPTURE(r.err);
  REQUIRE(r.exit_code == 0);
  REQUIRE(table(job, "trapeze.csv").size() >= 1);
  std::map<std::string, double> angle;  // round the ring from its start
  for (const TableRow& p : table(job, "points.csv")) {
    const double a = std::atan2(number(p, "y") - 3, number(p, "x") - 5);
    angle[p.at("point")] = a < -1e-9 ? a + 2 * 3.14159265358979323846 : a;
  }
  double before = -1;
  std::size_t floor = 0;
  for (const TableRow& s : table(job, "stake-S1.csv")) {
    if (s.at("level") != "floor") continue;
    CAPTURE(s.at("point"));
    const double a = angle.at(s.at("point"));
    CHECK(a >= before - 1e-6);
    before = a;
    ++floor;
  }
  CHECK(floor == angle.size());
}

TEST_CASE("a support out of reach is said so, and the hanger has no deck point") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "R1,line,0,3,6,3,,,\n");
  job.write("ducts.csv", "name,x,y\nD1,2.2,0\nD1,2.5,0\nD1,2.5,6\nD1,2.2,6\n");
  write_overhead(
      job,
      {.more = "[obstructions]\noutlines = \"ducts.csv\"\nclearance = \"100 mm\"\nreach = \"250 mm\"\n"});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  CHECK(r.err.find("R1-03 lies in D1, and a support would stand 300.0 mm off") != std::string::npos);
  CHECK(table(job, "points.csv").size() == 6);
  const TableRows trapezes = table(job, "trapeze.csv");
  REQUIRE(trapezes.size() == 1);
  CHECK(trapezes[0].at("span").empty());
  CHECK(csv_rows(job.read("out/deck-list.csv")).size() == 5);
}

TEST_CASE("clear begins at the clearance itself") {
  for (const char* clearance : {"0.2", "0.2001"}) {
    JobFolder job;
    job.write("runs.csv", kRunHead + "R1,line,0,3,6,3,,,\n");
    job.write("ducts.csv", std::string("name,x,y,clearance\nD1,2.6,0,") + clearance +
                               "\nD1,2.9,0,\nD1,2.9,6,\nD1,2.6,6,\n");
    write_overhead(job, {.more = "[obstructions]\noutlines = \"ducts.csv\"\n"});
    CHECK(job.run().exit_code == 0);
    CHECK(table(job, "trapeze.csv").size() == (std::string(clearance) == "0.2" ? 0 : 1));
  }
}

TEST_CASE("cuts are packed into stock pieces, none beyond its length") {
  JobFolder job;
  std::string runs = kRunHead;
  for (int i = 0; i < 20; ++i)
    runs += "R" + std::to_string(i) + ",line,0," + std::to_string(i) + ",6," + std::to_string(i) + ",,," +
            std::to_string(1.0 + 0.1 * i) + "\n";
  job.write("runs.csv", runs);
  write_overhead(job, {.hangers = "max_spacing = \"1.2 m\"\ncut_top = \"150 mm\"\ncut_bottom = \"100 "
                                  "mm\"\nstock = \"3.66 m\"\nkerf = \"3 mm\"\n",
                       .more = ""});
  CHECK(job.run().exit_code == 0);
  const TableRows hangers = table(job, "hangers.csv"), parts = table(job, "parts.csv");
  REQUIRE(hangers.size() == 120);
  std::map<int, double> used;
  double all = 0;
  for (const TableRow& h : hangers) {
    CHECK(std::abs(number(h, "cut") - number(h, "drop") - 0.25) < 2 * kCell);
    used[std::stoi(h.at("stock_piece"))] += number(h, "cut") + 0.003;
    all += number(h, "cut");
  }
  CHECK(used.begin()->first == 1);
  CHECK(used.rbegin()->first == static_cast<int>(used.size()));
  for (const auto& piece : used)
    CHECK(piece.second <= 3.66 + 0.003 + 1e-4);  // the last cut of a piece may end with it
  CHECK(
      used.size() ==
      90);  // the six cuts of fifteen runs are longer than half a stock piece, and the others fit beside them
  const TableRow& stock = row_of(parts, "part", "stock");
  CHECK(stock.at("count") == std::to_string(used.size()));
  CHECK(std::abs(number(stock, "length") - 3.66 * static_cast<double>(used.size())) < kCell);
  CHECK(std::abs(number(row_of(parts, "part", "hanger"), "length") - all) < 1e-4);
}

TEST_CASE("cuts need neither runs nor stock") {
  JobFolder job;
  job.write("points.csv", "point,x,y,height,kind\nP1,0,0,3.25,\nP2,1,0,,\nP3,2,0,,reference\n");
  write_overhead(job,
                 {.drawing = "points = \"points.csv\"\n", .hangers = "cut_top = \"100 mm\"\n", .more = ""});
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/hangers.csv") ==
        "number,point,drop (m),cut (m),stock_piece\n1001,P1,0.75000,0.85000,\n1002,P2,1.50000,1.60000,\n");
  CHECK_FALSE(job.has("out/crossings.csv"));
  CHECK_FALSE(job.has("out/piece-marks.csv"));
  CHECK_FALSE(job.has("out/trapeze.csv"));
}

TEST_CASE("crossings and corners with their angles") {
  JobFolder job;
  // R1 and R2 meet in a corner of 90 degrees, R2 and R3 in one of 120; R4 crosses R1 at 45.
  job.write("runs.csv", kRunHead +
                            "R1,line,0,0,6,0,,,\nR2,line,6,0,6,4,,,\nR3,line,6,4,2.5358983848622456,6,,,\nR4,"
                            "line,1,-1,3,1,,,\n");
  write_overhead(job, {.drawing = "runs = \"runs.csv\"\nseparation = \"200 mm\"\n", .more = ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  const TableRows rows = table(job, "crossings.csv");
  REQUIRE(rows.size() == 3);
  CHECK(rows[0] == TableRow{{"run1", "R1"},
                            {"run2", "R2"},
                            {"x", "6.00000"},
                            {"y", "0.00000"},
                            {"along1", "6.00000"},
                            {"along2", "0.00000"},
                            {"angle", "90.00000"},
                            {"mitre", "45.00000"},
                            {"through", ""}});
  CHECK(rows[1] == TableRow{{"run1", "R1"},
                            {"run2", "R4"},
                            {"x", "2.00000"},
                            {"y", "0.00000"},
                            {"along1", "2.00000"},
                            {"along2", "1.41421"},
                            {"angle", "45.00000"},
                            {"mitre", ""},
                            {"through", "R1"}});
  CHECK(rows[2].at("angle") == "120.00000");
  CHECK(rows[2].at("mitre") == "60.00000");
  // Half of 200 mm over the tangent of 45 degrees.
  CHECK(r.out.find("the inside one ends 0.100 before the corner") != std::string::npos);
  const TableRows parts = table(job, "parts.csv");
  CHECK(row_of(parts, "part", "corner").at("count") == "2");
  CHECK(row_of(parts, "part", "crossing").at("count") == "1");
  CHECK(row_of(parts, "part", "end").at("count") == "8");  // four of the runs, on two members each
}

TEST_CASE("a fluted bay holds hangers on its fastening lines") {
  JobFolder job;
  job.write("runs.csv", kRunHead + "R1,line,1,3,9,3,,,\nR2,line,1,1,9,1.2,,,\n");
  job.write("bays.csv",
            "bay,x,y,elevation,flutes,flute_pitch,flute_first\nB,0,0,4,y,0.2,0.05\nB,10,0,,,,\nB,10,6,,,,\nB,"
            "0,6,,,,\n");
  write_overhead(job, {.deck = "bays = \"bays.csv\"\nflute_move = \"20 mm\"\n",
                       .hangers = "max_spacing = \"1.2 m\"\nend_distance = \"200 mm\"\n",
                       .more = ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  double before = 0;
  for (const TableRow& p : table(job, "points.csv")) {
    const double x = number(p, "x"), line = (x - 0.05) / 0.2;
    CHECK(std::abs(line - std::round(line)) * 0.2 < 2 * kCell);
    if (before > 0 && x > before) CHECK(x - before < 1.2 + 2 * kCell);
    before = x;
  }
  CHECK(r.err.find("more than flute_move 20.0 mm") != std::string::npos);
  // Along the flutes nothing is moved, and it is a doubt.
  job.write("runs.csv", kRunHead + "R1,line,3,1,3,5,,,\n");
  const CommandResult along = job.run();
  CHECK(along.exit_code == 0);
  CHECK(along.err.find("R1 runs along the flutes of bay B") != std::string::npos);
  for (const TableRow& p : table(job, "points.csv")) CHECK(number(p, "x") == 3);
}
