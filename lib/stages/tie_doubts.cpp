#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "baseline/blunders.h"
#include "baseline/wrong_ties.h"
#include "report/words.h"
#include "stages/place.h"

namespace deckmark {

namespace {

constexpr std::size_t kFindingsTold = 3;

/// Says what the wrong ties, the everyday blunders and the leaving out of each tie show.
class TieDoubts {
 public:
  TieDoubts(const BaselinesStated& stated, TieView ties, Messages& messages)
      : stated_(stated), ties_(ties), messages_(messages) {}

  /// Tells what is wrong, each tie once by what it looks like. `is_outside`: a tie is beyond its tolerance.
  std::vector<WrongTie> tell_all(bool is_outside) {
    std::vector<WrongTie> wrong = find_wrong_ties(ties_, stated_.options).wrong;
    std::vector<BlunderFinding> found;
    if (is_outside)
      found = find_blunders(with_place_sds(ties_), stated_.options,
                            {quanta_of(ties_.ties()), stated_.drawing_unit, stated_.site_unit});
    if (found.size() > kFindingsTold) found.erase(found.begin() + kFindingsTold, found.end());
    contradicted(wrong, found);
    if (is_outside) left_out(wrong, found);
    blunders(found);
    return wrong;
  }

 private:
  /// Whether a blunder accounts for a tie by itself: cells exchanged or in another unit are no guess at a
  /// digit.
  static bool is_told_by(const std::vector<BlunderFinding>& found, std::size_t tie) {
    return std::ranges::any_of(found, [&](const BlunderFinding& f) {
      const bool is_guess = f.blunder == TieBlunder::bay || f.blunder == TieBlunder::digits;
      return !is_guess && (!f.tie || f.tie == tie || f.other_tie == tie);
    });
  }

  void contradicted(const std::vector<WrongTie>& wrong, const std::vector<BlunderFinding>& found) {
    for (const WrongTie& w : wrong) {
      if (is_told_by(found, w.tie)) continue;
      std::string text = fmt::format("{} of tie {} is contradicted by the others: it seems to be off by {}",
                                     axis(w.axis), name(w.tie), words(abs(w.error)));
      std::vector<std::string> alike;
      for (const auto& [tie, a] : w.alike) alike.push_back(fmt::format("{} of {}", axis(a), name(tie)));
      if (!alike.empty()) text += fmt::format("; {} would explain it as well", fmt::join(alike, ", "));
      tell("a tie that the others contradict", w.tie, axis(w.axis), text);
    }
  }

  /// The one tie that is wrong, where the others fit best without it, and within every tolerance.
  void left_out(const std::vector<WrongTie>& wrong, const std::vector<BlunderFinding>& found) {
    const std::vector<LeftOut> rests = leave_out_each(ties_, stated_.options);
    std::size_t best = rests.size();
    for (std::size_t t = 0; t < rests.size(); ++t)
      if (rests[t].solved &&
          (best == rests.size() || rests[t].largest_residual < rests[best].largest_residual))
        best = t;
    if (best == rests.size() || rests[best].largest_residual > least_tolerance()) return;
    const bool is_wrong = std::ranges::any_of(wrong, [&](const WrongTie& w) { return w.tie == best; });
    if (!is_wrong || is_told_by(found, best)) return;
    tell("what is left without a tie", best, "mark",
         fmt::format("without {} the other ties fit within {}: look at it first", name(best),
                     words(rests[best].largest_residual)));
  }

  void blunders(const std::vector<BlunderFinding>& found) {
    for (const BlunderFinding& f : found) {
      std::string text = fmt::format("looks like {}", tie_blunder_words(f.blunder));
      if (f.units) text += fmt::format(" ({} and {})", f.units->drawing, f.units->site);
      if (f.cell && f.shift != Length::metres(0))
        text +=
            fmt::format(", {} too {}", words(abs(f.shift)), f.shift > Length::metres(0) ? "much" : "little");
      text += fmt::format("; put right, the ties fit within {} (rms)", words(f.after));
      if (f.tie && f.other_tie)
        tell("a likely blunder", *f.tie, "mark",
             fmt::format("ties {} and {}: {}", name(*f.tie), name(*f.other_tie), text));
      else if (f.tie)
        tell("a likely blunder", *f.tie, f.cell ? cell(*f.cell) : "mark",
             fmt::format("tie {}: {}", name(*f.tie), text));
      else
        messages_.doubt("a likely blunder", stated_.ties_table.table->whole(), "baselines", text);
    }
  }

  std::string_view name(std::size_t tie) const { return stated_.ties[tie].name; }
  static std::string_view axis(TieAxis a) { return a == TieAxis::x ? "x" : "y"; }
  static std::string_view cell(TieCell c) {
    return c == TieCell::x ? "x" : c == TieCell::y ? "y" : c == TieCell::northing ? "northing" : "easting";
  }
  std::string words(Length value) const { return length_words(value, stated_.site_unit); }
  Length least_tolerance() const {
    Length least = ties_.front().tolerance;
    for (const Tie& t : ties_) least = std::min(least, t.tolerance);
    return least;
  }
  void tell(std::string_view kind, std::size_t tie, std::string_view column, std::string text) {
    messages_.doubt(kind, cell_of(stated_.ties_table, tie, column), column, std::move(text));
  }

  const BaselinesStated& stated_;
  TieView ties_;
  Messages& messages_;
};

}  // namespace

std::vector<WrongTie> doubt_ties(const BaselinesStated& stated, const BaselineResult& result, TieView ties,
                                 Messages& messages) {
  const bool outside =
      std::ranges::any_of(result.rows, [](const TieRow& r) { return r.verdict == Verdict::outside; });
  return TieDoubts(stated, ties, messages).tell_all(outside && ties.size() <= most_left_out(ties));
}

}  // namespace deckmark
