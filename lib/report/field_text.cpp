#include "report/field_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "report/pieces.h"

namespace deckmark {

namespace {

std::string amount(double value, FieldUnit unit) {
  switch (unit) {
    case FieldUnit::seconds:
      return fixed(value, 2) + "\"";
    case FieldUnit::millimetres:
      return fixed(value, 3) + " mm";
    case FieldUnit::millimetres_per_metre:
      return fixed(value, 4) + " mm a metre";
  }
  return "";
}

std::string_view of_what(FieldTest test) {
  switch (test) {
    case FieldTest::directions:
      return "one direction, the mean of both faces";
    case FieldTest::zeniths:
      return "one zenith angle, the mean of both faces";
    case FieldTest::line:
      return "one distance";
    case FieldTest::levelling:
    case FieldTest::rotating_laser:
      return "one reading of the staff";
    case FieldTest::plumbing:
      return "a plumbed point, x or y alone, the mean of both positions";
    case FieldTest::turned_marks:
      return "one mark, x or y alone";
    case FieldTest::cross_line:
      return "one taped length, AB or CD, with its marks";
  }
  return "";
}

std::string value_line(const FieldValue& v, const FieldResult& of) {
  const FieldUnit unit = field_unit_of(v.parameter, of.unit);
  const std::string size = amount(std::fabs(v.value), unit), sd = v.sd ? "sd " + amount(*v.sd, unit)
                                                                  : of.alike
                                                                      ? "how good that is, is not known"
                                                                      : "nothing checks it";
  const bool more = v.value >= 0;
  switch (v.parameter) {
    case FieldParameter::index:
      return fmt::format("index: the zenith circle reads {} too {} in both faces ({})", size,
                         more ? "much" : "little", sd);
    case FieldParameter::zero_point:
      return fmt::format("constant: {} {} every distance ({})", more ? "add" : "take",
                         more ? size + " to" : size + " off", sd);
    case FieldParameter::cone:
      return fmt::format("cone: all round, the beam {} {} ({})", more ? "rises" : "falls", size, sd);
    case FieldParameter::sight_line: {
      const double over = v.over.value_or(0);
      return fmt::format("line of sight: {} {} over {} m, the farthest sight\n    ({} a metre; {})",
                         more ? "rises" : "falls", fixed(std::fabs(v.value) * over, 1) + " mm",
                         fixed(over, 1), fixed(std::fabs(v.value), 4) + " mm",
                         v.sd ? "sd " + fixed(*v.sd, 4) + " mm a metre" : sd);
    }
    case FieldParameter::tilt:
      return fmt::format("tilt: the beam's plane leans {} in the housing ({})", size, sd);
    case FieldParameter::tilt_along:
      return fmt::format("tilt: towards the mark on the housing, the beam {} {}\n    ({})",
                         more ? "rises" : "falls", size, sd);
    case FieldParameter::tilt_across:
      return fmt::format("tilt: a quarter turn clockwise from the mark, the beam {} {}\n    ({})",
                         more ? "rises" : "falls", size, sd);
    case FieldParameter::line_x:
    case FieldParameter::line_y: {
      const char axis = v.parameter == FieldParameter::line_x ? 'x' : 'y';
      return fmt::format("lean along {}: {} at the target, towards {} {} ({})", axis, size,
                         more ? "larger" : "smaller", axis, sd);
    }
    case FieldParameter::right_angle: {
      const double over = v.over.value_or(0), off = Angle::arc_seconds(std::fabs(v.value)).radians() * over;
      return fmt::format(
          "right angle: {} too {} ({})\n    at {} m, the farthest, the line from A lands {} {} B", size,
          more ? "wide" : "narrow", sd, fixed(over, 1), fixed(off * 1000, 1) + " mm",
          more ? "away from" : "towards");
    }
  }
  return "";
}

/// What was to be read for a parameter that these readings leave open.
std::string_view cure(FieldParameter p) {
  switch (p) {
    case FieldParameter::zero_point:
      return "the constant: these distances cannot tell it; measure across two sections too";
    case FieldParameter::sight_line:
      return "the line of sight: these readings cannot tell it; read a near and a far staff from two "
             "set-ups, "
             "the near one far";
    case FieldParameter::cone:
      return "the cone: these readings cannot tell it; read one target near and one far";
    case FieldParameter::tilt:
      return "the tilt: these readings cannot tell it; turn the housing between sets";
    case FieldParameter::tilt_along:
    case FieldParameter::tilt_across:
      return "the rest of the tilt: these readings cannot tell it; turn the housing a quarter too";
    case FieldParameter::line_x:
      return "the lean: one turn cannot tell it; turn the instrument half round and mark again";
    case FieldParameter::index:
    case FieldParameter::line_y:
    case FieldParameter::right_angle:
      break;
  }
  return "";
}

std::string asked(const FieldQuestion& q, std::string_view stated) {
  switch (q.kind) {
    case FieldQuestionKind::precision:
      return fmt::format("Is the scatter no worse than the stated {}?", stated);
    case FieldQuestionKind::same:
      return "Do the two tables scatter alike?";
    case FieldQuestionKind::axes_alike:
      return "Do x and y scatter alike?";
    case FieldQuestionKind::systematic:
      break;
  }
  return fmt::format("Could the {} be chance alone?", field_parameter_word(*q.parameter));
}

std::string answer_lines(const FieldQuestion& q, std::string_view stated) {
  std::string text = fmt::format("  {} {}\n", asked(q, stated), q.yes ? "YES." : "NO.");
  for (const std::string& line : wrapped(in_words(q), 76, 9)) text += "    " + line + "\n";
  return text;
}

/// Sets after which the scatter can be told.
std::string_view once_more(FieldTest test) {
  switch (test) {
    case FieldTest::line:
      return "read the distances once or twice more";
    case FieldTest::levelling:
      return "read the staffs once more from both set-ups, set up anew";
    case FieldTest::cross_line:
      return "stand over A and B once more, set up anew, and mark C and D anew";
    default:
      return "read one set more";
  }
}

}  // namespace

FieldUnit field_unit_of(FieldParameter p, FieldUnit of_test) {
  switch (p) {
    case FieldParameter::sight_line:
    case FieldParameter::cone:
    case FieldParameter::tilt:
    case FieldParameter::tilt_along:
    case FieldParameter::tilt_across:
      return FieldUnit::millimetres_per_metre;
    case FieldParameter::right_angle:
      return FieldUnit::seconds;
    default:
      return of_test;
  }
}

std::string_view field_test_word(FieldTest test) {
  switch (test) {
    case FieldTest::directions:
      return "directions";
    case FieldTest::zeniths:
      return "zenith angles";
    case FieldTest::line:
      return "distances on a line";
    case FieldTest::levelling:
      return "line of sight of a level";
    case FieldTest::rotating_laser:
      return "rotating laser";
    case FieldTest::plumbing:
      return "plumbing instrument, four readings a set";
    case FieldTest::turned_marks:
      return "plumbing instrument, marks at turns";
    case FieldTest::cross_line:
      return "right angle of a cross-line laser";
  }
  return "";
}

std::string_view field_parameter_word(FieldParameter p) {
  switch (p) {
    case FieldParameter::index:
      return "index error";
    case FieldParameter::zero_point:
      return "constant";
    case FieldParameter::sight_line:
      return "line of sight";
    case FieldParameter::cone:
      return "cone";
    case FieldParameter::tilt:
      return "tilt";
    case FieldParameter::tilt_along:
      return "tilt towards the mark";
    case FieldParameter::tilt_across:
      return "tilt across the mark";
    case FieldParameter::line_x:
      return "lean along x";
    case FieldParameter::line_y:
      return "lean along y";
    case FieldParameter::right_angle:
      return "error of the right angle";
  }
  return "";
}

std::string field_question_word(const FieldQuestion& q) {
  switch (q.kind) {
    case FieldQuestionKind::precision:
      return "scatter as stated";
    case FieldQuestionKind::same:
      return "same scatter";
    case FieldQuestionKind::axes_alike:
      return "axes alike";
    case FieldQuestionKind::systematic:
      break;
  }
  return fmt::format("{} is chance", field_parameter_word(*q.parameter));
}

std::string_view field_unit_word(FieldUnit unit) {
  switch (unit) {
    case FieldUnit::seconds:
      return "second";
    case FieldUnit::millimetres:
      return "mm";
    case FieldUnit::millimetres_per_metre:
      return "mm/m";
  }
  return "";
}

std::string field_text(const FieldSheet& s) {
  const FieldResult& r = *s.result;
  std::string text = fmt::format("FIELD TEST: {}\n", field_test_word(s.test));
  if (r.solved || r.alike)
    text += fmt::format("  {}, {} more than the unknowns (degrees of freedom)\n",
                        plural(r.readings, "reading", "readings"), r.degrees_of_freedom);
  if (r.solved) {
    text += fmt::format("  scatter (s) {}: {}\n", amount(r.s, r.unit), of_what(s.test));
  } else if (r.alike) {
    text +=
        folded("  ", "    ",
               fmt::format("all read alike: that tells nothing of the scatter (s) of {}; tape finer, and {}",
                           of_what(s.test), once_more(s.test)));
  } else {
    text += fmt::format("  {}, none more than the unknowns\n", plural(r.readings, "reading", "readings"));
    text += folded("  ", "    ",
                   fmt::format("the scatter (s) of {}: these readings cannot tell it; {}", of_what(s.test),
                               once_more(s.test)));
  }
  if (s.a_metre)
    text += fmt::format("    over the height of the target that is {}\n",
                        amount(*s.a_metre, FieldUnit::millimetres_per_metre));
  if (!s.farthest.empty() && s.farthest_by > 0)
    text += fmt::format("  farthest from the others: {}, by {}\n", s.farthest, amount(s.farthest_by, r.unit));
  for (const FieldValue& v : r.values) text += "  " + value_line(v, r) + "\n";
  for (const FieldParameter p : r.left_out)
    if (!cure(p).empty()) text += folded("  ", "    ", cure(p));
  if (s.second)
    text += fmt::format("  second table {}:\n    {}, degrees of freedom {}, scatter (s) {}\n",
                        visible(s.second_file), plural(s.second->readings, "reading", "readings"),
                        s.second->degrees_of_freedom, amount(s.second->s, r.unit));
  if (!r.questions.empty() || s.same)
    text += "QUESTIONS, asked at 95 %: a sound instrument gets a NO one time in 20\n";
  for (const FieldQuestion& q : r.questions) text += answer_lines(q, s.stated);
  if (s.same) text += answer_lines(*s.same, s.stated);
  if (s.stated.empty() && r.solved)
    text += "  no sd was stated, so the scatter is not held against one (option --sd)\n";
  return text;
}

std::string field_caution_text() {
  return "These answers hold for this instrument, crew and place on that day. They do not\n"
         "say that the instrument conforms to any standard.\n";
}

}  // namespace deckmark
