#include "asbuilt/cause_models.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace deckmark::causes {

namespace {

constexpr double kDegrees = 180 / std::numbers::pi;

/// Weighted means and sums about them.
struct Moments {
  double weight = 0, reach = 0;  // reach: weighted sum of |design - its mean|^2
  Complex design, built;
};
Moments moments(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) {
  Moments m;
  for (std::size_t k = 0; k < shots.size(); ++k) {
    m.weight += w[k];
    m.design += w[k] * f.design[shots[k]];
    m.built += w[k] * f.built[shots[k]];
  }
  if (m.weight <= 0) return m;
  m.design /= m.weight;
  m.built /= m.weight;
  for (std::size_t k = 0; k < shots.size(); ++k) m.reach += w[k] * std::norm(f.design[shots[k]] - m.design);
  return m;
}

class Shift : public Model {
 public:
  std::size_t parameters() const override { return 2; }
  void fit(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) override {
    const Moments m = moments(f, shots, w);
    by_ = m.built - m.design;
  }
  Complex left(const Field& f, std::size_t i, std::size_t) const override { return f.off(i) - by_; }
  Estimate estimate(const Field& f, std::span<const std::size_t> shots,
                    std::span<const double> w) const override {
    return {moments(f, shots, w).weight, std::abs(by_), by_, {}};
  }

 protected:
  Complex by_;
};

class KnownShift final : public Shift {
 public:
  explicit KnownShift(Complex by) { by_ = by; }
  std::size_t parameters() const override { return 0; }
  void fit(const Field&, std::span<const std::size_t>, std::span<const double>) override {}
};

/// Rotation or stretch: built - built0 = factor (design - design0), about given places or the centroids.
class Similar : public Model {
 public:
  Similar(std::optional<Complex> centre, bool turns) : centre_(centre), turns_(turns) {}
  std::size_t parameters() const override { return centre_ ? 1 : 3; }
  void fit(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) override {
    from_ = to_ = centre_.value_or(Complex{});
    if (!centre_) {
      const Moments m = moments(f, shots, w);
      from_ = m.design;
      to_ = m.built;
    }
    Complex cross;
    double reach = 0;
    for (std::size_t k = 0; k < shots.size(); ++k) {
      const Complex d = f.design[shots[k]] - from_;
      cross += w[k] * std::conj(d) * (f.built[shots[k]] - to_);
      reach += w[k] * std::norm(d);
    }
    if (turns_)
      factor_ = std::abs(cross) > 0 ? cross / std::abs(cross) : Complex(1);
    else
      factor_ = reach > 0 ? Complex(cross.real() / reach) : Complex(1);
  }
  Complex left(const Field& f, std::size_t i, std::size_t) const override {
    return f.built[i] - to_ - factor_ * (f.design[i] - from_);
  }
  Estimate estimate(const Field& f, std::span<const std::size_t> shots,
                    std::span<const double> w) const override {
    double reach = 0;
    for (std::size_t k = 0; k < shots.size(); ++k) reach += w[k] * std::norm(f.design[shots[k]] - from_);
    Estimate e;
    const double unit = turns_ ? kDegrees : 1e6;
    e.information = reach / (unit * unit);
    e.value = turns_ ? -std::arg(factor_) * kDegrees : (factor_.real() - 1) * 1e6;  // clockwise, or ppm
    e.centre = centre_                           ? *centre_
               : std::abs(1.0 - factor_) > 1e-12 ? (to_ - factor_ * from_) / (1.0 - factor_)
                                                 : from_;
    return e;
  }

 protected:
  std::optional<Complex> centre_;
  bool turns_;
  Complex from_, to_, factor_{1};
};

/// A rigid motion told as the shift of one place.
class Moved final : public Similar {
 public:
  explicit Moved(std::optional<Complex> place) : Similar(std::nullopt, true), place_(place) {}
  Estimate estimate(const Field& f, std::span<const std::size_t> shots,
                    std::span<const double> w) const override {
    const Moments m = moments(f, shots, w);
    const Complex at = place_.value_or(from_), by = to_ + factor_ * (at - from_) - at;
    Estimate e;
    e.value = std::abs(by);
    e.by = to_ - from_;
    e.turned = -std::arg(factor_) * kDegrees;
    // The turn moves the place across its arm from the centroid.
    const Complex arm = Complex(0, 1) * (at - from_);
    const double across = e.value > 0 ? (std::conj(by) * arm).real() / e.value : std::abs(arm);
    const double variance = 1 / m.weight + (m.reach > 0 ? across * across / m.reach : 0);
    e.information = 1 / variance;
    return e;
  }

