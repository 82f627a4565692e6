#pragma once
/// Words of parts, each declared once: what a part may be needed for, and what a run counts by itself.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

namespace deckmark {

/// What a part is needed for. All but `hanger` count on every member; crossings count where a member is cut.
enum class PartPer : std::uint8_t {
  hanger,
  joint,
  end_left,
  end_right,
  wall,
  corner_inside,
  corner_outside,
  through_crossing,
  crossing,
  metre,
  piece
};
inline constexpr std::size_t kPartPers = 11;

/// How often each thing that a part is needed for stands on one run, over all its members; `metre` in metres.
using PlaceCounts = std::array<double, kPartPers>;

constexpr std::size_t index_of(PartPer per) { return static_cast<std::size_t>(per); }

namespace part_word {
inline constexpr std::string_view hanger = "hanger", support = "support", trapeze = "trapeze",
                                  joint = "joint", end = "end", crossing = "crossing", corner = "corner",
                                  piece = "piece", stock = "stock", end_left = "end-left",
                                  end_right = "end-right", wall = "wall", corner_inside = "corner-inside",
                                  corner_outside = "corner-outside", through_crossing = "through-crossing",
                                  metre = "metre";
}  // namespace part_word

/// By `PartPer`.
inline constexpr std::array<std::string_view, kPartPers> kPartPerWords{
    part_word::hanger,   part_word::joint,         part_word::end_left,       part_word::end_right,
    part_word::wall,     part_word::corner_inside, part_word::corner_outside, part_word::through_crossing,
    part_word::crossing, part_word::metre,         part_word::piece};

/// Words for what is counted that no part can be needed for.
inline constexpr std::string_view kCountedAlone[] = {part_word::support, part_word::trapeze, part_word::end,
                                                     part_word::corner, part_word::stock};

/// What a word of the column `per` says; nothing where it is none of `kPartPerWords`.
std::optional<PartPer> part_per(std::string_view word);
/// Whether the program itself counts by this word, in any letter case: no part can have it as its name.
bool is_part_word(std::string_view name);

}  // namespace deckmark
