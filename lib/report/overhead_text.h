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

struct HungRunLine {
  std::string_view run, kind;
  Length length;
  std::size_t hangers = 0, bridged = 0;       ///< hung straight, and in an obstruction
  std::optional<Length> space;                ///< the widest; none with one hanger
  std::optional<Length> radius, chord, rise;  ///< arc or ring
  std::optional<Length> inside, outside;      ///< lengths of the members of a pair
};
/// `pairs`: lengths of members are told; a ring or arc then says which to hang first.
std::string runs_text(std::span<const HungRunLine> runs, bool pairs, LengthUnit unit);

struct CrossingLine {
  std::string_view first, second;
  Length along_first, along_second;
  Angle angle;
  std::optional<Angle> mitre;
  std::optional<Length> allowance;  ///< of a pair at a corner
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
  std::string what;  ///< `1004`, `joint`, `crossing R2`, `end`
  Length along;
};
struct PieceLine {
  std::string_view piece, run;
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
  std::optional<Length> length;
};
std::string parts_text(std::span<const PartLine> parts, LengthUnit unit);

}  // namespace deckmark
