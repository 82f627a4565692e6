#pragma once
/// The page that a person opens or prints: one self-contained HTML text. Values in, text out; knows no files
/// and no job.

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lift/lift.h"
#include "marks/number_ranges.h"
#include "measure/frame.h"
#include "report/asbuilt_text.h"
#include "report/baseline_page.h"
#include "report/bill_text.h"
#include "report/heights_text.h"
#include "report/overhead_text.h"
#include "report/text.h"

namespace deckmark {

/// How a mark is drawn: by the worst of its verdicts, or by what it is.
enum class PlanSymbol : std::uint8_t { within, outside, unsure, not_measured, reference };
inline constexpr std::size_t kPlanSymbols = 5;

/// A mark of the plan.
struct PlanMark {
  Point<Drawing> at;
  std::uint32_t number = 0;
  std::uint32_t run = 0;  ///< word of the run, 0: none
  PlanSymbol symbol = PlanSymbol::not_measured;
  std::string_view point = {};
};

/// A named place of the plan: a tie, or control.
struct PlanPlace {
  std::string_view name;
  Point<Drawing> at;
};

/// A line or an outline of the plan that is no mark.
struct PlanShape {
  enum class Kind : std::uint8_t { run, bay, obstruction };
  Kind kind;
  std::string_view name;
  std::vector<Point<Drawing>> corners;  ///< of a run: along it; a bay or an obstruction closes itself
};

/// A member of a run as it is built: its middle line from end to end.
struct PlanMember {
  enum class End : std::uint8_t { none, joined, free, wall };
  std::vector<Point<Drawing>> line;
  End start = End::none, finish = End::none;  ///< none: of a ring
  bool is_of_pair = false;
};

/// Where a member goes through and another is cut.
struct PlanThrough {
  Point<Drawing> at, ahead;  ///< `ahead`: further along the one that goes through
  Length apart;              ///< from its fellow of a pair; 0 where it has none
};

/// What the plan of one level shows, with the level's own numbers and verdicts. Marks stand in the order of
/// the drawing.
struct PlanLevel {
  AsbuiltLevel level = AsbuiltLevel::floor;
  bool by_plumb = false, by_shots = false;  ///< where its verdicts are from
  std::vector<PlanMark> marks{};
  std::size_t total = 0;           ///< marks of the level
  std::optional<Length> square{};  ///< thinned: one mark of every symbol in every square of this side
  std::array<std::size_t, kPlanSymbols> count{};  ///< of all marks of the level
};

/// What the plans share, and the levels, the floor first.
struct PlanPage {
  std::vector<PlanLevel> levels{};
  Point<Drawing> low{{.x = Length::metres(0), .y = Length::metres(0)}},
      high{{.x = Length::metres(0), .y = Length::metres(0)}};  ///< extent of all marks
  std::vector<PlanPlace> ties{}, control{};
  std::vector<PlanShape> shapes{};
  std::vector<PlanMember> members{};
  std::vector<PlanThrough> through{};
  Azimuth azimuth_x = Azimuth::degrees(90);  ///< of +X
  bool mirrored = false;                     ///< +Y to the right of +X, seen from above
  std::string_view north{};                  ///< from which azimuths count; empty: laid out from strings
  Point<Site> origin{{.northing = Length::metres(0), .easting = Length::metres(0)}};  ///< X = Y = 0
};

/// Numbers of one run.
struct RunNumbers {
  std::string_view run;  ///< empty: marks without a run
  std::vector<NumberRange> floor{};
  std::size_t count = 0;
  std::vector<NumberRange> deck{};  ///< floor numbers of the points that have a deck number
  std::size_t on_deck = 0;
};

/// All that the page tells.
struct JobPage {
  std::string_view program{}, title{}, revision{};
  std::string_view line{};                 ///< the first line of the summary
  std::span<const std::string> release{};  ///< for drilling
  std::string_view list_id{};              ///< first characters of the digest of points.csv
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre, list_unit = LengthUnit::metre;
  PlanPage plan{};
  std::vector<std::string_view> run_names{};  ///< by word

  BaselinePage baselines{};

  std::vector<PlumbLine> plumb{};
  PlumbOptions plumb_options{};

  const AsbuiltPage* asbuilt = nullptr;
  std::vector<Point<Drawing>> asbuilt_places{};  ///< design place of every line of `asbuilt`

  std::size_t straight = 0, trapezes = 0;  ///< hangers that go straight up, and on trapezes of two supports
  std::vector<RunNumbers> runs{};
  std::vector<NumberRange> numbers{};  ///< of all runs
  std::int64_t deck_offset = 0;        ///< 0: no deck numbers
  std::vector<HungRunLine> hung{};     ///< runs of the runs table
  std::vector<CrossingLine> crossings{};
  PieceLines pieces{};
  std::optional<BillWords> bill{};       ///< where something is ordered or arrived
  std::optional<HeightsPage> heights{};  ///< where level or laser read something
  std::vector<InputLine> inputs{};
};

/// Well-formed HTML in UTF-8 that also reads as XML; no script, nothing to load. Tables and figures are cut
/// to what a person reads, and say what they leave out.
std::string page_html(const JobPage& page);

}  // namespace deckmark
