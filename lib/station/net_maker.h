#pragma once
/// Inside the room: the unknowns and equations of a net at given values.

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "station/net_build.h"

namespace deckmark::net {

inline constexpr double kExact = 1e-7;  // m: sd of what is said to be exact; weights need one above zero
inline constexpr std::size_t kTurn = 2, kAxis = 3, kHeight = 2;  // parts of a setup, of a point

/// Makes the equations at given values.
struct Builder::Maker {
  Maker(const Builder& b, const Part& p, const Extra& e) : builder(b), part(p), extra(e) {}

  /// From an instrument to a point, metres; `up` from the axis to the target.
  struct Way {
    double n = 0, e = 0, reach = 0, up = 0;
    double north() const { return n / reach; }
    double east() const { return e / reach; }
  };

  const Builder& builder;
  const Part& part;
  const Extra& extra;
  Solved out;
  BlockProblem problem;

  const NetInput& input() const { return builder.input_; }
  const InstrumentOptions& instrument() const { return builder.options_.setup.instrument; }

  // ---- which unknowns there are
  bool own_frame = false;
  std::vector<bool> axis_held;  // of setups whose mark is the datum of heights
  void begin(const Start& start);
  void find_heights();
  bool carry_heights();
  bool reads_zenith(std::size_t s) const;
  bool sights_control(std::size_t s) const;
  void number_unknowns();
  bool turn_is_read(std::size_t s) const;
  // ---- equations
  void make();
  void make_setup(std::size_t s);
  void make_sight(std::size_t s, std::size_t k);
  void make_circle(Row row, const Sight& sight, const Way& way);
  void make_reach(Row row, const Sight& sight, const Way& way);
  void make_distance(Row row, const Sight& sight, const Way& way);
  void make_zenith(Row row, const Sight& sight, const Way& way);
  void make_control(std::size_t p);
  void make_faces(std::size_t s);
  void number_faces();
  static double sine_of(const Sight& sight);
  static std::pair<double, double> by_zenith(const Sight& sight);
  double bend(double reach, const Sight& sight) const;
  void add(LinearForm& form, std::optional<std::size_t> unknown, double factor) const {
    if (unknown) form.push_back({*unknown, factor});
  }
  /// Northing and easting of the point less those of the setup, each with its factor.
  void add_way(LinearForm& form, const Row& row, double n, double e) const {
    add(form, out.unknowns.points[row.point][0], n);
    add(form, out.unknowns.points[row.point][1], e);
    add(form, out.unknowns.setups[row.setup][0], -n);
    add(form, out.unknowns.setups[row.setup][1], -e);
  }
  void single(Row row, LinearForm form, double misfit, double sd);
  void step(const BlockSolution& by, double share);
  void mark_open(const BlockSolution& by);
};

}  // namespace deckmark::net
