#include "stages/moved_control.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>
#include <span>
#include <utility>

#include "measure/letters.h"
#include "report/words.h"
#include "stages/stake.h"

namespace deckmark {

namespace {

/// Points that are told in one doubt.
struct Group {
  std::vector<std::uint32_t> points;
  ControlMove move;
  std::string since;
  bool most = false;  ///< most of the control, by one vector
};

/// `S1, S2`, and how many more where there are many.
std::string some(const std::vector<std::string>& names) {
  constexpr std::size_t kNamed = 6;
  const std::size_t shown = std::min(names.size(), kNamed);
  std::string text = fmt::format("{}", fmt::join(std::span(names).first(shown), ", "));
  if (names.size() > shown) text += fmt::format(" and {} more", names.size() - shown);
  return text;
}

std::string issues_words(std::span<const ControlMove> moves) {
  std::set<std::uint32_t> since;
  for (const ControlMove& m : moves) since.insert(m.since);
  return fmt::format("issue{} {}", since.size() == 1 ? "" : "s", fmt::join(since, ", "));
}

/// `when`: in words, of the moves of one group.
template <class When>
std::vector<Group> groups_of(const ControlMoves& moves, When when) {
  std::vector<Group> out;
  const auto common = common_move(moves);
  std::vector<ControlMove> alike, others;
  for (const ControlMove& m : moves.moved) (common && m.is_alike(*common) ? alike : others).push_back(m);
  const auto add = [&](std::span<const ControlMove> of, const ControlMove& move, bool most) {
    Group group{{}, move, when(of), most};
    for (const ControlMove& m : of) group.points.push_back(m.point);
    out.push_back(std::move(group));
  };
  if (common) add(alike, *common, true);
  for (const ControlMove& m : others) add(std::span(&m, 1), m, false);
  return out;
}

class MovedControl {
 public:
  MovedControl(const MovedControlStated& stated, const IssueFound* issue, const LaidOut* laid,
               const Setups* setups)
      : stated_(stated), issue_(issue), laid_(laid), setups_(setups) {}

  Messages tell() {
    Messages told;
    for (const Group& group : groups()) {
      const bool all = group.points.size() == stated_.control.size();
      const std::string text = moved(group) + touched(group) + ": " + std::string(cure());
      if (group.most)
        told.doubt("control that moved", stated_.control_table.table->whole(), "file",
                   fmt::format("{} control moved {}", all ? "the whole" : "most of the", text));
      else
        told.doubt("control that moved", cell_of(stated_.control_table, group.points.front(), "point"),
                   "point", fmt::format("{} moved {}", name(group.points.front()), text));
    }
    return told;
  }

 private:
  /// One point is told once, though an issue and a signed fit both have it elsewhere.
  std::vector<Group> groups() const {
    const std::vector<KeptControl> now = kept_control(stated_.control);
    const std::uint32_t last = stated_.ledger.last_issue();
    std::vector<Group> out =
        groups_of(control_moves(stated_.issued, now, issue_ ? issue_->number : last, last), issues_words);
    if (!stated_.checks.signed_fit) return out;
    const SignedBaselines& fit = *stated_.checks.signed_fit;
    const std::string when = fmt::format("the fit signed on {}", fit.on);
    for (Group& group : groups_of(control_moves(fit.control, now), [&](const auto&) { return when; })) {
      const auto same = std::ranges::find_if(
          out, [&](const Group& other) { return std::ranges::includes(other.points, group.points); });
      if (same == out.end())
        out.push_back(std::move(group));
      else if (same->move.is_alike(group.move))
        same->since += " and " + group.since;
      else
        same->since += fmt::format(", {} since {}", vector_words(group.move), group.since);
    }
    return out;
  }

  std::string moved(const Group& group) const {
    std::string text = fmt::format("by {} since {}", vector_words(group.move), group.since);
    if (group.most) text += fmt::format(" ({})", some(names_of(group.points)));
    return text;
  }

  /// `N 90.0 mm, W 12.0 mm, down 5.0 mm`.
  std::string vector_words(const ControlMove& move) const {
    std::vector<std::string> parts;
    const auto add = [&](Kept by, std::string_view more, std::string_view less) {
      if (by.is_none()) return;
      const std::string size = length_words(abs(by.length()), stated_.words);
      if (size == length_words(Length::metres(0), stated_.words)) return;
      parts.push_back(fmt::format("{} {}", by.micrometres() > 0 ? more : less, size));
    };
    add(move.north, "N", "S");
    add(move.east, "E", "W");
    add(move.up, "up", "down");
    return fmt::format("{}", fmt::join(parts, ", "));
  }

