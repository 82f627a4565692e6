// Members of pairs: ends and lengths worked by hand from right triangles and circles.
#include "hanger/members.h"

#include <doctest/doctest.h>

#include <numbers>
#include <string>

#include "hanger_support.h"

using namespace hanger_test;

namespace {

constexpr double kPi = std::numbers::pi;

struct World {
  std::vector<RunCourse> runs;
  std::vector<Length> separations;
  std::vector<StatedReach> reaches{};
  Length width = m(0);
  bool mirrored = false;
  CrossingsResult met{};
  MembersResult members{};

  World& find() {
    reaches.resize(runs.size());
    met = find_crossings(runs);
    members = find_members({runs, separations, reaches, met, width, mirrored});
    return *this;
  }
  const Member& of(std::size_t run, MemberSide side) const {
    for (const Member& x : members.of(run))
      if (x.side == side) return x;
    FAIL("no such member");
    return members.members[0];
  }
  double length(std::size_t run, MemberSide side) const { return of(run, side).length().metres(); }
};

RunCourse line(double x1, double y1, double x2, double y2) { return {*Path::line(at(x1, y1), at(x2, y2))}; }

constexpr auto kLeft = MemberSide::left, kRight = MemberSide::right, kInside = MemberSide::inside,
               kOutside = MemberSide::outside, kSingle = MemberSide::single;

}  // namespace

TEST_CASE(
    "at a corner of lines the outside is longer by half the separation times tan of half the deflection") {
  // Deflection of 60 degrees to the left: 0.1 tan 30 = 0.05774. All four ways to walk through it.
  const double x = 5 + 4 * std::cos(kPi / 3), y = 4 * std::sin(kPi / 3), by = 0.1 * std::tan(kPi / 6);
  for (const bool a_ends : {true, false})
    for (const bool b_starts : {true, false}) {
      CAPTURE(a_ends);
      CAPTURE(b_starts);
      World w{{a_ends ? line(0, 0, 5, 0) : line(5, 0, 0, 0), b_starts ? line(5, 0, x, y) : line(x, y, 5, 0)},
              {m(0.2), m(0.2)}};
      w.find();
      CHECK(w.members.open_corners.empty());
      CHECK(w.members.strays.empty());
      CHECK(w.members.meetings.empty());
      const auto inner_a = a_ends ? kLeft : kRight, inner_b = b_starts ? kLeft : kRight;
      const auto other = [](MemberSide s) { return s == kLeft ? kRight : kLeft; };
      CHECK(w.length(0, inner_a) == doctest::Approx(5 - by).epsilon(1e-9));
      CHECK(w.length(0, other(inner_a)) == doctest::Approx(5 + by).epsilon(1e-9));
      CHECK(w.length(1, inner_b) == doctest::Approx(4 - by).epsilon(1e-9));
      CHECK(w.length(1, other(inner_b)) == doctest::Approx(4 + by).epsilon(1e-9));
    }
}

TEST_CASE("a corner of different separations: each member ends where its own lines meet") {
  World w{{line(0, 0, 5, 0), line(5, 0, 5, 3)}, {m(0.2), m(0.4)}};
  w.find();
  CHECK(w.length(0, kLeft) == doctest::Approx(4.8));  // to x = 5 - 0.2
  CHECK(w.length(0, kRight) == doctest::Approx(5.2));
  CHECK(w.length(1, kLeft) == doctest::Approx(2.9));  // from y = 0.1
  CHECK(w.length(1, kRight) == doctest::Approx(3.1));
}

TEST_CASE("a corner of a pair and a single member: the pair ends on the single one's line") {
  World w{{line(0, 0, 5, 0), line(5, 0, 7, 2)}, {m(0.2), m(0)}};
  w.find();
  CHECK(w.length(0, kLeft) == doctest::Approx(5.1));
  CHECK(w.length(0, kRight) == doctest::Approx(4.9));
  CHECK(w.length(1, kSingle) == doctest::Approx(2 * std::sqrt(2.0)));
  CHECK(w.members.strays.empty());
}

TEST_CASE("a line into an arc: where a parallel line and a circle meet") {
  // A quarter circle of radius 3 about (5, 3) that begins at right angles to the line's way: at (8, 3), up.
  const Path arc = *Path::arc(at(8, 3), at(5 + 3 * std::cos(kPi / 4), 3 + 3 * std::sin(kPi / 4)), at(5, 6));
  World w{{line(4, 3, 8, 3), {arc}}, {m(0.2), m(0.2)}};
  w.find();
  // Inside the arc: radius 2.9; the line's left member lies at y = 3.1.
  CHECK(w.length(0, kLeft) == doctest::Approx(1 + std::sqrt(2.9 * 2.9 - 0.01)).epsilon(1e-9));
  CHECK(w.length(0, kRight) == doctest::Approx(1 + std::sqrt(3.1 * 3.1 - 0.01)).epsilon(1e-9));
  CHECK(w.length(1, kInside) == doctest::Approx(2.9 * (kPi / 2 - std::asin(0.1 / 2.9))).epsilon(1e-9));
  CHECK(w.length(1, kOutside) == doctest::Approx(3.1 * (kPi / 2 + std::asin(0.1 / 3.1))).epsilon(1e-9));
  // Tangent to it: square.
  World t{{line(8, 0, 8, 3), {arc}}, {m(0.2), m(0.2)}};
  t.find();
  CHECK(t.length(0, kLeft) == doctest::Approx(3));
  CHECK(t.length(1, kOutside) == doctest::Approx(3.1 * kPi / 2));
}

