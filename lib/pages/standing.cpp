#include "pages/standing.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <span>

#include "measure/decimal.h"
#include "pages/setups.h"
#include "report/asbuilt_text.h"
#include "report/text.h"
#include "report/words.h"
#include "stages/heights_words.h"

namespace deckmark {

namespace {

/// Up to three reasons in words, then how many more.
std::string told(std::span<const Reason> reasons) {
  constexpr std::size_t kTold = 3;
  std::string text;
  for (std::size_t i = 0; i < std::min(reasons.size(), kTold); ++i)
    text += (i == 0 ? "" : "; ") + reasons[i].text;
  return reasons.size() > kTold ? fmt::format("{}; and {} more", text, reasons.size() - kTold) : text;
}

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

/// A row of a table that was read; no place where the table is not at hand.
Where row_of(const ReadTable& table, std::size_t row) {
  return table.table && row < table.begins.size() ? table.table->where(table.begins[row], 0) : Where{};
}

/// What is wrong, and what nothing checks.
struct Findings {
  std::vector<Reason> outside, unchecked_ties, others;
  std::string weak_square;
  std::vector<std::string> unsure_setups;
  std::string own;  ///< how many readings are their makers' own

  /// What nothing checks, in words; empty where all is checked.
  std::string not_checked() const {
    std::string out;
    const auto add = [&out](const std::string& words) {
      if (!words.empty()) out += (out.empty() ? "" : "; ") + words;
    };
    if (!unchecked_ties.empty()) add(fmt::format("not checked by other ties: {}", told(unchecked_ties)));
    add(weak_square);
    if (!unsure_setups.empty())
      add(fmt::format("setup{} {} not checked by any other sight", unsure_setups.size() == 1 ? "" : "s",
                      fmt::join(unsure_setups, ", ")));
    add(own);
    return out;
  }
  /// All of it, one by one.
  std::vector<Reason> reasons() const {
    std::vector<Reason> out = outside;
    for (const Reason& tie : unchecked_ties) {
      out.push_back(tie);
      out.back().text += " is not checked by other ties";
    }
    if (!weak_square.empty()) out.push_back({.text = weak_square});
    for (const std::string& name : unsure_setups)
      out.push_back({.text = fmt::format("setup {} is not checked by any other sight", name),
                     .scope = ReasonScope::setup,
                     .setup = name});
    if (!own.empty()) out.push_back({.text = own});
    out.insert(out.end(), others.begin(), others.end());
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
  const LengthUnit unit = small_unit(stated.site_unit, stated.drawing_unit);
  for (const TieRow* r : rows) {
    const std::string name = fmt::format("tie {} {}", stated.ties[r->tie].name, axis_word(r->axis));
    const auto reason = [&](std::string text) {
      return Reason{.text = std::move(text), .where = row_of(stated.ties_table, r->tie)};
    };
    if (r->verdict == Verdict::outside)
      out.outside.push_back(reason(fmt::format("{} is off by {}, permitted {}", name,
                                               length_words_beyond(abs(r->residual), r->tolerance, unit),
                                               length_words(r->tolerance, unit))));
    if (r->verdict == Verdict::unsure) out.unchecked_ties.push_back(reason(name));
  }
}

/// `by_ties`: ties give the squareness, else lengths.
void judge_square(const SquarenessResult& square, bool by_ties, LengthUnit unit, Findings& out) {
  if (square.verdict == Verdict::outside)
    out.outside.push_back(
        {.text =
             fmt::format("the baselines are out of square by {} over {}, permitted {}",
                         length_words_beyond(abs(*square.deviation_over), square.limit.permitted, unit),
                         length_words(square.shorter, unit), length_words(square.limit.permitted, unit))});
  if (square.verdict == Verdict::unsure)
    out.weak_square = square.contradicted ? "the lengths contradict one another, so no squareness is stated"
                      : !by_ties ? "the lengths are too weak to judge the squareness of the baselines"
                      : square.x_open || square.y_open
                          ? "the ties do not check the squareness of the baselines"
                          : "the ties are too weak to judge the squareness of the baselines";
}

/// A deck mark that is off by no more than wrong ties have moved it says nothing beside these.
void judge_plumb(const Judged& judged, LengthUnit unit, Findings& out) {
  const Plumbed& plumb = *judged.plumb;
  const PlumbOptions& options = judged.plumb_options;
  const LaidOut& laid = *judged.laid;
  const Length moved = moved_by_wrong_ties(laid.placed);
  for (std::size_t i = 0; i < plumb.rows.size(); ++i) {
    const PlumbRow& r = plumb.rows[i];
    if (r.verdict != Verdict::outside || r.offset <= moved) continue;
    const std::uint32_t m = plumb.marks[i];
    std::string text = fmt::format("deck mark of {} ({}) is ", laid.numbers.of(m), laid.marks->names[m]);
    if (r.mark_not_above_attach) text += "not above its bracket, and ";
    text += "out of plumb by " + length_words_beyond(r.offset, options.tolerance, unit);
    if (r.by_tolerance == Verdict::outside)
      text += fmt::format(", permitted {}", length_words(options.tolerance, unit));
    if (r.by_slope == Verdict::outside && r.ratio)
      text += fmt::format(", slope {} where {} is permitted", slope_words(std::round(*r.ratio * 10) / 10),
                          slope_words(*options.slope));
    out.outside.push_back(
        {.text = std::move(text),
         .scope = ReasonScope::mark,
         .numbers = {laid.numbers.of(m)},
         .point = std::string(laid.marks->names[m]),
         .where = judged.deck_marks ? row_of(*judged.deck_marks, plumb.table_row(i)) : Where{}});
  }
}

/// What as-built marks that are outside say of the job: where causes that many of them share were named, the
/// marks that nobody shot are in doubt too.
ReasonScope scope_of(const CausesResult& found) {
  std::optional<ReasonScope> scope;
  for (const Cause& c : found.causes) {
    if (c.points < 2) continue;
    const GroupKind kind = c.group.kind;
    const ReasonScope one = kind == GroupKind::setup || kind == GroupKind::marked_from ? ReasonScope::setup
                            : kind == GroupKind::run                                   ? ReasonScope::run
                                                                                       : ReasonScope::job;
    scope = scope && *scope != one ? ReasonScope::job : one;
  }
  return scope.value_or(ReasonScope::mark);
}

void judge_asbuilt(const AsbuiltFound& asbuilt, const AsbuiltStated& stated, const LaidOut& laid,
                   LengthUnit unit, Findings& out) {
  const auto shot_name = [&](const AsbuiltRow& r) {
    return fmt::format("{} ({})", asbuilt_number(laid.numbers, r), laid.marks->names[r.mark]);
  };
  const AsbuiltJob& job = stated.asbuilt;
  const ReasonScope scope = scope_of(asbuilt.causes);
  for (AsbuiltStanding::Outside& found :
       asbuilt_standing(asbuilt.levels, asbuilt.rows, shot_name, job.options, stated.flatness, unit)
           .outside) {
    Reason reason{.text = std::move(found.text), .scope = scope};
    for (const std::uint32_t m : found.marks) reason.numbers.push_back(laid.numbers.of(m));
    if (!found.marks.empty()) reason.point = laid.marks->names[found.marks.front()];
    if (found.worst && job.table && *found.worst < job.shots.begins.size())
      reason.where = job.table->where(job.shots.begins[*found.worst], 0);
    out.outside.push_back(std::move(reason));
  }
}

/// Lines and lasers that do not close, and readings that the others contradict where these say nothing.
void judge_heights(const Judged& judged, LengthUnit unit, Findings& out) {
  const HeightsFound& heights = *judged.heights;
  const HeightsStated& stated = judged.heights_stated;
  const std::size_t before = out.outside.size();
  for (const HeightLine& line : heights.result.lines)
    if (!line.is_within())
      out.outside.push_back(
          {.text = fmt::format("{}, {}", line_closure_words(heights, line, unit),
                               permitted_words(*line.closure, line.limit, unit)),
           .where = height_place(stated, heights, WrongHeight::What::level, line.legs.back().fore),
           .of = ReasonOf::heights});
  for (const PlaneClosure& plane : heights.result.planes)
    if (!plane.is_within())
      out.outside.push_back({.text = fmt::format("{}, {}", plane_closure_words(heights, plane, unit),
                                                 permitted_words(plane.closure, plane.limit, unit)),
                             .where = height_place(stated, heights, WrongHeight::What::laser, plane.second),
                             .of = ReasonOf::heights});
  if (out.outside.size() > before) return;
  for (const WrongHeight& wrong : heights.result.wrong)
    out.outside.push_back({.text = wrong_height_words(stated, heights, wrong),
                           .where = height_place(stated, heights, wrong.what, wrong.index),
                           .of = ReasonOf::heights});
}

void judge_brackets(const Judged& judged, LengthUnit unit, Findings& out) {
  const LaidOut& laid = *judged.laid;
  const Length limit = judged.asbuilt_stated.asbuilt.options.elevation;
  for (const BracketRow& b : judged.brackets->rows) {
    if (b.verdict == Verdict::within) continue;
    const std::string_view point = laid.marks->names[b.mark];
    out.outside.push_back(
        {.text = fmt::format("the bracket of {} ({}) is {} too {}, permitted {}{}", laid.numbers.of(b.mark),
                             point, length_words_beyond(abs(b.up), limit, unit),
                             b.up > Length::metres(0) ? "high" : "low", length_words(limit, unit),
                             b.verdict == Verdict::unsure ? ", and its sd leaves it unsure" : ""),
         .scope = ReasonScope::mark,
         .numbers = {laid.numbers.of(b.mark)},
         .point = std::string(point),
         .where = judged.heights->targets[b.target].at,
         .of = ReasonOf::bracket});
  }
}

/// What the verdict would be without anything outside: why no ties check the baselines, or no lengths the
/// strings that stand in their place; empty where they do.
std::string no_ties(const Judged& judged) {
  if (judged.placed && judged.placed->baseline) return "";
  if (judged.baselines.checks.signed_fit) return "a signed fit is used, and no ties check it";
  if (judged.strings && judged.strings->alone) return judged.strings->not_checked;
  return why_no_baselines(judged.by, judged.baselines.mirrored);
}

void judge_setups(const Judged& judged, Findings& out) {
  SetupReasons setups = setup_reasons(judged.setups_stated, *judged.setups, judged.laid);
  for (Reason& reason : setups.outside) out.outside.push_back(std::move(reason));
  out.unsure_setups = std::move(setups.unsure);
}

/// Deck marks and as-built shots that were read by who made them, or from where they were made.
std::size_t own_readings_of(const Judged& judged) {
  std::size_t own = judged.asbuilt ? own_readings(*judged.asbuilt) : 0;
  if (judged.plumb)
    for (const PlumbRow& r : judged.plumb->rows) own += r.verdict == Verdict::own ? 1U : 0U;
  return own;
}

/// REQUIRES `laid` where deck marks or as-built shots were judged.
Findings findings_of(const Judged& judged) {
  Findings out;
  const LengthUnit unit = small_unit(judged.baselines.site_unit, judged.baselines.drawing_unit);
  const bool by_ties = judged.placed && judged.placed->baseline;
  // Ties that the setups found are off where a setup is: the cause first.
  const bool setups_first = judged.setups && judged.baselines.joint_places();
  if (setups_first) judge_setups(judged, out);
  if (by_ties) judge_ties(judged.baselines, *judged.placed->baseline, out);
  if (const SquarenessResult* square = squareness_of(judged.placed, judged.checked))
    judge_square(*square, by_ties, unit, out);
  if (judged.checked)
    for (const Reason& reason : judged.checked->outside) out.outside.push_back(reason);
  if (judged.heights) judge_heights(judged, unit, out);
  if (judged.plumb) judge_plumb(judged, unit, out);
  // By heights that do not close good brackets look wrong.
  if (judged.brackets && !judged.heights->is_outside()) judge_brackets(judged, unit, out);
  if (judged.asbuilt) judge_asbuilt(*judged.asbuilt, judged.asbuilt_stated, *judged.laid, unit, out);
  if (const std::size_t own = own_readings_of(judged); own > 0) out.own = own_words(own);
  if (judged.setups && !setups_first) judge_setups(judged, out);
  if (std::string why = no_ties(judged); !why.empty()) out.others.push_back({.text = std::move(why)});
  return out;
}

/// What no as-built shot judges since it was taken on another floor; empty where there is none.
std::string set_aside(const Judged& judged) {
  return judged.asbuilt ? not_judged_words(judged.asbuilt->other_floors, judged.baselines.site_unit) : "";
}

/// Where every reason is of single marks: which marks, ` from 1059 and 2 more`. Else empty.
std::string from_marks(const std::set<std::uint32_t>& numbers, const Reason& first) {
  if (numbers.empty()) return "";
  return fmt::format(" from {}{}", first.numbers.front(),
                     numbers.size() > 1 ? fmt::format(" and {} more", numbers.size() - 1) : "");
}

/// The marks that are in doubt, where no reason is about more than the marks that it names; else none.
std::set<std::uint32_t> marks_alone(const std::vector<Reason>& reasons) {
  std::set<std::uint32_t> out;
  for (const Reason& r : reasons) {
    if (r.scope != ReasonScope::mark || r.numbers.empty()) return {};
    out.insert(r.numbers.begin(), r.numbers.end());
  }
  return out;
}

std::string stand_words(std::size_t others) {
  return others == 0   ? ""
         : others == 1 ? "; the other one stands"
                       : fmt::format("; the other {} stand", others);
}

std::string line_of(const Judged& judged, const Findings& findings, const std::vector<Reason>& reasons) {
  const std::string not_checked = findings.not_checked(), aside = set_aside(judged);
  const std::string too =
      (not_checked.empty() ? "" : "; " + not_checked) + (aside.empty() ? "" : "; " + aside);
  if (!findings.outside.empty()) {
    // What was not judged speaks for nobody.
    const std::set<std::uint32_t> alone = aside.empty() ? marks_alone(reasons) : std::set<std::uint32_t>{};
    const std::string stand = alone.empty() ? "" : stand_words(judged.laid->marks.size() - alone.size());
    return fmt::format("{}{}: {}{}{}", kStop, from_marks(alone, reasons.front()), told(findings.outside), too,
                       stand);
  }
  const bool is_signed = static_cast<bool>(judged.baselines.checks.signed_fit);
  if (!findings.others.empty())
    return fmt::format("{}: {}{}", kNotChecked, findings.others.front().text,
                       is_signed ? (aside.empty() ? "" : "; " + aside) : too);
  // Of the baselines nothing is wanting where only readings of one's own are told.
  if (!not_checked.empty())
    return fmt::format("{}: {}", not_checked == findings.own ? kOwnOnly : kNotChecked, too.substr(2));
  return std::string(kReady) + too;
}

}  // namespace

Standing standing(const Judged& judged) {
  const Findings findings = findings_of(judged);
  Standing out{.reasons = findings.reasons()};
  out.outside = !findings.outside.empty();
  out.verdict = out.outside           ? JobVerdict::stop
                : out.reasons.empty() ? JobVerdict::ready
                                      : JobVerdict::not_checked;
  out.line = line_of(judged, findings, out.reasons);
  return out;
}

}  // namespace deckmark
