#pragma once
/// Inside the room: where the setups of a net stand and its points lie, roughly, before it is adjusted.

#include <cstddef>
#include <optional>
#include <vector>

#include "station/net.h"

namespace deckmark::net {

/// A place in plan, metres from the centre of the net.
struct Flat {
  double n = 0, e = 0;
};
/// An instrument: its place, and what turns its circle into azimuths (radians), where that is known.
struct Pose {
  Flat at;
  std::optional<double> turn;
};

struct Start {
  std::vector<std::optional<Pose>> setups;
  std::vector<std::optional<Flat>> points;
  /// Other places where a setup may stand as well: distances alone meet at two.
  std::vector<std::vector<Flat>> other_places;
  std::vector<bool> own_frame;  ///< by setup
};

/// A centre near all coordinates that are stated, so that nothing is lost in large ones.
Point<Site> centre_of(const NetInput& input);
Flat flat(const Point<Site>& p, const Point<Site>& centre);
Point<Site> place(const Flat& f, const Point<Site>& centre);

/// Start values.
///
/// Method    control is a sheet in the site's frame, every setup with polar sights one in its own. A setup
///           joins the sheet that holds its own mark and one that it sights, or enough of what it sights (by
///           `adjust_setup`); two sheets that share two points are joined by a similarity of scale 1, which
///           most of the shared points have to agree with. `alone`: each setup by control alone, null where
///           it was not computed. `by_majority`: setups with three polar sights or more are not believed
///           alone: they join by the points on which most agree, whatever gross error bends them.
[[nodiscard]] Start find_start(const NetInput& input, const NetOptions& options, const Point<Site>& centre,
                               const std::vector<SetupResult>& alone, bool by_majority = false);

}  // namespace deckmark::net