 private:
  std::optional<Complex> place_;
};

class KnownStretch final : public Model {
 public:
  KnownStretch(double ratio, Complex centre) : ratio_(ratio), centre_(centre) {}
  std::size_t parameters() const override { return 0; }
  void fit(const Field&, std::span<const std::size_t>, std::span<const double>) override {}
  Complex left(const Field& f, std::size_t i, std::size_t) const override {
    return f.off(i) - (ratio_ - 1) * (f.design[i] - centre_);
  }
  Estimate estimate(const Field& f, std::span<const std::size_t> shots,
                    std::span<const double> w) const override {
    double reach = 0;
    for (std::size_t k = 0; k < shots.size(); ++k) reach += w[k] * std::norm(f.design[shots[k]] - centre_);
    return {reach * 1e-12, (ratio_ - 1) * 1e6, {}, centre_};
  }

 private:
  double ratio_;
  Complex centre_;
};

class Along final : public Model {
 public:
  explicit Along(std::vector<Complex> ways) : ways_(std::move(ways)) {}
  std::size_t parameters() const override { return 1; }
  void fit(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) override {
    double top = 0, bottom = 0;
    for (std::size_t k = 0; k < shots.size(); ++k) {
      top += w[k] * (std::conj(ways_[k]) * f.off(shots[k])).real();
      bottom += w[k] * std::norm(ways_[k]);
    }
    size_ = bottom > 0 ? top / bottom : 0;
  }
  Complex left(const Field& f, std::size_t i, std::size_t at) const override {
    return f.off(i) - size_ * ways_[at];
  }
  Estimate estimate(const Field&, std::span<const std::size_t> shots,
                    std::span<const double> w) const override {
    double bottom = 0;
    for (std::size_t k = 0; k < shots.size(); ++k) bottom += w[k] * std::norm(ways_[k]);
    return {bottom, size_, {}, {}};
  }

 private:
  std::vector<Complex> ways_;
  double size_ = 0;
};

class Swap final : public Model {
 public:
  Swap(Complex first, Complex second, Complex origin) : first_(first), second_(second), origin_(origin) {}
  std::size_t parameters() const override { return 0; }
  void fit(const Field&, std::span<const std::size_t>, std::span<const double>) override {}
  Complex left(const Field& f, std::size_t i, std::size_t) const override {
    const Complex d = f.built[i] - origin_;
    const double one = (d * std::conj(first_)).real(), two = (d * std::conj(second_)).real();
    return origin_ + two * first_ + one * second_ - f.design[i];
  }
  Estimate estimate(const Field&, std::span<const std::size_t>, std::span<const double>) const override {
    return {0, 1, {}, {}};
  }

 private:
  Complex first_, second_, origin_;
};

class OtherMarks final : public Model {
 public:
  OtherMarks(std::vector<Complex> places, std::size_t parameters)
      : places_(std::move(places)), parameters_(parameters) {}
  std::size_t parameters() const override { return parameters_; }
  void fit(const Field&, std::span<const std::size_t>, std::span<const double>) override {}
  Complex left(const Field& f, std::size_t i, std::size_t at) const override {
    return f.built[i] - places_[at];
  }
  Estimate estimate(const Field&, std::span<const std::size_t> shots,
                    std::span<const double>) const override {
    return {0, static_cast<double>(shots.size()), {}, {}};
  }

 private:
  std::vector<Complex> places_;
  std::size_t parameters_;
};

class Mirror final : public Model {
 public:
  explicit Mirror(Complex normal) : normal_(normal) {}
  std::size_t parameters() const override { return 1; }
  void fit(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) override {
    const Moments m = moments(f, shots, w);
    twice_ = height(m.design) + height(m.built);
  }
  Complex left(const Field& f, std::size_t i, std::size_t) const override {
    const double d = height(f.design[i]);
    return f.built[i] - (f.design[i] + normal_ * (twice_ - 2 * d));
  }
  Estimate estimate(const Field&, std::span<const std::size_t>, std::span<const double>) const override {
    return {0, 1, {}, {}};
  }

