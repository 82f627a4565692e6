// Hangers along a run, against spaces worked by hand.
#include <doctest/doctest.h>

#include "hanger_support.h"

using namespace hanger_test;

TEST_CASE("equal spaces, the fewest, none wider than allowed") {
  struct Row {
    double length, max, end;
    bool ring;
    std::vector<double> want;
  };
  for (const Row& r :
       {Row{10, 1.2, 0.2, false, {0.2, 1.4, 2.6, 3.8, 5.0, 6.2, 7.4, 8.6, 9.8}},  // 9.6 / 1.2 is 8 exactly
        Row{10, 4, 0, false, {0, 10.0 / 3, 20.0 / 3, 10}}, Row{3, 5, 0.5, false, {0.5, 2.5}},
        Row{0.4, 1.2, 0.2, false, {0.2}}, Row{0.3, 1.2, 0.2, false, {0.15}},
        Row{2.5, 1.2, 0.05, false, {0.05, 1.25, 2.45}}, Row{12, 4, 0, true, {0, 4, 8}},
        Row{12, 4, 0.5, true, {0, 4, 8}}, Row{12, 3.9, 0, true, {0, 3, 6, 9}}, Row{3, 5, 0, true, {0}}}) {
    CAPTURE(r.length);
    CAPTURE(r.max);
    SpacingTask task{m(r.length), r.ring, m(r.max), m(r.end), {}, {}};
    const SpacingResult out = space_hangers(task);
    CHECK(out.solved);
    REQUIRE(out.at.size() == r.want.size());
    for (std::size_t i = 0; i < r.want.size(); ++i)
      CHECK(out.at[i].metres() == doctest::Approx(r.want[i]).epsilon(1e-12));
    CHECK(equal_count(task) == r.want.size());
  }
}

TEST_CASE("a spacing that is a slip is counted, not laid out") {
  CHECK(equal_count({m(1000), false, m(1e-6), m(0), {}, {}}) == kMostHangers + 1);
}

TEST_CASE("hangers keep clear of joints, and every joint has one near") {
  // Equal spaces of 1.2 m from 0.2 put a hanger on the joint at 5.0; the two gaps beside it allow no move, so
  // one more.
  SpacingTask task{m(10), false, m(1.2), m(0.2), {{m(5), m(0.1), m(0.4)}}, {}};
  const SpacingResult out = space_hangers(task);
  CHECK(out.solved);
  CHECK(out.at.size() == 10);
  CHECK(breaches_of(task, out.at).empty());
  // With room to move it moves to the nearer side of the joint.
  task.max_spacing = m(1.4);  // 9.6 / 7 = 1.371; joint at 0.2 + 3 spaces
  task.spots = {{m(0.2 + 3 * 9.6 / 7), m(0.02), {}}};
  const SpacingResult moved = space_hangers(task);
  CHECK(moved.solved);
  REQUIRE(moved.at.size() == 8);
  CHECK(std::abs(moved.at[3].metres() - (0.2 + 3 * 9.6 / 7)) == doctest::Approx(0.02));
}

TEST_CASE("rules that cannot all hold are named") {
  SpacingTask task{m(10), false, m(1), m(0), {{m(5), m(0.6), m(0.4)}}, {}};
  const SpacingResult out = space_hangers(task);
  CHECK_FALSE(out.solved);
  CHECK(out.at == out.equal);
  REQUIRE(out.breaches.size() == 1);
  CHECK(static_cast<int>(out.breaches[0].kind) == static_cast<int>(SpacingBreach::Kind::near_spot));
  CHECK(breaches_of(task, {m(0.1), m(9)}).size() == 4);  // both ends, the width, the joint unsupported
}

TEST_CASE("over flutes hangers stand on fastening lines alone") {
  SpacingTask task{m(6), false, m(1.2), m(0.1), {}, {{{m(2), m(6)}, {}}}};
  for (int i = 0; i <= 20; ++i) task.fastenings[0].places.push_back(m(2 + 0.2 * i));
  const SpacingResult out = space_hangers(task);
  CHECK(out.solved);
  CHECK(breaches_of(task, out.at).empty());
  for (const Length s : out.at)
    if (s > m(2)) CHECK(std::abs(std::remainder(s.metres(), 0.2)) < 1e-9);
}

TEST_CASE("hangers keep off stretches: moved beside them, by 10 mm where there is room") {
  // Equal spaces of 1 m put one on 5.0; one more hanger leaves room.
  SpacingTask task{m(10), false, m(1), m(0), {}, {}, {{m(5), m(5)}, {m(7.05), m(7.3)}}};
  SpacingResult out = space_hangers(task);
  CHECK(out.solved);
  CHECK(out.at.size() == 12);
  for (const Length s : out.at)
    CHECK((abs(s - m(5)) >= m(0.01 - 1e-9) && (s <= m(7.04 + 1e-9) || s >= m(7.31 - 1e-9))));
  // Flutes leave one place 4 mm beside the edge: it is taken.
  task = {m(2), false, m(1.2), m(0.1), {}, {{{m(0), m(2)}, {m(0.05), m(1.004), m(1.95)}}}, {{m(1), m(1)}}};
  out = space_hangers(task);
  CHECK(out.solved);
  CHECK(metres(out.at) == std::vector<double>{0.05, 1.004, 1.95});
  // Half a millimetre beside it is on it: equal spaces, none of them on the edge.
  task.fastenings[0].places[1] = m(1.0005);
  out = space_hangers(task);
  CHECK_FALSE(out.solved);
  CHECK(out.at.size() == 4);  // with three the middle one would stand on the edge
  for (std::size_t i = 1; i < 4; ++i) CHECK((out.at[i] - out.at[i - 1]).metres() == doctest::Approx(0.6));
}

TEST_CASE("the ends of a fluted stretch are in it") {
  // A run that begins and ends between lines of its bay: the ends are no places.
  const SpacingTask task{m(2), false, m(1.2), m(0), {}, {{{m(0), m(2)}, {m(0.1), m(1), m(1.9)}}}};
  const SpacingResult out = space_hangers(task);
  CHECK_FALSE(out.solved);
  CHECK(metres(out.at) == std::vector<double>{0, 1, 2});
  REQUIRE(out.breaches.size() == 2);
  CHECK(static_cast<int>(out.breaches[0].kind) == static_cast<int>(SpacingBreach::Kind::between_places));
  CHECK(out.breaches[0].amount.metres() == doctest::Approx(0.1));
}
