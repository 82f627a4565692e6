#include "member_job.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <tuple>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kGrid = 60;  // between groups, far more than one reaches

double between(double low, double high, std::mt19937_64& random) {
  return std::uniform_real_distribution(low, high)(random);
}

void give_names(RunGroup& group, std::size_t& count) {
  for (StatedRun& run : group.runs) run.name = text("R%d", static_cast<int>(++count));
}

Cutting any_cutting(const StatedRun& run, bool has_every, std::mt19937_64& random) {
  switch (random() % 4) {
    case 0:
      return has_every ? Cutting::every : Cutting::by_run;
    case 1:
      return run.is_pair() ? Cutting::by_member : Cutting::by_run;
    case 2:
      return Cutting::by_run;
    default:
      return has_every ? Cutting::every : run.is_pair() ? Cutting::by_member : Cutting::by_run;
  }
}

bool cut_all(RunGroup& group, GroupTruth& truth, double every, std::mt19937_64& random) {
  for (std::size_t r = 0; r < group.runs.size(); ++r) {
    StatedRun& run = group.runs[r];
    if (every == 0 && random() % 10 == 0) continue;  // without pieces
    if (cut_into_pieces(run, r, truth, any_cutting(run, every > 0, random), every, random)) continue;
    if (!cut_into_pieces(run, r, truth, Cutting::by_run, every, random)) return false;
  }
  return true;
}

}  // namespace

MemberJob random_member_job(std::size_t groups, std::size_t first, std::mt19937_64& random) {
  MemberJob job;
  job.world.mirrored = random() % 4 == 0;
  if (random() % 2 == 0) job.world.separation = std::round(between(0.15, 0.4, random) * 1000) / 1000;
  if (random() % 2 == 0) job.world.member_width = std::round(between(0.02, 0.06, random) * 1000) / 1000;
  if (random() % 4 == 0) job.world.origin = {480000, -5200000};
  job.max_spacing = std::round(between(0.7, 1.5, random) * 1000) / 1000;
  if (random() % 4 != 0) job.end_distance = std::round(between(0.1, 0.3, random) * 1000) / 1000;
  if (random() % 2 == 0) job.joint_every = std::round(between(1.8, 3, random) * 1000) / 1000;
  const std::pair<const char*, double> units[] = {{"m", 1}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}};
  std::tie(job.unit, job.unit_metres) = units[random() % 4];
  std::size_t names = 0;
  for (std::size_t g = 0; g < groups; ++g) {
    const Spot round{kGrid * static_cast<double>(g % 6), kGrid * static_cast<double>(g / 6)};
    const auto shape = static_cast<Shape>((first + g) % kShapes);
    for (int tries = 0;; ++tries) {
      if (tries > 400) throw std::runtime_error("no clear group of runs after 400 tries");
      RunGroup group = random_group(shape, round, job.world, random);
      std::size_t count = names;
      give_names(group, count);
      GroupTruth truth = truth_of(group, job.world);
      if (!truth.unclear.empty() || !cut_all(group, truth, job.joint_every, random)) {
        ++job.drawn_anew;
        continue;
      }
      names = count;
      job.world.groups.push_back(std::move(group));
      job.truth.push_back(std::move(truth));
      break;
    }
  }
  return job;
}

void write_member_job(JobFolder& folder, const MemberJob& job, const MoreOfJob& more) {
  const std::string pieces = pieces_table(job.world);
  std::string toml = "[drawing]\nruns = \"runs.csv\"\n" + more.drawing;
  if (std::count(pieces.begin(), pieces.end(), '\n') > 1) toml += "pieces = \"pieces.csv\"\n";
  if (job.world.mirrored) toml += "mirrored = true\n";
  if (job.world.separation > 0) toml += text("separation = \"%.3f m\"\n", job.world.separation);
  if (job.world.member_width > 0) toml += text("member_width = \"%.3f m\"\n", job.world.member_width);
  toml += text("[hangers]\nmax_spacing = \"%.3f m\"\n", job.max_spacing);
  if (job.end_distance >= 0) toml += text("end_distance = \"%.3f m\"\n", job.end_distance);
  if (job.joint_every > 0) toml += text("joint_every = \"%.3f m\"\n", job.joint_every);
  toml += "[list]\nunit = \"" + job.unit + "\"\n" + more.sections;
  folder.write("job.toml", toml);
  folder.write("runs.csv", runs_table(job.world));
  folder.write("pieces.csv", pieces);
}

double metres_of(const MemberRow& row, const std::string& column, const MemberJob& job, Findings& findings) {
  const auto at = row.find(column);
  if (at == row.end() || at->second.empty()) {
    findings.tell("no " + column + " in a row");
    return std::nan("");
  }
  return std::strtod(at->second.c_str(), nullptr) * job.unit_metres;
}

Spot spot_of(const MemberRow& row, const MemberJob& job, Findings& findings) {
  return Spot{metres_of(row, "x", job, findings), metres_of(row, "y", job, findings)} - job.world.origin;
}

}  // namespace deckmark_test
