#include "stages/heights_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "measure/length_text.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kMostNames = 4;  // of set-ups in one sentence

/// Feet and inches without the feet, and the inches, that are none: `15/16"`.
std::string without_none(std::string text) {
  if (text.starts_with("0'-")) text.erase(0, 3);
  if (text.starts_with("0 ")) text.erase(0, 2);
  return text;
}

std::string small_words_beyond(Length value, Length limit, LengthUnit unit) {
  return without_none(length_words_beyond(value, limit, unit));
}

/// As finely as a tape or a staff is read.
std::string reading_words(Length value, LengthUnit unit) {
  return unit == LengthUnit::feet_inches ? feet_inches_text(value, 64) : length_words(value, unit);
}

std::string_view higher(Length up) { return up > Length::metres(0) ? "higher" : "lower"; }

/// A slip without its place.
std::string slip_name(HeightSlip slip) {
  switch (slip) {
    case HeightSlip::hundred_millimetres:
      return "100 mm";
    case HeightSlip::metre:
      return "1 m";
    case HeightSlip::foot:
      return "a foot";
    case HeightSlip::inch:
      return "an inch";
    case HeightSlip::exchanged:
      return "back and fore exchanged";
    case HeightSlip::read_in_feet:
      break;
  }
  return "a staff read in the other unit, feet or metres,";
}

std::string one_slip(const HeightsFound& found, const SlipOfHeight& slip) {
  const bool by_setup = slip.slip == HeightSlip::exchanged || slip.slip == HeightSlip::read_in_feet;
  std::string out = slip_name(slip.slip);
  if (!by_setup) out += " in one reading";
  if (slip.setup) return out + " at " + found.setups[*slip.setup];
  return by_setup ? out + " at one set-up" : out;
}

/// Of a reading by one of two housings both.
const HousingTilt* pair_of(const HeightsFound& found, WrongHeight::What what, std::size_t index) {
  if (what != WrongHeight::What::laser) return nullptr;
  const auto at = std::ranges::find_if(
      found.result.tilts, [index](const HousingTilt& t) { return t.straight == index || t.turned == index; });
  return at == found.result.tilts.end() ? nullptr : &*at;
}

/// `both readings of COL1 from A`, of a pair that is torn `one of the two readings of COL1 from A`.
std::string named_pair(const HeightsFound& found, const HousingTilt& pair) {
  const LaserReading& r = found.readings.laser[pair.straight];
  return fmt::format("{} readings of {} from {}", pair.is_within() ? "both" : "one of the two",
                     found.targets[r.target].name, found.lasers[r.laser]);
}

/// A reading, a pair of them, or a benchmark as a foreman names it.
std::string named(const HeightsStated& stated, const HeightsFound& found, WrongHeight::What what,
                  std::size_t index) {
  if (const HousingTilt* pair = pair_of(found, what, index)) return named_pair(found, *pair);
  const auto read = [&](std::size_t target, const std::string& from, Length reading) {
    return fmt::format("{} read from {} as {}", found.targets[target].name, from,
                       reading_words(reading, stated.words_unit()));
  };
  switch (what) {
    case WrongHeight::What::level: {
      const LevelReading& r = found.readings.level[index];
      return read(r.target, found.setups[r.setup], r.reading);
    }
    case WrongHeight::What::laser: {
      const LaserReading& r = found.readings.laser[index];
      return read(r.target, found.lasers[r.laser], r.reading);
    }
    case WrongHeight::What::benchmark:
      break;
  }
  return fmt::format("benchmark {}", found.targets[found.readings.benchmarks[index].target].name);
}

}  // namespace

std::string small_words(Length value, LengthUnit unit) {
  const std::string text = length_words(value, unit);
  // A hair is not nothing.
  return without_none(unit == LengthUnit::feet_inches && text == "0'-0\"" ? feet_inches_text(value, 64)
                                                                          : text);
}

std::string line_words(const HeightsFound& found, const HeightLine& line) {
  std::vector<std::string_view> over;
  for (const HeightLine::Leg& leg : line.legs)
    over.push_back(found.setups[found.readings.level[leg.back].setup]);
  const std::string way = over.size() <= kMostNames
                              ? fmt::format("{}", fmt::join(over, ", "))
                              : fmt::format("{} to {}, {} set-ups,", over.front(), over.back(), over.size());
  return fmt::format("the line from {} over {} to {}", found.targets[line.from].name, way,
                     found.targets[line.to].name);
}

std::string_view open_line_words(const HeightsFound& found, const HeightLine& line) {
  std::size_t checked = 0;
  for (const HeightLine::Leg& leg : line.legs)
    for (const std::size_t i : {leg.back, leg.fore}) checked += found.result.is_level_checked(i) ? 1U : 0U;
  if (checked == 0) return "nothing checks it";
  return checked == 2 * line.legs.size() ? "other readings check it" : "other readings check a part of it";
}

bool is_sight_beside(const HeightsFound& found, const HeightLine& line) {
  return !line.closure && line.legs.size() == 1 && found.targets[line.from].benchmark &&
         found.result.is_level_checked(line.legs.front().back);
}

