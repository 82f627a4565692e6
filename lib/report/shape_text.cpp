#include "report/shape_text.h"

#include <fmt/format.h>

#include <cmath>

#include "measure/decimal.h"
#include "measure/length_text.h"
#include "report/pieces.h"

namespace deckmark {

namespace {

constexpr std::size_t kTold = 60;  // lines, then a count

std::string_view pattern_word(ShapeWhy why) {
  switch (why) {
    case ShapeWhy::spacing:
      return "spacing";
    case ShapeWhy::line:
      return "line";
    case ShapeWhy::pitch:
      return "pitch";
    case ShapeWhy::circle:
      return "circle";
    case ShapeWhy::height:
      return "height";
  }
  return "";
}

std::string_view mend_words(MendKind kind) {
  switch (kind) {
    case MendKind::exchanged_digits:
      return "digits exchanged";
    case MendKind::one_digit:
      return "one digit wrong";
    case MendKind::foot:
      return "a foot off";
    case MendKind::inch:
      return "an inch off";
    case MendKind::exchanged_xy:
      return "x and y exchanged";
  }
  return "";
}

struct Coordinates {
  std::string found, fits;  // with their axis where both are off: `x 3.000 m, y 4.000 m`
};

Coordinates coordinates(const ShapeLineTold& l, LengthUnit unit) {
  const auto words = [unit](Length v) { return keyed_words(v, unit); };
  const Point<Drawing>& to = l.found.expected;
  switch (l.found.axis) {
    case ShapeAxis::x:
      return {"x " + words(l.at.at.x), words(to.at.x)};
    case ShapeAxis::y:
      return {"y " + words(l.at.at.y), words(to.at.y)};
    case ShapeAxis::both:
      return {fmt::format("x {}, y {}", words(l.at.at.x), words(l.at.at.y)),
              fmt::format("x {}, y {}", words(to.at.x), words(to.at.y))};
    case ShapeAxis::height:
      break;
  }
  const Length height = l.height.value_or(Length::metres(0));
  return {"height " + words(height), words(height - l.found.off)};
}

/// A distance, square or across, which no one keyed: to 1/16 inch, where it is no whole 1/32.
std::string off_words(Length off, LengthUnit unit) {
  const double parts = abs(off) / Length::inches(1) * 32;
  if (unit == LengthUnit::feet_inches && std::abs(parts - std::round(parts)) >= 1e-3)
    return feet_inches_text(abs(off), 16);
  return keyed_words(abs(off), unit);
}

std::string_view shift_word(RunShift shift) { return shift == RunShift::behind ? "behind" : "ahead of"; }

std::string breaks_words(const ShapeLineTold& l) {
  switch (l.found.why) {
    case ShapeWhy::spacing:
      return fmt::format("breaks the even spacing of {}", l.run);
    case ShapeWhy::line:
      return fmt::format("leaves the line of {}", l.run);
    case ShapeWhy::circle:
      return fmt::format("leaves the circle of {}", l.run);
    case ShapeWhy::height:
      return fmt::format("differs from the rest of {}", l.run);
    case ShapeWhy::pitch:
      break;
  }
  return "breaks the pitch of the runs beside it";
}

}  // namespace

std::string keyed_words(Length value, LengthUnit unit) {
  switch (unit) {
    case LengthUnit::feet_inches:
      for (const int denominator : {16, 32})
        if (std::abs(value / Length::inches(1) * denominator -
                     std::round(value / Length::inches(1) * denominator)) < 1e-3)
          return feet_inches_text(value, denominator);
      return feet_inches_text(value, 64);
    case LengthUnit::millimetre:
      return fixed(value.millimetres(), 0) + " mm";
    case LengthUnit::centimetre:
      return fixed(in_unit(value, unit), 1) + " cm";
    case LengthUnit::metre:
    case LengthUnit::foot:
    case LengthUnit::survey_foot:
    case LengthUnit::inch:
      break;
  }
  return fmt::format("{} {}", fixed(in_unit(value, unit), 3), unit_word(unit));
}

std::string shape_why(const ShapeLineTold& l, LengthUnit unit) {
  const std::string pattern(pattern_word(l.found.why));
  if (!l.found.point && l.found.shift == RunShift::turned) return pattern + ": turned";
  if (l.found.fits_run) return fmt::format("{}: run {}", pattern, l.fits_run);
  if (!l.found.mend) return pattern;
  const Coordinates c = coordinates(l, unit);
  return fmt::format("{}: {}, {}: {}", pattern, c.found, mend_words(l.found.mend->kind), c.fits);
}

namespace {

/// Of a whole run.
std::string run_doubt(const ShapeLineTold& l, LengthUnit unit) {
  const Coordinates c = coordinates(l, unit);
  const std::string off = off_words(l.found.off, unit),
                    question =
                        l.found.mend ? fmt::format("{}? ", mend_words(l.found.mend->kind)) : std::string(),
                    at = l.point.empty() ? std::string("its ") : fmt::format("{} at ", l.point);
  switch (l.found.shift) {
    case RunShift::turned:
      return fmt::format(
          "run {} is turned: one of its ends stands {} off the pitch of the runs beside it: look at the "
          "drawing",
          l.run, off);
    case RunShift::square:
      return fmt::format(
          "run {} stands aside as a whole by {}, measured square to it: it breaks the pitch of the runs "
          "beside "
          "it; how far it is shifted along is not known: look at the drawing",
          l.run, off);
    case RunShift::behind:
    case RunShift::ahead:
      return fmt::format(
          "run {}: its stations lie {} {} those of the runs beside it: {}{}; {}{} would fit: "
          "look at the drawing",
          l.run, off, shift_word(l.found.shift), at, c.found, question, c.fits);
    case RunShift::aside:
      break;
  }
  return fmt::format(
      "run {} stands aside as a whole by {}: {}{} breaks the pitch of the runs beside it; {}{} "
      "would fit: look at the drawing",
      l.run, off, at, c.found, question, c.fits);
}

/// Of a whole run, for a terminal, without its name.
std::string run_line(const ShapeLineTold& l, LengthUnit unit) {
  const Coordinates c = coordinates(l, unit);
  const std::string off = off_words(l.found.off, unit),
                    mend = l.found.mend ? fmt::format(", {}", mend_words(l.found.mend->kind)) : std::string();
  switch (l.found.shift) {
    case RunShift::turned:
      return fmt::format("turned, an end {} off the pitch of the runs beside it", off);
    case RunShift::square:
      return fmt::format("{} aside, measured square to it, off the pitch of the runs beside it", off);
    case RunShift::behind:
    case RunShift::ahead:
      return fmt::format("stations {} {} those of the runs beside it, {}{}; {} would fit", off,
                         shift_word(l.found.shift), c.found, mend, c.fits);
    case RunShift::aside:
      break;
  }
  return fmt::format("{} {}{}; {} would fit", c.found, breaks_words(l), mend, c.fits);
}

}  // namespace

std::string shape_doubt(const ShapeLineTold& l, LengthUnit unit) {
  const Coordinates c = coordinates(l, unit);
  const std::string question =
      l.found.mend ? fmt::format("{}? ", mend_words(l.found.mend->kind)) : std::string();
  const std::string off = off_words(l.found.off, unit);
  if (!l.found.point) return run_doubt(l, unit);
  if (l.found.fits_run)
    return fmt::format("{}: stands {} off {} and fills a gap of {}: its run wrong? look at the drawing",
                       l.point, off_words(l.found.off, unit), l.run, l.fits_run);
  return fmt::format("{}: {} {} by {}; {}{} would fit: look at the drawing", l.point, c.found,
                     breaks_words(l), off, question, c.fits);
}

std::string unsure_doubt(const ShapeUnsure& u, std::string_view run, std::string_view first,
                         std::string_view last, LengthUnit unit) {
  if (u.kind == ShapeUnsure::Kind::ends)
    return fmt::format("end bays of {} differ, {} and {}: look at {} and {} in the drawing", run,
                       off_words(u.first_bay, unit), off_words(u.last_bay, unit), first, last);
  return fmt::format("spacing of {} not judged: {} of {} points differ: look at the drawing", run, u.differ,
                     u.points);
}

std::string shape_text(std::span<const ShapeLineTold> lines, LengthUnit unit) {
  if (lines.empty()) return "";
  std::string text = "THE DRAWING AGAINST ITSELF: look these up in the drawing\n";
  for (std::size_t i = 0; i < lines.size() && i < kTold; ++i) {
    const ShapeLineTold& l = lines[i];
    if (!l.found.point) {
      text += folded("  ", "    ", fmt::format("run {}: {}", l.run, run_line(l, unit)));
      continue;
    }
    if (l.found.fits_run) {
      text += folded("  ", "    ",
                     fmt::format("{}: stands {} off {}, fills a gap of {}", l.point,
                                 off_words(l.found.off, unit), l.run, l.fits_run));
      continue;
    }
    const Coordinates c = coordinates(l, unit);
    text +=
        folded("  ", "    ",
               fmt::format("{}: {} {}{}; {} would fit", l.point, c.found, breaks_words(l),
                           l.found.mend ? fmt::format(", {}", mend_words(l.found.mend->kind)) : "", c.fits));
  }
  if (lines.size() > kTold) text += fmt::format("  and {} more: see shape.csv\n", lines.size() - kTold);
  return text;
}

}  // namespace deckmark
