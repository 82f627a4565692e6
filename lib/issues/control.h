#pragma once
/// Control that issues and signed fits were made with: where it lay then, and what has moved since.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "issues/kept.h"
#include "measure/frame.h"
#include "terms/output.h"

namespace deckmark {

/// A control point at ground scale as it is kept.
struct KeptControl {
  std::string point;
  KeptSite at{Kept::none(), Kept::none()};
  Kept elevation = Kept::none();  ///< none: it has none

  friend bool operator==(const KeptControl&, const KeptControl&) = default;
};
/// A row of `issued-control.csv`: a point that was new in that issue, or lay elsewhere than before.
struct IssuedControl {
  std::uint32_t issue = 0;
  KeptControl control;
};

/// What a new issue adds, in the order of `now`: points that are new, and those that are not as their last
/// row has them. Names are told apart without regard to letter case.
std::vector<IssuedControl> control_to_add(std::span<const IssuedControl> kept,
                                          std::span<const KeptControl> now, std::uint32_t issue);

/// More than this, in plan or in height, is a doubt: what two crews that occupy one point well differ by
/// (common practice, no source).
inline constexpr std::int64_t kControlMoves = 3000;  // micrometres

/// By how much a control point lies elsewhere.
struct ControlMove {
  std::uint32_t point = 0;  ///< of the control as it is now
  Kept north = Kept::none(), east = Kept::none();
  Kept up = Kept::none();   ///< none: then or now it has no height
  std::uint32_t since = 0;  ///< the last issue made with the place that it left; 0: of a signed fit

  /// By the same vector, within 3 mm.
  bool is_alike(const ControlMove& other) const;
};
struct ControlMoves {
  std::vector<ControlMove> moved;  ///< in the order of the control now
  std::size_t compared = 0;        ///< points whose earlier place is known
};
/// Points that moved against those kept.
ControlMoves control_moves(std::span<const KeptControl> kept, std::span<const KeptControl> now);
/// The same against the issues up to `last`, of which `current` is made now, or was by an earlier run: what
/// that issue itself brought in is held against the issues before it, so that a run again tells the same.
/// What creeps is told once it adds up.
ControlMoves control_moves(std::span<const IssuedControl> kept, std::span<const KeptControl> now,
                           std::uint32_t current, std::uint32_t last);
/// The vector by which most of the control moved: more than half of what was compared, and two at least.
std::optional<ControlMove> common_move(const ControlMoves& moves);

inline constexpr OutColumn kIssuedControlColumns[] = {
    {"issue", OutKind::number, "the first that was made with this place"},
    {"point", OutKind::text, "name in the control table"},
    {"northing", OutKind::metres, "at ground scale, as the job uses it"},
    {"easting", OutKind::metres, "at ground scale, as the job uses it"},
    {"elevation", OutKind::metres, "empty where the point has none"}};

}  // namespace deckmark
