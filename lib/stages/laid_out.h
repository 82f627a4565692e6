#pragma once
/// Marks at their place on site, with heights and numbers: what every list is made of.

#include <span>
#include <string>
#include <string_view>

#include "stages/deck.h"
#include "stages/numbers.h"
#include "stages/overhead.h"
#include "stages/place.h"

namespace deckmark {

/// A view, valid while what it was made of is.
struct LaidOut {
  const JobMarks& marks;
  const Overhead& overhead;
  const Placed& placed;
  const Numbers& numbers;
  Heights heights;
};

/// What pages and lists say of the job itself.
struct JobHead {
  const std::string &title, &revision;
  const std::string& file;  ///< the job file as messages name it
  bool mirrored = false;
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre, list_unit = LengthUnit::metre;
  /// From which azimuths on site count: `grid north`, `site north`; empty in a job that is laid out from
  /// strings alone, where nothing says where north is.
  std::string_view north;
  /// Who released what for drilling, a line each; empty where the job states neither that nor zones.
  std::span<const std::string> release{};
};

}  // namespace deckmark
