// Questions of field tests with their answers as sentences.
#include <algorithm>
#include <string_view>

#include "measure/decimal.h"
#include "station/field_tests.h"

namespace deckmark {

namespace {

std::string_view name_of(FieldParameter p) {
  switch (p) {
    case FieldParameter::index:
      return "the index error of the zenith circle";
    case FieldParameter::zero_point:
      return "the constant of the distances";
    case FieldParameter::sight_line:
      return "the slope of the line of sight";
    case FieldParameter::cone:
      return "the cone of the beam";
    case FieldParameter::tilt:
      return "the tilt of the beam's axis";
    case FieldParameter::tilt_along:
      return "the tilt of the beam's axis towards the mark on the housing";
    case FieldParameter::tilt_across:
      return "the tilt of the beam's axis across the mark on the housing";
    case FieldParameter::line_x:
      return "the lean of the plumb line along x";
    case FieldParameter::line_y:
      return "the lean of the plumb line along y";
    case FieldParameter::right_angle:
      return "the error of the right angle";
  }
  return "";
}

std::string number(double v, const FieldQuestion& q) {
  if (q.is_ratio) return fixed(std::min(v, 1e9), 3);
  switch (q.unit) {
    case FieldUnit::seconds:
      return fixed(v, 2) + "\"";
    case FieldUnit::millimetres:
      return fixed(v, 3) + " mm";
    case FieldUnit::millimetres_per_metre:
      return fixed(v, 4) + " mm a metre";
  }
  return "";
}

}  // namespace

std::string in_words(const FieldQuestion& q) {
  const std::string value = number(q.statistic, q), limit = number(q.upper, q);
  switch (q.kind) {
    case FieldQuestionKind::precision:
      return q.yes ? "The scatter of " + value + " is no worse than stated: up to " + limit +
                         " could be chance."
                   : "The scatter of " + value + " is worse than stated: chance alone would stay under " +
                         limit + ".";
    case FieldQuestionKind::systematic: {
      std::string what(name_of(*q.parameter));  // "the cone"
      what[0] = 'T';
      const std::string judged = q.is_ratio ? " (ratio " + value + ", limit " + limit + ")."
                                            : " (" + value + ", limit " + limit + ").";
      return what + (q.yes ? " could be chance" : " is more than chance") + judged;
    }
    case FieldQuestionKind::same:
    case FieldQuestionKind::axes_alike: {
      const std::string what = q.kind == FieldQuestionKind::same ? "The two samples" : "The two axes";
      const std::string judged =
          " (ratio of variances " + value + ", limits " + number(*q.lower, q) + " and " + limit + ").";
      return what + (q.yes ? " scatter alike" : " do not scatter alike") + judged;
    }
  }
  return "";
}

}  // namespace deckmark
