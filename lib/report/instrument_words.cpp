#include "report/instrument_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <optional>
#include <utility>

#include "measure/decimal.h"
#include "report/instrument_pieces.h"
#include "report/pieces.h"
#include "report/words.h"
#include "table/reader.h"

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

/// Whether a net accuses another setup than the one whose names these are.
bool is_of_other(const Wrong& w, const SightNames& names) {
  return w.setup && names.own && *w.setup != *names.own && names.sight_of && names.other_setup;
}
std::string_view target_of(const Wrong& w, const SightNames& names, std::size_t sight) {
  return is_of_other(w, names) ? names.sight_of(*w.setup, sight) : names.sight(sight);
}
std::string_view target_of(const Wrong& w, const SightNames& names) { return target_of(w, names, w.sight); }
std::string_view setup_of(const Wrong& w, const SightNames& names) {
  return is_of_other(w, names) ? names.other_setup(*w.setup) : names.setup;
}
/// ` from setup S2`, where a net has more than one to accuse.
std::string from_words(const Wrong& w, const SightNames& names) {
  return w.setup && names.own ? fmt::format(" from setup {}", setup_of(w, names)) : "";
}
/// ` of setup S2`, likewise.
std::string of_words(const Wrong& w, const SightNames& names) {
  return w.setup && names.own ? fmt::format(" of setup {}", setup_of(w, names)) : "";
}
/// ` in setup S2`, likewise.
std::string in_words(const Wrong& w, const SightNames& names) {
  return w.setup && names.own ? fmt::format(" in setup {}", setup_of(w, names)) : "";
}
/// `setups S1 and S2 see`.
std::string seers(const Wrong& w, const SightNames& names) {
  std::vector<std::string_view> out;
  for (const std::size_t s : w.seen_by)
    if (names.other_setup) out.push_back(names.other_setup(s));
  return out.size() == 1 ? fmt::format("setup {} sees", out.front())
                         : fmt::format("setups {} see", names_and(out));
}

/// The observation alone, without a cure.
std::string accused(const Wrong& w, const SightNames& names) {
  switch (w.kind) {
    case WrongKind::circle:
      return fmt::format("the direction to {}{}, or its mark", target_of(w, names), from_words(w, names));
    case WrongKind::distance:
      return fmt::format("the distance to {}{}, or its mark", target_of(w, names), from_words(w, names));
    case WrongKind::target:
      return fmt::format("{}{}: another point was sighted, it has moved, or its coordinates are wrong",
                         target_of(w, names), from_words(w, names));
    case WrongKind::height:
      return fmt::format("the height to {}{}", target_of(w, names), from_words(w, names));
    case WrongKind::all_distances:
      return fmt::format("all distances{}: the reflector constant", of_words(w, names));
    case WrongKind::scale:
      return fmt::format("all distances{}: their scale", of_words(w, names));
    case WrongKind::moved:
      return fmt::format("{}: it has moved, or its coordinates are wrong", target_of(w, names));
    case WrongKind::moved_height:
      return fmt::format("the elevation of {}", target_of(w, names));
    case WrongKind::exchanged:
      return w.third_sight ? fmt::format("{}, {} and {}: their names are exchanged in a ring{}",
                                         target_of(w, names), target_of(w, names, w.other_sight),
                                         target_of(w, names, *w.third_sight), in_words(w, names))
                           : fmt::format("{} and {}: their names are exchanged{}", target_of(w, names),
                                         target_of(w, names, w.other_sight), in_words(w, names));
    case WrongKind::turned:
      return fmt::format("all directions{} from {} on: the instrument moved", of_words(w, names),
                         target_of(w, names));
    case WrongKind::axes:
      return "northing and easting of the control: they are exchanged";
    case WrongKind::mark:
      return fmt::format("the mark that the instrument{} stands on, or its coordinates", of_words(w, names));
    case WrongKind::mark_height:
      return fmt::format("the instrument height{}, or the elevation of its mark", of_words(w, names));
  }
  return "";
}

bool is_sight(WrongKind kind) {
  return kind == WrongKind::circle || kind == WrongKind::distance || kind == WrongKind::target;
}