TEST_CASE("a run that ends on another is cut by its nearer member, less half the width over the sine") {
  struct Row {
    const char* what;
    RunCourse cut;
    double width, left, right, on_left, on_right;  // lengths, and where on the other run
    MemberSide nearer;
  };
  const double s = std::sqrt(0.5);
  // The through run lies along y = 0 from x = 0 to 10, its members at 0.1 on both sides.
  for (const Row& w :
       {Row{"square from the left", line(4, 3, 4, 0), 0, 2.9, 2.9, 4.1, 3.9, kLeft},
        Row{"square from the right, at its start", line(4, 0, 4, -3), 0, 2.9, 2.9, 4.1, 3.9, kRight},
        Row{"square, with a width", line(4, 3, 4, 0), 0.06, 2.87, 2.87, 4.1, 3.9, kLeft},
        // 45 degrees: the near line is met 0.1 sqrt 2 before the end; the hand towards it 0.1 sooner.
        Row{"at 45 degrees", line(7, 3, 4, 0), 0, 2.9 / s - 0.1, 2.9 / s + 0.1, 4.1 + 0.1 / s, 4.1 - 0.1 / s,
            kLeft},
        Row{"at 45 degrees, with a width", line(7, 3, 4, 0), 0.06, 2.87 / s - 0.1, 2.87 / s + 0.1,
            4.1 + 0.1 / s, 4.1 - 0.1 / s, kLeft}}) {
    CAPTURE(w.what);
    World world{{line(0, 0, 10, 0), w.cut}, {m(0.2), m(0.2)}};
    world.width = m(w.width);
    world.find();
    REQUIRE(world.met.places.size() == 1);
    CHECK(world.met.places[0].is_tee());
    CHECK(world.met.places[0].through == 0);
    CHECK(world.length(1, kLeft) == doctest::Approx(w.left).epsilon(1e-9));
    CHECK(world.length(1, kRight) == doctest::Approx(w.right).epsilon(1e-9));
    REQUIRE(world.members.meetings.size() == 2);
    for (const MemberMeeting& x : world.members.meetings) {
      CHECK(world.members.members[x.through].side == w.nearer);
      CHECK(x.cut_ends);
      CHECK_FALSE(x.through_ends);
      const bool is_left = world.members.members[x.cut].side == kLeft;
      CHECK(x.on_through.metres() == doctest::Approx(is_left ? w.on_left : w.on_right).epsilon(1e-9));
    }
  }
}

TEST_CASE("every meeting of two pairs that cross, by who goes through") {
  World w{{line(0, 0, 10, 0), line(4, -3, 4, 3)}, {m(0.2), m(0.4)}};
  w.find();
  REQUIRE(w.members.meetings.size() == 4);
  for (const MemberMeeting& x : w.members.meetings) {
    CHECK(w.members.members[x.through].run == 0);
    CHECK(abs(x.on_through - m(4)).metres() == doctest::Approx(0.2));
    CHECK(abs(x.on_cut - m(3)).metres() == doctest::Approx(0.1));
    CHECK_FALSE(x.cut_ends);
  }
  w.runs[0].cut_by = {1};
  w.find();
  REQUIRE(w.members.meetings.size() == 4);
  CHECK(w.members.members[w.members.meetings[0].through].run == 1);
  // Two heights: nothing meets.
  w.runs[0].height = m(3), w.runs[1].height = m(3.0011);
  w.find();
  CHECK(w.met.places.empty());
  CHECK(w.members.meetings.empty());
  CHECK(w.members.strays.empty());
  w.runs[1].height = m(3.001);
  w.find();
  CHECK(w.met.places.size() == 1);
}

TEST_CASE("a ring that a line crosses twice: eight meetings, four at each place") {
  World w{{line(-5, 0.3, 5, 0.3), {*Path::ring(at(2, 0), at(-2, 0))}}, {m(0.2), m(0.2)}};
  w.find();
  CHECK(w.met.places.size() == 2);
  REQUIRE(w.members.meetings.size() == 8);
  for (const std::size_t c : {std::size_t{0}, std::size_t{1}})
    CHECK(std::count_if(w.members.meetings.begin(), w.members.meetings.end(),
                        [&](const MemberMeeting& x) { return x.crossing == c; }) == 4);
  CHECK(w.length(1, kInside) == doctest::Approx(1.9 * 2 * kPi));
  CHECK(w.length(1, kOutside) == doctest::Approx(2.1 * 2 * kPi));
}

