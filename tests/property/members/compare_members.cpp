// The files of a job of members against what is true of it.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "member_job.h"
#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kBound = 0.00005;    // 0.05 mm
constexpr double kBeside = 0.0001;    // 0.1 mm of a mark beside its hanger
constexpr double kOnJoint = 0.00006;  // a place on a joint: the bound, and the last digit of a file
// Ends that are left open by up to 0.8 mm meet at a place between them: which is not said, so it may be off
// by the opening, along a run that is met at 45 degrees by half as much again. An arc of 0.8 m, the least
// here, turns by 0.06 degrees over it.
constexpr double kOpen = 1.5, kOpenTurn = 0.06;  // of the opening; degrees

/// Cells by name, empty where the column is missing (told once elsewhere by what it should hold).
std::string cell(const MemberRow& row, const std::string& column) {
  const auto at = row.find(column);
  return at == row.end() ? std::string("(no column)") : at->second;
}

const char* word_of(Shape shape) {
  constexpr const char* words[kShapes] = {"alone",    "corner",       "chain",    "tee",     "tee_over",
                                          "crossing", "ring_crossed", "ring_end", "heights", "star",
                                          "nearly",   "straight",     "loop",     "ladder",  "grid"};
  return words[static_cast<std::size_t>(shape)];
}

std::string who(const MemberJob& job, std::size_t group, const TrueMember& m) {
  const RunGroup& g = job.world.groups[group];
  return "run " + g.runs[m.run].name + (m.name.empty() ? "" : " " + m.name) + " (" + word_of(g.shape) + ", " +
         g.runs[m.run].kind + ")";
}

/// Where hanging begins: the inside of a bend first, of a line where another run is first met along it.
std::string order_of(const RunGroup& group, const GroupTruth& truth, const TrueMember& m) {
  if (group.runs[m.run].kind != "line") return m.name == "outside" ? "second" : "first";
  double first = group.runs[m.run].line.length();
  std::string order = "middle";
  for (const TrueMeeting& met : truth.meetings) {
    if (met.kind == TrueMeeting::Kind::corner || (met.first != m.run && met.second != m.run)) continue;
    const double along = met.first == m.run ? met.along_first : met.along_second;
    if (along > first) continue;
    first = along;
    order = "from " + group.runs[met.first == m.run ? met.second : met.first].name;
  }
  return order;
}

}  // namespace

void compare_members(const MemberJob& job, const std::string& members_csv, Findings& findings) {
  std::map<std::pair<std::string, std::string>, MemberRow> rows;
  for (const MemberRow& row : named_rows(members_csv))
    if (!rows.emplace(std::pair{cell(row, "run"), cell(row, "member")}, row).second)
      findings.tell("members.csv: run " + cell(row, "run") + " " + cell(row, "member") + " twice");
  std::size_t wanted = 0;
  for (std::size_t g = 0; g < job.truth.size(); ++g)
    for (const TrueMember& m : job.truth[g].members) {
      ++wanted;
      const std::string what = "members.csv: " + who(job, g, m);
      const auto at = rows.find({job.world.groups[g].runs[m.run].name, m.name});
      if (at == rows.end()) {
        findings.tell(what + " is missing");
        continue;
      }
      findings.length(what + " length", metres_of(at->second, "length", job, findings), m.length(), kBound);
      findings.word(what + " start", cell(at->second, "start"), m.end[kStart]);
      findings.word(what + " finish", cell(at->second, "finish"), m.end[kFinish]);
      findings.word(what + " order", cell(at->second, "order"),
                    order_of(job.world.groups[g], job.truth[g], m));
    }
  if (rows.size() > wanted)
    findings.tell(
        text("members.csv: %d rows, expected %d", static_cast<int>(rows.size()), static_cast<int>(wanted)));
}

