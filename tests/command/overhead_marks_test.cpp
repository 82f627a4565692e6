// Piece marks walked back along runs whose geometry the test knows by itself: every mark must land on its
// hanger.
#include <array>
#include <cstdio>
#include <random>

#include "overhead_support.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr double kPi = 3.14159265358979323846;

struct Place {
  double x, y;
};

/// A run as the simulation knows it: a line by its direction, an arc or ring by centre, radius and angles.
struct Truth {
  std::string name, kind;
  Place from;      // of a line; else the centre
  double way = 0;  // of a line, or where an arc starts
  double radius = 0, turn = 0;
  double length = 0;

  Place at(double along) const {
    if (kind == "line") return {from.x + along * std::cos(way), from.y + along * std::sin(way)};
    const double a = way + (turn > 0 ? along : -along) / radius;
    return {from.x + radius * std::cos(a), from.y + radius * std::sin(a)};
  }
};

Truth random_run(int i, std::mt19937_64& random) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  Truth t{text("R%d", i),
          i % 3 == 0   ? "line"
          : i % 3 == 1 ? "arc"
                       : "ring",
          {between(-30, 30), between(-30, 30)},
          between(0, 2 * kPi)};
  if (t.kind == "line")
    t.length = between(0.5, 25);
  else {
    t.radius = between(0.6, 12);
    t.turn = t.kind == "ring" ? 2 * kPi : (random() % 2 ? 1 : -1) * between(0.3, 5.8);
    t.length = t.radius * std::abs(t.turn);
  }
  return t;
}

std::string row_of_run(const Truth& t) {
  const Place a = t.at(0), b = t.at(t.kind == "ring" ? t.length / 2 : t.length), m = t.at(t.length / 2);
  return t.name + "," + t.kind + text(",%.9f,%.9f,%.9f,%.9f,", a.x, a.y, b.x, b.y) +
         (t.kind == "arc" ? text("%.9f,%.9f", m.x, m.y) : ",") + ",\n";
}

/// Pieces that add up to the run.
std::vector<double> cut_up(const Truth& t, std::mt19937_64& random) {
  std::vector<double> pieces;
  double left = t.length;
  while (left > 0) {
    double piece = std::uniform_real_distribution(0.8, 4.0)(random);
    if (left - piece < 0.8) piece = left;
    pieces.push_back(piece);
    left -= piece;
  }
  return pieces;
}

}  // namespace

TEST_CASE("marks of the pieces, laid out along the run on the floor, land on every hanger within 0.1 mm") {
  std::mt19937_64 random(1);
  JobFolder job;
  std::vector<Truth> runs;
  std::string run_rows = "run,kind,x1,y1,x2,y2,xm,ym,height\n", piece_rows = "piece,run,length\n";
  std::map<std::string, std::pair<std::size_t, double>>
      starts;  // of a piece: its run, and what lies before it
  std::map<std::string, double> lengths;
  std::size_t joints = 0, ends = 0;
  for (int i = 0; i < 60; ++i) {
    runs.push_back(random_run(i, random));
    run_rows += row_of_run(runs.back());
    double before = 0;
    const auto pieces = cut_up(runs.back(), random);
    for (std::size_t p = 0; p < pieces.size(); ++p) {
      const std::string name = text("R%d-P%d", i, static_cast<int>(p));
      piece_rows += name + "," + runs.back().name + text(",%.9f\n", pieces[p]);
      starts[name] = {runs.size() - 1, before};
      lengths[name] = pieces[p];
      before += pieces[p];
    }
    const bool ring = runs.back().kind == "ring";
    joints += pieces.size() - (ring ? 0 : 1), ends += ring ? 0 : 2;
  }
  job.write("runs.csv", run_rows);
  job.write("pieces.csv", piece_rows);
  write_overhead(job,
                 {.drawing = "runs = \"runs.csv\"\npieces = \"pieces.csv\"\n",
                  .hangers = "max_spacing = \"1.2 m\"\nend_distance = \"200 mm\"\njoint_clear = \"60 mm\"\n",
                  .more = ""});
  const CommandResult r = job.run();
  REQUIRE(r.exit_code == 0);
  CHECK(r.err.find("do not add up") == std::string::npos);

  std::map<std::string, Place> hangers;
  for (const TableRow& p : table(job, "points.csv"))
    hangers[p.at("number")] = {number(p, "x"), number(p, "y")};
  std::map<std::string, std::size_t> marked;
  std::size_t joint_marks = 0, end_marks = 0, crossing_marks = 0;
  for (const TableRow& m : table(job, "piece-marks.csv")) {
    const auto& [run, before] = starts.at(m.at("piece"));
    const Truth& t = runs[run];
    CHECK(m.at("run") == t.name);
    const double along = number(m, "along_piece");
    CHECK(along >= -1e-5);
    CHECK(along <= lengths[m.at("piece")] + 2e-5);
    CHECK(std::abs(before + along - number(m, "along_run")) < 3e-5);
    if (m.at("mark") == "joint")
      ++joint_marks;
    else if (m.at("mark") == "end")
      ++end_marks;
    else if (m.at("mark") == "crossing")
      ++crossing_marks;
    else {
      ++marked[m.at("mark")];
      const Place &want = hangers.at(m.at("mark")), got = t.at(before + along);
      CAPTURE(m.at("mark"));
      CHECK(std::hypot(got.x - want.x, got.y - want.y) < 1e-4);
    }
    if (m.at("mark") == "joint") CHECK(std::abs(along - lengths[m.at("piece")]) < 2e-5);
  }
  CHECK(marked.size() == hangers.size());
  for (const auto& m : marked) CHECK(m.second == 1);
  CHECK(joint_marks == joints);
  CHECK(end_marks == ends);
  const TableRows parts = table(job, "parts.csv");
  CHECK(row_of(parts, "part", "hanger").at("count") == std::to_string(hangers.size()));
  CHECK(row_of(parts, "part", "joint").at("count") == std::to_string(joints));
  CHECK(row_of(parts, "part", "end").at("count") == std::to_string(ends));
  CHECK(row_of(parts, "part", "piece").at("count") == std::to_string(lengths.size()));
  CHECK(crossing_marks == 2 * table(job, "crossings.csv").size());
}

