#pragma once
/// Marks on the floor as they were found, by name.

#include <optional>
#include <string>
#include <vector>

#include "baseline/length_figure.h"
#include "stages/laid_out.h"
#include "stages/lengths.h"

namespace deckmark {

/// A mark that a tape is held to, as it was found on site.
struct FromMark {
  std::string name;
  Point<Site> at;
};

/// What marks are found by.
struct FoundBy {
  const BaselinesStated& baselines;
  const std::vector<ControlPoint>& control;
  const LaidOut& laid;
  /// Of a job that is laid out from strings: the lengths, and where they have the marks. Null: they do not.
  const TapedNet* net = nullptr;
  const LengthFigure* figure = nullptr;
};

/// A tie as found, else where lengths alone have it, else a drawing point, else control.
std::optional<FromMark> find_mark(const FoundBy& by, const std::string& name);
/// What may be named, for a message.
inline constexpr std::string_view kFoundMarks = "a mark of the ties table, a drawing point or control";

}  // namespace deckmark