namespace {

/// A meeting of runs as a row of crossings.csv, run1 first in the table.
struct WantedCrossing {
  std::string run1, run2, through;
  Spot at;
  double along1 = 0, along2 = 0, angle = 0, open = 0;
  double round1 = 0, round2 = 0;  ///< a ring's length, else 0
  bool corner = false;
  const char* shape = "";
};

std::vector<WantedCrossing> wanted_crossings(const MemberJob& job) {
  std::vector<WantedCrossing> out;
  for (std::size_t g = 0; g < job.truth.size(); ++g)
    for (const TrueMeeting& met : job.truth[g].meetings) {
      const RunGroup& group = job.world.groups[g];
      const StatedRun &a = group.runs[met.first], &b = group.runs[met.second];
      WantedCrossing w{a.name,          b.name,           {},        a.line.at(met.along_first),
                       met.along_first, met.along_second, met.angle, met.open};
      w.round1 = a.is_ring() ? a.line.length() : 0, w.round2 = b.is_ring() ? b.line.length() : 0;
      if (met.first > met.second)
        std::swap(w.run1, w.run2), std::swap(w.along1, w.along2), std::swap(w.round1, w.round2);
      w.corner = met.kind == TrueMeeting::Kind::corner;
      if (!w.corner) w.through = group.runs[met.through].name;
      w.shape = word_of(group.shape);
      out.push_back(w);
    }
  return out;
}

double round_off(double off, double round) { return round > 0 ? std::remainder(off, round) : off; }

void compare_crossing(const MemberRow& row, const WantedCrossing& w, const MemberJob& job,
                      Findings& findings) {
  const std::string what = "crossings.csv: " + w.run1 + " with " + w.run2 + " (" + w.shape + ")";
  const double bound = kBound + w.open * kOpen;
  const Spot at = spot_of(row, job, findings);
  findings.length(what + " x", at.x, w.at.x, bound);
  findings.length(what + " y", at.y, w.at.y, bound);
  findings.length(what + " along1", round_off(metres_of(row, "along1", job, findings) - w.along1, w.round1),
                  0, bound);
  findings.length(what + " along2", round_off(metres_of(row, "along2", job, findings) - w.along2, w.round2),
                  0, bound);
  const double angle = std::strtod(cell(row, "angle").c_str(), nullptr),
               slack = w.open > 0 ? kOpenTurn : 1e-4;
  if (std::abs(angle - w.angle) > slack)
    findings.tell(what + text(" angle %.5f, expected %.5f", angle, w.angle));
  if (w.corner) {
    const double mitre = std::strtod(cell(row, "mitre").c_str(), nullptr);
    if (cell(row, "mitre").empty() || std::abs(mitre - w.angle / 2) > slack)
      findings.tell(what + " mitre " + cell(row, "mitre") + text(", expected %.5f", w.angle / 2));
  } else {
    findings.word(what + " mitre", cell(row, "mitre"), "");
  }
  findings.word(what + " through", cell(row, "through"), w.through);
}

}  // namespace

void compare_crossings(const MemberJob& job, const std::string& crossings_csv, Findings& findings) {
  using Pair = std::pair<std::string, std::string>;
  std::map<Pair, std::vector<WantedCrossing>> wanted;
  for (const WantedCrossing& w : wanted_crossings(job)) wanted[{w.run1, w.run2}].push_back(w);
  std::map<Pair, std::vector<MemberRow>> got;
  for (const MemberRow& row : named_rows(crossings_csv))
    got[{cell(row, "run1"), cell(row, "run2")}].push_back(row);
  for (const auto& [pair, rows] : got)
    if (!wanted.contains(pair))
      findings.tell("crossings.csv: " + pair.first + " with " + pair.second + " do not meet");
  for (auto& [pair, all] : wanted) {
    std::vector<MemberRow>& rows = got[pair];
    if (rows.size() != all.size()) {
      findings.tell(
          "crossings.csv: " + pair.first + " with " + pair.second + " (" + all[0].shape +
          text("): %d rows, expected %d", static_cast<int>(rows.size()), static_cast<int>(all.size())));
      continue;
    }
    const auto nearer = [&](const MemberRow& row, const WantedCrossing& w) {
      return distance(spot_of(row, job, findings), w.at);
    };
    for (const MemberRow& row : rows) {
      const auto best = std::min_element(
          all.begin(), all.end(),
          [&](const WantedCrossing& a, const WantedCrossing& b) { return nearer(row, a) < nearer(row, b); });
      compare_crossing(row, *best, job, findings);
      all.erase(best);
    }
  }
}

namespace {

/// A mark that must stand on a member.
struct WantedMark {
  double along = 0;
  bool may_lack = false;  ///< a hair decides whether the member reaches it
};

struct Hanger {
  std::string number;
  Spot at;
};

std::map<std::string, std::vector<Hanger>> hangers_by_run(const MemberJob& job, const std::string& points_csv,
                                                          Findings& findings) {
  std::map<std::string, std::vector<Hanger>> out;
  for (const MemberRow& row : named_rows(points_csv))
    if (cell(row, "kind") != "reference")
      out[cell(row, "run")].push_back({cell(row, "number"), spot_of(row, job, findings)});
  return out;
}

/// The marks of one member, with the rows that the program gives it.
class MemberMarks {
 public:
  MemberMarks(const MemberJob& job, std::size_t group, const TrueMember& m, Findings& findings)
      : job_(job),
        run_(job.world.groups[group].runs[m.run]),
        m_(m),
        findings_(findings),
        what_("piece-marks.csv: " + who(job, group, m) + " mark ") {}

  void want(const std::vector<Hanger>& hangers) {
    for (const TrueMark& mark : m_.marks) wanted_[mark.word].push_back({mark.along, false});
    for (const Hanger& h : hangers) {
      const double along = Beside{run_.line, 0}.nearest(h.at, 0, run_.line.length());
      const double over = run_.is_ring() ? -1 : std::max(m_.from - along, along - m_.to);
      if (over > kBound) {
        beyond_[h.number] = over;
        continue;
      }
      wanted_[h.number].push_back({along, std::abs(over) < kBound && std::abs(over) > 1e-5});
      spots_[h.number] = h.at;
    }
  }
  void got(const MemberRow& row) { rows_[cell(row, "mark")].push_back(row); }

