#include "book/ledger_axes.h"

namespace deckmark {

void LedgerAxes::add(const LedgerRow& row) {
  if (row.site.northing.is_none() || row.drawing.x.is_none()) return;
  places_.push_back({{row.drawing.x.metres(), row.drawing.y.metres()},
                     {row.site.easting.metres(), row.site.northing.metres()}});
}

Transform<Drawing, Site> LedgerAxes::fitted(bool mirrored) const {
  using Complex = std::complex<double>;
  Pair mean{};
  for (const Pair& p : places_) mean = {mean.drawing + p.drawing, mean.site + p.site};
  if (!places_.empty()) {
    const auto n = static_cast<double>(places_.size());
    mean = {mean.drawing / n, mean.site / n};
  }
  Complex straight, turned;  // of w = a d and w = a conj(d): a = sum(w conj(d)) / sum(|d|^2)
  double size = 0;
  for (const Pair& p : places_) {
    const Complex d = p.drawing - mean.drawing, w = p.site - mean.site;
    straight += w * std::conj(d);
    turned += w * d;
    size += std::norm(d);
  }
  constexpr double kOneLine = 1e-9;  // of places on one line both fit alike
  const double apart = std::abs(turned) - std::abs(straight);
  if (std::abs(apart) > kOneLine * (std::abs(straight) + std::abs(turned))) mirrored = apart > 0;
  const Complex sum = mirrored ? turned : straight;
  const bool has_way = std::abs(sum) > 0;
  return claim({{{.x = Length::metres(mean.drawing.real()), .y = Length::metres(mean.drawing.imag())}},
                {{.northing = Length::metres(mean.site.imag()), .easting = Length::metres(mean.site.real())}},
                Azimuth::degrees(90 - Angle::radians(has_way ? std::arg(sum) : 0).degrees()),
                has_way ? std::abs(sum) / size : 1,
                mirrored})
      .inverse();
}

Transform<Drawing, Site> drawing_from_ledger(const Ledger& ledger, bool mirrored) {
  LedgerAxes axes;
  for (std::size_t i = 0; i < ledger.numbers(); ++i)
    if (const std::uint32_t last = ledger.latest(i); ledger.columns().is_live(last))
      axes.add(ledger.row(last));
  return axes.fitted(mirrored);
}

}  // namespace deckmark
