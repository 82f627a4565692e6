#include "report/shape_text.h"

#include <doctest/doctest.h>

#include <optional>
#include <string>
#include <utility>
#include <vector>

using namespace deckmark;

namespace {

Point<Drawing> xy(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }

struct Told {
  ShapeBreak found;
  Point<Drawing> at = xy(12.48, 3);
  std::string why(LengthUnit unit = LengthUnit::metre) const { return shape_why(line(), unit); }
  std::string doubt(LengthUnit unit = LengthUnit::metre) const { return shape_doubt(line(), unit); }
  ShapeLineTold line() const { return {found, "H07", "R3", at, Length::metres(2.7)}; }
};

ShapeBreak broken(ShapeWhy why, ShapeAxis axis, std::optional<MendKind> mend = {}) {
  ShapeBreak b{0, 6, xy(12.84, 3), Length::metres(0.36), why, axis};
  if (mend) b.mend = ShapeMend{*mend, Length::metres(12.84)};
  return b;
}

}  // namespace

TEST_CASE("the thing first, the number with its unit, what to do last") {
  const Told t{broken(ShapeWhy::spacing, ShapeAxis::x, MendKind::exchanged_digits)};
  CHECK(t.why() == "spacing: x 12.480 m, digits exchanged: 12.840 m");
  CHECK(t.doubt() ==
        "H07: x 12.480 m breaks the even spacing of R3 by 0.360 m; digits exchanged? 12.840 m would fit: "
        "look at the "
        "drawing");
  CHECK(t.why(LengthUnit::millimetre) == "spacing: x 12480 mm, digits exchanged: 12840 mm");
  const Told plain{broken(ShapeWhy::line, ShapeAxis::x)};
  CHECK(plain.why() == "line");
  CHECK(plain.doubt() ==
        "H07: x 12.480 m leaves the line of R3 by 0.360 m; 12.840 m would fit: look at the drawing");
}

TEST_CASE("every pattern and every slip has words of its own") {
  for (const auto& [why, word] : {std::pair(ShapeWhy::spacing, "spacing"), std::pair(ShapeWhy::line, "line"),
                                  std::pair(ShapeWhy::pitch, "pitch"), std::pair(ShapeWhy::circle, "circle"),
                                  std::pair(ShapeWhy::height, "height")})
    CHECK(Told{broken(why, ShapeAxis::x)}.why() == word);
  for (const auto& [kind, words] :
       {std::pair(MendKind::exchanged_digits, "digits exchanged"),
        std::pair(MendKind::one_digit, "one digit wrong"), std::pair(MendKind::foot, "a foot off"),
        std::pair(MendKind::inch, "an inch off")})
    CHECK(Told{broken(ShapeWhy::line, ShapeAxis::x, kind)}.why() ==
          "line: x 12.480 m, " + std::string(words) + ": 12.840 m");
  Told both{broken(ShapeWhy::line, ShapeAxis::both, MendKind::exchanged_xy), xy(3, 12.84)};
  CHECK(both.why() == "line: x 3.000 m, y 12.840 m, x and y exchanged: x 12.840 m, y 3.000 m");
}

