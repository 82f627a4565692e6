#include "pages/standing.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "pages/setups.h"
#include "report/asbuilt_text.h"
#include "report/text.h"
#include "report/words.h"

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
std::string why_no_baselines(SitePlace by, bool mirrored) {
  switch (by) {
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
                     mirrored ? "-" : "");
}

std::string axis_word(TieAxis a) { return a == TieAxis::x ? "x" : "y"; }

/// What is wrong, and what nothing checks.
struct Findings {
  Reasons outside, unchecked_ties;
  std::string weak_square;
  std::vector<std::string> unsure_setups;

  /// What nothing checks, in words; empty where all is checked.
  std::string not_checked() const {
    std::string out;
    const auto add = [&out](const std::string& words) {
      if (!words.empty()) out += (out.empty() ? "" : "; ") + words;
    };
    if (unchecked_ties.any()) add(fmt::format("not checked by other ties: {}", unchecked_ties.text()));
    add(weak_square);
    if (!unsure_setups.empty())
      add(fmt::format("setup{} {} not checked by any other sight", unsure_setups.size() == 1 ? "" : "s",
                      fmt::join(unsure_setups, ", ")));
    return out;
  }
};

void judge_ties(const BaselinesStated& stated, const BaselineResult& fit, Findings& out) {
  // The worst first: in a least-squares fit one wrong tie pulls others out with it.
  std::vector<const TieRow*> rows;
  for (const TieRow& r : fit.rows) rows.push_back(&r);
  std::stable_sort(rows.begin(), rows.end(), [](const TieRow* a, const TieRow* b) {
    const auto size = [](const TieRow* r) {
      return std::round(1e6 * std::abs(r->standardised.value_or(0)));
    };  // equal but for binary noise: in order
    return size(a) > size(b);
  });
  for (const TieRow* r : rows) {
    const std::string name = fmt::format("tie {} {}", stated.ties[r->tie].name, axis_word(r->axis));
    if (r->verdict == Verdict::outside)
      out.outside.add(fmt::format("{} is off by {}, permitted {}", name,
                                  length_words_beyond(abs(r->residual), r->tolerance, stated.site_unit),
                                  length_words(r->tolerance, stated.site_unit)));
    if (r->verdict == Verdict::unsure) out.unchecked_ties.add(name);
  }
}

/// `by_ties`: ties give the squareness, else lengths.
void judge_square(const SquarenessResult& square, bool by_ties, LengthUnit unit, Findings& out) {
  if (square.verdict == Verdict::outside)
    out.outside.add(
        fmt::format("the baselines are out of square by {} over {}, permitted {}",
                    length_words_beyond(abs(*square.deviation_over), square.limit.permitted, unit),
                    length_words(square.shorter, unit), length_words(square.limit.permitted, unit)));
  if (square.verdict == Verdict::unsure)
    out.weak_square = square.contradicted ? "the lengths contradict one another, so no squareness is stated"
                      : !by_ties ? "the lengths are too weak to judge the squareness of the baselines"
                      : square.x_open || square.y_open
                          ? "the ties do not check the squareness of the baselines"
                          : "the ties are too weak to judge the squareness of the baselines";
}

void judge_plumb(const Plumbed& plumb, const PlumbOptions& options, const LaidOut& laid, LengthUnit unit,
                 Findings& out) {
  for (std::size_t i = 0; i < plumb.rows.size(); ++i) {
    const PlumbRow& r = plumb.rows[i];
    if (r.verdict != Verdict::outside) continue;
    const std::uint32_t m = plumb.marks[i];
    std::string reason = fmt::format("deck mark of {} ({}) is ", laid.numbers.of(m), laid.marks->names[m]);
    if (r.mark_not_above_attach) reason += "not above its bracket, and ";
    reason += "out of plumb by " + length_words_beyond(r.offset, options.tolerance, unit);
    if (r.by_tolerance == Verdict::outside)
      reason += fmt::format(", permitted {}", length_words(options.tolerance, unit));
    if (r.by_slope == Verdict::outside && r.ratio)
      reason += fmt::format(", slope {} where {} is permitted", slope_words(std::round(*r.ratio * 10) / 10),
                            slope_words(*options.slope));
    out.outside.add(std::move(reason));
  }
}

void judge_asbuilt(const AsbuiltFound& asbuilt, const AsbuiltStated& stated, const LaidOut& laid,
                   LengthUnit unit, Findings& out) {
  const auto shot_name = [&](const AsbuiltRow& r) {
    return fmt::format("{} ({})", asbuilt_number(laid.numbers, r), laid.marks->names[r.mark]);
  };
  for (std::string& reason : asbuilt_standing(asbuilt.levels, asbuilt.rows, shot_name, stated.asbuilt.options,
                                              stated.flatness, unit)
                                 .outside)
    out.outside.add(std::move(reason));
}

/// REQUIRES `laid` where deck marks or as-built shots were judged.
Findings findings_of(const Judged& judged) {
  Findings out;
  const LengthUnit unit = judged.baselines.site_unit;
  const bool by_ties = judged.placed && judged.placed->baseline;
  if (by_ties) judge_ties(judged.baselines, *judged.placed->baseline, out);
  if (const SquarenessResult* square = squareness_of(judged.placed, judged.checked))
    judge_square(*square, by_ties, unit, out);
  if (judged.checked)
    for (const std::string& reason : judged.checked->outside) out.outside.add(reason);
  if (judged.plumb) judge_plumb(*judged.plumb, judged.plumb_options, *judged.laid, unit, out);
  if (judged.asbuilt) judge_asbuilt(*judged.asbuilt, judged.asbuilt_stated, *judged.laid, unit, out);
  if (judged.setups) {
    SetupReasons setups = setup_reasons(judged.setups_stated, *judged.setups, judged.laid);
    for (std::string& reason : setups.outside) out.outside.add(std::move(reason));
    out.unsure_setups = std::move(setups.unsure);
  }
  return out;
}

Standing of_findings(const Judged& judged, const Findings& findings) {
  const std::string not_checked = findings.not_checked();
  const std::string too = not_checked.empty() ? "" : "; " + not_checked;
  if (findings.outside.any()) return {true, fmt::format("{}: {}{}", kStop, findings.outside.text(), too)};
  if (!judged.placed || !judged.placed->baseline) {
    if (judged.baselines.checks.signed_fit)
      return {false, fmt::format("{}: a signed fit is used, and no ties check it", kNotChecked)};
    const std::string why = why_no_baselines(judged.by, judged.baselines.mirrored);
    return {false, fmt::format("{}: {}{}", kNotChecked, why, too)};
  }
  if (!not_checked.empty()) return {false, fmt::format("{}: {}", kNotChecked, not_checked)};
  return {false, std::string(kReady)};
}

}  // namespace

Standing standing(const Judged& judged) {
  Standing out = of_findings(judged, findings_of(judged));
  if (!judged.asbuilt) return out;
  const std::string aside = not_judged_words(judged.asbuilt->other_floors, judged.baselines.site_unit);
  if (!aside.empty()) out.line += "; " + aside;
  return out;
}

}  // namespace deckmark
