#pragma once
/// Private to the room: groups of shots, and the search for the cause that explains most of what is left in
/// plan.

#include <functional>
#include <optional>
#include <vector>

#include "asbuilt/cause_models.h"

namespace deckmark::causes {

/// Shots that have something in common, in the order of time.
struct Group {
  GroupRef ref;
  std::vector<GroupRef> also;  ///< other names of the same shots
  std::vector<std::size_t> shots;
};
/// All, levels, setups, setups that marked, reflectors, crews, runs, and each of these on one level; a set of
/// shots stands once. All stand first.
std::vector<Group> groups_of(const CausesInput& input, std::span<const std::size_t> order);
/// All shots in the order of their times, or of the table where one has none.
std::vector<std::size_t> order_of(const CausesInput& input, bool& by_time);
/// Whether they are shots of one mark: then whatever they share is that mark's own.
bool is_one_mark(const CausesInput& input, std::span<const std::size_t> shots);
/// Finishes a cause: level and number of marks, from the shots that it touches.
void count_touched(const CausesInput& input, Cause& cause);

/// Directions and places that the job gives.
struct Frame {
  Complex x, y;       ///< along +X, +Y
  Complex origin;     ///< X = Y = 0, local
  Complex site_zero;  ///< the site's own origin, local
};

/// The stretch of a sequence that a change explains best.
struct Stretch {
  std::size_t from = 0, to = 0;  ///< places in the sequence, `to` excluded; empty where there is none
  std::size_t tried = 0;
};
/// `ways`: basis vectors, one of every kind a place; a stretch takes away the sum of (ways . off)^2 / ways^2.
/// `to_end`: only stretches that last to the end. At least three long, and not the whole.
Stretch best_stretch(std::span<const Complex> off, std::span<const std::vector<Complex>> ways, bool to_end);

class PlanSearch {
 public:
  PlanSearch(const CausesInput& input, Field field, Frame frame, std::vector<std::size_t> order);
  /// The cause that explains most, if any passes the test; takes it off.
  std::optional<Cause> next();
  std::size_t tried() const { return first_tried_; }
  const Field& field() const { return field_; }
  /// What the causes that were taken off did to the elevation of every shot, metres.
  std::span<const double> raised() const { return raised_; }

 private:
  using Shots = std::vector<std::size_t>;
  /// Makes the model for a list of shots of the kind that it is meant for.
  using Make = std::function<std::unique_ptr<Model>(const Shots&)>;
  struct Candidate {
    CauseKind kind = CauseKind::shift;
    GroupRef ref;
    std::size_t group = 0;  // of the shots it is tested on
    std::size_t from = 0,
                to = 0;  // places in the order: shots that it touches lie from `from` to before `to`
    std::optional<Shots> chosen{};  // touches these instead
    std::size_t more = 0;           // parameters beside the model's: where a stretch begins and ends
    double sign = 1;
    bool marking = false;  // of the setup that marked
    Make make;
    // What fitting gave.
    Shots shots{};
    std::unique_ptr<Model> model{};
    RobustFit fit{};
    double chance = 1;
    bool passed = false;
  };

  void gather();
  void gather_group(std::size_t group);
  void gather_bays(std::size_t group);
  void gather_stations(std::size_t group);
  void gather_stretches(std::size_t group);
  void gather_renumbered();
  void gather_waves(std::size_t group);
  /// A set that no column names; after the others are fitted, which tell how large the noise is.
  void gather_set();
  Candidate& add(CauseKind kind, std::size_t group, const GroupRef& ref, Make make);
  void add_along(std::size_t group, const GroupRef& ref, bool marking);
  void add_about(std::size_t group, const GroupRef& ref, bool marking);
  /// A stretch of a group as a candidate.
  void cut(Candidate& c, const Stretch& stretch, std::size_t more);

  const std::optional<KnownStation>& station(std::size_t shot, bool marking) const;
  /// Where the one instrument of all these shots stood; none where it is not known, or they have several.
  std::optional<Complex> one_station(const Shots& shots, bool marking) const;
  std::vector<Complex> ways(const Shots& shots, bool marking) const;
  std::vector<Complex> calm(const Shots& shots) const;

  void fit(Candidate& c);
  /// What a candidate is tested on: the shots that it touches, and those beside them that it leaves as they
  /// are.
  struct Pool {
    double before = 0, after = 0;  // weighted square sums, m^2
    std::size_t shots = 0;
  };
  Pool pool(const Candidate& c) const;
  bool passes(const Candidate& c, double& chance) const;
  double noise() const;
  double noise_under(const Candidate& c, double level) const;
  double cost(const Candidate& c, double level) const;
  Candidate* cheapest(double level);
  void lower(const Shots& shots, bool marking, double constant);
  Cause take(Candidate& c);
  Shots touched(const Candidate& c, bool all) const;

  const CausesInput& input_;
  Field field_;
  Frame frame_;
  std::vector<std::size_t> place_;  // of every shot in the order
  std::vector<std::uint8_t> in_sample_;
  std::vector<double> raised_;
  std::vector<Group> groups_, samples_;  // of all shots, and of the sample alone; at the same places
  std::vector<Candidate> candidates_;
  std::size_t tried_ = 0, first_tried_ = 0;
};

}  // namespace deckmark::causes
