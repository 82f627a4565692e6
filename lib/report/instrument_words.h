#pragma once
/// Facts of setups and sights in words: one sentence each.

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "measure/angle_text.h"
#include "measure/length.h"
#include "station/setup.h"

namespace deckmark {

/// Names behind the indices of one setup.
struct SightNames {
  std::string_view setup;
  std::function<std::string_view(std::size_t)> sight;  ///< the target's name
  /// The control point that lies there, empty where none does; may be left out.
  std::function<std::string_view(const Point<Site>&)> control_at = nullptr;
  /// The name of another setup of the job; may be left out where none is heard.
  std::function<std::string_view(std::size_t)> other_setup = nullptr;
  /// The target of a sight of another setup, and which setup this one is; left out where none is accused.
  std::function<std::string_view(std::size_t setup, std::size_t sight)> sight_of = nullptr;
  std::optional<std::size_t> own = std::nullopt;
};

/// An angle of a sight or a small turn as a person reads it: seconds under a minute, else degrees, minutes,
/// seconds.
std::string turn_words(Angle a);

/// `S1`, `S1 and S2`, `S1, S2 and S3`.
std::string names_and(const std::vector<std::string_view>& names);
/// Names joined by commas, cut after the twelfth with a count of the others.
std::string listed_names(std::vector<std::string> names);

std::string setup_fact_text(const SetupFact& fact, const SightNames& names, LengthUnit unit);
/// REQUIRES one kind; one_face, of one value, and slope_without_zenith may name several sights.
/// `faces_known`: sights in two faces tell collimation and index error, taken out of those in one.
std::string sight_facts_text(std::span<const SightFact> facts, const SightNames& names,
                             bool faces_known = false);
/// The circle turned between two rounds.
std::string circle_turn_text(const CircleTurn& turn, std::string_view setup);
/// What is wrong and where to look; `others` that explain as much are named too. A direction or a distance
/// that is off by itself is told with the mark that would have moved, whichever has a witness first.
std::string wrong_text(const Wrong& wrong, const SightNames& names, LengthUnit unit);
/// What control that states no sd hides of one setup, at 95 %: as told, and were its coordinates good to 1
/// mm.
struct HeldControlWords {
  std::string_view setup;
  Angle orientation = Angle::degrees(0), orientation_then = Angle::degrees(0);
  std::string mark;  ///< the farthest mark, empty where the job has none
  Length away = Length::metres(0), place = Length::metres(0), place_then = Length::metres(0);
};
std::string held_control_lines(const HeldControlWords& words, LengthUnit unit);

/// Why a setup has no place, what was expected. REQUIRES a status that is not solved.
struct SetupRefusal {
  std::string found, expected;
};
SetupRefusal setup_refusal(const SetupResult& result, const SightNames& names, std::size_t control_sighted);

}  // namespace deckmark
