#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "baseline/blunders.h"
#include "baseline/wrong_ties.h"
#include "report/words.h"
#include "work/stages.h"

namespace deckmark {

namespace {

enum TieColumn : std::size_t { mark, x, y, northing, easting };

constexpr std::size_t kMostTies =
    200;  // fits are made for each tie: beyond, the wrong coordinates alone are named
constexpr std::size_t kFindingsTold = 3;

std::size_t column_of(TieCell cell) {
  switch (cell) {
    case TieCell::x:
      return x;
    case TieCell::y:
      return y;
    case TieCell::northing:
      return northing;
    case TieCell::easting:
      break;
  }
  return easting;
}

/// Says what the wrong ties, the everyday blunders and the leaving out of each tie show.
class TieDoubts {
 public:
  TieDoubts(const Job& job, std::span<const Tie> ties, Messages& messages)
      : job_(job), ties_(ties), messages_(messages) {}

  std::vector<WrongTie> contradicted() {
    std::vector<WrongTie> wrong = find_wrong_ties(ties_, job_.baseline).wrong;
    for (const WrongTie& w : wrong) {
      std::string text = fmt::format("{} of tie {} is contradicted by the others: it seems to be off by {}",
                                     axis(w.axis), name(w.tie), words(abs(w.error)));
      std::vector<std::string> alike;
      for (const auto& [tie, a] : w.alike) alike.push_back(fmt::format("{} of {}", axis(a), name(tie)));
      if (!alike.empty()) text += fmt::format("; {} would explain it as well", fmt::join(alike, ", "));
      tell("a tie that the others contradict", where(w.tie, w.axis == TieAxis::x ? x : y), axis(w.axis),
           text);
    }
    return wrong;
  }

  void left_out() {
    const std::vector<LeftOut> rests = leave_out_each(ties_, job_.baseline);
    for (std::size_t t = 0; t < rests.size(); ++t) {
      if (!rests[t].solved || rests[t].largest_residual > least_tolerance()) continue;
      tell("what is left without a tie", where(t, mark), "mark",
           fmt::format("without {} the other ties fit within {}: look at it first", name(t),
                       words(rests[t].largest_residual)));
    }
  }

  void blunders() {
    const BlunderOptions options{quanta_of(ties_), job_.drawing_unit, job_.site_unit};
    const std::vector<BlunderFinding> found = find_blunders(ties_, job_.baseline, options);
    for (std::size_t i = 0; i < std::min(found.size(), kFindingsTold); ++i) {
      const BlunderFinding& f = found[i];
      std::string text = fmt::format("looks like {}", tie_blunder_words(f.blunder));
      if (f.units) text += fmt::format(" ({} and {})", f.units->drawing, f.units->site);
      if (f.cell && f.shift != Length::metres(0))
        text +=
            fmt::format(", {} too {}", words(abs(f.shift)), f.shift > Length::metres(0) ? "much" : "little");
      text += fmt::format("; put right, the ties fit within {} (rms)", words(f.after));
      if (f.tie && f.other_tie)
        tell("a likely blunder", where(*f.tie, mark), "mark",
             fmt::format("ties {} and {}: {}", name(*f.tie), name(*f.other_tie), text));
      else if (f.tie)
        tell("a likely blunder", where(*f.tie, f.cell ? column_of(*f.cell) : mark),
             f.cell ? cell(*f.cell) : "mark", fmt::format("tie {}: {}", name(*f.tie), text));
      else
        tell("a likely blunder", job_.ties_table.table->whole(), "baselines", text);
    }
  }

 private:
  std::string_view name(std::size_t tie) const { return job_.ties[tie].name; }
  static std::string_view axis(TieAxis a) { return a == TieAxis::x ? "x" : "y"; }
  static std::string_view cell(TieCell c) {
    return c == TieCell::x ? "x" : c == TieCell::y ? "y" : c == TieCell::northing ? "northing" : "easting";
  }
  std::string words(Length value) const { return length_words(value, job_.site_unit); }
  Where where(std::size_t tie, std::size_t column) const {
    return job_.ties_table.table->where(job_.ties_table.begins[tie], column);
  }
  Length least_tolerance() const {
    Length least = ties_.front().tolerance;
    for (const Tie& t : ties_) least = std::min(least, t.tolerance);
    return least;
  }
  void tell(std::string_view kind, Where where, std::string_view field, std::string text) {
    messages_.doubt(kind, std::move(where), field, std::move(text));
  }

  const Job& job_;
  std::span<const Tie> ties_;
  Messages& messages_;
};

}  // namespace

std::vector<WrongTie> doubt_ties(const Job& job, const BaselineResult& result, std::span<const Tie> ties,
                                 Messages& messages) {
  TieDoubts doubts(job, ties, messages);
  std::vector<WrongTie> wrong = doubts.contradicted();
  const bool outside =
      std::ranges::any_of(result.rows, [](const TieRow& r) { return r.verdict == Verdict::outside; });
  if (!outside || ties.size() > kMostTies) return wrong;
  doubts.left_out();
  doubts.blunders();
  return wrong;
}

}  // namespace deckmark
