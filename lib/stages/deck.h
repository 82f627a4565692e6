#pragma once
/// The deck over every mark, and the heights that follow.

#include <cstdint>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "job/overhead_job.h"
#include "job/stated.h"
#include "lift/bays.h"
#include "lift/lift.h"
#include "stages/overhead.h"
#include "stages/place.h"
#include "stages/staged.h"

namespace deckmark {

/// A deck that level or laser measured at a mark: there it counts, whatever the plane says.
struct DeckAtMark {
  std::uint32_t mark = 0;
  Elevation elevation;
  Where at;  ///< the reading's cell
};

struct MeasuredDecks {
  std::vector<DeckAtMark> at_marks;
  bool everywhere = false;  ///< at every mark that hangs from the deck
};

/// What a job says of floor, deck and brackets.
struct DeckStated {
  bool has_deck = false;
  std::optional<Elevation> level;
  const std::vector<StatedShot>& shots;  ///< those of the table, then those that were measured at marks
  const MeasuredDecks& measured;
  const ReadTable& shots_table;
  const ReadTable& bays_table;
  const DeckOptions& options;
  std::optional<Elevation> floor;
  std::optional<Length> attach_height;  ///< of brackets over the floor, where a mark states none
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;
  Where deck, floor_key, height_key;  ///< the keys

  Elevation floor_or_zero() const { return floor.value_or(Elevation::metres(0)); }
};

/// The decks as fitted to their shots, one, or one a bay.
struct DecksFitted {
  std::vector<Deck> decks;                      ///< one, or one a bay; never empty
  std::vector<std::optional<DeckResult>> fits;  ///< of each, with shots
  bool by_bay = false;
  /// No plane could be fitted: the deck is known at the marks where it was measured, and nowhere else.
  bool at_marks_alone = false;
  std::vector<std::vector<std::size_t>> shots = {};  ///< of each, as the job states them
};
/// Problems: shots too few or on one line, bays with neither shots nor elevation, shots of no bay. `fit`:
/// null where nothing places the drawing; then shots that are stated in the drawing spoil the decks without a
/// word. What fitted shots show is told here where no `lift` can follow, else by that.
[[nodiscard]] Staged<DecksFitted> fit_decks(const DeckStated& stated, const BaysStated& bays,
                                            const FittedTransform* fit);

/// Further faults of bays and shots where a row of either is spoiled, so that no deck is fitted: shots of no
/// bay, and bays that state an elevation beside their shots. `knows_bays`: every row of the bays could be
/// read.
[[nodiscard]] Messages look_over_bays(const DeckStated& stated, const BaysStated& bays, bool knows_bays);

/// A step from one bay to the next, at the middle of their edge.
struct BayStep {
  std::size_t first, second;
  Length up;  ///< of the second over the first
};

/// The decks, and which of them lies over each mark.
struct Decks {
  DecksFitted fitted;
  std::vector<std::uint32_t> of_mark;  ///< its bay; empty without bays
  std::vector<BayStep> steps;
  std::unordered_map<std::size_t, Deck> measured{};  ///< by mark: level decks, that high
  /// Null where it is not known.
  const Deck* over(std::size_t mark) const {
    const Deck* here = measured_over(mark);
    return here || fitted.at_marks_alone ? here : &fitted.decks[bay_of(mark)];
  }
  /// Null where it was not measured.
  const Deck* measured_over(std::size_t mark) const {
    if (measured.empty()) return nullptr;
    const auto at = measured.find(mark);
    return at == measured.end() ? nullptr : &at->second;
  }
  /// The same without the shots that are wrong: what a sound mark stands under. REQUIRES a known deck.
  const Deck& believed_over(std::size_t mark) const {
    if (const Deck* here = measured_over(mark)) return *here;
    const auto& fit = fitted.fits[bay_of(mark)];
    return fit && fit->deck_of_rest ? *fit->deck_of_rest : *over(mark);
  }
  std::size_t bay_of(std::size_t mark) const { return of_mark.empty() ? 0 : of_mark[mark]; }
};
/// Points in no bay or in two, where hanging has another fault so that nothing is lifted.
[[nodiscard]] Messages look_into_bays(const DeckStated& stated, const Hung& hung);
/// Problems: points in no bay or in two, a deck that is not above floor and brackets, or the wrong shot that
/// puts it there. Doubts: what the shots show, heights that are hard to believe, points between flutes.
[[nodiscard]] Staged<Decks> lift(const DeckStated& stated, const Hung& hung, const Placed& placed,
                                 const DecksFitted& fitted);

/// Heights over every mark: a view, valid while what it was made of is.
class Heights {
 public:
  Heights(const JobMarks& marks, const Placed& placed, const Decks* decks, Elevation floor,
          std::optional<Length> attach_height)
      : marks_(&marks), placed_(&placed), decks_(decks), floor_(floor), attach_height_(attach_height) {}
  /// A reference point has none.
  MarkHeights at(std::size_t mark) const {
    if ((*marks_)->is_reference(mark)) return {};
    return heights_over(placed_->marks[mark], floor_, attach_height(mark), deck(mark));
  }
  /// The bracket's height over the floor, of the mark or of all; a reference point has none.
  std::optional<Length> attach_height(std::size_t mark) const {
    if ((*marks_)->is_reference(mark)) return std::nullopt;
    const auto own = (*marks_)->heights[mark];
    return own ? own : attach_height_;
  }
  /// The deck over a mark; null where the job has none, or where it is not known.
  const Deck* deck(std::size_t mark) const { return decks_ ? decks_->over(mark) : nullptr; }
  bool has_deck() const { return decks_ != nullptr; }
  /// Whether a mark is fastened to a deck that is known there.
  bool is_lifted(std::size_t mark) const { return marks_->has_deck_point(mark) && deck(mark) != nullptr; }
  const Decks* decks() const { return decks_; }
  Elevation floor() const { return floor_; }

 private:
  const JobMarks* marks_;
  const Placed* placed_;
  const Decks* decks_;
  Elevation floor_;
  std::optional<Length> attach_height_;
};

}  // namespace deckmark
