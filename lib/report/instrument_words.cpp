#include "report/instrument_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "measure/decimal.h"
#include "report/words.h"

namespace deckmark {

namespace {

std::string degrees_words(double value) { return fmt::format("{} degrees", fixed(value, 0)); }

/// `12.0 mm too long`, `... too short`.
std::string amount(Length value, std::string_view more, std::string_view less, LengthUnit unit) {
  return fmt::format("{} {}", length_words(abs(value), unit), value < Length::metres(0) ? less : more);
}
std::string turned(Angle value) {
  return fmt::format("{} too far {}", turn_words(value),
                     value < Angle::degrees(0) ? "counter-clockwise" : "clockwise");
}

std::string place_words(const Point<Site>& p, LengthUnit unit) {
  const int decimals = unit == LengthUnit::millimetre ? 0 : 3;
  return fmt::format("N {} E {} {}", fixed(in_unit(p.at.northing, unit), decimals),
                     fixed(in_unit(p.at.easting, unit), decimals), unit_word(unit));
}

/// The observation alone, without a cure.
std::string accused(const Wrong& w, const SightNames& names) {
  switch (w.kind) {
    case WrongKind::circle:
      return fmt::format("the direction to {}", names.sight(w.sight));
    case WrongKind::distance:
      return fmt::format("the distance to {}", names.sight(w.sight));
    case WrongKind::target:
      return fmt::format("{}: another point was sighted, or its coordinates are wrong", names.sight(w.sight));
    case WrongKind::height:
      return fmt::format("the height to {}", names.sight(w.sight));
    case WrongKind::all_distances:
      return "all distances: the reflector constant";
    case WrongKind::exchanged:
      return w.third_sight
                 ? fmt::format("{}, {} and {}: their names are exchanged in a ring", names.sight(w.sight),
                               names.sight(w.other_sight), names.sight(*w.third_sight))
                 : fmt::format("{} and {}: their names are exchanged", names.sight(w.sight),
                               names.sight(w.other_sight));
    case WrongKind::turned:
      return fmt::format("all directions from {} on: the instrument moved", names.sight(w.sight));
    case WrongKind::mark:
      return "the mark that the instrument stands on, or its coordinates";
    case WrongKind::mark_height:
      return "the instrument height, or the elevation of its mark";
  }
  return "";
}

std::string told(const Wrong& w, const SightNames& names, LengthUnit unit) {
  switch (w.kind) {
    case WrongKind::circle:
      return fmt::format("the direction to {} is {}: sight it again", names.sight(w.sight),
                         turned(w.angle.value_or(Angle::degrees(0))));
    case WrongKind::distance:
      return fmt::format("the distance to {} is {}: measure it again, and look at its reflector",
                         names.sight(w.sight),
                         amount(w.length.value_or(Length::metres(0)), "too long", "too short", unit));
    case WrongKind::target: {
      std::string text = fmt::format("what was sighted as {} is not there", names.sight(w.sight));
      if (w.length) text += fmt::format(" but {} away", length_words(*w.length, unit));
      const std::string_view other = w.seen_at && names.control_at ? names.control_at(*w.seen_at) : "";
      if (!other.empty()) return text + fmt::format(", where {} is: was {} sighted?", other, other);
      if (w.seen_at) text += fmt::format(", at {}", place_words(*w.seen_at, unit));
      return text + ": another point was sighted, or its coordinates are wrong";
    }
    case WrongKind::height:
      return fmt::format("{} is {}: look at its target height and its elevation", names.sight(w.sight),
                         amount(w.length.value_or(Length::metres(0)), "too high", "too low", unit));
    case WrongKind::all_distances: {
      const Length by = w.length.value_or(Length::metres(0));
      // No reflector has a constant of half a metre.
      return fmt::format("all distances are {}: look at {}", amount(by, "too long", "too short", unit),
                         abs(by) > Length::metres(0.5) ? "the unit of the distances and at the zenith angles"
                                                       : "the reflector constant");
    }
    case WrongKind::exchanged:
      if (w.third_sight) {
        const std::string_view one = names.sight(w.sight), two = names.sight(w.other_sight),
                               three = names.sight(*w.third_sight);
        return fmt::format("{}, {} and {} are exchanged: what was read as {} is {}, as {} {}, as {} {}", one,
                           two, three, one, two, two, three, three, one);
      }
      return fmt::format("{} and {} are exchanged: each was read under the other's name",
                         names.sight(w.sight), names.sight(w.other_sight));
    case WrongKind::turned:
      return fmt::format("from {} on all directions are {}: the instrument moved; set up again",
                         names.sight(w.sight), turned(w.angle.value_or(Angle::degrees(0))));
    case WrongKind::mark: {
      std::string text = "the instrument does not stand where it is said to";
      if (w.length) text += fmt::format(" but {} away", length_words(*w.length, unit));
      return text + ": look at the mark, its name and the centring";
    }
    case WrongKind::mark_height:
      return fmt::format(
          "the instrument stands {} by its mark: look at the instrument height and the mark's elevation",
          amount(w.length.value_or(Length::metres(0)), "too high", "too low", unit));
  }
  return "";
}

}  // namespace

std::string listed_names(std::vector<std::string> names) {
  constexpr std::size_t kNamed = 12;
  const std::size_t count = names.size();
  if (count > kNamed) names.resize(kNamed);
  return fmt::format("{}{}", fmt::join(names, ", "),
                     count > kNamed ? fmt::format(" and {} more", count - kNamed) : "");
}

std::string turn_words(Angle a) {
  const double seconds = std::fabs(a.arc_seconds());
  if (seconds < 59.95) return fmt::format("{}\"", fixed(seconds, seconds < 9.95 ? 1 : 0));
  return dms_text(Angle::arc_seconds(seconds), 0);
}

std::string wrong_text(const Wrong& w, const SightNames& names, LengthUnit unit) {
  if (w.certain || w.others.empty()) {
    std::string text = told(w, names, unit);
    if (!w.certain) text += " (the sights are too few to be sure)";
    return text;
  }
  std::vector<std::string> suspects = {accused(w, names)};
  for (const Wrong& other : w.others) suspects.push_back(accused(other, names));
  return fmt::format(
      "something is wrong, and these sights cannot tell which: {}; sight one more control point",
      fmt::join(suspects, "; or "));
}

std::string setup_fact_text(const SetupFact& fact, const SightNames& names, LengthUnit unit) {
  const auto said = [&](std::string text) { return fmt::format("setup {}: {}", names.setup, text); };
  switch (fact.kind) {
    case SetupFactKind::no_check:
      return said("nothing checks it; sight one more control point");
    case SetupFactKind::narrow:
      return said(fmt::format("all targets lie within {}: set up where you see control on both sides",
                              degrees_words(fact.value)));
    case SetupFactKind::in_line:
      return said(
          fmt::format("its two targets lie {} apart, nearly in one line with the instrument: step aside, or "
                      "sight a third",
                      degrees_words(fact.value)));
    case SetupFactKind::no_circle:
      return said(
          "distances alone tell its place and no orientation: no stake list and no side shots from here; "
          "read the "
          "circle to one control point");
    case SetupFactKind::danger_circle:
      return said(
          "directions alone, and the instrument stands near the circle through its targets, where they say "
          "next to "
          "nothing: measure distances, or move off it");
    case SetupFactKind::weak:
      return said(fmt::format("its place is good to {} only (95 %), more than the tolerance in plan",
                              length_words(Length::metres(fact.value), unit)));
    case SetupFactKind::orientation_differs:
      return said(fmt::format("the stated orientation is {} from what the sights say; the sights are used",
                              turn_words(Angle::degrees(fact.value))));
    case SetupFactKind::misfit_high:
      return said(
          fmt::format("its sights disagree by more than the stated sds allow (variance factor {}): something "
                      "is wrong, or the sds are too small",
                      fixed(fact.value, 1)));
    case SetupFactKind::misfit_low:
      return said(fmt::format("its sights agree better than the stated sds say (variance factor {})",
                              fixed(fact.value, 2)));
  }
  return "";
}

std::string sight_facts_text(std::span<const SightFact> facts, const SightNames& names) {
  std::vector<std::string> listed;
  for (const SightFact& f : facts) listed.emplace_back(names.sight(f.sight));
  const std::string targets = listed_names(std::move(listed));
  switch (facts.front().kind) {
    case SightFactKind::one_face:
      return fmt::format(
          "setup {}: read in one face only, so good to 1.4 times the stated sd, collimation not taken out: "
          "{}",
          names.setup, targets);
    case SightFactKind::faces_disagree:
      return fmt::format(
          "setup {}: the two faces disagree at {}, by {} times their sd beyond the collimation: read it "
          "again",
          names.setup, targets, fixed(std::fabs(facts.front().value), 1));
    case SightFactKind::rounds_disagree:
      return fmt::format(
          "setup {}: readings of one face to {} disagree, one by {} times its sd: read it again", names.setup,
          targets, fixed(std::fabs(facts.front().value), 1));
    case SightFactKind::slope_without_zenith:
      return fmt::format("setup {}: a slope distance without a zenith angle cannot be reduced: {}",
                         names.setup, targets);
  }
  return "";
}

SetupRefusal setup_refusal(const SetupResult& result, const SightNames& names, std::size_t control_sighted) {
  const std::string setup = in_quotes(names.setup);
  switch (result.status) {
    case SetupStatus::too_few:
      return {fmt::format("setup {} with {} sighted", setup,
                          control_sighted == 1 ? "1 control point"
                                               : fmt::format("{} control points", control_sighted)),
              "two control points or more with distances, three or more without"};
    case SetupStatus::open:
      return {fmt::format("setup {}, whose sights leave its place open", setup),
              "targets at different places, and distances, or a third target"};
    case SetupStatus::two_places: {
      std::vector<std::string> places;
      for (const Point<Site>& p : result.places) places.push_back(place_words(p, LengthUnit::metre));
      return {fmt::format("setup {}, which may stand at {}", setup, fmt::join(places, ", or at ")),
              "one more target, or the circle or the distance to one that lacks it; or northing, easting and "
              "sd of "
              "the rough place, in place of at"};
    }
    case SetupStatus::apart:
      return {fmt::format("setup {}, whose two distances do not meet", setup),
              "distances and zenith angles as read, to control points under their own names"};
    case SetupStatus::not_converged:
      return {fmt::format("setup {}, whose sights fit no place at all", setup),
              "control points under their own names, and circles as read"};
    case SetupStatus::no_orientation:
      return {fmt::format("setup {} without a backsight", setup),
              "a sight to a control point, or an orientation"};
    case SetupStatus::place_only:
    case SetupStatus::solved:
      break;
  }
  return {};
}

}  // namespace deckmark
