#pragma once
/// Runs, trapezes, pieces and cuts in words for the crew. Values in, text out; 80 columns.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "hanger/hanger_options.h"
#include "measure/angle.h"
#include "measure/length.h"

namespace deckmark {

/// A length for a saw or a tape: feet-inches to 1/16, three decimals of a metre, whole millimetres.
std::string taped(Length value, LengthUnit unit);
std::string_view taped_unit(LengthUnit unit);

/// `two members, 0.100 left and right`: where the members of a pair hang beside a mark. `by`: how far;
/// `is_all`: both reach every mark.
std::string pair_words(std::string_view by, bool is_curved, bool is_all);

struct MemberLine {
  std::string_view member;  ///< empty: the only one
  Length length;
  std::string_view start, finish;
  HangFirst order = HangFirst::first;
  std::string_view from_run{};  ///< with `HangFirst::from`
};
struct HungRunLine {
  std::string_view run, kind;
  Length length;
  std::size_t hangers = 0, bridged = 0;           ///< hung straight, and in an obstruction
  std::optional<Length> space;                    ///< the widest; none with one hanger
  std::optional<Length> radius, chord{}, rise{};  ///< arc or ring
  std::vector<MemberLine> members{};
};
/// `hang the inside one first`, `begin at R2`; empty where there is nothing to choose.
std::string hanging_words(const HungRunLine& run);
std::string runs_text(std::span<const HungRunLine> runs, LengthUnit unit);

struct CrossingLine {
  std::string_view first, second;
  Length along_first, along_second;
  Angle angle;
  std::optional<Angle> mitre;
  std::optional<Length> allowance{};  ///< of pairs at a corner: one member ends so far before it, one behind
  std::string_view through{}, cut{};  ///< the run that goes through, and the other one; at a corner of a
                                      ///< pair with a single member that one, and the pair
  bool is_tee = false;                ///< the one that is cut ends there
  bool is_notched = false;            ///< the one that goes through
  bool is_square = false;             ///< a corner in which more than two runs end
};
/// `corner of 90.00 degrees, mitre 45.00`, `cross at 90.00 degrees; R1 goes through`.
std::string crossing_words(const CrossingLine& crossing);
std::string crossings_text(std::span<const CrossingLine> crossings, LengthUnit unit);

struct TrapezeLine {
  std::uint32_t number;
  std::string_view point, obstruction;
  std::optional<Length> span;  ///< none: no clear place within reach
};
std::string trapezes_text(std::span<const TrapezeLine> trapezes, LengthUnit unit);

struct StepLine {
  std::string_view first, second;
  Length up;
};
struct BayLine {
  std::string_view bay;
  std::size_t shots = 0;
  Length elevation;  ///< above datum, at the middle of its points or of its first corner
};
std::string bays_text(std::span<const BayLine> bays, std::span<const StepLine> steps, LengthUnit unit);

struct PieceMarkLine {
  std::string what;  ///< `1004`, `joint`, `notch R2`, `crossing R2`, `end`
  Length along;      ///< from the piece's start
};
/// A piece as it goes up, on one member.
struct PieceLine {
  std::string_view piece, run;
  std::string_view member;  ///< `left`, `inside`; empty where the run is a single member
  Length length;            ///< after it was cut on site
  std::vector<PieceMarkLine> marks{};
  std::optional<Length> cut{};  ///< taken off on site
  std::string_view cut_end{};   ///< `start` or `finish`
  bool is_cut_allowed = true;   ///< else it is too long by so much, and no cut keeps the rules
};
/// More labels than this are not told: nobody copies them by hand.
inline constexpr std::size_t kLabels = 400;
struct PieceLines {
  std::vector<PieceLine> lines;  ///< no more than `kLabels`
  std::size_t all = 0;           ///< pieces there are
};
/// `K2 on R1 left, 3.600`: what a label begins with.
std::string label_head(const PieceLine& piece, LengthUnit unit);
/// What is done with a piece and marked on it, in order: `from 3.950 cut 0.350 off its finish`, `0.100 1004`.
std::vector<std::string> label_words(const PieceLine& piece, LengthUnit unit);
/// Lines to write on labels, or to read to a helper: of each piece its head and its words.
std::string pieces_text(const PieceLines& pieces, LengthUnit unit);

struct CutLine {
  std::string_view run;  ///< empty: none
  Length cut;
};
struct CutSummary {
  std::size_t pieces = 0, lower_bound = 0;
  std::optional<Length> stock;
  Length waste = Length::metres(0);
};
std::string cut_text(std::span<const CutLine> cuts, const CutSummary& summary, LengthUnit unit);

struct PartLine {
  std::string_view part;
  std::size_t count = 0;
  std::optional<Length> length{};
  std::string_view member{};  ///< on which they are; empty: on all
};
std::string parts_text(std::span<const PartLine> parts, LengthUnit unit);

}  // namespace deckmark
