#include "asbuilt/compare.h"

#include <algorithm>
#include <cmath>

#include "asbuilt/conformity.h"

namespace deckmark {

namespace {

Verdict judge_by(Length deviation, Length limit, Length sd, bool guarded) {
  return guarded ? judge_guarded(deviation, limit, sd) : judge(deviation, limit);
}

/// The smallest of these within which at least 95 of 100 lie. REQUIRES one at least.
Length holding_most(std::vector<Length> offsets) {
  const std::size_t rank = (offsets.size() * 95 + 99) / 100 - 1;
  std::ranges::nth_element(offsets, offsets.begin() + static_cast<std::ptrdiff_t>(rank));
  return offsets[rank];
}

}  // namespace

bool is_own(const AsbuiltRow& row) { return row.plan == Verdict::own; }

Verdict judge_bracket(Length up, Length sd, const AsbuiltOptions& options) {
  return judge_by(up, options.elevation, sd, options.guarded);
}

AsbuiltRow compare(const PairedShot& shot, const Transform<Drawing, Site>& drawing_from_site,
                   const AsbuiltOptions& options, std::optional<Length> flatness) {
  const Vec<Site> off = shot.at - shot.design;
  const double own = shot.sd.metres() * shot.sd.metres();
  const PlanCovariance<Site> covariance = PlanCovariance<Site>{own, 0, own} + shot.design_covariance;
  AsbuiltRow row{shot.shot, shot.mark, shot.level, shot.design, shot.at};
  row.off = drawing_from_site.turn(off);
  row.offset = norm(off);
  row.sd = offset_sd(off, covariance);
  row.plan = judge_by(row.offset, options.plan, row.sd, options.guarded);
  row.conforms = conformity_in_circle(off, covariance, options.plan);
  if (shot.elevation && shot.design_elevation) row.up = *shot.elevation - *shot.design_elevation;
  const std::optional<Length> limit = shot.level == AsbuiltLevel::bracket ? std::optional(options.elevation)
                                      : shot.level == AsbuiltLevel::deck  ? flatness
                                                                          : std::nullopt;
  if (row.up && limit) {
    row.height = judge_by(*row.up, *limit, shot.sd, options.guarded);
    row.height_conforms =
        conformity_in_interval(row.up->metres(), shot.sd.metres(), -limit->metres(), limit->metres());
  }
  const bool is_outside = row.plan == Verdict::outside || row.height == Verdict::outside;
  if (shot.is_own && !is_outside) {
    row.plan = Verdict::own;
    if (row.height) row.height = Verdict::own;
  }
  return row;
}

AxisStatistics axis_statistics(std::span<const double> metres) {
  AxisStatistics out;
  if (metres.empty()) return out;
  const auto n = static_cast<double>(metres.size());
  double sum = 0, squares = 0, about = 0;
  for (const double v : metres) {
    sum += v;
    squares += v * v;
  }
  for (const double v : metres) about += (v - sum / n) * (v - sum / n);
  out.bias = Length::metres(sum / n);
  out.rms = Length::metres(std::sqrt(squares / n));
  if (metres.size() > 1) out.sd = Length::metres(std::sqrt(about / (n - 1)));
  return out;
}

std::vector<LevelStatistics> level_statistics(std::span<const AsbuiltRow> rows) {
  std::vector<LevelStatistics> out;
  for (const AsbuiltLevel level : {AsbuiltLevel::floor, AsbuiltLevel::deck, AsbuiltLevel::bracket}) {
    LevelStatistics s;
    s.level = level;
    std::vector<double> x, y, up;
    std::vector<Length> offsets;
    Length worst = Length::metres(-1), worst_up = Length::metres(-1);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const AsbuiltRow& r = rows[i];
      if (r.level != level || is_own(r)) continue;
      ++s.shots;
      ++(r.plan == Verdict::within ? s.within : r.plan == Verdict::outside ? s.outside : s.unsure);
      x.push_back(r.off.by.x.metres());
      y.push_back(r.off.by.y.metres());
      offsets.push_back(r.offset);
      s.largest_sd = std::max(s.largest_sd, r.sd);
      if (r.offset > worst) worst = r.offset, s.worst = i;
      if (!r.up) continue;
      up.push_back(r.up->metres());
      if (abs(*r.up) > worst_up) worst_up = abs(*r.up), s.worst_up = i;
      if (!r.height) continue;
      ++s.heights;
      if (*r.height == Verdict::outside) ++s.heights_outside;
      if (*r.height == Verdict::unsure) ++s.heights_unsure;
    }
    if (s.shots == 0) continue;
    s.x = axis_statistics(x);
    s.y = axis_statistics(y);
    s.rms_plan = hypot(s.x.rms, s.y.rms);
    s.most = holding_most(std::move(offsets));
    if (!up.empty()) s.up = axis_statistics(up);
    out.push_back(s);
  }
  return out;
}

}  // namespace deckmark
