#include "issues/kept.h"

#include <doctest/doctest.h>

using namespace deckmark;

TEST_CASE("a length is kept to the nearest micrometre, half of one away from zero") {
  struct Row {
    double metres;
    std::int64_t want;
  };
  for (const Row& r :
       {Row{0, 0}, Row{-0.0, 0}, Row{1.4e-6, 1}, Row{1.6e-6, 2}, Row{-1.4e-6, -1}, Row{-1.6e-6, -2},
        Row{0.5e-6, 1}, Row{-0.5e-6, -1}, Row{12.3456784, 12345678}, Row{-8e9, -8'000'000'000'000'000}}) {
    CAPTURE(r.metres);
    CHECK(Kept::of(Length::metres(r.metres)).micrometres() == r.want);
    CHECK(Kept::of(Elevation::metres(r.metres)).micrometres() == r.want);
  }
}

TEST_CASE("what is kept is the double nearest to its decimal, and is kept again as it is") {
  CHECK(Kept::micrometres(123456789).metres() == 123.456789);
  CHECK(Kept::micrometres(-1).metres() == -0.000001);
  for (const std::int64_t um : {0L, 1L, -7L, 999'999L, 412'305'333L, -4'000'000'000'000'001L})
    CHECK(Kept::of(Kept::micrometres(um).length()) == Kept::micrometres(um));
}

TEST_CASE("no length is none, and not nothing") {
  CHECK(Kept::of(std::optional<Length>()).is_none());
  CHECK(Kept::of(std::optional<Elevation>(Elevation::metres(2))) == Kept::micrometres(2'000'000));
  CHECK(Kept::none() == Kept::none());
  CHECK_FALSE(Kept::none() == Kept::micrometres(0));
  CHECK_FALSE(Kept::micrometres(0).is_none());
}

TEST_CASE("what lies over 1 mm away is told, to the micrometre, in plan by the distance") {
  struct Row {
    std::int64_t a, b;
    bool want;
  };
  for (const Row& r : {Row{0, 0, false}, Row{1000, 0, false}, Row{1001, 0, true}, Row{-1000, 0, false},
                       Row{-1001, 0, true}, Row{600, 800, false}, Row{-600, 801, true}, Row{707, -707, false},
                       Row{708, -708, true}, Row{8'000'000'000'000'000, 8'000'000'000'000'000, true}}) {
    CAPTURE(r.a);
    CAPTURE(r.b);
    const Kept from = Kept::micrometres(70), a = Kept::micrometres(r.a + 70), b = Kept::micrometres(r.b + 70);
    CHECK(is_told(KeptDrawing{a, b}, KeptDrawing{from, from}) == r.want);
    CHECK(is_told(KeptDrawing{b, a}, KeptDrawing{from, from}) == r.want);
    if (r.b == 0) CHECK(is_told(a, from) == r.want);
  }
}

TEST_CASE("on site the rounding of both places is no move") {
  struct Row {
    std::int64_t a, b;
    bool want;
  };
  for (const Row& r : {Row{1001, 0, false}, Row{1002, 0, true}, Row{-1001, 0, false}, Row{0, -1002, true},
                       Row{708, 708, false}, Row{709, -709, true}}) {
    CAPTURE(r.a);
    CAPTURE(r.b);
    const Kept from = Kept::micrometres(70);
    CHECK(is_told(KeptSite{Kept::micrometres(r.a + 70), Kept::micrometres(r.b + 70)}, KeptSite{from, from}) ==
          r.want);
  }
}

TEST_CASE("places keep their axes") {
  const KeptDrawing d = KeptDrawing::of({{.x = Length::metres(1), .y = Length::metres(2)}});
  CHECK(d == KeptDrawing{Kept::micrometres(1'000'000), Kept::micrometres(2'000'000)});
  CHECK(d.point().at.y.metres() == 2);
  const KeptSite s = KeptSite::of({{.northing = Length::metres(3), .easting = Length::metres(4)}});
  CHECK(s == KeptSite{Kept::micrometres(3'000'000), Kept::micrometres(4'000'000)});
  CHECK(s.point().at.easting.metres() == 4);
}
