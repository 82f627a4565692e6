// Pieces laid along members, and what is counted.
#include <algorithm>
#include <cmath>

#include "members_truth.h"
#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kRoom = 0.05;  // from a joint to the end of its member
constexpr double kAddsUp = 0.001;

/// Lengths that add up to a whole, none short.
std::vector<double> random_lengths(double whole, std::mt19937_64& random) {
  std::vector<double> out;
  for (double left = whole; left > 0;) {
    double piece = std::round(std::uniform_real_distribution(1.2, 3.2)(random) * 1e4) / 1e4;
    if (left - piece < 1.2) piece = left;
    out.push_back(piece);
    left -= piece;
  }
  return out;
}

std::vector<double> equal_lengths(double whole, double every) {
  std::vector<double> out;
  for (double at = 0; whole - at > kAddsUp; at += every) out.push_back(std::min(every, whole - at));
  return out;
}

/// Where pieces end beside the run's line, all but the last.
std::vector<double> joints_of(const std::vector<double>& lengths) {
  std::vector<double> out;
  double at = 0;
  for (std::size_t i = 0; i + 1 < lengths.size(); ++i) out.push_back(at += lengths[i]);
  return out;
}

bool is_closed(const TrueMember& m) { return m.end[kStart].empty(); }

void lay(TrueMember& m, const std::vector<double>& joints, const std::vector<std::string>& names) {
  double from = m.from;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const double to = i < joints.size() ? joints[i] : m.to;
    m.pieces.push_back({names[i], from, to});
    if (i < joints.size() || is_closed(m)) m.marks.push_back({"joint", to});
    from = to;
  }
}

std::vector<TrueMember*> members_of(GroupTruth& truth, std::size_t run) {
  std::vector<TrueMember*> out;
  for (TrueMember& m : truth.members)
    if (m.run == run) out.push_back(&m);
  return out;
}

/// Places of the notches of a piece, none where one lies in a joint: it could be stated on either piece.
std::vector<double> notches_on(const TrueMember& m, const TruePiece& piece) {
  std::vector<double> out;
  for (const TrueMark& mark : m.marks) {
    if (mark.word != "notch" || mark.along < piece.from - 0.01 || mark.along > piece.to + 0.01) continue;
    if (mark.along < piece.from + 0.01 || mark.along > piece.to - 0.01) return {};
    out.push_back(m.line.length(piece.from, mark.along));
  }
  return out;
}

bool cut_by_run(StatedRun& run, const std::vector<TrueMember*>& members, const std::vector<double>& lengths,
                bool state) {
  const std::vector<double> joints = joints_of(lengths);
  for (const TrueMember* m : members)
    for (const double j : joints)
      if (j < m->from + kRoom || j > m->to - kRoom) return false;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    names.push_back(run.name + text(state ? "-%d" : "/%d", static_cast<int>(i + 1)));
    if (state) run.pieces.push_back({names.back(), "", lengths[i], {}});
  }
  for (TrueMember* m : members) lay(*m, joints, names);
  return true;
}

void cut_by_member(StatedRun& run, const std::vector<TrueMember*>& members, std::mt19937_64& random) {
  std::vector<std::vector<StatedPiece>> rows;
  for (TrueMember* m : members) {
    const std::vector<double> lengths = random_lengths(m->length(), random);
    std::vector<double> joints = joints_of(lengths);
    for (double& j : joints) j = m->line.after(m->from, j);
    std::vector<std::string> names;
    rows.emplace_back();
    for (std::size_t i = 0; i < lengths.size(); ++i) {
      names.push_back(run.name + "-" + m->name + text("-%d", static_cast<int>(i + 1)));
      rows.back().push_back({names.back(), m->name, lengths[i], {}});
    }
    lay(*m, joints, names);
    for (std::size_t i = 0; i < names.size(); ++i) rows.back()[i].notches = notches_on(*m, m->pieces[i]);
  }
  // The members' rows one behind the other, or by turns: the order is that of each member alone.
  const bool by_turns = random() % 2 == 0;
  for (std::size_t i = 0; by_turns && i < std::max(rows.front().size(), rows.back().size()); ++i)
    for (const auto& of_member : rows)
      if (i < of_member.size()) run.pieces.push_back(of_member[i]);
  for (std::size_t r = 0; !by_turns && r < rows.size(); ++r)
    run.pieces.insert(run.pieces.end(), rows[r].begin(), rows[r].end());
}

void count_ends(const TrueMember& m, std::map<std::string, double>& n) {
  for (const End e : {kStart, kFinish}) {
    if (m.end[e] == "wall") ++n["wall"], ++n["end"];
    if (m.end[e] != "free") continue;
    ++n["end"];
    // Seen from outside the pair: beside the left member one looks to the right, the finish is at one's left.
    const bool at_left = m.name.empty() ? e == kStart : m.site_left == (e == kFinish);
    const std::string word = at_left ? "end-left" : "end-right";
    ++n[word], ++n[word + " " + m.name];
  }
}

}  // namespace

bool cut_into_pieces(StatedRun& run, std::size_t index, GroupTruth& truth, Cutting how, double every,
                     std::mt19937_64& random) {
  const std::vector<TrueMember*> members = members_of(truth, index);
  const double length = run.line.length();
  switch (how) {
    case Cutting::none:
      return true;
    case Cutting::every:
      return cut_by_run(run, members, equal_lengths(length, every), false);
    case Cutting::by_run:
      return cut_by_run(run, members, random_lengths(length, random), true);
    case Cutting::by_member:
      cut_by_member(run, members, random);
      return true;
  }
  return false;
}

std::map<std::string, double> counts_of(const RunGroup& group, const GroupTruth& truth) {
  std::map<std::string, double> n;
  for (const TrueMember& m : truth.members) {
    count_ends(m, n);
    n["metre"] += m.length();
    n["piece"] += static_cast<double>(m.pieces.size());
    n["piece " + m.name] += static_cast<double>(m.pieces.size());
    for (const TrueMark& mark : m.marks) n["joint"] += mark.word == "joint" ? 1 : 0;
  }
  for (const TrueMeeting& met : truth.meetings) {
    if (met.kind != TrueMeeting::Kind::corner) {
      ++n["crossing place"];
      continue;
    }
    ++n["corner"], ++n["corner-outside"];
    if (group.runs[met.first].is_pair() && group.runs[met.second].is_pair()) ++n["corner-inside"];
  }
  n["through-crossing"] = n["crossing"] = static_cast<double>(truth.cuts.size());
  return n;
}

}  // namespace deckmark_test
