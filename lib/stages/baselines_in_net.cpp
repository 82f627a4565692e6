#include "stages/baselines_in_net.h"

#include <utility>

namespace deckmark {

BaselinesInNet::BaselinesInNet(const Matrix& gain, const std::vector<std::array<NetForm, 2>>& ties,
                               NetCovariance covariance, std::vector<std::optional<std::size_t>> place_in_net)
    : covariance_(std::move(covariance)), place_in_net_(std::move(place_in_net)) {
  bool any = false;
  std::vector<NetForm> forms(gain.rows);
  for (std::size_t k = 0; k < gain.rows; ++k)
    for (std::size_t i = 0; i < ties.size(); ++i)
      for (std::size_t axis = 0; axis < 2; ++axis)
        for (NetPart part : ties[i][axis]) {
          part.factor *= gain(k, 2 * i + axis);
          forms[k].push_back(part);
          any = true;
        }
  if (any) parameters_ = std::move(forms);
}

std::optional<BaselinesWithSetup> BaselinesInNet::with_setup(std::size_t setup) const {
  if (empty() || setup >= place_in_net_.size() || !place_in_net_[setup]) return std::nullopt;
  std::vector<NetForm> forms = parameters_;
  for (std::size_t part = 0; part < 3; ++part)
    forms.push_back({{NetPart::Of::setup, *place_in_net_[setup], part, 1}});
  const Matrix q = covariance_.of(forms);
  BaselinesWithSetup out{};
  for (std::size_t k = 0; k < 4; ++k)
    for (std::size_t part = 0; part < 3; ++part) out[k][part] = q(k, 4 + part);
  return out;
}

PlanCovariance<Site> BaselinesInNet::beside_point(const FittedTransform& fit, const Point<Drawing>& mark,
                                                  std::size_t point) const {
  PlanCovariance<Site> out = fit.covariance_at(mark);
  if (empty()) return out;
  const auto slopes = fit.slopes_at(mark);
  std::vector<NetForm> forms(2);
  for (std::size_t axis = 0; axis < 2; ++axis)
    for (std::size_t k = 0; k < 4; ++k)
      for (NetPart part : parameters_[k]) {
        part.factor *= slopes[axis][k];
        forms[axis].push_back(part);
      }
  for (std::size_t part = 0; part < 2; ++part) forms.push_back({{NetPart::Of::point, point, part, 1}});
  const Matrix q = covariance_.of(forms);
  out.first -= 2 * q(0, 2);
  out.cross -= q(0, 3) + q(1, 2);
  out.second -= 2 * q(1, 3);
  return out;
}

}  // namespace deckmark