std::string line_closure_words(const HeightsFound& found, const HeightLine& line, LengthUnit unit) {
  const std::string words = line_words(found, line);
  if (!line.closure) return fmt::format("{} is open: {}", words, open_line_words(found, line));
  return fmt::format("{} closes {} too {}", words, small_words_beyond(abs(*line.closure), line.limit, unit),
                     *line.closure > Length::metres(0) ? "high" : "low");
}

std::string plane_words(const HeightsFound& found, const PlaneClosure& plane) {
  const LaserReading &first = found.readings.laser[plane.first], &second = found.readings.laser[plane.second];
  const std::string &laser = found.lasers[first.laser], &one = found.targets[first.target].name;
  if (first.target == second.target) return fmt::format("laser {}, {} read again", laser, one);
  return fmt::format("laser {}, {} and {}", laser, one, found.targets[second.target].name);
}

std::string plane_closure_words(const HeightsFound& found, const PlaneClosure& plane, LengthUnit unit) {
  const LaserReading &first = found.readings.laser[plane.first], &second = found.readings.laser[plane.second];
  const std::string &laser = found.lasers[first.laser], &one = found.targets[first.target].name,
                    &other = found.targets[second.target].name;
  const std::string by = small_words_beyond(abs(plane.closure), plane.limit, unit);
  if (first.target == second.target)
    return fmt::format("laser {}: by the second reading of {} its plane is {} {} than by the first", laser,
                       one, by, higher(plane.closure));
  return fmt::format("laser {}: by {} its plane is {} {} than by {}", laser, other, by, higher(plane.closure),
                     one);
}

std::string permitted_words(Length closure, Length limit, LengthUnit unit) {
  return "permitted " +
         (abs(closure) > limit ? small_words_beyond(limit, abs(closure), unit) : small_words(limit, unit));
}

std::string housing_words(const HeightsFound& found, const HousingTilt& tilt, LengthUnit unit) {
  const LaserReading& r = found.readings.laser[tilt.straight];
  return fmt::format(
      "laser {} at {}: the two housings differ by {}, more than the {} that its beam and two readings allow: "
      "a reading is wrong, or the laser wants adjusting",
      found.lasers[r.laser], found.targets[r.target].name,
      small_words_beyond(abs(tilt.apart), tilt.limit, unit), small_words(tilt.limit, unit));
}

std::string wrong_height_words(const HeightsStated& stated, const HeightsFound& found,
                               const WrongHeight& wrong) {
  const bool too_much = wrong.error > Length::metres(0);
  const HousingTilt* pair = pair_of(found, wrong.what, wrong.index);
  const bool is_both = pair && pair->is_within(), is_torn = pair && !pair->is_within();
  std::string out =
      fmt::format("{}{} {} {} too {}, by the others", named(stated, found, wrong.what, wrong.index),
                  is_torn ? " is wrong: their mean" : "", is_both ? "are" : "is",
                  small_words(abs(wrong.error), stated.words_unit()),
                  wrong.what == WrongHeight::What::benchmark ? (too_much ? "high" : "low")
                                                             : (too_much ? "much" : "little"));
  std::vector<std::string> alike;
  for (const auto& [what, index] : wrong.alike) {
    // A torn pair has both its readings among the suspects.
    const HousingTilt* other = pair_of(found, what, index);
    if (other && (other == pair || index == std::max(other->straight, other->turned))) continue;
    alike.push_back(named(stated, found, what, index));
  }
  if (alike.size() > 3) {
    const std::size_t more = alike.size() - 2;
    alike.resize(2);
    alike.push_back(fmt::format("{} more", more));
  }
  if (!alike.empty()) out += fmt::format("; or it is {}", fmt::join(alike, ", or "));
  return out + (pair ? ": read both again" : ": read it again");
}

std::string slip_words(const HeightsFound& found, std::optional<std::size_t> line,
                       std::optional<std::size_t> plane) {
  std::vector<std::string> out;
  for (const SlipOfHeight& s : found.result.slips)
    if ((line && s.line == line) || (plane && s.plane == plane)) out.push_back(one_slip(found, s));
  return fmt::format("{}", fmt::join(out, ", or "));
}

std::string_view height_field(const HeightsFound& found, WrongHeight::What what, std::size_t index) {
  if (what == WrongHeight::What::level) return found.readings.level[index].is_back ? "back" : "fore";
  return what == WrongHeight::What::laser ? "reading" : "elevation";
}

Where height_place(const HeightsStated& stated, const HeightsFound& found, WrongHeight::What what,
                   std::size_t index) {
  const HeightsJob& job = stated.heights;
  const std::string_view field = height_field(found, what, index);
  if (what == WrongHeight::What::level) return cell_of(job.level_table, index, field);
  if (what == WrongHeight::What::laser) return cell_of(job.laser_table, index, field);
  return cell_of(job.benchmarks_table, *found.targets[found.readings.benchmarks[index].target].benchmark,
                 field);
}

}  // namespace deckmark
