#include "station/conclude.h"

#include <algorithm>
#include <cmath>

#include "adjust/statistics.h"

namespace deckmark {

namespace {

constexpr double kUnchecked = 0.1;  // redundancy under which nothing is said of an observation

// Shift of a standardised residual found with 80 % power at alpha 0.001.
double detectable() {
  static const double value = noncentrality(0.001, 0.8);
  return value;
}

void judge_row(SightRow& row, double limit) {
  if (row.redundancy < kUnchecked)
    row.verdict = Verdict::unsure;
  else
    row.verdict =
        row.standardised && std::fabs(*row.standardised) > limit ? Verdict::outside : Verdict::within;
}

// Rows that a finding names are outside, whatever their own residuals: the error spread itself over the
// others.
void mark_rows(SetupResult& out) {
  for (const Wrong& w : out.wrong)
    for (SightRow& row : out.rows) {
      const bool plan = row.quantity != Quantity::height, circle = row.quantity == Quantity::circle;
      const bool mine = row.sight == w.sight;
      bool named = false;
      switch (w.kind) {
        case WrongKind::circle:
          named = mine && circle;
          break;
        case WrongKind::distance:
          named = mine && row.quantity == Quantity::distance;
          break;
        case WrongKind::target:
        case WrongKind::moved:
          named = mine && plan;
          break;
        case WrongKind::height:
        case WrongKind::moved_height:
          named = mine && !plan;
          break;
        case WrongKind::all_distances:
        case WrongKind::scale:
          named = row.quantity == Quantity::distance;
          break;
        case WrongKind::exchanged:
          named = plan && (mine || row.sight == w.other_sight || row.sight == w.third_sight);
          break;
        case WrongKind::turned:
          named = circle && row.sight >= w.sight;
          break;
        case WrongKind::axes:
          named = plan;
          break;
        case WrongKind::mark:
        case WrongKind::mark_height:
          break;
      }
      if (named && row.redundancy >= kUnchecked) row.verdict = Verdict::outside;
    }
}

}  // namespace

void set_quality(SightRow& row, double sd, double redundancy, std::optional<double> standardised,
                 double limit) {
  row.sd = sd;
  row.redundancy = redundancy;
  row.standardised = standardised;
  if (redundancy > kNoRedundancy) row.least_found = detectable() * sd / std::sqrt(redundancy);
  judge_row(row, limit);
}

void conclude(SetupResult& out) {
  std::stable_sort(out.rows.begin(), out.rows.end(),
                   [](const SightRow& a, const SightRow& b) { return a.sight < b.sight; });
  std::stable_sort(out.wrong.begin(), out.wrong.end(),
                   [](const Wrong& a, const Wrong& b) { return a.strength > b.strength; });
  mark_rows(out);
  bool outside = !out.wrong.empty();
  for (const SightRow& r : out.rows) outside = outside || r.verdict == Verdict::outside;
  out.verdict = outside ? Verdict::outside : out.degrees_of_freedom == 0 ? Verdict::unsure : Verdict::within;
}

// A wrong target has a wrong height too, and so has a mark that moved or a wrong steep slope: said once.
void drop_repeated(std::vector<Wrong>& wrong) {
  const auto is_repeated = [&](const Wrong& w) {
    return w.kind == WrongKind::height && std::any_of(wrong.begin(), wrong.end(), [&](const Wrong& t) {
             return (t.kind == WrongKind::target && t.sight == w.sight) ||
                    (t.witness != MarkWitness::none && t.sight == w.sight) ||
                    (t.kind == WrongKind::exchanged &&
                     (t.sight == w.sight || t.other_sight == w.sight || t.third_sight == w.sight));
           });
  };
  std::vector<Wrong> kept;
  for (const Wrong& w : wrong)
    if (!is_repeated(w)) kept.push_back(w);
  wrong = std::move(kept);
}

}  // namespace deckmark