/// All that is accused, each sight once: whatever of it is off, its mark may be.
std::vector<std::string> accused_each(const Wrong& w, const SightNames& names) {
  std::vector<Wrong> all{w};
  all.insert(all.end(), w.others.begin(), w.others.end());
  std::vector<std::string> out;
  std::vector<std::pair<std::optional<std::size_t>, std::size_t>> told;
  for (const Wrong& one : all) {
    if (!is_sight(one.kind)) {
      out.push_back(accused(one, names));
      continue;
    }
    const std::pair sight{one.setup, one.sight};
    if (std::ranges::count(told, sight) > 0) continue;
    told.push_back(sight);
    const auto also = [&](WrongKind kind) {
      return std::ranges::any_of(all, [&](const Wrong& o) {
        return o.kind == kind && o.sight == one.sight && o.setup == one.setup;
      });
    };
    const bool circle = also(WrongKind::circle), distance = also(WrongKind::distance);
    if (!circle && !distance)
      out.push_back(accused(one, names));
    else
      out.push_back(fmt::format("the {} to {}{}, or its mark",
                                !distance ? "direction"
                                : !circle ? "distance"
                                          : "direction or the distance",
                                target_of(one, names), from_words(one, names)));
  }
  return out;
}

/// A mark that was struck; beyond this nothing strikes a mark, and its coordinates are at fault. Common
/// practice, no source.
constexpr Length kStruck = Length::metres(0.25);

/// `CP2 has moved 20.0 mm away from the instrument`.
std::string moved(const Wrong& w, const SightNames& names, LengthUnit unit) {
  const Length by = w.length.value_or(Length::metres(0));
  const bool back = by < Length::metres(0);
  const std::string_view way =
      w.kind == WrongKind::distance
          ? (back ? "towards the instrument" : "away from the instrument")
          : (back ? "to the left as seen from here" : "to the right as seen from here");
  if (abs(by) > kStruck)
    return fmt::format("the coordinates of {} are off by {} {}", names.sight(w.sight),
                       length_words(abs(by), unit), way);
  std::string text =
      fmt::format("{} has moved {} {}", names.sight(w.sight), length_words(abs(by), unit), way);
  if (w.raised)
    text += fmt::format(" and {} {}", length_words(abs(*w.raised), unit),
                        *w.raised < Length::metres(0) ? "down" : "up");
  return text;
}

/// A direction or a distance that is off by itself: the reading, or the mark.
std::string reading_or_mark(const Wrong& w, const SightNames& names, LengthUnit unit) {
  const std::string_view name = names.sight(w.sight);
  const bool is_circle = w.kind == WrongKind::circle;
  const std::string reading =
      is_circle ? fmt::format("the direction to {} is {}", name, turned(w.angle.value_or(Angle::degrees(0))))
                : fmt::format("the distance to {} is {}", name,
                              amount(w.length.value_or(Length::metres(0)), "too long", "too short", unit));
  // No reflector is off by what no blow moves.
  const bool is_small = abs(w.length.value_or(Length::metres(0))) <= kStruck;
  const std::string_view again = is_circle  ? "sight it again"
                                 : is_small ? "measure it again with another reflector"
                                            : "measure it again";
  const std::string_view other =
      w.witness_setup && names.other_setup ? names.other_setup(*w.witness_setup) : "";
  switch (w.witness) {
    case MarkWitness::height_moved:
      return fmt::format("{}, or {} ({} speaks for the mark): {}; if it reads the same, {}",
                         moved(w, names, unit), reading, w.raised ? "its height, off too," : "its height",
                         again, "take the mark out of the control");
    case MarkWitness::setup_moved:
      return fmt::format("{}: setup {} sees it there too; take the mark out of the control",
                         moved(w, names, unit), other);
    case MarkWitness::setup_stands:
      return fmt::format("{} (setup {} sees {} in its place): {}; if it reads the same, {}", reading, other,
                         name, again, "the mark has moved since");
    case MarkWitness::height_reading:
      return fmt::format(
          "{} (its height is off as a wrong slope distance makes it): measure it again, and "
          "look at its reflector",
          reading);
    case MarkWitness::none:
      break;
  }
  return fmt::format("{}, or {}: {}; if it reads the same, look at the mark", reading, moved(w, names, unit),
                     again);
}

