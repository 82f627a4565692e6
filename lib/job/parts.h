#pragma once
/// The parts of a job that are read by themselves: what is wrong in one leaves the others to be used.

#include <array>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include "table/message.h"

namespace deckmark {

/// In the order in which their messages are told.
enum class Part : std::uint8_t {
  file,        ///< the job file as such, unknown sections, title, units: nothing can be used without it
  units,       ///< units that cannot be meant: every command is stopped, but further faults are looked for
  control,     ///< [site] and its control
  drawing,     ///< [drawing]: points
  overhead,    ///< runs, pieces, obstructions, [hangers], bays: what decides where hangers hang
  brackets,    ///< their height in [hangers]
  cuts,        ///< what [hangers] says of rods and stock
  bill,        ///< parts that are needed, the bill, what arrived
  ties,        ///< [baselines], ties, a signed fit, building lines; how the drawing is placed
  lengths,     ///< taped lengths and printed dimensions
  deck,        ///< [floor], [deck], deck shots
  heights,     ///< [heights], benchmarks and readings
  plumb,       ///< [plumb], deck marks
  instrument,  ///< [instrument]
  stake,       ///< [stake]
  setups,      ///< [[setup]] as a list; what is told of one setup is kept apart
  numbers,     ///< [numbers], the ledger
  list,        ///< [list]
  asbuilt,     ///< [asbuilt], as-built shots
  offsets,     ///< [offsets]
  crews,       ///< [[crew]]
  book         ///< [book], what was released for drilling
};
inline constexpr std::size_t kParts = 22;

/// What is told of one `[[setup]]`, by its place among them: readings and plan can be wrong each by itself.
struct SetupMessages {
  Messages place;  ///< its name and place too
  Messages readings, plan;
  bool spoils_setup() const { return place.has_problems() || readings.has_problems(); }
  bool spoils_plan() const { return place.has_problems() || plan.has_problems(); }
  bool has_problems() const { return spoils_setup() || plan.has_problems(); }
};

/// What is told of every part of a job.
class PartMessages {
 public:
  Messages& of(Part part) { return told_[static_cast<std::size_t>(part)]; }
  SetupMessages& of_setup(std::size_t setup) {
    if (setup >= setups_.size()) setups_.resize(setup + 1);
    return setups_[setup];
  }
  /// Of all setups of which something was told, and of those before them.
  std::vector<SetupMessages>& setups() { return setups_; }
  const std::vector<SetupMessages>& setups() const { return setups_; }
  /// Whether the part cannot be used: it, or the job file as such, has problems.
  bool is_spoiled(Part part) const {
    return has(part) || has(Part::file) || spoiled_[static_cast<std::size_t>(part)];
  }
  /// Spoils a part by what is told of another.
  void spoil(Part part) { spoiled_[static_cast<std::size_t>(part)] = true; }
  bool any() const {
    for (const Messages& m : told_)
      if (m.has_problems()) return true;
    for (const SetupMessages& m : setups_)
      if (m.has_problems()) return true;
    return false;
  }
  /// All of them, part by part.
  Messages merged() && {
    Messages out;
    for (Messages& m : told_) out.merge(std::move(m));
    for (SetupMessages& m : setups_)
      for (Messages* told : {&m.place, &m.readings, &m.plan}) out.merge(std::move(*told));
    return out;
  }

 private:
  bool has(Part part) const { return told_[static_cast<std::size_t>(part)].has_problems(); }
  std::array<Messages, kParts> told_;
  std::array<bool, kParts> spoiled_{};
  std::vector<SetupMessages> setups_;
};

}  // namespace deckmark
