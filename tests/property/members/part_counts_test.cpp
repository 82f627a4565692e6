// Parts of small random jobs against an independent count: what the drawing needs of every word, each part
// rounded up once over the job. Seed 1.
#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include "member_job.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr std::size_t kJobs = 50;
#else
constexpr std::size_t kJobs = 1000;
#endif

constexpr const char* kWords[] = {"hanger",   "joint",         "end-left",       "end-right",
                                  "wall",     "corner-inside", "corner-outside", "through-crossing",
                                  "crossing", "metre",         "piece"};

/// A part of the needs table; counts in thousandths.
struct Need {
  std::string part, per;
  long thousandths = 0;
};

/// What a job has beside its runs.
struct Extras {
  std::string points;  ///< rows; may have none
  std::string outlines;
  double low_x = 0, low_y = 0, high_x = 0, high_y = 0;  ///< of the outline, grown by nothing
  bool has_outline = false;
  std::size_t drawn = 0;  ///< hangers of the drawing's own
};

Extras random_extras(const MemberJob& job, std::mt19937_64& random) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  Extras out;
  for (std::size_t i = 0; i < random() % 6; ++i) {
    const auto& runs = job.world.groups[random() % job.world.groups.size()].runs;
    const StatedRun& run = runs[random() % runs.size()];
    const Spot at = run.line.at(run.line.length() * between(0.1, 0.9));
    const char* kinds[] = {"hanger", "", "anchor", "reference"};
    const std::size_t kind = random() % 4;
    const std::string of = random() % 3 == 0 ? "" : random() % 3 == 0 ? "loose" : run.name;
    const Spot drawn = job.world.origin + at;
    out.points +=
        text("P%d,%.6f,%.6f,2.5,", static_cast<int>(i), drawn.x, drawn.y) + kinds[kind] + "," + of + "\n";
    out.drawn += kind != 3;
  }
  if (random() % 3 != 0) return out;
  out.has_outline = true;
  const Spot middle{between(-3, 3), between(-3, 3)};
  const double wide = between(0.3, 1), deep = between(0.3, 1);
  out.low_x = middle.x - wide, out.high_x = middle.x + wide, out.low_y = middle.y - deep,
  out.high_y = middle.y + deep;
  out.outlines = "name,x,y\n";
  for (const Spot s : {Spot{out.low_x, out.low_y},
                       {out.high_x, out.low_y},
                       {out.high_x, out.high_y},
                       {out.low_x, out.high_y}})
    out.outlines += text("duct,%.6f,%.6f\n", job.world.origin.x + s.x, job.world.origin.y + s.y);
  return out;
}

/// Hangers in the outline, by their places; -1 where a hair decides.
int bridged(const Extras& extras, const std::vector<MemberRow>& points, const MemberJob& job,
            Findings& findings) {
  int count = 0;
  for (const MemberRow& row : points) {
    if (!extras.has_outline || row.at("kind") == "reference" || row.at("kind") == "support") continue;
    const auto [x, y] = spot_of(row, job, findings);
    const double inside =
        std::min({x - extras.low_x, extras.high_x - x, y - extras.low_y, extras.high_y - y});
    if (std::abs(inside) < 1e-4) return -1;
    count += inside > 0;
  }
  return count;
}

/// How many hangers are generated along a run: at the end distance from both ends, equal spaces, the fewest.
std::size_t generated(const StatedRun& run, const MemberJob& job) {
  const double length = run.line.length(), hair = 1e-9;
  if (run.is_ring())
    return static_cast<std::size_t>(std::max(1.0, std::ceil(length / job.max_spacing - hair)));
  const double between = length - 2 * std::max(0.0, job.end_distance);
  if (between <= 0) return 1;
  return static_cast<std::size_t>(std::ceil(between / job.max_spacing - hair)) + 1;
}

std::vector<Need> random_needs(std::mt19937_64& random) {
  std::vector<Need> out;
  const std::size_t rows = 2 + random() % 9;
  const long counts[] = {1000, 2000, 500, 250, 100, 3000, 1500, 700};
  for (std::size_t i = 0; i < rows; ++i)
    out.push_back({text("item %d", static_cast<int>(random() % 5)), kWords[random() % std::size(kWords)],
                   counts[random() % std::size(counts)]});
  return out;
}

std::string needs_table(const std::vector<Need>& needs) {
  std::string out = "part,per,count\n";
  for (const Need& n : needs)
    out += n.part + "," + n.per + text(",%g\n", static_cast<double>(n.thousandths) / 1000);
  return out;
}

/// What of each word the job has; the words of needs, then `parts.csv` with its members.
std::map<std::string, double> counted(const MemberJob& job, const Extras& extras) {
  std::map<std::string, double> n;
  n["hanger"] = static_cast<double>(extras.drawn);
  for (std::size_t g = 0; g < job.truth.size(); ++g) {
    for (const StatedRun& run : job.world.groups[g].runs)
      n["hanger"] += static_cast<double>(generated(run, job));
    for (const auto& [word, count] : counts_of(job.world.groups[g], job.truth[g])) n[word] += count;
  }
  return n;
}

using PartRows = std::map<std::pair<std::string, std::string>, MemberRow>;

