#include "stages/run_spacing.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "job/tables/runs.h"
#include "measure/verdict.h"
#include "report/words.h"

namespace deckmark {

namespace {

class Teller {
 public:
  Teller(const OverheadJob& stated, std::size_t r, const RunFound& run, LengthUnit unit, Messages& told)
      : o_(stated), r_(r), run_(run), unit_(unit), told_(told) {}

  std::string breach_words(const SpacingBreach& b) const {
    const std::string at = length_words(b.along, unit_), &name = this->name();
    if (b.kind == SpacingBreach::Kind::between_places && b.amount > run_.path.length())
      return fmt::format("the hanger at {} along {} has no fastening line of its deck on the run", at, name);
    const std::string amount = length_words(b.amount, unit_);
    switch (b.kind) {
      case SpacingBreach::Kind::wide:
        return fmt::format("behind {} along {} the next hanger is {} off, wider than max_spacing", at, name,
                           amount);
      case SpacingBreach::Kind::far_from_end:
        return fmt::format("the hanger at {} along {} is {} from the end", at, name, amount);
      case SpacingBreach::Kind::near_spot:
        return fmt::format("the hanger at {} along {} is {} from a joint, nearer than joint_clear", at, name,
                           amount);
      case SpacingBreach::Kind::unsupported:
        return fmt::format("the joint or crossing at {} along {} has its nearest hanger {} off", at, name,
                           amount);
      case SpacingBreach::Kind::between_places:
        return fmt::format("the hanger at {} along {} is {} from the nearest fastening line of the deck", at,
                           name, amount);
      case SpacingBreach::Kind::kept_off:
        return fmt::format("the hanger at {} along {} is {} from the edge of its bay", at, name, amount);
    }
    return {};
  }

  /// Every rule that is broken, once a run: the worst place and how many others.
  void tell() {
    const std::string kept =
        is_even() ? "the spaces are equal" : "the spaces are equal but beside the edge of a bay";
    std::vector<std::pair<SpacingBreach, std::size_t>> worst;  // of each kind, with how many there are
    for (const SpacingBreach& b : run_.spacing.breaches) {
      const auto at =
          std::find_if(worst.begin(), worst.end(), [&](const auto& w) { return w.first.kind == b.kind; });
      if (at == worst.end()) {
        worst.emplace_back(b, 1);
        continue;
      }
      ++at->second;
      const bool nearer_is_worse =
          b.kind == SpacingBreach::Kind::near_spot || b.kind == SpacingBreach::Kind::kept_off;
      if (nearer_is_worse ? b.amount < at->first.amount : b.amount > at->first.amount) at->first = b;
    }
    for (const auto& [b, count] : worst)
      told_.doubt("hangers that break a rule", where(), runs::run.name,
                  fmt::format("{}{}; no spacing keeps all rules, so {}", breach_words(b),
                              count > 1 ? fmt::format(", the worst of {}", count) : "", kept));
    if (run_.path.is_closed() && run_.spacing.at.size() < 3)
      told_.doubt("rings with few hangers", where(), runs::run.name,
                  fmt::format("ring {} has {} hanger{}: it hangs level on three or more", name(),
                              run_.spacing.at.size(), run_.spacing.at.size() == 1 ? "" : "s"));
    if (o_.flute_move && run_.spacing.solved && !run_.task.fastenings.empty())
      for (std::size_t i = 0; i < run_.spacing.at.size(); ++i)
        if (const Length by = from_equal(i); by > *o_.flute_move + kHair) tell_move(i, by);
  }

  /// How far a hanger stands from its place at equal spaces; round a ring from the nearest.
  Length from_equal(std::size_t i) const {
    const Length at = run_.spacing.at[i];
    if (!run_.path.is_closed()) return abs(at - run_.spacing.equal[i]);
    Length least = run_.path.length();
    for (const Length e : run_.spacing.equal)
      least = std::min({least, abs(at - e), run_.path.length() - abs(at - e)});
    return least;
  }

  bool is_even() const {
    const std::vector<Length>& at = run_.spacing.at;
    for (std::size_t i = 2; i < at.size(); ++i)
      if (abs((at[i] - at[i - 1]) - (at[1] - at[0])) > Length::metres(1e-6)) return false;
    return true;
  }

  /// A hanger that goes far to its fastening line. Bracket and hanger move together along the run.
  void tell_move(std::size_t i, Length by) {
    told_.doubt("hangers moved far to a fastening line", where(), runs::run.name,
                fmt::format("{}-{:02} stands {} along the run from its place at equal spaces, more than "
                            "flute_move {}: its bracket moves with it",
                            name(), i + 1, length_words(by, unit_), length_words(*o_.flute_move, unit_)));
  }

  const std::string& name() const { return o_.runs[r_].name; }
  Where where() const { return cell_of(o_.runs_table, r_, runs::run.name); }

  const OverheadJob& o_;
  std::size_t r_;
  const RunFound& run_;
  LengthUnit unit_;
  Messages& told_;
};

}  // namespace

void tell_spacing(const OverheadJob& stated, std::size_t run, const RunFound& found, LengthUnit unit,
                  Messages& told) {
  Teller(stated, run, found, unit, told).tell();
}

}  // namespace deckmark