TEST_CASE("hangers keep to the rules of joints on simulated runs, or it is a doubt") {
  std::mt19937_64 random(1);
  std::size_t told = 0, kept = 0;
  JobFolder job;
  std::string run_rows = "run,kind,x1,y1,x2,y2,xm,ym,height\n";
  std::map<std::string, Truth> runs;
  for (int i = 0; i < 60; ++i) {
    const Truth t = random_run(i, random);
    run_rows += row_of_run(t);
    runs[t.name] = t;
  }
  job.write("runs.csv", run_rows);
  write_overhead(job, {.hangers = "max_spacing = \"1.2 m\"\nend_distance = \"200 mm\"\njoint_every = \"3 "
                                  "m\"\njoint_clear = \"80 mm\"\njoint_support = \"500 mm\"\n",
                       .more = ""});
  const CommandResult r = job.run();
  REQUIRE(r.exit_code == 0);
  std::map<std::string, std::vector<double>> along;
  std::map<std::string, std::vector<double>> joints;
  for (const TableRow& m : table(job, "piece-marks.csv")) {
    if (m.at("mark") == "joint")
      joints[m.at("run")].push_back(number(m, "along_run"));
    else if (m.at("mark") != "end" && m.at("mark") != "crossing")
      along[m.at("run")].push_back(number(m, "along_run"));
  }
  for (const auto& [name, t] : runs) {
    CAPTURE(name);
    if (r.err.find(name + " the ") != std::string::npos ||
        r.err.find("along " + name + " ") != std::string::npos) {
      ++told;
      continue;
    }
    ++kept;
    const auto& at = along[name];
    REQUIRE_FALSE(at.empty());
    for (std::size_t i = 1; i < at.size(); ++i) CHECK(at[i] - at[i - 1] < 1.2 + 3e-5);
    if (t.kind == "ring")
      CHECK(at.front() + t.length - at.back() < 1.2 + 3e-5);
    else if (t.length > 0.4)
      CHECK((at.front() < 0.2 + 2e-5 && t.length - at.back() < 0.2 + 2e-5));
    for (const double j : joints[name]) {
      double nearest = 1e9;
      for (const double a : at) {
        const double off = std::abs(a - j);
        nearest = std::min(nearest, t.kind == "ring" ? std::min(off, t.length - off) : off);
      }
      CHECK(nearest > 0.08 - 3e-5);
      CHECK(nearest < 0.5 + 3e-5);
    }
  }
  CHECK(kept >= 50);
  CHECK(told + kept == runs.size());
}