/// A target of which direction and distance are off.
std::string target_told(const Wrong& w, const SightNames& names, LengthUnit unit) {
  const std::string_view name = names.sight(w.sight);
  if (w.witness == MarkWitness::setup_moved && w.length && w.seen_at)
    return fmt::format("{} has moved {}, to {}: setup {} sees it there too; take the mark out of the control",
                       name, length_words(*w.length, unit), place_words(*w.seen_at, unit),
                       w.witness_setup && names.other_setup ? names.other_setup(*w.witness_setup) : "");
  std::string text = fmt::format("what was sighted as {} is not there", name);
  if (w.length) text += fmt::format(" but {} away", length_words(*w.length, unit));
  const std::string_view other = w.seen_at && names.control_at ? names.control_at(*w.seen_at) : "";
  if (!other.empty() && !same_name(other, name))
    return text + fmt::format(", where {} is: was {} sighted?", other, other);
  if (w.seen_at) text += fmt::format(", at {}", place_words(*w.seen_at, unit));
  if (!w.length || *w.length > kStruck)
    return text + ": another point was sighted, or its coordinates are wrong";
  return text +
         (w.raised ? fmt::format(", and {} {}", length_words(abs(*w.raised), unit),
                                 *w.raised < Length::metres(0) ? "lower" : "higher")
                   : std::string()) +
         ": it has moved, its target stood off it, or its coordinates or readings are wrong; sight it again";
}

/// The cheapest reading that tells the accounts apart.
std::string decider(const Wrong& w, const SightNames& names) {
  if (!w.setup || !names.own) return "sight one more control point";
  std::vector<Wrong> all{w};
  all.insert(all.end(), w.others.begin(), w.others.end());
  const auto has = [&](std::initializer_list<WrongKind> kinds) {
    for (const Wrong& one : all)
      if (std::ranges::count(kinds, one.kind) > 0) return &one;
    return static_cast<const Wrong*>(nullptr);
  };
  if (const Wrong* one = has({WrongKind::all_distances, WrongKind::scale}))
    return fmt::format("measure the distance to {}{} again with another reflector", target_of(*one, names),
                       from_words(*one, names));
  if (w.kind == WrongKind::exchanged && w.setup)
    return fmt::format("sight {} again, or from one more setup", target_of(w, names));
  if (const Wrong* one = has({WrongKind::circle, WrongKind::distance, WrongKind::target, WrongKind::height}))
    return fmt::format("sight {}{} again: the same reading clears it", target_of(*one, names),
                       from_words(*one, names));
  return "sight one more control point";
}

std::string told(const Wrong& w, const SightNames& names, LengthUnit unit) {
  switch (w.kind) {
    case WrongKind::circle:
    case WrongKind::distance:
      return reading_or_mark(w, names, unit);
    case WrongKind::target:
      return target_told(w, names, unit);
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
    case WrongKind::scale:
      return fmt::format(
          "all distances are {} ppm {}: look at the air and scale that are set, and at the unit",
          fixed(std::fabs(w.ppm.value_or(0)), 0), w.ppm.value_or(0) < 0 ? "too short" : "too long");
    case WrongKind::moved: {
      const Length by = w.length.value_or(Length::metres(0));
      const std::string there = w.seen_at ? place_words(*w.seen_at, unit) : "";
      if (by > kStruck)
        return fmt::format("{} is {} off its coordinates: {} it at {}; mend the control table",
                           names.sight(w.sight), length_words(by, unit), seers(w, names), there);
      return fmt::format(
          "{} has moved {}, to {}, where {} it; take it out of the control, or give it that place",
          names.sight(w.sight), length_words(by, unit), there, seers(w, names));
    }
    case WrongKind::moved_height:
      return fmt::format(
          "{} is {} than its elevation says, as {} it: look at its elevation", names.sight(w.sight),
          amount(w.raised.value_or(Length::metres(0)), "higher", "lower", unit), seers(w, names));
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
    case WrongKind::axes:
      return "northing and easting of the control are exchanged: the other way round its sights agree; look "
             "at "
             "the header of the control table";
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

std::string names_and(const std::vector<std::string_view>& names) {
  if (names.size() < 2) return names.empty() ? "" : std::string(names.front());
  return fmt::format("{} and {}", fmt::join(names.begin(), names.end() - 1, ", "), names.back());
}

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
  const std::vector<std::string> suspects = accused_each(w, names);
  return fmt::format("something is wrong, and these sights cannot tell which: {}; {}",
                     fmt::join(suspects, "; or "), decider(w, names));
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
      return said(fmt::format("its sights {}: something is wrong, or the sds are too small",
                              agreement_words(fact.value, Agreement::worse)));
    case SetupFactKind::misfit_low:
      return said(fmt::format("its sights {}", agreement_words(fact.value, Agreement::better)));
  }
  return "";
}

