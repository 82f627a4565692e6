#pragma once
/// A second computation of a net, for tests alone: one dense adjustment on a plane earth, with its own
/// geometry and its own linear algebra. It shares nothing with what it judges. Metres and radians; azimuths
/// and circles clockwise from north.

#include <cstddef>
#include <optional>
#include <vector>

namespace dense_net {

/// A point. Of control `n, e, h` are what is stated, of others where the iteration starts.
struct Mark {
  double n = 0, e = 0, h = 0;
  bool is_control = false;
  bool has_height = true;  ///< control: its elevation is stated too
  double sd = 0;           ///< control: of each stated coordinate; 0: fixed
};
/// One standing of the instrument; the place and the axis are where the iteration starts.
struct Stand {
  std::optional<std::size_t> over;  ///< the mark below
  double n = 0, e = 0, axis = 0, turn = 0;
  double height = 0;  ///< of the axis above the mark or the ground
};
/// What was read to a mark, its errors independent of one another; `slope` needs a zenith, `horizontal` may
/// stand in its place.
struct Ray {
  std::size_t stand = 0, mark = 0;
  double target_height = 0;
  std::optional<double> circle, slope, zenith, horizontal;
  double circle_sd = 0, slope_sd = 0, zenith_sd = 0;  ///< `slope_sd` of a horizontal distance too
  double target_sd = 0;                               ///< of the target's place over its mark, per axis
};
struct Sds {
  double centring = 0;  ///< of the instrument over a mark, per axis; 0: it stands exactly there
  double height = 0;    ///< of an instrument's or a target's height
};
struct Net {
  std::vector<Mark> marks;
  std::vector<Stand> stands;
  std::vector<Ray> rays;
  Sds sds;
};

/// One observed quantity: a circle, a horizontal distance, a rise from axis to mark (radians where a zenith
/// was read alone).
struct Row {
  bool is_there = false;
  double residual = 0;    ///< observed minus computed
  double redundancy = 0;  ///< of its diagonal of Qvv P
  double standardised = 0;
  double residual_sd = 0;
};
struct RayRows {
  Row circle, distance, rise;
  double redundancy() const { return circle.redundancy + distance.redundancy + rise.redundancy; }
};
/// Adjusted values; what is fixed or not in the net has sds 0 and keeps its start.
struct Place {
  double n = 0, e = 0, h = 0;
  double sd_n = 0, sd_e = 0, sd_h = 0, cross = 0;  ///< cross: covariance of n and e
};
struct Standing : Place {  ///< h: of the ground below, sd with the height's own
  double turn = 0, sd_turn = 0;
};
struct Adjusted {
  bool settled = false;
  std::vector<Place> marks;
  std::vector<Standing> stands;
  std::vector<RayRows> rays;
  double square_sum = 0;
  std::size_t degrees_of_freedom = 0;
  std::size_t observations = 0, unknowns = 0;
};

/// Gauss-Newton from the starts, every step a dense QR of all equations.
[[nodiscard]] Adjusted adjust(const Net& net);

}  // namespace dense_net
