#pragma once
/// Heights by level and laser in words.

#include <algorithm>
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
  std::string open{};  ///< without a closure: what checks it, `nothing checks it`
};
/// A closure and its limit without their unit; beyond the limit it reads otherwise than the limit. REQUIRES a
/// closure.
struct ClosureText {
  std::string by, limit;
};
ClosureText closure_text(const ClosureLine& line, LengthUnit small);
/// A standing of a laser.
struct PlaneLine {
  std::string name;
  Elevation plane;
  bool is_contradicted = false;
};
struct TiltLine {
  std::string words;    ///< `laser A at BM1`
  Length apart, limit;  ///< of the two housings; what beam and readings allow
  Length over;          ///< that distance
  bool is_within = true;
};
struct HeightLineOf {
  std::string_view point;
  std::optional<std::uint32_t> number{};
  std::string_view level{};
  Elevation elevation;
  Length sd;
  bool is_contradicted = false;
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
  std::vector<std::string>
      contradicted;  ///< readings and benchmarks that the others contradict, a sentence each
  std::optional<Elevation> datum;
  std::optional<Length> datum_height;  ///< over the floor
  std::vector<HeightLineOf> heights;
  std::vector<BracketLine> brackets;  ///< what is outside first, then the worst
  Length bracket_limit = Length::metres(0);
  bool do_close() const {
    return std::all_of(closures.begin(), closures.end(), [](const ClosureLine& c) { return c.is_within; });
  }
};

/// Lines, closures, planes, the datum line, then the heights: at most so many of these.
std::string heights_text(const HeightsPage& page, std::size_t most = 60);
/// What closes and what contradicts the rest: what stands among the other parts of a job.
std::string heights_short_text(const HeightsPage& page);
/// Brackets against their design; empty where none was measured.
std::string brackets_text(const HeightsPage& page);

}  // namespace deckmark
