#pragma once
/// All that a job file may say: every section with its keys, in the order in which they are explained.

#include "job/keys/asbuilt_keys.h"
#include "job/keys/baselines_keys.h"
#include "job/keys/book_keys.h"
#include "job/keys/crew_keys.h"
#include "job/keys/deck_keys.h"
#include "job/keys/drawing_keys.h"
#include "job/keys/hangers_keys.h"
#include "job/keys/heights_keys.h"
#include "job/keys/instrument_keys.h"
#include "job/keys/list_keys.h"
#include "job/keys/net_keys.h"
#include "job/keys/offsets_keys.h"
#include "job/keys/plumb_keys.h"
#include "job/keys/setup_keys.h"
#include "job/keys/site_keys.h"
#include "job/keys/top_keys.h"
#include "job/parts.h"

namespace deckmark {

/// Calls `f(section, part)`; `part` is spoiled by a key of the section that nobody knows. The section without
/// a name holds the keys above all sections.
template <class F>
void for_each_section(F f) {
  f(kTop, Part::file);
  f(kStorey, Part::file);
  f(kDrawing, Part::drawing);
  f(kSite, Part::control);
  f(kBaselines, Part::ties);
  f(kFloor, Part::deck);
  f(kDeck, Part::deck);
  f(kHeights, Part::heights);
  f(kHangers, Part::overhead);
  f(kObstructions, Part::overhead);
  f(kOffsets, Part::offsets);
  f(kPlumb, Part::plumb);
  f(kAsbuilt, Part::asbuilt);
  f(kInstrument, Part::instrument);
  f(kStake, Part::stake);
  f(kSetup, Part::setups);
  f(kNet, Part::instrument);
  f(kNumbers, Part::numbers);
  f(kList, Part::list);
  f(kCrew, Part::crews);
  f(kBook, Part::book);
}

}  // namespace deckmark
