#include "baseline/fit.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

using namespace tie_fit;

/// Two azimuths are told as two fits, and one is near what the job says, within this.
constexpr Angle kNear = Angle::degrees(60);
/// Two baselines nearer in direction than this were never meant to be square.
constexpr Angle kParallel = Angle::degrees(30);

Azimuth azimuth_in(const Minimum& m) { return Azimuth::degrees(m.azimuth * 180 / std::numbers::pi); }
bool is_near(Azimuth a, Azimuth b) {
  const double off = std::abs((a - b).degrees());
  return off <= kNear.degrees();
}

/// Marks of one baseline as a line: its azimuth modulo 180 degrees. Empty where they state several values, or
/// one only.
struct Line {
  double azimuth = 0, length = 0;
};
std::optional<Line> line_of(const Ties& ties, TieAxis axis) {
  double ee = 0, en = 0, nn = 0;
  for (const Stated& t : ties.stated) {
    if (t.axis != axis) continue;
    if (std::abs(t.value) > kHair.metres()) return std::nullopt;
    ee += t.easting * t.easting;
    en += t.easting * t.northing;
    nn += t.northing * t.northing;
  }
  if (ties.family(axis).count < 2) return std::nullopt;
  return Line{std::atan2(2 * en, nn - ee) / 2, std::sqrt(ee + nn)};
}

/// Baselines that are no pair of crossing lines: one of them a point, or both alike in direction.
void find_bad_lines(const Ties& ties, OpenParts& open) {
  const auto x = line_of(ties, TieAxis::y), y = line_of(ties, TieAxis::x);
  if (x && x->length <= kHair.metres()) open.no_length = Hold::x;
  if (y && y->length <= kHair.metres()) open.no_length = Hold::y;
  if (!x || !y || open.no_length) return;
  const double apart = std::abs(std::remainder(x->azimuth - y->azimuth, std::numbers::pi));
  open.parallel = apart < kParallel.radians();
}

OpenParts open_parts(TieView ties, const Ties& centred, const Hand& hand, const BaselineOptions& options) {
  OpenParts open;
  open.ties = ties.size();
  open.stated_x = centred.x.count;
  open.stated_y = centred.y.count;
  open.along_x = centred.x.count == 0;
  open.along_y = centred.y.count == 0;
  open.one_place = std::all_of(ties.begin(), ties.end(),
                               [&](const Tie& t) { return distance(t.at, ties.front().at) <= kHair; });
  if (!open.one_place) find_bad_lines(centred, open);
  if (hand.determined()) return open;
  if (!options.scale_free) {
    open.rotation = true;
    return open;
  }
  const bool turn_open_anyway = !fit_hand(centred, options.mirrored, false).determined();
  open.scale = true;
  open.rotation = turn_open_anyway || !hand.scale_flat;
  open.together = open.rotation && !turn_open_anyway;
  return open;
}

void put_rows(TieView ties, const Ties& centred, const Estimate& estimate, BaselineResult& out) {
  for (std::size_t i = 0; i < centred.stated.size(); ++i) {
    const Stated& s = centred.stated[i];
    const Tie& tie = ties[s.tie];
    const bool is_x = s.axis == TieAxis::x;
    const Length stated = is_x ? *tie.x : *tie.y, residual = Length::metres(estimate.residuals[i]);
    TieRow row{s.tie,
               s.axis,
               stated,
               stated - residual,
               residual,
               estimate.standardised[i],
               estimate.redundancy[i],
               Length::metres(estimate.sds[i]),
               tie.tolerance,
               Length::metres(estimate.residual_sds[i]),
               Verdict::unsure,
               estimate.errors.empty() ? std::nullopt : estimate.errors[i]};
    if (row.redundancy >= kLeastRedundancy) row.verdict = judge(residual, tie.tolerance);
    out.rows.push_back(row);
  }
  const std::size_t unknowns = out.options.scale_free ? 4 : 3;
  out.degrees_of_freedom = centred.stated.size() - unknowns;
  if (out.degrees_of_freedom > 0)
    out.variance_factor = estimate.square_sum / static_cast<double>(out.degrees_of_freedom);
}

/// Residuals alone decide here: a fit of the wrong hand has misfits of the size of the site.
bool beyond_tolerance(TieView ties, const Ties& centred, const Minimum& m) {
  for (std::size_t i = 0; i < m.residuals.size(); ++i)
    if (judge(Length::metres(m.residuals[i]), ties[centred.stated[i].tie].tolerance) == Verdict::outside)
      return true;
  return false;
}

