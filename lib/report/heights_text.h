#pragma once
/// Heights by level and laser in words.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "measure/frame.h"
#include "measure/verdict.h"

namespace deckmark {

/// A line, or what a laser closes to.
struct ClosureLine {
  std::string words;  ///< `BM1 L1 L2 BM1`, `laser A, BM1 to BM2`
  std::optional<Length> closure;
  Length limit;
  bool is_within = true;
};
/// A standing of a laser.
struct PlaneLine {
  std::string name;
  Elevation plane;
};
struct TiltLine {
  std::string words;  ///< `laser A at BM1`
  Length off, over;   ///< by how much the plane is off at that distance
};
struct HeightLineOf {
  std::string_view point;
  std::optional<std::uint32_t> number{};
  std::string_view level{};
  Elevation elevation;
  Length sd;
};
struct BracketLine {
  std::uint32_t number = 0;
  std::string_view point;
  Length up, sd;
  Verdict verdict = Verdict::within;
};
struct HeightsPage {
  LengthUnit unit = LengthUnit::metre, small = LengthUnit::metre;
  std::size_t benchmarks = 0, spare = 0;
  std::vector<ClosureLine> closures;
  std::vector<PlaneLine> planes;
  std::vector<TiltLine> tilts;
  std::optional<Elevation> datum;
  std::optional<Length> datum_height;  ///< over the floor
  std::vector<HeightLineOf> heights;
  std::vector<BracketLine> brackets;
  Length bracket_limit = Length::metres(0);
};

/// Lines, closures, planes, the datum line, then the heights: at most so many of these.
std::string heights_text(const HeightsPage& page, std::size_t most = 60);
/// The closures, and the brackets that are outside: what stands among the other parts of a job.
std::string heights_short_text(const HeightsPage& page);
/// Brackets against their design; empty where none was measured.
std::string brackets_text(const HeightsPage& page);

}  // namespace deckmark
