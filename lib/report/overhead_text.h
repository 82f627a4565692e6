#pragma once
/// Runs, trapezes, pieces and cuts in words for the crew. Values in, text out; 80 columns.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "measure/angle.h"
#include "measure/length.h"

namespace deckmark {

struct MemberLine {
  std::string_view member;  ///< empty: the only one
  Length length;
  std::string_view start, finish;
  std::string order;  ///< `first`, `second`, `from R2`, `middle`
};
struct HungRunLine {
  std::string_view run, kind;
  Length length;
  std::size_t hangers = 0, bridged = 0;           ///< hung straight, and in an obstruction
  std::optional<Length> space;                    ///< the widest; none with one hanger
  std::optional<Length> radius, chord{}, rise{};  ///< arc or ring
  std::vector<MemberLine> members{};              ///< of a pair, or one that is not as long as its run
};
std::string runs_text(std::span<const HungRunLine> runs, LengthUnit unit);

struct CrossingLine {
  std::string_view first, second;
  Length along_first, along_second;
  Angle angle;
  std::optional<Angle> mitre;
  std::optional<Length> allowance{};  ///< of pairs at a corner: one member ends so far before it, one behind
  std::string_view through{};         ///< the run that goes through
  bool is_tee = false;                ///< the other one ends there
};
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
  std::string what;  ///< `1004`, `joint`, `crossing R2`, `notch R2`, `end`
  Length along;
};
struct PieceLine {
  std::string_view piece, run, member;  ///< member: empty where the run has one
  Length length;
  std::vector<PieceMarkLine> marks;
};
std::string pieces_text(std::span<const PieceLine> pieces, LengthUnit unit);

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