TEST_CASE("what ends on a ring where that begins is met once by each member, on the ring's own measure") {
  // The ring begins at (4, 0) and is walked up; the line comes from outside, its members at y = 0.2 and -0.2,
  // and ends on the outside one, of radius 4.2. Measured on the ring's line, of radius 4.
  for (const double width : {0.0, 0.05}) {
    CAPTURE(width);
    World w{{{*Path::ring(at(4, 0), at(-4, 0))}, line(4, 0, 9, 0)}, {m(0.4), m(0.4)}};
    w.width = m(width);
    w.find();
    REQUIRE(w.members.meetings.size() == 2);
    const double by = 4 * std::asin(0.2 / 4.2);
    CHECK(w.members.meetings[0].on_through.metres() == doctest::Approx(by).epsilon(1e-9));
    CHECK(w.members.meetings[1].on_through.metres() == doctest::Approx(8 * kPi - by).epsilon(1e-9));
  }
  World single{{{*Path::ring(at(4, 0), at(-4, 0))}, line(4, 0, 9, 0)}, {m(0), m(0)}};
  single.find();
  REQUIRE(single.members.meetings.size() == 1);
  CHECK(single.members.meetings[0].on_through.metres() == doctest::Approx(0));
}

TEST_CASE("ends as stated: free and wall are square and join nothing; reaches win over corners") {
  World w{{line(0, 0, 5, 0), line(5, 0, 5, 3)}, {m(0.2), m(0.2)}};
  w.runs[0].finish = RunEnd::wall;
  w.find();
  CHECK(w.met.places.empty());
  CHECK(w.of(0, kLeft).finish == RunEnd::wall);
  CHECK(w.of(1, kLeft).start == RunEnd::free);
  CHECK(w.length(0, kLeft) == doctest::Approx(5));
  REQUIRE(w.members.strays.size() == 1);  // they stand in one another's way
  World r{{line(0, 0, 5, 0), line(5, 0, 5, 3)}, {m(0.2), m(0.2)}};
  r.reaches = {{.start_left = m(0.3), .finish_right = m(-0.2)}, {}};
  r.find();
  CHECK(r.of(0, kLeft).from == m(-0.3));
  CHECK(r.length(0, kLeft) == doctest::Approx(5.2));
  CHECK(r.length(0, kRight) == doctest::Approx(4.8));
  World far{{line(0, 0, 5, 0), line(9, 0, 9, 3)}, {m(0.2), m(0.2)}};
  far.runs[0].finish = RunEnd::joined;
  far.find();
  REQUIRE(far.met.unmet.size() == 1);
  CHECK(far.of(0, kLeft).finish == RunEnd::free);
}

TEST_CASE("of a mirrored drawing the hands are exchanged, and what is stated by them") {
  World w{{line(0, 0, 5, 0), line(5, 0, 5, 3)}, {m(0.2), m(0.2)}};
  w.mirrored = true;
  w.reaches = {{.start_left = m(0.3)}, {}};
  w.find();
  CHECK(w.of(0, kRight).left == m(0.1));
  CHECK(w.of(0, kLeft).from == m(-0.3));
  CHECK(w.length(0, kRight) == doctest::Approx(4.9));
}

TEST_CASE("three ends in one place: all square, told once") {
  World w{{line(0, 0, 5, 0), line(5, 0, 5, 3), line(5, 0, 8, -1)}, {m(0.2), m(0.2), m(0.2)}};
  w.find();
  CHECK(w.met.crowded.size() == 1);
  CHECK(w.met.places.size() == 3);
  for (std::size_t r = 0; r < 3; ++r)
    for (const Member& x : w.members.of(r))
      CHECK(x.length().metres() == doctest::Approx(w.runs[r].path.length().metres()));
}

TEST_CASE("two runs that end on a third from both sides both end on it, and make no corner") {
  World w{{line(0, 0, 10, 0), line(4, 3, 4, 0), line(4, 0, 4, -3)}, {m(0.2), m(0.2), m(0.2)}};
  w.find();
  CHECK(w.met.places.size() == 2);
  CHECK(w.length(1, kLeft) == doctest::Approx(2.9));
  CHECK(w.length(2, kRight) == doctest::Approx(2.9));
  CHECK(w.members.meetings.size() == 4);
  CHECK(w.members.strays.empty());
}

TEST_CASE("curves without room, members that nothing is left of, members that meet alone") {
  World tight{{{*Path::ring(at(0.09, 0), at(-0.09, 0))}}, {m(0.2)}};
  CHECK(tight.find().members.no_room == std::vector<std::size_t>{0});
  World shrt{{line(0, 0, 5, 0), line(5, 0, 5, 0.3), line(5, 0.3, 0, 0.3)}, {m(0.4), m(0.4), m(0.4)}};
  CHECK(shrt.find().members.no_length.size() == 1);  // the inside of the middle run: 0.3 - 2 x 0.2
  World beside{{line(0, 0, 5, 0), line(2, 0.15, 2, 4)}, {m(0.4), m(0.4)}};
  REQUIRE(beside.find().members.strays.size() == 1);
  CHECK(beside.met.places.empty());
}
