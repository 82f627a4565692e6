#include "station/setup_witness.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "adjust/solve.h"

namespace deckmark {

namespace {

constexpr double kLeastRedundancy = 0.1;  // under it a height says nothing of itself

bool may_be_mark(const Wrong& w) {
  return w.kind == WrongKind::circle || w.kind == WrongKind::distance || w.kind == WrongKind::target;
}

const SightRow* row_of(const SetupResult& result, std::size_t sight, Quantity quantity) {
  const auto found = std::ranges::find_if(
      result.rows, [&](const SightRow& r) { return r.sight == sight && r.quantity == quantity; });
  return found == result.rows.end() ? nullptr : &*found;
}

/// How much of a displacement lies along the way to a mark, and across it.
struct AlongAcross {
  double along = 0, across = 0;
};
AlongAcross parts_of(const Vec<Site>& moved, const Vec<Site>& way) {
  const double n = way.by.northing.metres(), e = way.by.easting.metres(), hd = std::hypot(n, e);
  const double mn = moved.by.northing.metres(), me = moved.by.easting.metres();
  if (hd == 0) return {};
  return {(mn * n + me * e) / hd, (me * n - mn * e) / hd};
}

/// How much too long the distance of a sight is read, by what names it.
double too_long(const Wrong& w, const SetupResult& result, const Point<Site>& mark) {
  if (w.kind == WrongKind::distance) return w.length->metres();
  if (w.kind != WrongKind::target || !w.seen_at) return 0;
  return parts_of(*w.seen_at - mark, mark - result.at).along;
}

/// Standard ellipse of a sight's place, long half.
double size_of(const SetupResult& result, const Sight& sight, std::size_t index,
               const InstrumentOptions& instrument) {
  const auto shot = side_shot(result, sight, index, instrument);
  return shot ? semi_major(shot->covariance).metres() : 0;
}

/// Would this setup have seen its sight's mark move by that much? REQUIRES its rows all within.
bool would_see(const SetupResult& result, std::size_t sight, const Point<Site>& mark,
               const Vec<Site>& moved) {
  const Vec<Site> way = mark - result.at;
  const AlongAcross parts = parts_of(moved, way);
  const SightRow* circle = row_of(result, sight, Quantity::circle);
  const SightRow* distance = row_of(result, sight, Quantity::distance);
  return (circle && circle->least_found &&
          std::fabs(parts.across) > *circle->least_found * norm(way).metres()) ||
         (distance && distance->least_found && std::fabs(parts.along) > *distance->least_found);
}

/// What the other setup says of the mark that `named` accuses.
MarkWitness heard(const Wrong& named, const SetupInJob& from, const SetupInJob& other, std::size_t control,
                  const Point<Site>& mark, const InstrumentOptions& instrument) {
  const SetupResult& r = *other.result;
  for (const Wrong& w : r.wrong) {
    if (!may_be_mark(w) || !w.certain || !w.seen_at) continue;
    if (other.control[other.sights[w.sight].target] != control) continue;
    const double limit =
        kWrongLimit * std::hypot(size_of(*from.result, from.sights[named.sight], named.sight, instrument),
                                 size_of(r, other.sights[w.sight], w.sight, instrument));
    if (distance(*named.seen_at, *w.seen_at).metres() > limit) return MarkWitness::none;
    // One reflector that is off puts both distances off alike: from another side it would be seen elsewhere.
    if (named.kind == WrongKind::distance) {
      const Vec<Site> way = mark - r.at;
      const double share = *named.length / norm(way);
      const Point<Site> by_reading =
          mark + Vec<Site>{{.northing = way.by.northing * share, .easting = way.by.easting * share}};
      if (distance(by_reading, *w.seen_at).metres() <= limit) return MarkWitness::none;
    }
    return MarkWitness::setup_moved;
  }
  if (r.verdict != Verdict::within) return MarkWitness::none;
  for (std::size_t s = 0; s < other.sights.size(); ++s)
    if (other.control[other.sights[s].target] == control && would_see(r, s, mark, *named.seen_at - mark))
      return MarkWitness::setup_stands;
  return MarkWitness::none;
}

}  // namespace

void hear_heights(SetupResult& result, const SetupInput& input, const InstrumentOptions& instrument) {
  if (result.height_degrees_of_freedom < 2) return;  // with one to spare it might be any other height
  for (Wrong& w : result.wrong) {
    if (!may_be_mark(w) || !w.certain) continue;
    const SightRow* height = row_of(result, w.sight, Quantity::height);
    if (!height || height->redundancy < kLeastRedundancy) continue;
    const Sight& sight = input.sights[w.sight];
    const double off = height->length_residual.metres() / height->redundancy,
                 sd = height->sd / std::sqrt(height->redundancy);
    const double slant = 1 / std::tan(sight.zenith->degrees() * std::numbers::pi / 180);
    const double of_slope = slant * too_long(w, result, input.targets[sight.target]->at);
    const double slope_sd =
        slant * distance_sd_at(*sight.horizontal, sight.distance_sd, instrument.distance_ppm).metres();
    const bool is_off = std::fabs(off) > kWrongLimit * sd;
    if (std::fabs(off - of_slope) > kWrongLimit * std::hypot(sd, slope_sd)) {
      w.witness = MarkWitness::height_moved;
      if (is_off) w.raised = Length::metres(off);
    } else if (is_off) {
      w.witness = MarkWitness::height_reading;
    }
  }
}

void hear_other_setups(std::span<const SetupInJob> setups, std::span<const ControlMark> control,
                       const InstrumentOptions& instrument) {
  for (const SetupInJob& from : setups) {
    if (from.result == nullptr) continue;
    for (Wrong& w : from.result->wrong) {
      if (w.setup || !may_be_mark(w) || !w.certain || !w.seen_at) continue;  // a net has heard all
      const auto mark = from.control[from.sights[w.sight].target];
      for (std::size_t k = 0; mark && k < setups.size(); ++k) {
        const SetupInJob& other = setups[k];
        if (other.result == nullptr || other.result == from.result) continue;
        const MarkWitness said = heard(w, from, other, *mark, control[*mark].at, instrument);
        // A mark seen twice at one new place outweighs all else; that it stands does not outweigh a height.
        if (said == MarkWitness::none ||
            (said == MarkWitness::setup_stands && w.witness != MarkWitness::none))
          continue;
        w.witness = said;
        w.witness_setup = k;
        if (said == MarkWitness::setup_moved) break;
      }
    }
  }
}

}  // namespace deckmark
