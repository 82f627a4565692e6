#pragma once
/// Setups, stake lists and plans for a crew, in 80 columns. Heights and moves are said in words.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "measure/angle_text.h"
#include "measure/verdict.h"
#include "report/instrument_words.h"
#include "station/setup.h"
#include "station/stake.h"

namespace deckmark {

/// A circle reading or an azimuth in the job's notation; silent jobs get degrees, minutes and seconds.
std::string direction_text(Azimuth a, std::optional<AngleNotation> notation);

/// What of a mark a sight to it checked: a direction without a distance says nothing along itself.
enum class CheckedPart : std::uint8_t { plan, across, along };
/// A sight to a numbered point.
struct CheckLine {
  std::int64_t number = 0;
  std::string_view point;
  Length miss = Length::metres(0);
  Verdict verdict = Verdict::within;
  CheckedPart part = CheckedPart::plan;
};
/// What is printed of one setup.
struct SetupSheet {
  SetupPlace place = SetupPlace::free;
  std::string_view mark;  ///< the control point stood on
  const SetupResult* result = nullptr;
  const Reduction* reduction = nullptr;
  std::vector<CheckLine> checks;
  std::span<const SideShot> shots;
  Verdict verdict = Verdict::unsure;
  Length tolerance = Length::metres(0);  ///< in plan, of checks
  bool details = false;                  ///< figures of statistics too
};
std::string setup_text(const SetupSheet& sheet, const SightNames& names, LengthUnit unit,
                       std::optional<AngleNotation> notation);

/// One row of a stake list with its names.
struct StakeEntry {
  std::int64_t number = 0;  ///< 0: control
  std::string_view point, run;
  StakeLevel level = StakeLevel::floor;
  const StakeRow* row = nullptr;
  std::optional<Length> beside{};     ///< from the mark to each member of a pair
  bool is_curved = false;             ///< these are inside and outside, else left and right
  bool is_all = true;                 ///< both are there beside every mark of the run
  std::string_view in_place_of_drop;  ///< `trapeze -a -b`, of a floor mark above which nothing is fastened
};
struct StakeSheet {
  std::string_view title, revision, setup, mark;
  std::string_view crew = {};                 ///< whose list it is; empty: of the whole job
  std::string_view standing = {};             ///< the first line of the summary; of a list for paper
  std::uint32_t issue = 0;                    ///< that a list for paper belongs to
  std::span<const std::string> release = {};  ///< for drilling; of a list for paper
  Verdict verdict = Verdict::within;          ///< of the setup
  const SetupResult* result = nullptr;
  std::vector<StakeEntry> entries;
  StakeOptions options;
  Angle steep = Angle::degrees(45);
  bool by_run = true;
  Length walk = Length::metres(0), other_walk = Length::metres(0);
};
std::string stake_text(const StakeSheet& sheet, LengthUnit unit, std::optional<AngleNotation> notation);
/// The same on sheets of paper, letter or A4, parted by form feeds. REQUIRES an orientation.
std::string stake_sheets(const StakeSheet& sheet, LengthUnit unit, std::optional<AngleNotation> notation);

/// A spot that was planned. `sheet.entries` are the marks.
std::string plan_text(const StakeSheet& sheet, const PlannedSetup& planned,
                      std::span<const std::string_view> targets, std::size_t rounds, LengthUnit unit);

}  // namespace deckmark