PartRows part_rows(const std::string& parts_csv, Findings& findings) {
  PartRows out;
  for (const MemberRow& row : named_rows(parts_csv))
    if (!out.emplace(std::pair{row.at("part"), row.at("member")}, row).second)
      findings.tell("parts.csv: " + row.at("part") + " " + row.at("member") + " twice");
  return out;
}

/// One row of parts.csv, which may be left out where there is none of it.
class PartCheck {
 public:
  PartCheck(PartRows rows, Findings& findings) : rows_(std::move(rows)), findings_(findings) {}
  void want(const std::string& part, const std::string& member, double count) {
    known_.insert({part, member});
    const auto at = rows_.find({part, member});
    const double got = at == rows_.end() ? 0 : std::strtod(at->second.at("count").c_str(), nullptr);
    if (got != count)
      findings_.tell("parts.csv: " + part + (member.empty() ? "" : " " + member) +
                     text(": %g, expected %g", got, count));
  }
  /// A count that a hair decides: the row may say either.
  void pass_over(const std::string& part) { known_.insert({part, ""}); }
  void nothing_else() {
    for (const auto& [key, row] : rows_)
      if (!known_.contains(key))
        findings_.tell("parts.csv: " + key.first + " " + key.second + " must not be there");
  }

 private:
  PartRows rows_;
  Findings& findings_;
  std::set<std::pair<std::string, std::string>> known_;
};

void want_needs(PartCheck& check, const std::vector<Need>& needs, std::map<std::string, double>& n) {
  std::map<std::string, std::pair<long, double>> sums;  // thousandths of places, and of metres
  for (const Need& need : needs) {
    auto& [whole, metres] = sums[need.part];
    if (need.per == "metre")
      metres += static_cast<double>(need.thousandths) * n["metre"];
    else
      whole += need.thousandths * std::lround(n[need.per]);
  }
  for (const auto& [part, sum] : sums) {
    const double items = (static_cast<double>(sum.first) + sum.second) / 1000;
    if (sum.second != 0 && std::abs(items - std::round(items)) < 1e-4) {
      check.pass_over(part);
      continue;
    }
    check.want(part, "", sum.second == 0 ? static_cast<double>((sum.first + 999) / 1000) : std::ceil(items));
  }
}

/// Whether the job was counted: not where a hair decides whether a hanger is bridged. `trapezes`: those
/// found.
bool compare_parts(const MemberJob& job, const Extras& extras, const std::vector<Need>& needs,
                   const JobFolder& folder, Findings& findings, std::size_t& trapezes) {
  std::map<std::string, double> n = counted(job, extras);
  const int in_way = bridged(extras, named_rows(output_of(folder, "points.csv", findings)), job, findings);
  PartCheck check(part_rows(output_of(folder, "parts.csv", findings), findings), findings);
  if (in_way < 0) return false;
  trapezes += static_cast<std::size_t>(in_way);
  check.want("hanger", "", n["hanger"] - in_way);
  check.want("support", "", 2 * in_way);
  check.want("trapeze", "", in_way);
  for (const char* word : {"joint", "end", "corner", "piece"}) check.want(word, "", n[word]);
  check.want("crossing", "", n["crossing place"]);
  for (const std::string member : {"left", "right", "inside", "outside"})
    check.want("piece", member, n["piece " + member]);
  for (const std::string word : {"end-left", "end-right"})
    for (const std::string member : {"", "left", "right", "inside", "outside"})
      check.want(word, member, n[word + " " + member]);
  want_needs(check, needs, n);
  check.nothing_else();
  return true;
}

}  // namespace

TEST_CASE("parts of random jobs are those of an independent count") {
  std::mt19937_64 random(1);
  std::vector<std::string> wrong;
  std::map<std::string, std::size_t> jobs_with;
  std::size_t jobs_counted = 0, trapezes = 0;
  for (std::size_t j = 0; j < kJobs; ++j) {
    const MemberJob job = random_member_job(1 + random() % 3, random() % kShapes, random);
    const Extras extras = random_extras(job, random);
    const std::vector<Need> needs = random_needs(random);
    JobFolder folder;
    std::string tables = "needs = \"needs.csv\"\n", sections = "[deck]\nelevation = \"4 m\"\n";
    if (!extras.points.empty()) tables += "points = \"points.csv\"\n";
    if (extras.has_outline) sections += "[obstructions]\noutlines = \"ducts.csv\"\n";
    folder.write("points.csv", "point,x,y,height,kind,run\n" + extras.points);
    folder.write("needs.csv", needs_table(needs));
    folder.write("ducts.csv", extras.outlines);
    write_member_job(folder, job, {tables, sections});
    const CommandResult result = folder.run({"run", ".", "--quiet"});
    Findings findings(text("job %d", static_cast<int>(j)));
    if (result.exit_code != 0)
      findings.tell(text("status %d: ", result.exit_code) + first_line(result.err));
    else
      jobs_counted += compare_parts(job, extras, needs, folder, findings, trapezes);
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
    for (const auto& [word, count] : counted(job, extras)) jobs_with[word] += count > 0;
  }
  tell_findings(wrong);
  CHECK(jobs_counted >= kJobs - kJobs / 100);
  CHECK(trapezes > kJobs / 10);
  for (const char* word : kWords)
    CHECK_MESSAGE(jobs_with[word] > kJobs / 20, std::string(word) << " in " << jobs_with[word] << " jobs");
}
