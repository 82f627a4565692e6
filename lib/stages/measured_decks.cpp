#include "stages/measured_decks.h"

#include "lift/bays.h"

namespace deckmark {

MeasuredDecks measured_decks(const HeightsFound& found, const JobMarks& marks) {
  MeasuredDecks out;
  std::size_t wanted = 0, known = 0;
  for (const MeasuredHeight& h : found.of(AsbuiltLevel::deck)) {
    out.at_marks.push_back({h.mark, h.elevation, found.targets[h.target].at});
    known += marks.has_deck_point(h.mark);
  }
  for (std::size_t m = 0; m < marks.size(); ++m) wanted += marks.has_deck_point(m);
  out.everywhere = wanted > 0 && known == wanted;  // of each mark there is one at most
  return out;
}

std::vector<StatedShot> measured_shots(const MeasuredDecks& measured, const JobMarks& marks,
                                       const BaysStated& bays) {
  std::vector<StatedShot> out;
  for (const DeckAtMark& at : measured.at_marks) {
    std::string bay;
    if (bays.any()) {
      const BayOf in = bay_of(marks->places[at.mark], bays.outlines);
      if (!in.bay || in.another || bays.levels[*in.bay]) continue;
      bay = bays.names[*in.bay];
    }
    out.push_back(
        {std::string(marks->names[at.mark]), marks->places[at.mark], at.elevation, std::move(bay), at.at});
  }
  return out;
}

}  // namespace deckmark
