#pragma once
/// The parts of a job that are read by themselves: what is wrong in one leaves the others to be used.

#include <array>
#include <cstddef>
#include <cstdint>
#include <utility>

#include "table/message.h"

namespace deckmark {

/// In the order in which their messages are told.
enum class Part : std::uint8_t {
  file,      ///< the job file as such, unknown sections, title, units: nothing can be used without it
  control,   ///< [site] and its control
  drawing,   ///< [drawing]: points
  overhead,  ///< runs, pieces, obstructions, [hangers], bays
  ties,      ///< [baselines], ties, a signed fit, building lines
  lengths,   ///< taped lengths and printed dimensions
  deck,      ///< [floor], [deck], deck shots
  plumb,     ///< [plumb], deck marks
  setups,    ///< [instrument], [stake], [[setup]], observations
  numbers,   ///< [numbers], the ledger
  list,      ///< [list]
  asbuilt,   ///< [asbuilt], as-built shots
  offsets    ///< [offsets]
};
inline constexpr std::size_t kParts = 13;

/// What is told of every part of a job.
class PartMessages {
 public:
  Messages& of(Part part) { return told_[static_cast<std::size_t>(part)]; }
  /// Whether the part cannot be used: it, or the job file as such, has problems.
  bool is_spoiled(Part part) const { return has(part) || has(Part::file); }
  bool any() const {
    for (const Messages& m : told_)
      if (m.has_problems()) return true;
    return false;
  }
  /// All of them, part by part.
  Messages merged() && {
    Messages out;
    for (Messages& m : told_) out.merge(std::move(m));
    return out;
  }

 private:
  bool has(Part part) const { return told_[static_cast<std::size_t>(part)].has_problems(); }
  std::array<Messages, kParts> told_;
};

}  // namespace deckmark