 private:
  double height(Complex p) const { return (p * std::conj(normal_)).real(); }
  Complex normal_;
  double twice_ = 0;
};

class MirrorFree final : public Model {
 public:
  std::size_t parameters() const override { return 3; }
  void fit(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) override {
    const Moments m = moments(f, shots, w);
    from_ = m.design;
    to_ = m.built;
    Complex cross;
    for (std::size_t k = 0; k < shots.size(); ++k)
      cross += w[k] * (f.design[shots[k]] - from_) * (f.built[shots[k]] - to_);
    factor_ = std::abs(cross) > 0 ? cross / std::abs(cross) : Complex(1);
  }
  Complex left(const Field& f, std::size_t i, std::size_t) const override {
    return f.built[i] - to_ - factor_ * std::conj(f.design[i] - from_);
  }
  Estimate estimate(const Field&, std::span<const std::size_t>, std::span<const double>) const override {
    return {0, 1, {}, {}};
  }

 private:
  Complex from_, to_, factor_{1};
};

/// Cosines along a run, to both sides of it: the direction of the swing is that of the largest spread.
class Wave final : public Model {
 public:
  Wave(const std::vector<double>& places, std::size_t waves) : waves_(waves), curve_(places.size()) {
    for (std::size_t j = 0; j <= waves; ++j) {
      basis_.emplace_back();
      for (const double t : places)
        basis_.back().push_back(std::cos(std::numbers::pi * static_cast<double>(j) * t));
    }
  }
  std::size_t parameters() const override { return waves_ + 3; }  // a shift, the direction, the cosines
  void fit(const Field& f, std::span<const std::size_t> shots, std::span<const double> w) override {
    const Moments m = moments(f, shots, w);
    const Complex shift = m.built - m.design;
    Complex spread;
    for (std::size_t k = 0; k < shots.size(); ++k) {
      const Complex off = f.off(shots[k]) - shift;
      spread += w[k] * off * off;
    }
    const Complex way = std::polar(1.0, 0.5 * std::arg(spread));
    std::vector<double> swing(shots.size(), 0);
    std::vector<std::vector<double>> square;  // made square to one another under these weights
    for (std::vector<double> column : basis_) {
      for (const std::vector<double>& q : square) take(column, q, w);
      double size = 0;
      for (std::size_t k = 0; k < column.size(); ++k) size += w[k] * column[k] * column[k];
      if (size <= 1e-9 * m.weight) continue;
      double along = 0;
      for (std::size_t k = 0; k < column.size(); ++k)
        along += w[k] * column[k] * ((f.off(shots[k]) - shift) * std::conj(way)).real();
      for (std::size_t k = 0; k < column.size(); ++k) swing[k] += along / size * column[k];
      square.push_back(std::move(column));
    }
    for (std::size_t k = 0; k < shots.size(); ++k) curve_[k] = shift + swing[k] * way;
  }
  Complex left(const Field& f, std::size_t i, std::size_t at) const override { return f.off(i) - curve_[at]; }
  Estimate estimate(const Field& f, std::span<const std::size_t> shots,
                    std::span<const double> w) const override {
    double most = 0;
    for (std::size_t k = 0; k < shots.size(); ++k)
      if (w[k] > 0) most = std::max(most, std::abs(f.off(shots[k])));
    return {0, most, {}, {}};
  }

 private:
  static void take(std::vector<double>& column, const std::vector<double>& q, std::span<const double> w) {
    double both = 0, size = 0;
    for (std::size_t k = 0; k < q.size(); ++k) both += w[k] * q[k] * column[k], size += w[k] * q[k] * q[k];
    for (std::size_t k = 0; k < q.size(); ++k) column[k] -= both / size * q[k];
  }
  std::size_t waves_;
  std::vector<std::vector<double>> basis_;
  std::vector<Complex> curve_;
};

/// Least absolute deviations by weights that are changed until they settle.
void fit_to_absolute(Model& model, const Field& field, std::span<const std::size_t> shots) {
  constexpr int kSteps = 15;
  constexpr double kNear = 1e-4;  // metres: nearer than this a shot gains no more weight
  std::vector<double> w(shots.size());
  for (std::size_t k = 0; k < shots.size(); ++k) w[k] = 1 / (field.spread[shots[k]] * field.spread[shots[k]]);
  for (int step = 0; step < kSteps; ++step) {
    model.fit(field, shots, w);
    for (std::size_t k = 0; k < shots.size(); ++k) {
      const double s = field.spread[shots[k]];
      w[k] = 1 / (s * std::max(std::abs(model.left(field, shots[k], k)), kNear * s));
    }
  }
}

}  // namespace

