#include "asbuilt/causes.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "asbuilt/cause_points.h"
#include "asbuilt/cause_search.h"
#include "asbuilt/common_vector.h"

namespace deckmark {

namespace {

using causes::Complex;
constexpr std::size_t kMostCauses = 8;  // that touch many marks

causes::Field field_of(const CausesInput& input) {
  causes::Field f;
  const auto n = static_cast<double>(input.shots.size());
  std::vector<double> sds;
  for (const CauseShot& s : input.shots) {
    f.zero += causes::plane(s.design) / n;
    if (s.sd > Length::metres(0)) sds.push_back(s.sd.metres());
  }
  if (!sds.empty()) {
    std::ranges::nth_element(sds, sds.begin() + static_cast<std::ptrdiff_t>(sds.size() / 2));
    f.usual_sd = sds[sds.size() / 2];
  }
  for (const CauseShot& s : input.shots) {
    f.design.push_back(causes::plane(s.design) - f.zero);
    f.built.push_back(causes::plane(s.at) - f.zero);
    f.spread.push_back(s.sd > Length::metres(0) ? s.sd.metres() / f.usual_sd : 1);
  }
  return f;
}

causes::Frame frame_of(const CausesInput& input, Complex zero) {
  const Complex x(input.azimuth_x.sine(), input.azimuth_x.cosine());
  return {x, x * Complex(0, input.mirrored ? -1 : 1), causes::plane(input.origin) - zero, -zero};
}

constexpr std::size_t kManyOfRun = 4;  // single marks that may be one finding of their run

/// Marks that stand off alone, but most of them on one run: more than chance would put there. What is left on
/// a run that was found to wander is a part of that.
void join_on_runs(const CausesInput& input, std::span<const Cause> found, std::vector<Cause>& single) {
  std::map<std::uint32_t, std::set<std::uint32_t>> of_run;
  std::set<std::uint32_t> all;
  for (const CauseShot& s : input.shots) {
    all.insert(s.mark);
    if (s.run != 0) of_run[s.run].insert(s.mark);
  }
  const auto run_of = [&](const Cause& c) { return input.shots[c.shots.front()].run; };
  for (const Cause& f : found)
    if (f.kind == CauseKind::wavy_run)
      std::erase_if(single, [&](const Cause& c) {
        return run_of(c) == f.group.word && std::ranges::binary_search(f.shots, c.shots.front());
      });
  std::map<std::uint32_t, std::size_t> count;
  for (const Cause& c : single) ++count[run_of(c)];
  const double share = static_cast<double>(single.size()) / static_cast<double>(all.size());
  for (const auto& [run, marks] : of_run) {
    const std::size_t n = count[run];
    const double chance =
        static_cast<double>(of_run.size()) * causes::binomial_upper_tail(marks.size(), share, n);
    if (n < kManyOfRun || chance > 0.001) continue;
    Cause joined;
    joined.kind = CauseKind::wavy_run;
    joined.group = GroupRef{GroupKind::run, run};
    joined.chance = chance;
    double squares = 0;
    for (const Cause& c : single) {
      if (run_of(c) != run) continue;
      joined.value = std::max(joined.value, norm(*c.by).metres());
      joined.shots.insert(joined.shots.end(), c.shots.begin(), c.shots.end());
      squares += c.before.metres() * c.before.metres() * static_cast<double>(c.shots.size());
    }
    std::ranges::sort(joined.shots);
    // Named, not explained: nothing falls.
    joined.before = joined.after =
        Length::metres(std::sqrt(squares / static_cast<double>(joined.shots.size())));
    causes::count_touched(input, joined);
    std::erase_if(single, [&, run = run](const Cause& c) { return run_of(c) == run; });
    single.push_back(std::move(joined));
  }
}

}  // namespace

std::string_view cause_word(CauseKind kind) {
  switch (kind) {
    case CauseKind::shift:
      return "shift";
    case CauseKind::rotation:
      return "rotation";
    case CauseKind::scale:
      return "scale";
    case CauseKind::survey_foot:
      return "survey-foot";
    case CauseKind::swapped_axes:
      return "swapped-axes";
    case CauseKind::mirrored:
      return "mirrored";
    case CauseKind::reflector_constant:
      return "reflector-constant";
    case CauseKind::backsight:
      return "backsight";
    case CauseKind::height:
      return "height";
    case CauseKind::bump:
      return "bump";
    case CauseKind::one_bay:
      return "one-bay";
    case CauseKind::renumbered:
      return "renumbered";
    case CauseKind::wavy_run:
      return "wavy-run";
    case CauseKind::digits:
      return "digits";
    case CauseKind::one_point:
      break;
  }
  return "one-point";
}

std::optional<double> unit_slip(const Cause& cause) {
  const double ratio = 1 + cause.value * 1e-6;
  if (cause.kind != CauseKind::scale || (ratio < 2 && ratio > 0.5)) return std::nullopt;
  return ratio;
}

CausesResult find_causes(const CausesInput& input) {
  CausesResult out;
  if (input.shots.size() < 2) return out;
  const std::vector<std::size_t> order = causes::order_of(input, out.in_order_of_time);
  causes::Field field = field_of(input);
  const causes::Frame frame = frame_of(input, field.zero);
  causes::PlanSearch search(input, std::move(field), frame, order);
  while (out.causes.size() < kMostCauses) {
    auto cause = search.next();
    if (!cause) break;
    out.causes.push_back(std::move(*cause));
  }
  out.tried = search.tried();
  for (Cause& c : causes::find_height_causes(input, order, search.raised()))
    out.causes.push_back(std::move(c));
  const auto explained = [](const Cause& c) {
    const double before = c.before.metres(), after = c.after.metres();
    return (before * before - after * after) * static_cast<double>(c.shots.size());
  };
  // Single marks after what touches many.
  std::ranges::stable_sort(out.causes, [&](const Cause& a, const Cause& b) {
    const bool one = a.kind == CauseKind::one_point, other = b.kind == CauseKind::one_point;
    return one != other ? other : explained(a) > explained(b);
  });
  std::vector<double> lengths;
  for (std::size_t i = 0; i < input.shots.size(); ++i)
    lengths.push_back(std::abs(search.field().off(i)) / search.field().spread[i]);
  out.noise = Length::metres(causes::scatter_of(std::move(lengths)));
  if (const auto slip =
          std::ranges::find_if(out.causes, [](const Cause& c) { return unit_slip(c).has_value(); });
      slip != out.causes.end()) {
    out.causes = {Cause(*slip)};
    return out;
  }
  std::vector<Cause> single = causes::find_single_marks(input, search.field(), frame, out.tried);
  join_on_runs(input, out.causes, single);
  std::ranges::stable_sort(
      single, [](const Cause& a, const Cause& b) { return std::abs(a.value) > std::abs(b.value); });
  for (Cause& c : single) out.causes.push_back(std::move(c));
  std::stable_partition(out.causes.begin(), out.causes.end(), [](const Cause& c) { return c.points > 1; });
  return out;
}

}  // namespace deckmark
