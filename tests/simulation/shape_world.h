#pragma once
// Drawings with a pattern and without one, by their own geometry; coordinates rounded as a drawing is keyed.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "marks/marks.h"
#include "measure/frame.h"

namespace deckmark_test {

struct ShapeWorld {
  std::vector<deckmark::Point<deckmark::Drawing>> places;
  std::vector<std::uint32_t> points, begins{0};
  deckmark::OptionalLengths heights;
  deckmark::LengthUnit unit = deckmark::LengthUnit::metre;
  double figure = 0.001;  // metres to which coordinates are rounded
  std::string kind;
  bool has_rows = false;  // four runs or more at one pitch

  std::size_t runs() const { return begins.size() - 1; }
};

class ShapeMaker {
 public:
  explicit ShapeMaker(std::uint32_t seed) : random_(seed) {}

  double uniform(double least, double most) {
    return std::uniform_real_distribution<double>(least, most)(random_);
  }
  int whole(int least, int most) { return std::uniform_int_distribution<int>(least, most)(random_); }
  bool chance(double p) { return uniform(0, 1) < p; }

  ShapeWorld regular(int i) {
    begin(i);
    switch (i % 10) {
      case 0:
        return grid(0, false, whole(6, 12), whole(4, 7), "grid");
      case 1:
        return grid(90, false, whole(5, 10), whole(4, 7), "grid along y");
      case 2:
        return grid(uniform(2, 88), false, whole(6, 12), whole(4, 6), "turned grid");
      case 3:
        return grid(chance(0.5) ? 0 : uniform(2, 88), true, whole(5, 9), whole(5, 8), "different lengths");
      case 4:
        grid(0, false, whole(5, 9), 2, "rings and runs");
        return ring(whole(8, 16), uniform(1.4, 4));
      case 5:
        return arcs();
      case 6:
        return grid(chance(0.5) ? 0 : 90, false, whole(3, 4), whole(5, 8), "short runs");
      case 7:
        return bays();
      case 8:
        return joint();
      default:
        return i % 20 == 9 ? grid(0, false, 2, whole(5, 9), "runs of two")
                           : grid(uniform(0, 179), false, whole(7, 14), 1, "one run");
    }
  }

  ShapeWorld irregular(int i) {
    begin(i);
    world_.kind = "irregular " + std::to_string(i % 5);
    switch (i % 5) {
      case 0:  // hangers anywhere
        for (int r = whole(3, 8); r > 0; --r) {
          for (int n = whole(3, 9); n > 0; --n) add(uniform(0, 20), uniform(0, 12));
          end_run();
        }
        return world_;
      case 1:  // straight runs, uneven spaces, uneven rows
        for (int r = whole(3, 8); r > 0; --r) {
          const double y = uniform(0, 12);
          double x = uniform(0, 2);
          const bool is_round = chance(0.5);  // spaces that a designer chose, or any
          for (int n = whole(3, 10); n > 0; --n)
            add(x, y), x += is_round ? chosen(0.5, 1.8) : uniform(0.5, 1.8);
          end_run();
        }
        return world_;
      case 2: {  // a grid, a part of it moved by hand round ducts
        ShapeWorld w = grid(0, false, whole(6, 10), whole(4, 6), world_.kind);
        const double share = uniform(0.15, 0.4);
        for (auto& p : w.places)
          if (chance(share)) p.at.x = deckmark::Length::metres(rounded(p.at.x.metres() + aside()));
        return w;
      }
      case 3:  // curves, uneven
        for (int r = whole(2, 5); r > 0; --r) {
          const double radius = uniform(1.5, 6), cx = uniform(0, 20), cy = uniform(0, 12);
          double turn = uniform(0, 6);
          for (int n = whole(5, 10); n > 0; --n) {
            const double out = radius + uniform(-0.4, 0.4);
            add(cx + out * std::cos(turn), cy + out * std::sin(turn)), turn += uniform(0.2, 0.8);
          }
          end_run();
        }
        return world_;
      default:  // one straight run each way, uneven, and single hangers
        for (int r = whole(2, 6); r > 0; --r) {
          const double turn = uniform(0, 3), x0 = uniform(0, 20), y0 = uniform(0, 12);
          double s = 0;
          for (int n = whole(3, 8); n > 0; --n)
            add(x0 + s * std::cos(turn), y0 + s * std::sin(turn)), s += uniform(0.4, 1.6);
          end_run();
        }
        for (int n = whole(2, 5); n > 0; --n) add(uniform(0, 20), uniform(0, 12)), end_run();
        return world_;
    }
  }

  double rounded(double v) const { return std::round(v / world_.figure) * world_.figure; }