  void compare() {
    for (const auto& [mark, rows] : rows_)
      if (!wanted_.contains(mark))
        findings_.tell(what_ + mark + text(" must not be there, at %.5f m", along(rows[0])) +
                       how_far_beyond(mark));
    for (auto& [mark, wanted] : wanted_) {
      std::vector<MemberRow>& rows = rows_[mark];
      if (rows.empty() && wanted.size() == 1 && wanted[0].may_lack) continue;
      if (rows.size() != wanted.size()) {
        findings_.tell(what_ + mark +
                       text(": %d, expected %d, the first at %.5f m", static_cast<int>(rows.size()),
                            static_cast<int>(wanted.size()), wanted[0].along));
        continue;
      }
      std::sort(rows.begin(), rows.end(),
                [&](const MemberRow& a, const MemberRow& b) { return place(along(a)) < place(along(b)); });
      std::sort(wanted.begin(), wanted.end(),
                [&](const WantedMark& a, const WantedMark& b) { return place(a.along) < place(b.along); });
      for (std::size_t i = 0; i < rows.size(); ++i) compare_one(mark, rows[i], wanted[i]);
    }
  }

 private:
  std::string how_far_beyond(const std::string& mark) const {
    const auto at = beyond_.find(mark);
    return at == beyond_.end() ? std::string()
                               : text(": the member ends %.2f mm before its hanger", at->second * 1000);
  }
  double along(const MemberRow& row) { return metres_of(row, "along_run", job_, findings_); }
  double round() const { return run_.is_ring() ? run_.line.length() : 0; }
  /// A ring's beginning and its length are one place.
  double place(double along) const {
    return round() > 0 && along > round() - kBound ? along - round() : along;
  }

  void compare_one(const std::string& mark, const MemberRow& row, const WantedMark& want) {
    const double off = round_off(along(row) - want.along, round());
    findings_.length(what_ + mark + " along_run", want.along + off, want.along, kBound);
    const double on_piece = metres_of(row, "along_piece", job_, findings_);
    std::string expected;
    for (const TruePiece& piece : m_.pieces)
      for (const double turn : {0.0, round(), -round()}) {
        const double at = want.along + turn;
        if (at < piece.from - kOnJoint || at > piece.to + kOnJoint) continue;
        const double length = m_.line.length(piece.from, at);
        if (piece.name == cell(row, "piece") && std::abs(length - on_piece) <= kBound)
          return hang(mark, row, piece);
        expected += (expected.empty() ? "" : " or ") + piece.name + text(" at %.5f m", length);
      }
    findings_.tell(what_ + mark + ": on " + cell(row, "piece") + text(" at %.5f m, expected ", on_piece) +
                   expected);
  }

  /// The piece hangs where it belongs; one goes along it as the row says, and stands beside the hanger.
  void hang(const std::string& mark, const MemberRow& row, const TruePiece& piece) {
    const auto spot = spots_.find(mark);
    if (spot == spots_.end()) return;
    const double at = m_.line.after(piece.from, metres_of(row, "along_piece", job_, findings_));
    const Spot on_member = m_.line.at(at);
    const double foot = Beside{run_.line, 0}.nearest(on_member, at - 0.3, at + 0.3);
    findings_.length(what_ + mark + " beside its hanger, along", distance(run_.line.at(foot), spot->second),
                     0, kBeside);
    findings_.length(what_ + mark + " from its hanger", distance(on_member, spot->second),
                     std::abs(m_.line.left), kBeside);
  }

  const MemberJob& job_;
  const StatedRun& run_;
  const TrueMember& m_;
  Findings& findings_;
  std::string what_;
  std::map<std::string, std::vector<WantedMark>> wanted_;
  std::map<std::string, std::vector<MemberRow>> rows_;
  std::map<std::string, Spot> spots_;
  std::map<std::string, double> beyond_;  ///< hangers of the run that the member does not reach
};

}  // namespace

void compare_marks(const MemberJob& job, const std::string& marks_csv, const std::string& points_csv,
                   Findings& findings) {
  auto hangers = hangers_by_run(job, points_csv, findings);
  std::map<std::pair<std::string, std::string>, MemberMarks> members;
  for (std::size_t g = 0; g < job.truth.size(); ++g)
    for (const TrueMember& m : job.truth[g].members) {
      if (m.pieces.empty()) continue;
      const std::string& run = job.world.groups[g].runs[m.run].name;
      auto at = members.emplace(std::pair{run, m.name}, MemberMarks(job, g, m, findings));
      at.first->second.want(hangers[run]);
    }
  for (const MemberRow& row : named_rows(marks_csv)) {
    const auto at = members.find({cell(row, "run"), cell(row, "member")});
    if (at == members.end())
      findings.tell("piece-marks.csv: run " + cell(row, "run") + " has no pieces on member \"" +
                    cell(row, "member") + "\"");
    else
      at->second.got(row);
  }
  for (auto& entry : members) entry.second.compare();
}

}  // namespace deckmark_test
