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
  if (unit == LengthUnit::feet_inches) {
    const auto is_whole = [&](int denominator) {
      const double parts = value / Length::inches(1) * denominator;
      return std::abs(parts - std::round(parts)) < 1e-3;
    };
    return feet_inches_text(value, is_whole(16) ? 16 : is_whole(32) ? 32 : 64);
  }
  // As many decimals as drawings have, and one or two more where the value has them.
  const double count = in_unit(value, unit);
  const int usual = unit == LengthUnit::millimetre ? 0 : unit == LengthUnit::centimetre ? 1 : 3;
  int decimals = usual;
  for (double one = std::pow(10, usual);
       decimals < usual + 2 && std::abs(count * one - std::round(count * one)) > 1e-3; one *= 10)
    ++decimals;
  return fmt::format("{} {}", fixed(count, decimals), unit_word(unit));
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

/// What all sentences about one break are made of.
struct Sentence {
  Coordinates c;
  std::string off;
  std::string_view mend;  ///< empty: no slip of the pen explains it

  Sentence(const ShapeLineTold& l, LengthUnit unit)
      : c(coordinates(l, unit)),
        off(off_words(l.found.off, unit)),
        mend(l.found.mend ? mend_words(l.found.mend->kind) : "") {}
  /// `digits exchanged? 12.840 m would fit: look at the drawing`.
  std::string what_fits() const {
    return fmt::format("{}{}{} would fit: look at the drawing", mend, mend.empty() ? "" : "? ", c.fits);
  }
  /// `, digits exchanged; 12.840 m would fit`.
  std::string fits_shortly() const {
    return fmt::format("{}{}; {} would fit", mend.empty() ? "" : ", ", mend, c.fits);
  }
};

/// Of a whole run.
std::string run_doubt(const ShapeLineTold& l, LengthUnit unit) {
  const Sentence w(l, unit);
  const std::string at = l.point.empty() ? "its " + w.c.found : fmt::format("{} at {}", l.point, w.c.found);
  switch (l.found.shift) {
    case RunShift::turned:
      return fmt::format(
          "run {} is turned: one of its ends stands {} off the pitch of the runs beside it: look "
          "at the drawing",
          l.run, w.off);
    case RunShift::square:
      return fmt::format(
          "run {} stands aside as a whole by {}, measured square to it: it breaks the pitch of "
          "the runs beside it; how far it is shifted along is not known: look at the drawing",
          l.run, w.off);
    case RunShift::behind:
    case RunShift::ahead:
      return fmt::format("run {}: its stations lie {} {} those of the runs beside it: {}; {}", l.run, w.off,
                         shift_word(l.found.shift), at, w.what_fits());
    case RunShift::aside:
      break;
  }
  return fmt::format("run {} stands aside as a whole by {}: {} breaks the pitch of the runs beside it; {}",
                     l.run, w.off, at, w.what_fits());
}

/// For a terminal, behind the name of the point or the run.
std::string short_line(const ShapeLineTold& l, LengthUnit unit) {
  const Sentence w(l, unit);
  if (l.found.fits_run) return fmt::format("stands {} off {}, fills a gap of {}", w.off, l.run, l.fits_run);
  if (!l.found.point) switch (l.found.shift) {
      case RunShift::turned:
        return fmt::format("turned, an end {} off the pitch of the runs beside it", w.off);
      case RunShift::square:
        return fmt::format("{} aside, measured square to it, off the pitch of the runs beside it", w.off);
      case RunShift::behind:
      case RunShift::ahead:
        return fmt::format("stations {} {} those of the runs beside it, {}{}", w.off,
                           shift_word(l.found.shift), w.c.found, w.fits_shortly());
      case RunShift::aside:
        break;
    }
  return fmt::format("{} {}{}", w.c.found, breaks_words(l), w.fits_shortly());
}

}  // namespace

std::string shape_doubt(const ShapeLineTold& l, LengthUnit unit) {
  if (!l.found.point) return run_doubt(l, unit);
  const Sentence w(l, unit);
  if (l.found.fits_run)
    return fmt::format("{}: stands {} off {} and fills a gap of {}: its run wrong? look at the drawing",
                       l.point, w.off, l.run, l.fits_run);
  return fmt::format("{}: {} {} by {}; {}", l.point, w.c.found, breaks_words(l), w.off, w.what_fits());
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
    const std::string name = l.found.point ? std::string(l.point) : fmt::format("run {}", l.run);
    text += folded("  ", "    ", fmt::format("{}: {}", name, short_line(l, unit)));
  }
  if (lines.size() > kTold) text += fmt::format("  and {} more: see shape.csv\n", lines.size() - kTold);
  return text;
}

}  // namespace deckmark