 private:
  double aside() { return (chance(0.5) ? 1 : -1) * uniform(0.05, 0.4); }
  void begin(int i) {
    world_ = {};
    constexpr double inch = 0.0254;
    switch (i / 10 % 4) {
      case 0:
        world_.unit = deckmark::LengthUnit::metre;
        break;
      case 1:
        world_.unit = deckmark::LengthUnit::feet_inches, world_.figure = inch / 16;
        break;
      case 2:
        world_.unit = deckmark::LengthUnit::millimetre;
        break;
      default:
        world_.unit = deckmark::LengthUnit::feet_inches, world_.figure = inch / 8;
    }
  }
  bool in_feet() const { return world_.unit == deckmark::LengthUnit::feet_inches; }
  /// A length that a designer would choose.
  double chosen(double least, double most) {
    const double step = in_feet() ? 0.0254 : 0.05;
    return std::round(uniform(least, most) / step) * step;
  }
  void add(double x, double y) {
    world_.points.push_back(static_cast<std::uint32_t>(world_.places.size()));
    world_.places.push_back(
        {{.x = deckmark::Length::metres(rounded(x)), .y = deckmark::Length::metres(rounded(y))}});
  }
  void end_run() { world_.begins.push_back(static_cast<std::uint32_t>(world_.points.size())); }
  void row(double x0, double y0, double degrees, double across, const std::vector<double>& stations) {
    const double turn = degrees * std::numbers::pi / 180, c = std::cos(turn), s = std::sin(turn);
    for (const double along : stations) add(x0 + along * c - across * s, y0 + along * s + across * c);
    end_run();
  }
  ShapeWorld grid(double degrees, bool varied, int n, int rows, const std::string& kind) {
    const double space = chosen(0.6, 2.4), pitch = chosen(1, 3.5), x0 = chosen(0.5, 9), y0 = chosen(0.5, 9);
    world_.kind = kind, world_.has_rows = rows >= 4;
    for (int r = 0; r < rows; ++r) {
      const int from = varied ? whole(0, 2) : 0, to = varied ? n - whole(0, 2) : n;
      std::vector<double> stations;
      for (int k = from; k < to; ++k) stations.push_back(k * space);
      if (varied && r == rows - 2) stations.resize(1);
      row(x0, y0, degrees, r * pitch, stations);
    }
    return world_;
  }
  ShapeWorld ring(int n, double radius) {
    const double turn = uniform(0, 6);
    for (int k = 0; k < n; ++k) {
      const double a = turn + 2 * std::numbers::pi * k / n;
      add(12 + radius * std::cos(a), 14 + radius * std::sin(a));
    }
    end_run();
    return world_;
  }
  ShapeWorld arcs() {
    const double least = uniform(3, 12), from = uniform(0, 6), pitch = chosen(1.2, 2);
    const int n = whole(6, 10);
    const double step = chosen(0.8, 1.4) / least;
    world_.kind = "arcs";
    for (int r = 0; r < 3; ++r) {
      for (int k = 0; k < n; ++k) {
        const double a = from + k * step, radius = least + r * pitch;
        add(20 + radius * std::cos(a), 20 + radius * std::sin(a));
      }
      end_run();
    }
    return world_;
  }
  /// Another space at both ends.
  ShapeWorld bays() {
    const double space = chosen(1.2, 2.4), bay = chosen(0.4, 0.9), pitch = chosen(1, 3.5);
    const int n = whole(5, 9), rows = whole(4, 6);
    const double degrees = chance(0.5) ? 0 : uniform(2, 88);
    world_.kind = "end bays", world_.has_rows = true;
    for (int r = 0; r < rows; ++r) {
      std::vector<double> stations{0};
      for (int k = 0; k < n; ++k) stations.push_back(bay + k * space);
      stations.push_back(2 * bay + (n - 1) * space);
      row(2, 3, degrees, r * pitch, stations);
    }
    return world_;
  }
  /// Another space behind a joint.
  ShapeWorld joint() {
    const double space = chosen(1.0, 1.6), other = space + chosen(0.3, 0.6), pitch = chosen(1, 3.5);
    const int n = whole(4, 6), rows = whole(4, 6);
    world_.kind = "joint", world_.has_rows = true;
    for (int r = 0; r < rows; ++r) {
      std::vector<double> stations{0};
      for (int k = 0; k < 2 * n; ++k) stations.push_back(stations.back() + (k < n ? space : other));
      row(1, 2, 0, r * pitch, stations);
    }
    return world_;
  }

  std::mt19937 random_;
  ShapeWorld world_;
};

}  // namespace deckmark_test