std::unique_ptr<Model> shift_model() { return std::make_unique<Shift>(); }
std::unique_ptr<Model> known_shift_model(Complex by) { return std::make_unique<KnownShift>(by); }
std::unique_ptr<Model> turn_model() { return std::make_unique<Similar>(std::nullopt, true); }
std::unique_ptr<Model> turn_about_model(Complex centre) { return std::make_unique<Similar>(centre, true); }
std::unique_ptr<Model> moved_model(std::optional<Complex> place) { return std::make_unique<Moved>(place); }
std::unique_ptr<Model> stretch_model() { return std::make_unique<Similar>(std::nullopt, false); }
std::unique_ptr<Model> stretch_about_model(Complex centre) {
  return std::make_unique<Similar>(centre, false);
}
std::unique_ptr<Model> known_stretch_model(double ratio, Complex centre) {
  return std::make_unique<KnownStretch>(ratio, centre);
}
std::unique_ptr<Model> along_model(std::vector<Complex> ways) {
  return std::make_unique<Along>(std::move(ways));
}
std::unique_ptr<Model> swap_model(Complex first, Complex second, Complex origin) {
  return std::make_unique<Swap>(first, second, origin);
}
std::unique_ptr<Model> other_marks_model(std::vector<Complex> places, std::size_t parameters) {
  return std::make_unique<OtherMarks>(std::move(places), parameters);
}
std::unique_ptr<Model> mirror_model(Complex normal) { return std::make_unique<Mirror>(normal); }
std::unique_ptr<Model> mirror_free_model() { return std::make_unique<MirrorFree>(); }
std::unique_ptr<Model> wave_model(std::vector<double> places, std::size_t waves) {
  return std::make_unique<Wave>(std::move(places), waves);
}

double scatter_of(std::vector<double> lengths) {
  constexpr double kMedian = 1.17741002251547469;  // of the length of a plan normal: sqrt(2 ln 2)
  if (lengths.empty()) return 0;
  const auto middle = lengths.begin() + static_cast<std::ptrdiff_t>(lengths.size() / 2);
  std::nth_element(lengths.begin(), middle, lengths.end());
  return *middle / kMedian;
}

RobustFit fit_robustly(Model& model, const Field& field, std::span<const std::size_t> shots) {
  RobustFit out;
  const std::size_t n = shots.size();
  out.weights.assign(n, 0);
  out.left.assign(n, {});
  if (model.parameters() > 0) fit_to_absolute(model, field, shots);
  constexpr int kRounds = 3;
  for (int round = 0; round < kRounds; ++round) {
    std::vector<double> lengths(n);
    for (std::size_t k = 0; k < n; ++k)
      lengths[k] = std::abs(model.left(field, shots[k], k)) / field.spread[shots[k]];
    const double scale = std::max(
        kLeastScatter,
        scatter_of(lengths) *
            std::sqrt(2.0 * static_cast<double>(n) /
                      std::max(1.0, 2.0 * static_cast<double>(n) - static_cast<double>(model.parameters()))));
    out.scatter = scale;
    for (std::size_t k = 0; k < n; ++k) {
      const double s = field.spread[shots[k]];
      out.weights[k] = lengths[k] <= kWild * scale ? 1 / (s * s) : 0;
    }
    if (model.parameters() == 0) break;
    model.fit(field, shots, out.weights);
  }
  for (std::size_t k = 0; k < n; ++k) {
    out.left[k] = model.left(field, shots[k], k);
    if (out.weights[k] <= 0) continue;
    ++out.kept;
    out.before += out.weights[k] * std::norm(field.off(shots[k]));
    out.after += out.weights[k] * std::norm(out.left[k]);
  }
  return out;
}

}  // namespace deckmark::causes
