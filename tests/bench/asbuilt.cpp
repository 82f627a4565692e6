// 100,000 shots among as many marks: matched by nearness, judged, looked at along runs, and searched for
// causes. The answer before the times; the whole must stay under two seconds.
#include <doctest/doctest.h>

#include <chrono>
#include <random>

#include "asbuilt/causes.h"
#include "asbuilt/compare.h"
#include "asbuilt/match.h"

using namespace deckmark;

namespace {

constexpr std::size_t kShots = 100000;

double since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

}  // namespace

TEST_CASE("100,000 shots matched and judged") {
  std::mt19937 draws(1);
  std::normal_distribution<double> noise(0, 0.002);
  std::vector<Point<Site>> marks, shots;
  for (std::size_t i = 0; i < kShots; ++i) {
    const double n = 4000 + 1.5 * static_cast<double>(i / 400), e = 7000 + 1.2 * static_cast<double>(i % 400);
    marks.push_back({{.northing = Length::metres(n), .easting = Length::metres(e)}});
    const double off = i % 400 < 100 ? 0.012 : 0;  // one setup's quarter
    shots.push_back(
        {{.northing = Length::metres(n + off + noise(draws)), .easting = Length::metres(e + noise(draws))}});
  }
  auto begin = std::chrono::steady_clock::now();
  const NearestResult matched = match_nearest(shots, marks, Length::millimetres(150));
  const double match_time = since(begin);

  begin = std::chrono::steady_clock::now();
  const Transform<Drawing, Site> drawing_from_site = drawing_is_site(false).inverse();
  std::vector<AsbuiltRow> rows;
  for (const AsbuiltPair& p : matched.pairs)
    rows.push_back(compare({p.shot,
                            p.mark,
                            AsbuiltLevel::floor,
                            shots[p.shot],
                            marks[p.mark],
                            {1e-6, 2e-7, 2e-6},
                            Length::millimetres(2),
                            {},
                            {}},
                           drawing_from_site, {}, std::nullopt));
  const auto levels = level_statistics(rows);
  const double judge_time = since(begin);

  begin = std::chrono::steady_clock::now();
  std::vector<CauseShot> list;
  for (const AsbuiltRow& r : rows) {
    CauseShot s{r.mark, r.design, r.at};
    s.setup = 1 + static_cast<std::uint32_t>(r.mark % 400 / 100);
    list.push_back(s);
  }
  const std::vector<std::optional<KnownStation>> none;
  const CausesResult causes = find_causes({list, none, none, marks, marks.front()});
  const double cause_time = since(begin);

  MESSAGE(rows.size() << " rows, " << levels.front().outside << " outside; " << causes.causes.size()
                      << " causes, the first touches " << causes.causes.front().points);
  MESSAGE("match " << match_time << " s, judge " << judge_time << " s, causes " << cause_time
                   << " s, together " << match_time + judge_time + cause_time << " s");
  CHECK(rows.size() == kShots);
  REQUIRE(causes.causes.size() >= 1);
  CHECK(causes.causes.front().kind == CauseKind::shift);
  CHECK(causes.causes.front().points == kShots / 4);
  CHECK(match_time + judge_time + cause_time < 2);
}
