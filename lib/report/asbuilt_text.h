#pragma once
/// As-built findings in words and tables for a terminal of 80 columns.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "asbuilt/compare.h"
#include "asbuilt/options.h"
#include "asbuilt/other_floor.h"
#include "asbuilt/runs.h"
#include "report/cause_text.h"

namespace deckmark {

struct AsbuiltLine {
  std::uint32_t number;
  std::string_view point;
  const AsbuiltRow* row;
  std::string_view shot_from, marked_from;  ///< setups; empty where not stated
};

/// All that the text needs. Lines stand in the order of the rows.
struct AsbuiltPage {
  AsbuiltOptions options;
  LengthUnit unit = LengthUnit::metre;  ///< of the site
  Length flatness = Length::metres(0);
  std::size_t shots = 0;  ///< in the table
  std::size_t own = 0;    ///< of them that are readings of one's own, and not outside
  std::vector<AsbuiltLine> lines{};
  std::vector<LevelStatistics> levels{};
  const RunsResult* runs = nullptr;
  std::function<std::string_view(std::uint32_t)> run_name{};
  std::vector<std::string_view> unmatched{}, ambiguous{}, missing{}, doubled{};  ///< each name once
  std::vector<OtherFloor> other_floors{};  ///< levels whose shots are not judged
  bool looked_for_causes = true;
  std::vector<CauseLine> causes{};
  std::vector<std::string_view> unplaced{};  ///< setups of unknown place
  Length noise = Length::metres(0);          ///< that the causes leave
  std::size_t tried = 0;
};

/// `480 are the crew's own readings: not a check`.
std::string own_words(std::size_t own);
std::string asbuilt_text(const AsbuiltPage& page);
/// Lines in the order in which they are read: outside before unsure before within, then by the offset.
std::vector<std::size_t> worst_first(const AsbuiltPage& page);
/// What errors this check cannot show, because mark and shot share them: sentences, broken into lines of 80
/// columns.
std::vector<std::string> common_error_texts(const AsbuiltPage& page);
/// How many shots of a level lie within which distance of their design, counted: at least 95 of 100.
struct CountedWithin {
  std::size_t shots = 0, all = 0;
  Length distance = Length::metres(0);  ///< as it is printed, so that the count holds for what is read
};
CountedWithin counted_within(const AsbuiltPage& page, const LevelStatistics& level);
/// Chance that the true place is within the tolerance, in %, half away from zero; `>99` and `<1` where it
/// would round to what it is not.
std::string sure_words(const AsbuiltRow& row);
/// `38 of 40 shots on the floor read 4.2 m too high: ...`, with what may be behind it.
std::string other_floor_words(const OtherFloor& floor, LengthUnit unit);
/// What to do about it.
std::string other_floor_cure(const OtherFloor& floor, LengthUnit unit);
/// `not judged: 40 as-built shots on the floor, 4.2 m too high`; empty where there are none.
std::string not_judged_words(std::span<const OtherFloor> floors, LengthUnit unit);

/// Both verdicts of a row: `outside`, `within up`, ...
std::string asbuilt_verdict_words(const AsbuiltRow& row);

/// `no shot of 3 points: A1, A2, A3`; the first few and how many more.
std::string missing_words(std::span<const std::string_view> names);
/// Names joined by commas, the first few and how many more.
std::string some_names(std::span<const std::string_view> names);

/// Why the job must not go on because of its as-built shots; empty where nothing is wrong.
struct AsbuiltStanding {
  struct Outside {
    std::string text;
    std::vector<std::uint32_t> marks;       ///< by index, each once, the worst first
    std::optional<std::size_t> worst = {};  ///< the shot that is told, by index
  };
  std::vector<Outside> outside;
};
AsbuiltStanding asbuilt_standing(std::span<const LevelStatistics> levels, std::span<const AsbuiltRow> rows,
                                 const std::function<std::string(const AsbuiltRow&)>& name,
                                 const AsbuiltOptions& options, Length flatness, LengthUnit unit);

}  // namespace deckmark
