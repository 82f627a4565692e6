#include "stages/place.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "baseline/unit_mends.h"
#include "measure/side_by_side.h"
#include "report/baseline_page.h"
#include "report/words.h"
#include "stages/column_of.h"

namespace deckmark {

namespace {

constexpr std::size_t kPointsForThreads = 100000;

/// Maps all points; a long drawing on two threads.
BigVector<Point<Site>> map_all(const Transform<Site, Drawing>& map, const BigVector<Point<Drawing>>& places) {
  BigVector<Point<Site>> out(places.size(),
                             Point<Site>{{.northing = Length::metres(0), .easting = Length::metres(0)}});
  const auto part = [&](std::size_t from, std::size_t to) {
    for (std::size_t i = from; i < to; ++i) out[i] = map(places[i]);
  };
  in_halves(places.size(), kPointsForThreads, part);
  return out;
}

/// The ties with all that their sds hold. Without a covariance of their places those of their shots count;
/// they lie along the site's axes, and are turned by the signed fit, or by one that takes them as round.
std::vector<Tie> ties_of(const BaselinesStated& stated) {
  std::vector<Tie> ties;
  ties.reserve(stated.ties.size());
  for (const NamedTie& t : stated.ties) ties.push_back(t.tie);
  if (stated.joint_places()) return ties;
  const bool round = std::ranges::all_of(
      ties, [](const Tie& t) { return abs(t.shot_sd_northing - t.shot_sd_easting) <= kHair; });
  if (round) return with_shot_sds(ties);
  if (stated.checks.signed_fit) return with_shot_sds(ties, stated.checks.signed_fit->azimuth_x);
  const BaselineResult first = fit_baselines(with_shot_sds(ties), stated.options, {});
  if (!first.fit) return with_shot_sds(ties);  // refused whatever their sds
  return with_shot_sds(ties, first.fit->site_from_drawing.parts().azimuth_x);
}

void tell_doubts(const BaselinesStated& stated, const MarkTable& marks, const BaselineResult& result,
                 Messages& told) {
  const BaselineNames names{[&](std::size_t tie) { return std::string_view(stated.ties[tie].name); },
                            [&](std::size_t mark) { return marks.names[mark]; }};
  for (const Doubt& d : result.doubts)
    told.doubt(fmt::format("baselines {}", static_cast<int>(d.kind)), stated.ties_table.table->whole(),
               "baselines", doubt_text(d, result, names));
}

Placed placed_by(SitePlace by, const FittedTransform& fit) { return {by, {}, {}, fit, {}, {}, {}, {}, {}}; }

/// What the signed file says of the ties that are there today, by name.
std::vector<SignedStated> signed_from(const BaselinesStated& stated) {
  std::vector<SignedStated> out;
  for (const SignedTie& s : stated.checks.signed_fit->ties)
    for (std::size_t t = 0; t < stated.ties.size(); ++t)
      if (same_name(stated.ties[t].name, s.mark))
        out.push_back({t, s.is_x ? TieAxis::x : TieAxis::y, s.found, s.at, s.redundancy, s.residual_sd});
  return out;
}

std::string_view held_word(Hold hold) { return hold == Hold::both ? "both" : hold == Hold::x ? "x" : "y"; }

/// A signed fit that was made for another revision, or in another way than the job asks for.
void tell_signed(const BaselinesStated& stated, Messages& told) {
  const SignedBaselines& s = *stated.checks.signed_fit;
  const Where where = Where::whole(stated.checks.signed_file);
  if (s.of_this_storey && s.revision != stated.revision)
    told.doubt("another revision was signed", where, "revision",
               fmt::format("signed for revision {}, the job is revision {}",
                           s.revision.empty() ? "(none)" : s.revision,
                           stated.revision.empty() ? "(none)" : stated.revision));
  if (s.held != held_word(stated.options.hold) || s.scale_free != stated.options.scale_free)
    told.notice("a signed fit is used", where, "baselines",
                fmt::format("the signed fit holds {} with a {} scale; hold and scale of the job are not used",
                            s.held, s.scale_free ? "free" : "fixed"));
}

/// The rows of a signed fit, as those of one that was made.
BaselineResult signed_result(const BaselinesStated& stated, const FittedTransform& fit,
                             const SignedCheck& today) {
  const SignedBaselines& s = *stated.checks.signed_fit;
  BaselineResult result;
  result.status = FitStatus::solved;
  result.options = stated.options;
  result.options.hold = s.held == "x" ? Hold::x : s.held == "y" ? Hold::y : Hold::both;
  result.options.scale_free = s.scale_free;
  result.fit = fit;
  result.rows = today.rows;
  result.variance_factor = today.variance_factor;
  result.degrees_of_freedom = today.new_stated;
  return result;
}

/// Uses a signed fit unchanged; ties check it.
Placed place_signed(const BaselinesStated& stated, TieView ties, const MarkTable& marks, Messages& told) {
  const SignedBaselines& s = *stated.checks.signed_fit;
  Placed placed =
      placed_by(SitePlace::by_fit,
                {claim({s.drawing_centre, s.site_centre, s.azimuth_x, s.scale, s.mirrored}), s.covariance});
  tell_signed(stated, told);
  if (ties.empty()) return placed;
  const Table& table = *stated.ties_table.table;
  if (table.source()->sha256() != s.ties_sha256)
    told.notice("other ties than signed", table.whole(), "file",
                fmt::format("not the {} that was signed: these ties check the signed fit and change nothing",
                            in_quotes(s.ties_file)));
  placed.today = check_signed(ties, placed.fit, signed_from(stated));
  placed.baseline = signed_result(stated, placed.fit, *placed.today);
  placed.square = squareness(ties, *placed.baseline, marks.places, stated.square);
  if (placed.today->moved)
    told.doubt("the ties have moved", table.whole(), "baselines",
               fmt::format("the ties lie shifted or turned against the signed fit by more than chance: {}; "
                           "look at the marks before you use either",
                           signed_shift_words(*placed.today, stated.site_unit, stated.drawing_unit)));
  return placed;
}

/// Tells ties whose drawing and site numbers were read in units that do not belong together; false where the
/// units are in order. A header that departs from the job's unit is the one to mend.
bool tell_units(const BaselinesStated& stated, TieView ties, Messages& told) {
  const Table& table = *stated.ties_table.table;
  const auto unit_of = [&](std::string_view column, LengthUnit unit) {
    return table.header_unit(column_of(table, column)).value_or(unit);
  };
  const std::vector<UnitMend> mends =
      unit_mends(with_place_sds(ties), stated.options, unit_of("x", stated.drawing_unit),
                 unit_of("northing", stated.site_unit));
  if (mends.empty()) return false;
  const auto job_unit = [&](const UnitMend& m) { return m.is_site ? stated.site_unit : stated.drawing_unit; };
  const auto odd = std::ranges::find_if(
      mends, [&](const UnitMend& m) { return m.read_as != job_unit(m) && m.meant == job_unit(m); });
  const UnitMend& first = odd == mends.end() ? mends.front() : *odd;
  const auto columns = [](const UnitMend& m) { return m.is_site ? "northing and easting" : "x and y"; };
  const auto within = [&](const UnitMend& m) { return length_words(m.after, stated.site_unit); };
  std::string expected =
      fmt::format("{}: so read the ties fit within {} (rms)", unit_words(first.meant), within(first));
  for (const UnitMend& m : mends)
    if (odd == mends.end() && &m != &first)
      expected += fmt::format("; or {} in {} in place of {}, within {}", columns(m), unit_words(m.meant),
                              unit_words(m.read_as), within(m));
  const std::string_view column = first.is_site ? "northing" : "x";
  told.problem(odd == mends.end() ? table.whole() : table.header_where(column_of(table, column)),
               odd == mends.end() ? "file" : column,
               Fault{fmt::format("{} read as {}", columns(first), unit_words(first.read_as)),
                     std::move(expected), ""});
  return true;
}

/// Ties that cannot be fitted: the one of them that stands in the way, or what they leave open.
void tell_refusal(const BaselinesStated& stated, TieView ties, const BaselineResult& result, Messages& told) {
  const std::vector<WrongTie> wrong =
      result.status == FitStatus::open ? std::vector<WrongTie>{} : tie_in_the_way(ties, stated.options);
  if (wrong.empty()) return told.problem(stated.ties_table.table->whole(), "file", refusal(result));
  std::string off;
  for (const WrongTie& w : wrong)
    off += fmt::format("{}{} in {}", off.empty() ? "" : " and ", length_words(abs(w.error), stated.site_unit),
                       w.axis == TieAxis::x ? "x" : "y");
  told.problem(
      cell_of(stated.ties_table, wrong.front().tie, "mark"), "mark",
      Fault{fmt::format("tie {}, off by {} against all others", stated.ties[wrong.front().tie].name, off),
            "a tie that fits with the others, which agree without it", ""});
}

/// Fits the ties; nothing where they leave something open (told).
std::optional<Placed> place_by_ties(const BaselinesStated& stated, TieView ties, const MarkTable& marks,
                                    Messages& told) {
  BaselineResult result = fit_baselines(ties, stated.options, marks.places);
  const bool is_solved = result.status == FitStatus::solved;
  if ((!is_solved || has_outside(result)) && tell_units(stated, ties, told)) return std::nullopt;
  if (!is_solved) {
    tell_refusal(stated, ties, result, told);
    return std::nullopt;
  }
  Placed placed = placed_by(SitePlace::by_fit, *result.fit);
  placed.square = squareness(ties, result, marks.places, stated.square);
  tell_doubts(stated, marks, result, told);
  placed.wrong = doubt_ties(stated, result, ties, told);
  placed.gain = result.gain;
  placed.baseline = std::move(result);
  return placed;
}

std::optional<Placed> place_by(const BaselinesStated& stated, SitePlace by, const MarkTable& marks,
                               Messages& told) {
  if (by != SitePlace::by_fit) return placed_by(by, {drawing_is_site(stated.mirrored), {}});
  const std::vector<Tie> all = ties_of(stated);
  const TieView ties(all, stated.joint_places());
  if (stated.checks.signed_fit) return place_signed(stated, ties, marks, told);
  if (!stated.ties_table.table) return std::nullopt;  // it could not be read
  return place_by_ties(stated, ties, marks, told);
}

}  // namespace

bool Placed::is_lost() const {
  constexpr Length kLost = Length::metres(1);
  return baseline &&
         std::ranges::any_of(baseline->rows, [&](const TieRow& r) { return abs(r.residual) > kLost; });
}

Length moved_by_wrong_ties(const Placed& placed) {
  Length most = Length::metres(0);
  for (const WrongTie& w : placed.wrong) most = std::max(most, abs(w.error));
  return most;
}

Staged<Placed> place(const BaselinesStated& stated, SitePlace by, const JobMarks& marks) {
  Messages told;
  std::optional<Placed> placed = place_by(stated, by, *marks, told);
  if (!placed) return Staged<Placed>::spoiled(std::move(told));
  placed->marks = map_all(placed->fit.site_from_drawing, marks->places);
  return Staged<Placed>::found(std::move(*placed), std::move(told));
}

}  // namespace deckmark