/// Direction, chosen among those that fit alike. Empty where `out.status` says why not.
const Minimum* choose(const Hand& own, BaselineResult& out) {
  std::vector<const Minimum*> alike;
  for (const Minimum& m : own.minima) {
    if (m.square_sum - own.minima.front().square_sum >= kSameFit) continue;
    alike.push_back(&m);
    out.azimuths.push_back(azimuth_in(m));
  }
  const std::optional<Azimuth> near = out.options.azimuth_near;
  if (!near) {
    if (alike.size() > 1) out.status = FitStatus::two_fits;
    return alike.size() == 1 ? alike.front() : nullptr;
  }
  std::vector<const Minimum*> close;
  for (const Minimum* m : alike)
    if (is_near(azimuth_in(*m), *near)) close.push_back(m);
  if (close.empty()) out.status = FitStatus::azimuth_refused;
  if (close.size() > 1) out.status = FitStatus::two_fits;
  return close.size() == 1 ? close.front() : nullptr;
}

/// True where only the other hand fits.
bool other_hand_only(TieView ties, const Ties& centred, const Hand& own, const Hand& other) {
  if (!other.determined() || own.minima.empty()) return false;
  const Minimum &here = own.minima.front(), &there = other.minima.front();
  return there.square_sum + kSameFit <= here.square_sum && there.misfit < here.misfit / 2 &&
         beyond_tolerance(ties, centred, here);
}

void doubt_hand(TieView ties, const Ties& centred, const Hand& own, const Hand& other, BaselineResult& out) {
  if (other.minima.empty()) return;
  const double here = own.minima.front().square_sum, there = other.minima.front().square_sum;
  if (std::abs(there - here) < kSameFit)
    out.doubts.push_back({DoubtKind::mirroring_not_checked});
  else if (there < here && !beyond_tolerance(ties, centred, own.minima.front()))
    out.doubts.push_back({DoubtKind::mirrored_fits_better});
}

}  // namespace

BaselineResult fit_baselines(TieView ties, const BaselineOptions& options,
                             std::span<const Point<Drawing>> mapped) {
  assert(options.hold == Hold::both || !options.scale_free);
  BaselineResult out;
  out.options = options;
  if (ties.empty()) {
    out.open.along_x = out.open.along_y = out.open.rotation = true;
    out.open.scale = options.scale_free;
    return out;
  }
  const Ties centred = centre(ties);
  const Hand own = fit_hand(centred, options.mirrored, options.scale_free);
  const std::optional<double> best =
      own.determined() ? std::optional(own.minima.front().square_sum) : std::nullopt;
  const Hand other = fit_hand(centred, !options.mirrored, options.scale_free, best);
  out.open = open_parts(ties, centred, own, options);
  if (!own.minima.empty()) out.misfit = Length::metres(own.minima.front().misfit);
  if (!other.minima.empty()) out.misfit_other_hand = Length::metres(other.minima.front().misfit);

  // A set that is the other hand's may look as if it fixed no direction: both must be asked before it is
  // called open.
  const bool only_other = other_hand_only(ties, centred, own, other);
  if (only_other) {
    out.status = FitStatus::only_mirrored;
    out.open = {};
    if (own.determined())
      put_rows(ties, centred,
               shared_estimate(centred, options.mirrored, own.minima.front(), options.scale_free), out);
    return out;
  }
  if (out.open.any()) return out;
  const Minimum* chosen = choose(own, out);
  if (chosen == nullptr) return out;
  const Estimate estimate = options.hold == Hold::both
                                ? shared_estimate(centred, options.mirrored, *chosen, options.scale_free)
                                : held_estimate(centred, options.mirrored, options.hold, *chosen);
  if (!estimate.determined) {
    out.open.rotation = true;
    if (options.hold != Hold::both) out.open.held = options.hold;
    return out;
  }
  out.misfit = Length::metres(chosen->misfit);
  put_rows(ties, centred, estimate, out);
  if (options.scale_free) out.units = unit_ratio(estimate.scale);
  if (out.units) {
    out.status = FitStatus::units_differ;
    return out;
  }
  out.status = FitStatus::solved;
  assemble(ties.ties(), centred, estimate, options.mirrored, out);
  doubt_hand(ties, centred, own, other, out);
  add_doubts(ties.ties(), centred, mapped, out);
  return out;
}

std::vector<Tie> with_shot_sds(std::span<const Tie> ties, Azimuth azimuth_x) {
  // +X runs along (sin A, cos A) in easting and northing, +Y square to it, on either hand.
  const double sine = azimuth_x.sine(), cosine = azimuth_x.cosine();
  std::vector<Tie> out(ties.begin(), ties.end());
  for (Tie& t : out) {
    t.sd_x = hypot(t.sd_x, hypot(t.shot_sd_easting * sine, t.shot_sd_northing * cosine));
    t.sd_y = hypot(t.sd_y, hypot(t.shot_sd_easting * cosine, t.shot_sd_northing * sine));
    t.shot_sd_northing = t.shot_sd_easting = Length::metres(0);
  }
  return out;
}

std::vector<Tie> with_shot_sds(std::span<const Tie> ties) {
  return with_shot_sds(ties, Azimuth::degrees(45));
}

bool has_outside(const BaselineResult& result) {
  return std::any_of(result.rows.begin(), result.rows.end(),
                     [](const TieRow& row) { return row.verdict == Verdict::outside; });
}

}  // namespace deckmark
