#pragma once
/// Inside the room: the plan adjustment of a setup in any of the variants that a search for errors needs.

#include <cstddef>
#include <optional>
#include <vector>

#include "adjust/solve.h"
#include "station/setup.h"

namespace deckmark {

/// Of coordinates that an instrument computed and gave no sd for, metres.
inline constexpr double kOwnSd = 1e-3;
/// Two solutions whose square sums differ by less cannot be told apart.
inline constexpr double kTellApart = 25;

/// Plan parts in metres and radians.
struct PlanObservation {
  enum class Kind : std::uint8_t {
    circle,
    distance,
    mark_north,
    mark_east,
    control_north,
    control_east,
    turn  ///< holds an orientation that nothing reads: distances alone
  };
  Kind kind;
  std::size_t sight = 0;  ///< circle, distance: the sight; control_*: a sight to that control
  double observed = 0, sd = 1;
};

/// What a variant leaves out and adds.
struct PlanVariant {
  std::vector<bool> kept;  ///< by observation
  enum class Extra : std::uint8_t { none, constant, turned };
  Extra extra = Extra::none;
  std::size_t from = 0;             ///< turned: first sight that is turned
  std::optional<Length> reflector;  ///< constant: only sights with this constant; empty: all
};

/// One solved variant: parameters northing, easting (from the centre), orientation, the extra one, control.
struct PlanSolution {
  NonlinearSolution fit;
  std::vector<std::size_t> used;    ///< indices of the kept observations, as the rows of `fit`
  std::vector<Point<Site>> places;  ///< more than one where positions cannot be told apart
  bool enough = true;               ///< false: fewer observations than unknowns
};

class PlanFit {
 public:
  PlanFit(const SetupInput& input, const SetupOptions& options);

  const std::vector<PlanObservation>& observations() const { return observations_; }
  /// False where distances alone are read: the orientation of every solution is then no more than held.
  bool has_circles() const { return has_circles_; }
  /// Every observation, nothing added.
  PlanVariant everything() const;
  /// Fits the variant; `near` is tried as a start beside the room's own.
  PlanSolution run(const PlanVariant& variant, const PlanSolution* near = nullptr) const;
  /// Design and sds at a place, for planning.
  Prediction predict_at(const Point<Site>& place, Angle orientation) const;

  Point<Site> place(const PlanSolution& s) const;
  Angle orientation(const PlanSolution& s) const;
  /// Where a sight falls, seen from a solution. REQUIRES a circle and a horizontal distance.
  Point<Site> shot(const PlanSolution& s, std::size_t sight) const;
  /// Observed minus computed of an observation that may have been left out.
  double misfit(const PlanSolution& s, std::size_t observation) const;
  /// Control that a solution holds fixed, and what 1 mm (sd) in each of its coordinates would add.
  std::optional<HeldControl> held_control(const PlanSolution& s) const;
  std::optional<std::size_t> observation_of(std::size_t sight, PlanObservation::Kind kind) const;
  bool is_control(std::size_t sight) const;
  const ControlMark& control(std::size_t sight) const;

 private:
  using Start = std::vector<double>;
  struct Partials;
  void add_sight(std::size_t sight);
  std::size_t slot_of(std::size_t target) const;
  double computed(const PlanObservation& o, const double* x, std::size_t extra, Partials* partials) const;
  std::optional<Start> rigid_start(const PlanVariant& v) const;
  std::vector<Start> starts(const PlanVariant& v, const PlanSolution* near) const;
  double sd_of(const PlanObservation& o, double north, double east) const;
  double circle_start(double north, double east, const PlanVariant& v) const;
  NonlinearSolution solve_from(const PlanVariant& v, const std::vector<std::size_t>& used,
                               const Start& start) const;
  Start widened(double north, double east, double turn, const PlanVariant& v) const;

  const SetupInput& input_;
  const SetupOptions& options_;
  Point<Site> centre_;
  std::vector<PlanObservation> observations_;
  bool has_circles_ = false;
  std::vector<std::size_t> slots_;  // targets whose coordinates are unknowns
};

}  // namespace deckmark
