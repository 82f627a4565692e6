#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "report/asbuilt_text.h"
#include "report/text.h"
#include "report/words.h"
#include "work/instrument_parts.h"
#include "work/stages.h"

namespace deckmark {

namespace {

/// Up to three reasons, then how many more.
class Reasons {
 public:
  void add(std::string reason) {
    if (++count_ <= kTold) text_ += (text_.empty() ? "" : "; ") + std::move(reason);
  }
  bool any() const { return count_ > 0; }
  std::string text() const {
    return count_ > kTold ? fmt::format("{}; and {} more", text_, count_ - kTold) : text_;
  }

 private:
  static constexpr std::size_t kTold = 3;
  std::size_t count_ = 0;
  std::string text_;
};

/// A job without ties.
std::string why_no_baselines(const Job& job) {
  switch (site_place(job)) {
    case SitePlace::no_drawing:
      return "no drawing, so no lists: setups and control alone";
    case SitePlace::unknown:
      return "no ties, so nothing says where the drawing lies on site";
    case SitePlace::as_stated:
      return "no ties; x is taken for easting and y for northing, as frame = \"site\" says";
    case SitePlace::as_drawn:
    case SitePlace::by_fit:
      break;
  }
  return fmt::format("no ties, so the drawing's own coordinates are taken for the site's (E = x, N = {}y)",
                     job.mirrored ? "-" : "");
}

std::string axis_word(TieAxis a) { return a == TieAxis::x ? "x" : "y"; }

Standing of_what_was_judged(const Job& job, const Found& found) {
  Reasons outside, unchecked;
  std::string weak;
  if (found.placed.baseline) {
    // The worst first: in a least-squares fit one wrong tie pulls others out with it.
    std::vector<const TieRow*> rows;
    for (const TieRow& r : found.placed.baseline->rows) rows.push_back(&r);
    std::stable_sort(rows.begin(), rows.end(), [](const TieRow* a, const TieRow* b) {
      const auto size = [](const TieRow* r) {
        return std::round(1e6 * std::abs(r->standardised.value_or(0)));
      };  // equal but for binary noise: in order
      return size(a) > size(b);
    });
    for (const TieRow* r : rows) {
      const std::string name = fmt::format("tie {} {}", job.ties[r->tie].name, axis_word(r->axis));
      if (r->verdict == Verdict::outside)
        outside.add(fmt::format("{} is off by {}, permitted {}", name,
                                length_words_beyond(abs(r->residual), r->tolerance, job.site_unit),
                                length_words(r->tolerance, job.site_unit)));
      if (r->verdict == Verdict::unsure) unchecked.add(name);
    }
  }
  if (const auto& square = found.placed.square) {
    if (square->verdict == Verdict::outside)
      outside.add(fmt::format(
          "the baselines are out of square by {} over {}, permitted {}",
          length_words_beyond(abs(*square->deviation_over), square->limit.permitted, job.site_unit),
          length_words(square->shorter, job.site_unit),
          length_words(square->limit.permitted, job.site_unit)));
    if (square->verdict == Verdict::unsure)
      weak = square->contradicted     ? "the lengths contradict one another, so no squareness is stated"
             : !found.placed.baseline ? "the lengths are too weak to judge the squareness of the baselines"
             : square->x_open || square->y_open
                 ? "the ties do not check the squareness of the baselines"
                 : "the ties are too weak to judge the squareness of the baselines";
  }
  for (std::string& reason : outside_checks(job, found)) outside.add(std::move(reason));
  for (std::size_t i = 0; i < found.plumb.size(); ++i) {
    const PlumbRow& r = found.plumb[i];
    if (r.verdict != Verdict::outside) continue;
    const std::uint32_t m = found.plumb_marks[i];
    std::string reason = fmt::format("deck mark of {} ({}) is ", found.issue.numbers[m], job.marks.names[m]);
    if (r.mark_not_above_attach) reason += "not above its bracket, and ";
    reason += "out of plumb by " + length_words_beyond(r.offset, job.plumb.tolerance, job.site_unit);
    if (r.by_tolerance == Verdict::outside)
      reason += fmt::format(", permitted {}", length_words(job.plumb.tolerance, job.site_unit));
    if (r.by_slope == Verdict::outside && r.ratio)
      reason += fmt::format(", slope {} where {} is permitted", slope_words(std::round(*r.ratio * 10) / 10),
                            slope_words(*job.plumb.slope));
    outside.add(std::move(reason));
  }
  const auto shot_name = [&](const AsbuiltRow& r) {
    return fmt::format("{} ({})", asbuilt_number(job, found, r), job.marks.names[r.mark]);
  };
  for (std::string& reason : asbuilt_standing(found.asbuilt.levels, found.asbuilt.rows, shot_name,
                                              job.asbuilt.options, job.deck.flatness, job.site_unit)
                                 .outside)
    outside.add(std::move(reason));
  const SetupReasons setups = setup_reasons(job, found);
  for (const std::string& reason : setups.outside) outside.add(reason);
  std::string not_checked =
      unchecked.any() ? fmt::format("not checked by other ties: {}", unchecked.text()) : "";
  if (!weak.empty()) not_checked += (not_checked.empty() ? "" : "; ") + weak;
  if (!setups.unsure.empty())
    not_checked += fmt::format("{}setup{} {} not checked by any other sight", not_checked.empty() ? "" : "; ",
                               setups.unsure.size() == 1 ? "" : "s", fmt::join(setups.unsure, ", "));
  if (outside.any())
    return {Exit::outside,
            fmt::format("{}: {}{}{}", kStop, outside.text(), not_checked.empty() ? "" : "; ", not_checked)};
  if (!found.placed.baseline && job.checks.signed_fit)
    return {Exit::done, fmt::format("{}: a signed fit is used, and no ties check it", kNotChecked)};
  if (!found.placed.baseline)
    return {Exit::done, fmt::format("{}: {}{}{}", kNotChecked, why_no_baselines(job),
                                    not_checked.empty() ? "" : "; ", not_checked)};
  if (!not_checked.empty()) return {Exit::done, fmt::format("{}: {}", kNotChecked, not_checked)};
  return {Exit::done, std::string(kReady)};
}

}  // namespace

Standing standing(const Job& job, const Found& found) {
  Standing out = of_what_was_judged(job, found);
  if (const std::string aside = not_judged_words(found.asbuilt.other_floors, job.site_unit); !aside.empty())
    out.line += "; " + aside;
  return out;
}

}  // namespace deckmark
