#pragma once
/// What the job says of its crews: who lays out which points, and what they do there. Data only.

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "table/message.h"

namespace deckmark {

/// What a crew does at its points.
enum class CrewWork : std::uint8_t { floor, deck, hang };
inline constexpr std::size_t kCrewWorks = 3;
constexpr std::string_view crew_work_word(CrewWork work) {
  constexpr std::string_view kWords[kCrewWorks] = {"floor", "deck", "hang"};
  return kWords[static_cast<std::size_t>(work)];
}

/// A run or a point that a crew is given, as it stands in the job file.
struct GivenToCrew {
  std::string name;
  Where at;
};

/// One `[[crew]]` as its keys say.
struct StatedCrew {
  std::string name;
  Where where;    ///< its place in the job file
  Where name_at;  ///< and that of its name
  std::vector<GivenToCrew> runs, points;
  std::vector<std::size_t> setups;  ///< from which it works, in the order of the job file
  std::vector<CrewWork> does;
};

}  // namespace deckmark