  /// What the points touch: setups, what is staked from these, ties that were measured with them.
  std::string touched(const Group& group) const {
    std::vector<std::string> sighting, standing, ties;
    std::size_t staking = 0;
    const auto& all = stated_.instrument.setups;
    for (std::size_t s = 0; s < all.size(); ++s) {
      const bool sights = any_sighted(all[s], group), stands = stands_on(all[s], group);
      if (sights) sighting.push_back(all[s].name);
      if (stands) standing.push_back(all[s].name);
      if (!sights && !stands) continue;
      if (setups_ && setups_->setups[s] && has_stakes(*setups_->setups[s])) ++staking;
      for (const NamedTie& tie : stated_.ties)
        if (is_among(all[s].targets, tie.name)) put(ties, tie.name);
    }
    for (const NamedTie& tie : stated_.ties)
      if (is_among(names_of(group.points), tie.name)) put(ties, tie.name);
    const auto of = [](const std::vector<std::string>& names, std::string_view one, std::string_view many) {
      if (names.empty()) return std::string();
      return fmt::format("; setup{} {} {}", names.size() == 1 ? "" : "s", some(names),
                         names.size() == 1 ? one : many);
    };
    std::string text = of(sighting, "sights it", "sight it") + of(standing, "stands on it", "stand on it");
    if (staking > 0 && laid_)
      text += fmt::format("; {} mark{} staked from {}", staked(), staked() == 1 ? " is" : "s are",
                          staking == 1 ? "there" : "them");
    if (!ties.empty())
      text += fmt::format("; tie{} {} measured with it", ties.size() == 1 ? "" : "s",
                          some(ties) + (ties.size() == 1 ? " was" : " were"));
    return text;
  }

  std::string_view cure() const {
    if (stated_.checks.signed_fit)
      return "measure the ties again and sign a new fit, or put the old control back";
    if (stated_.ties_are_read)
      return "the ties follow, since they are read from sights to it: look that it moved as a whole, or put "
             "the "
             "old control back";
    if (stated_.states_ties) return "measure the ties again, or put the old control back";
    return "check a mark that stands from the control as it is now, or put the old control back";
  }

  /// Every setup stakes all marks that are listed.
  std::size_t staked() const {
    if (stated_.only.empty()) return laid_->marks.size();
    std::size_t count = 0;
    for (std::size_t m = 0; m < laid_->marks.size(); ++m)
      count += is_listed(*laid_->marks, stated_.only, m) ? 1U : 0U;
    return count;
  }

  bool any_sighted(const StatedSetup& setup, const Group& group) const {
    return std::ranges::any_of(group.points, [&](std::uint32_t p) {
      return is_among(setup.targets, name(p)) || std::ranges::count(setup.plan, p) > 0;
    });
  }
  static bool stands_on(const StatedSetup& setup, const Group& group) {
    return setup.place == SetupPlace::known && setup.control &&
           std::ranges::count(group.points, *setup.control) > 0;
  }
  static bool is_among(const std::vector<std::string>& names, const std::string& name) {
    return std::ranges::any_of(names, [&](const std::string& n) { return same_name(n, name); });
  }
  static void put(std::vector<std::string>& names, const std::string& name) {
    if (!is_among(names, name)) names.push_back(name);
  }
  const std::string& name(std::uint32_t point) const { return stated_.control[point].name; }
  std::vector<std::string> names_of(const std::vector<std::uint32_t>& points) const {
    std::vector<std::string> out;
    for (const std::uint32_t p : points) out.push_back(name(p));
    return out;
  }

  const MovedControlStated& stated_;
  const IssueFound* issue_;
  const LaidOut* laid_;
  const Setups* setups_;
};

}  // namespace

std::vector<KeptControl> kept_control(const std::vector<ControlPoint>& control) {
  std::vector<KeptControl> out;
  out.reserve(control.size());
  for (const ControlPoint& c : control) out.push_back({c.name, KeptSite::of(c.at), Kept::of(c.elevation)});
  return out;
}

Messages look_at_moved_control(const MovedControlStated& stated, const IssueFound* issue, const LaidOut* laid,
                               const Setups* setups) {
  const bool knows =
      !stated.issued.empty() || (stated.checks.signed_fit && !stated.checks.signed_fit->control.empty());
  if (!knows || stated.control.empty()) return {};
  return MovedControl(stated, issue, laid, setups).tell();
}

}  // namespace deckmark