TEST_CASE("a height is told with what the rest of the run has; a run as a whole, aside or turned") {
  ShapeBreak height{0, 6, xy(12.48, 3), Length::metres(-0.18), ShapeWhy::height, ShapeAxis::height};
  CHECK(Told{height}.doubt() ==
        "H07: height 2.700 m differs from the rest of R3 by 0.180 m; 2.880 m would fit: look at the drawing");
  ShapeBreak run = broken(ShapeWhy::pitch, ShapeAxis::x);
  run.point.reset();
  CHECK(Told{run}.doubt() ==
        "run R3 stands aside as a whole by 0.360 m: H07 at x 12.480 m breaks the pitch of the runs beside "
        "it; 12.840 "
        "m would fit: look at the drawing");
  for (const auto& [shift, words] :
       {std::pair(RunShift::behind, "behind"), std::pair(RunShift::ahead, "ahead of")}) {
    ShapeBreak along = broken(ShapeWhy::spacing, ShapeAxis::x);
    along.point.reset(), along.shift = shift;
    CHECK(Told{along}.why() == "spacing");
    CHECK(Told{along}.doubt() ==
          "run R3: its stations lie 0.360 m " + std::string(words) +
              " those of the runs beside it: H07 at x 12.480 m; 12.840 m would fit: look "
              "at the drawing");
  }
  ShapeBreak square = broken(ShapeWhy::pitch, ShapeAxis::both);
  square.point.reset(), square.shift = RunShift::square;
  CHECK(Told{square}.doubt() ==
        "run R3 stands aside as a whole by 0.360 m, measured square to it: it breaks the pitch of the runs "
        "beside it; how far it is shifted along is not known: look at the drawing");
  run.shift = RunShift::turned;
  CHECK(Told{run}.why() == "pitch: turned");
  CHECK(Told{run}.doubt().starts_with("run R3 is turned: one of its ends stands 0.360 m off"));
}

TEST_CASE("a point with the wrong run is told with the run that it fits") {
  Told t{broken(ShapeWhy::line, ShapeAxis::both)};
  t.found.fits_run = 1;
  ShapeLineTold line = t.line();
  line.fits_run = "R2";
  CHECK(shape_why(line, LengthUnit::metre) == "line: run R2");
  CHECK(shape_doubt(line, LengthUnit::metre) ==
        "H07: stands 0.360 m off R3 and fills a gap of R2: its run wrong? look at the drawing");
}

TEST_CASE("ends of which one is wrong are both named; a run of too many breaks with their count") {
  ShapeUnsure u{ShapeUnsure::Kind::ends, 0, 0, 7, Length::metres(0.65), Length::metres(0.35)};
  CHECK(unsure_doubt(u, "R1", "R1-01", "R1-08", LengthUnit::metre) ==
        "end bays of R1 differ, 0.650 m and 0.350 m: look at R1-01 and R1-08 in the drawing");
  u.kind = ShapeUnsure::Kind::spacing, u.differ = 2, u.points = 10;
  CHECK(unsure_doubt(u, "R2", "R2-01", "R2-10", LengthUnit::metre) ==
        "spacing of R2 not judged: 2 of 10 points differ: look at the drawing");
}

TEST_CASE("a distance that no one keyed is told to 1/16 inch") {
  Told t{broken(ShapeWhy::line, ShapeAxis::x)};
  for (const auto& [inches, words] :
       {std::pair(11 + 55.0 / 64, "0'-11 7/8\""), std::pair(11.4, "0'-11 3/8\""),
        std::pair(11 + 1.0 / 32, "0'-11 1/32\"")}) {
    t.found.off = Length::inches(inches);
    CAPTURE(inches);
    CHECK(t.doubt(LengthUnit::feet_inches).find(" by " + std::string(words) + ";") != std::string::npos);
  }
}

TEST_CASE("a coordinate as the drawing is keyed") {
  CHECK(keyed_words(Length::inches(150.5), LengthUnit::feet_inches) == "12'-6 1/2\"");
  CHECK(keyed_words(Length::inches(150 + 1.0 / 32), LengthUnit::feet_inches) == "12'-6 1/32\"");
  CHECK(keyed_words(Length::metres(1.234), LengthUnit::centimetre) == "123.4 cm");
  CHECK(keyed_words(Length::feet(12.5), LengthUnit::foot) == "12.500 ft");
}

TEST_CASE("sixty lines of text, then a count") {
  const Told t{broken(ShapeWhy::spacing, ShapeAxis::x)};
  CHECK(shape_text({}, LengthUnit::metre).empty());
  const std::vector<ShapeLineTold> many(63, t.line());
  const std::string text = shape_text(many, LengthUnit::metre);
  CHECK(text.starts_with("THE DRAWING AGAINST ITSELF: look these up in the drawing\n"));
  CHECK(text.ends_with("  and 3 more: see shape.csv\n"));
}
