#include "book/reading.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "talk.h"

using namespace deckmark;

namespace {

InstrumentOptions instrument() {
  InstrumentOptions out = talk::plain_instrument();
  out.refraction.reset();
  return out;
}

}  // namespace

TEST_CASE("a reading has its place, its height and the sds along and across the sight") {
  SetupResult setup = talk::setup_at(98, 200);
  setup.orientation = Angle::degrees(30);
  TypedReading typed;
  typed.circle = CircleReading::degrees(60);  // azimuth 90
  typed.distance = Length::metres(10);
  const ReadPlace flat = place_of(typed, setup, instrument(), Length::metres(0.1));
  CHECK(flat.at.at.northing.metres() == doctest::Approx(98).epsilon(1e-12));
  CHECK(flat.at.at.easting.metres() == doctest::Approx(210).epsilon(1e-12));
  CHECK_FALSE(flat.elevation);
  // Place 0.5 mm, distance 1 mm, target_sd 1 mm; across: orientation 3", pointing sqrt(2) 2" at 10 m.
  CHECK(flat.sd_along.millimetres() == doctest::Approx(std::sqrt(0.25 + 1 + 1)).epsilon(1e-9));
  const double mm_per_second = 10'000 / 206264.8;
  CHECK(flat.sd_across.millimetres() ==
        doctest::Approx(std::sqrt(0.25 + 1 + (9 + 8) * mm_per_second * mm_per_second)).epsilon(1e-6));

  typed.kind = TypedReading::Kind::polar;
  typed.zenith = Angle::degrees(120);
  typed.distance = Length::metres(10 / std::sin(120 * std::numbers::pi / 180));
  const ReadPlace polar = place_of(typed, setup, instrument(), Length::metres(0.1));
  CHECK(polar.at.at.easting.metres() == doctest::Approx(210).epsilon(1e-12));
  CHECK(polar.elevation->above_datum().metres() ==
        doctest::Approx(2.5 - 10 / std::tan(60 * std::numbers::pi / 180) - 0.1));
  // The other face: circle half a turn on, zenith from the other side.
  TypedReading turned = typed;
  turned.circle = CircleReading::degrees(240);
  turned.zenith = Angle::degrees(240);
  const ReadPlace two = place_of(turned, setup, instrument(), Length::metres(0.1));
  CHECK(two.is_face_two);
  CHECK(distance(two.at, polar.at).metres() < 1e-9);
  CHECK(two.sd_across == polar.sd_across);
  // A target height that is typed counts in place of the job's.
  typed.target_height = Length::metres(1.3);
  CHECK((*polar.elevation - *place_of(typed, setup, instrument(), Length::metres(0.1)).elevation).metres() ==
        doctest::Approx(1.2));

  TypedReading stored;
  stored.kind = TypedReading::Kind::coordinates;
  stored.northing = Length::metres(98);
  stored.easting = Length::metres(210);
  const ReadPlace computed = place_of(stored, setup, instrument(), Length::metres(0));
  CHECK(computed.circle.degrees() == doctest::Approx(60));
  CHECK(computed.horizontal.metres() == doctest::Approx(10));
  CHECK(computed.sd_across.metres() == doctest::Approx(flat.sd_across.metres()));
  CHECK(computed.sd_along.metres() == doctest::Approx(flat.sd_along.metres()));
}

TEST_CASE("two strings that are not square to each other give the place where both distances hold") {
  // X grows to azimuth 80, Y to azimuth 345: 5 degrees out of square.
  const auto way = [](double azimuth) {
    const double a = azimuth * std::numbers::pi / 180;
    return Vec<Site>{{.northing = Length::metres(std::cos(a)), .easting = Length::metres(std::sin(a))}};
  };
  const TapeStrings strings{{{.northing = Length::metres(50), .easting = Length::metres(60)}},
                            way(80),
                            way(345),
                            Length::millimetres(2)};
  TypedReading typed;
  typed.kind = TypedReading::Kind::tape;
  typed.from_x_string = Length::metres(4);
  typed.from_y_string = Length::metres(-1.5);
  const ReadPlace place = place_of(typed, strings);
  const Vec<Site> v = place.at - strings.at;
  const auto along = [&v](const Vec<Site>& w) {
    return v.by.northing.metres() * w.by.northing.metres() + v.by.easting.metres() * w.by.easting.metres();
  };
  CHECK(along(strings.x_way) == doctest::Approx(4));
  CHECK(along(strings.y_way) == doctest::Approx(-1.5));
  CHECK(place.sd_along.millimetres() == 2);
  CHECK(place.sd_across.millimetres() == 2);
}