std::string sight_facts_text(std::span<const SightFact> facts, const SightNames& names, bool faces_known) {
  std::vector<std::string> listed;
  for (const SightFact& f : facts) listed.emplace_back(names.sight(f.sight));
  const std::string targets = listed_names(std::move(listed));
  switch (facts.front().kind) {
    case SightFactKind::one_face:
      return fmt::format("setup {}: read in one face only, {}collimation {}: {}", names.setup,
                         facts.front().value > 0 ? "" : "so good to 1.4 times the stated sd, ",
                         faces_known ? "taken out as the sights in two faces show it" : "not taken out",
                         targets);
    case SightFactKind::faces_disagree:
      return fmt::format(
          "setup {}: the two faces disagree at {}, by {} times their sd beyond the collimation: read it "
          "again",
          names.setup, targets, fixed(std::fabs(facts.front().value), 1));
    case SightFactKind::zeniths_disagree:
      return fmt::format(
          "setup {}: the zenith angles of the two faces disagree at {}, by {} times their sd beyond the "
          "index "
          "error: read it again",
          names.setup, targets, fixed(std::fabs(facts.front().value), 1));
    case SightFactKind::distances_disagree:
      return fmt::format("setup {}: distances to {} disagree, one by {} times its sd: measure it again",
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

std::string circle_turn_text(const CircleTurn& turn, std::string_view setup) {
  return fmt::format(
      "setup {}: circle turned by {} between rounds {} and {}: from this reading on {} directions read {} by "
      "one angle: read the rounds as two setups, or leave one out",
      setup, turn_words(turn.by > Angle::degrees(0) ? turn.by : turn.by * -1.0), turn.round, turn.round + 1,
      turn.sights, turn.by > Angle::degrees(0) ? "more" : "less");
}

std::string held_control_lines(const HeldControlWords& w, LengthUnit unit) {
  std::string text = fmt::format(
      "control that states no sd is held as exact, and \"good to\" leaves it out. Were its coordinates good "
      "to 1 mm "
      "(1 sd), the orientation of {} would be good to {} (95 %), not {}",
      w.setup, turn_words(w.orientation_then), turn_words(w.orientation));
  if (!w.mark.empty())
    text += fmt::format(", and a mark at {}, {} {} away, to {}, not {}, by the setup alone", w.mark,
                        shown(w.away, unit), unit_word(unit), length_words(w.place_then, unit),
                        length_words(w.place, unit));
  return folded("LOOK: ", "  ", text + ". State sd in the control table.");
}

SetupRefusal setup_refusal(const SetupResult& result, const SightNames& names, std::size_t control_sighted) {
  const std::string setup = in_quotes(names.setup);
  switch (result.status) {
    case SetupStatus::too_few:
      return {fmt::format("setup {} with {} sighted", setup,
                          plural(control_sighted, "control point", "control points")),
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
      if (!result.wrong.empty() && result.wrong.front().kind == WrongKind::axes)
        return {fmt::format("setup {}, whose sights fit no place with the control as read", setup),
                "northing and easting of the control the other way round: so its sights agree; look at the "
                "header of the control table"};
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
