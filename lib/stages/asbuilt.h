#pragma once
/// As-built shots matched with the drawing's points and judged, with likely causes of what is off.

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "asbuilt/causes.h"
#include "asbuilt/compare.h"
#include "asbuilt/match.h"
#include "asbuilt/other_floor.h"
#include "asbuilt/runs.h"
#include "job/asbuilt_job.h"
#include "job/stated.h"
#include "report/cause_text.h"
#include "stages/laid_out.h"
#include "stages/setups.h"
#include "stages/staged.h"

namespace deckmark {

/// A shot of another floor.
struct SetAside {
  std::size_t shot = 0;
  std::uint32_t mark = 0;
  AsbuiltLevel level = AsbuiltLevel::floor;
};

/// Rows are named by index.
struct AsbuiltFound {
  std::vector<AsbuiltRow> rows;        ///< one a shot that met its mark, in the order of the table
  std::vector<std::size_t> unmatched;  ///< shots that met none
  std::vector<AsbuiltPair> ambiguous;  ///< shots near a mark that is not theirs alone
  std::vector<std::uint32_t> missing;  ///< marks without any shot; not reference points
  std::vector<std::pair<std::size_t, std::size_t>>
      doubled;                           ///< rows of one mark at one level: the first, a later one
  std::vector<OtherFloor> other_floors;  ///< levels whose shots were taken on another floor
  std::vector<SetAside> aside;           ///< their shots, which are not judged: they have no row
  std::vector<LevelStatistics> levels;
  RunsResult runs;
  bool looked_for_causes = true;
  CausesResult causes;                       ///< its shots are rows
  std::vector<std::string_view> unplaced{};  ///< setups whose place is not known, so no causes of theirs
};

struct AsbuiltStated {
  const AsbuiltJob& asbuilt;
  const std::vector<ControlPoint>& control;
  const std::vector<NamedTie>& ties;
  const InstrumentJob& instrument;
  std::optional<Elevation> floor;       ///< as stated
  Length flatness = Length::metres(0);  ///< of the deck
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;
  const std::vector<SiblingStorey>* storeys = nullptr;  ///< whose shots are refused; null: none
};
/// Where instruments stood, for causes of what is off.
struct AsbuiltStations {
  const Setups* setups = nullptr;  ///< null where the job has none
  bool are_known = true;           ///< else control or setups are spoiled, and causes are not looked for
};
/// Absent without a table of shots. Matches shots with the drawing's points and judges them.
[[nodiscard]] Staged<AsbuiltFound> check_asbuilt(const AsbuiltStated& stated, const LaidOut& laid,
                                                 const AsbuiltStations& stations);
/// Private to the stage: likely causes of what the rows are off.
CausesResult asbuilt_causes(const AsbuiltStated& stated, const LaidOut& laid, const Setups* setups,
                            const std::vector<AsbuiltRow>& rows);
/// Private to the stage: setups of the shots whose place is not known.
std::vector<std::string_view> unplaced_setups(const AsbuiltStated& stated, const Setups* setups);

/// Shots that are not judged since they were taken on another floor: a problem where nothing else was asked
/// for, else a doubt.
void tell_other_floors(const AsbuiltStated& stated, const AsbuiltFound& found, Messages& messages,
                       Grade grade);
/// Rows that are readings of one's own, and not outside.
std::size_t own_readings(const AsbuiltFound& found);
/// The deck number of a deck row, else the floor number.
std::uint32_t asbuilt_number(const Numbers& numbers, const AsbuiltRow& row);
/// The causes with the names behind their numbers.
std::vector<CauseLine> cause_lines(const AsbuiltStated& stated, const LaidOut& laid,
                                   const AsbuiltFound& found);

}  // namespace deckmark
