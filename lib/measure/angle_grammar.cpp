#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <variant>

#include "measure/angle_text.h"
#include "measure/exact.h"
#include "measure/text_scan.h"
#include "measure/value_tokens.h"

namespace deckmark {

namespace {

using number_scan::Flaw;
using value_tokens::Kind;
using value_tokens::Token;

constexpr std::size_t kLongestText = 256;  // bytes
constexpr double kLargest = 720;           // degrees
constexpr std::string_view kSpellings =
    "an angle such as 123-45-06.7, 123°45'06.7\", 123.7519° or 137.5021 gon";

// What stands behind a number: its mark or a separator.
enum class Behind { degree, minute, second, dash, colon, blank, gon, none, unknown };

bool is_mark(Behind b) { return b == Behind::degree || b == Behind::minute || b == Behind::second; }

class Parser : private value_tokens::TokenReader {
 public:
  Parser(const std::vector<Token>& tokens, const AngleForm& form) : TokenReader(tokens), form_(form) {}

  /// Degrees or the flaw; an empty flaw says only that the text is no angle.
  std::variant<double, Flaw> parse() {
    if (const auto degrees = angle()) return *degrees;
    return flaw_;
  }

 private:
  using Reading = std::optional<double>;
  Reading angle();
  Behind behind();
  Reading by_marks(std::size_t first_mark);
  Reading by_separators();
  Reading bare();
  Reading packed();
  Reading sum(std::size_t first_unit);
  std::string carried(std::size_t first_unit) const;
  Reading one(std::uint64_t numerator, std::uint64_t denominator);
  Reading finish(std::span<const exact::Term> terms);

  struct Part {
    Token number;
    Behind behind;
  };
  const AngleForm& form_;
  std::vector<Part> parts_;
};

// Takes the mark or separator behind a number, and a blank or a dash that follows a mark.
Behind Parser::behind() {
  const Token& t = now();
  const std::string word = t.kind == Kind::word ? small_letters(t.text) : "";
  Behind b = Behind::unknown;
  if (t.kind == Kind::end) return Behind::none;
  if (t.kind == Kind::number) return Behind::blank;
  if (t.text == "°" || t.text == "º" || t.text == "\u02DA" || word == "d" || word == "deg" ||
      word == "degrees")
    b = Behind::degree;
  else if (t.kind == Kind::feet_mark || (word == "m" && !parts_.empty()))
    b = Behind::minute;
  else if (t.kind == Kind::inch_mark || (word == "s" && !parts_.empty()))
    b = Behind::second;
  else if (t.kind == Kind::hyphen)
    b = Behind::dash;
  else if (t.text == ":")
    b = Behind::colon;
  else if (word == "gon")
    b = Behind::gon;
  if (b == Behind::unknown) return b;
  ++at_;
  if (is_mark(b) && is(Kind::hyphen)) ++at_;
  return b;
}

std::optional<double> Parser::angle() {
  if (is(Kind::hyphen) || is(Kind::minus) || is(Kind::plus)) {
    if ((is(Kind::hyphen) && now().text != "-") || now(1).blank_before) return refuse();
    negative_ = !is(Kind::plus);
    ++at_;
  }
  while (is(Kind::number)) {
    const Token number = now();
    ++at_;
    parts_.push_back({number, behind()});
    const Behind b = parts_.back().behind;
    if (b == Behind::unknown || b == Behind::gon || b == Behind::none) break;
  }
  if (parts_.empty()) return refuse();
  if (!is(Kind::end)) {
    const std::string letter = is(Kind::word) ? small_letters(now().text) : "";
    const bool compass = letter == "n" || letter == "s" || letter == "e" || letter == "w";
    if (compass) return refuse(", with a compass letter", "an angle clockwise from north, without letters");
    return refuse();
  }
  // Dashes and colons in front of nothing: `45-`, `45-30-10-`.
  const Behind last = parts_.back().behind;
  if (last == Behind::dash || last == Behind::colon) return refuse();
  if (parts_.size() > 3) return refuse(", with more than three parts", std::string(kSpellings));
  if (last == Behind::gon)
    return parts_.size() == 1 ? one(9, 10) : refuse(", with parts before gon", "decimals of gon");
  if (is_mark(parts_.front().behind)) return by_marks(static_cast<std::size_t>(parts_.front().behind));
  if (parts_.size() == 1) return bare();
  return by_separators();
}

// Each part with its mark, in order: 0 degrees, 1 minutes, 2 seconds.
std::optional<double> Parser::by_marks(std::size_t first_mark) {
  if (parts_.size() == 1 && first_mark == 0) return one(1, 1);
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const Behind wanted = static_cast<Behind>(std::min<std::size_t>(first_mark + i, 2));
    if (first_mark + i > 2) return refuse(", with a part behind the seconds", std::string(kSpellings));
    if (parts_[i].behind == Behind::none)
      return refuse(", whose last part has no mark", std::string(kSpellings),
                    parts_.size() == 3
                        ? signed_text(fmt::format("{}-{}-{}", parts_[0].number.text, parts_[1].number.text,
                                                  parts_[2].number.text))
                        : "");
    if (parts_[i].behind != wanted)
      return refuse(", whose marks are not degrees, minutes and seconds in order", std::string(kSpellings));
  }
  return sum(first_mark);
}

std::optional<double> Parser::by_separators() {
  const Behind first = parts_.front().behind;
  if (parts_.size() == 2) {
    if (first == Behind::blank) return refuse();
    // Colons may stand in a time.
    const std::string with_seconds =
        signed_text(fmt::format("{}-{}-00", parts_[0].number.text, parts_[1].number.text));
    return refuse_and_restate(", with two parts and no marks", "degrees, minutes and seconds",
                              first == Behind::dash && parts_[1].behind == Behind::none ? with_seconds : "");
  }
  if (parts_[1].behind != first) return refuse(", with two kinds of separators", std::string(kSpellings));
  if (parts_[2].behind != Behind::none && parts_[2].behind != Behind::second)
    return refuse(", whose last mark is not that of seconds", std::string(kSpellings));
  return sum(0);
}

constexpr std::array<std::uint64_t, 3> kInDegree{1, 60, 3600};

// 45-60-00 as 46-00-00, which another program's rounding left; empty where that is not the same value, or
// where a part is over 60 and so another slip.
std::string Parser::carried(std::size_t first_unit) const {
  std::vector<exact::Term> terms;
  for (std::size_t k = 0; k < parts_.size(); ++k) {
    const number_scan::Decimal& number = parts_[k].number.number;
    const std::array part{number.term()};
    const double size = exact::nearest(part).value;
    const bool last = k + 1 == parts_.size();
    if (number.has_exponent || (!last && number.has_point) || (k > 0 && size > 60)) return "";
    terms.push_back(number.term(1, kInDegree[first_unit + k]));
  }
  const exact::Rounded degrees = exact::nearest(terms);
  const int decimals = -parts_.back().number.number.exponent;
  if (degrees.size != exact::Size::fits || degrees.value > kLargest || decimals > 6) return "";
  std::string text = dms_text(Angle::degrees(negative_ ? -degrees.value : degrees.value), decimals);
  const Outcome<Angle> again = read_angle(text, {});
  return again && std::abs(again->degrees()) == degrees.value ? text : "";
}

std::optional<double> Parser::sum(std::size_t first_unit) {
  constexpr std::array<std::string_view, 3> names{"degrees", "minutes", "seconds"};
  std::vector<exact::Term> terms;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const std::size_t unit = first_unit + i;
    const number_scan::Decimal& number = parts_[i].number.number;
    if (number.has_exponent) return refuse(", with an exponent", std::string(kSpellings));
    if (i + 1 < parts_.size() && number.has_point)
      return refuse(fmt::format(", with decimals of {}", names[unit]), "decimals in the last part only");
    const std::array part{number.term()};
    const double size = exact::nearest(part).value;
    if (unit > 0 && size >= 60) {
      return refuse_and_restate(fmt::format(", with {} {}", parts_[i].number.text, names[unit]),
                                fmt::format("{} under 60", names[unit]), i > 0 ? carried(first_unit) : "");
    }
    terms.push_back(number.term(1, kInDegree[unit]));
  }
  return finish(terms);
}

std::optional<double> Parser::bare() {
  const std::string text(parts_.front().number.text);
  const bool zero = parts_.front().number.number.digits.find_first_not_of('0') == std::string::npos;
  if (!form_.bare && !zero)
    return refuse(", a bare number",
                  "an angle that shows its notation, such as 45.3000° for degrees, 45-30-00 or 45.3000 gon");
  if (form_.bare == AngleNotation::packed) return packed();
  return form_.bare == AngleNotation::gon ? one(9, 10) : one(1, 1);
}

// DDD.MMSSsss by its digits, since 1.0101 times 100 is under 101.01 in binary.
std::optional<double> Parser::packed() {
  const number_scan::Decimal& number = parts_.front().number.number;
  const std::string text(parts_.front().number.text);
  if (number.has_exponent) return refuse(", with an exponent", "a packed angle DDD.MMSSsss");
  const auto decimals = static_cast<std::size_t>(-number.exponent);
  const std::string degrees = "0" + number.digits.substr(0, number.digits.size() - decimals);
  std::string rest = number.digits.substr(number.digits.size() - decimals);
  while (rest.size() < 4) rest += '0';
  const std::string minutes = rest.substr(0, 2);
  const std::string seconds = rest.substr(2, 2);
  const std::string form = "a packed angle DDD.MMSSsss with minutes and seconds under 60";
  if (minutes >= "60")
    return refuse(fmt::format(", whose minutes would be {}: it looks like decimal degrees", minutes), form,
                  signed_text(text + "°"));
  if (seconds >= "60")
    return refuse(fmt::format(", whose seconds would be {}", seconds), form, signed_text(text + "°"));
  const std::string all_seconds = rest.substr(2);
  const std::array terms{exact::Term{degrees, 0, 1, 1}, exact::Term{minutes, 0, 1, 60},
                         exact::Term{all_seconds, 2 - static_cast<int>(all_seconds.size()), 1, 3600}};
  return finish(terms);
}

std::optional<double> Parser::one(std::uint64_t numerator, std::uint64_t denominator) {
  const std::array terms{parts_.front().number.number.term(numerator, denominator)};
  return finish(terms);
}

std::optional<double> Parser::finish(std::span<const exact::Term> terms) {
  const exact::Rounded sum = exact::nearest(terms);
  if (sum.size == exact::Size::too_small)
    return refuse("", "an angle of 0, or one that is not under 1e-300 degrees");
  if (sum.size == exact::Size::too_large || sum.value > kLargest)
    return refuse("", "an angle from -720 to 720 degrees");
  return (negative_ ? -sum.value : sum.value) + 0.0;
}

std::variant<double, Flaw> attempt(std::string_view text, const AngleForm& form) {
  text = text_scan::trimmed(text);
  if (text.size() > kLongestText) return Flaw{"", " of at most 256 characters", ""};
  if (text.starts_with('\'')) text.remove_prefix(1);  // a spreadsheet's mark of a text cell
  const std::vector<Token> tokens = value_tokens::tokens_of(text, form.decimal_comma);
  return Parser(tokens, form).parse();
}

// With as many decimals of a second as it takes not to change the direction; empty where six are too few.
std::string exact_dms(Azimuth a) {
  constexpr double kSame = 1e-12;  // degrees: what computing with doubles of this size leaves
  for (int decimals = 0; decimals <= 6; ++decimals) {
    std::string text = dms_text(a, decimals);
    const Outcome<Angle> again = read_angle(text, {});
    if (again && std::abs(again->degrees() - a.degrees()) <= kSame) return text;
  }
  return "";
}

// `S 45-30-00 E`: an angle from north or south towards east or west, which this program does not read.
std::optional<Flaw> quadrant(std::string_view text, const AngleForm& form) {
  if (text.size() < 3) return std::nullopt;
  const char from = small_letter(text.front());
  const char towards = small_letter(text.back());
  const auto is_compass = [](char c) { return c == 'n' || c == 's' || c == 'e' || c == 'w'; };
  const auto inner = attempt(text.substr(1, text.size() - 2), form);
  if (!is_compass(from) || !is_compass(towards) || !std::holds_alternative<double>(inner))
    return std::nullopt;
  Flaw flaw{", with compass letters", "an azimuth clockwise from north, without letters", ""};
  const double a = std::get<double>(inner);
  // A bare number of gon or of a packed form says too little: such angles are written in degrees.
  const bool stated = form.bare == AngleNotation::degrees ||
                      std::holds_alternative<double>(attempt(text.substr(1, text.size() - 2), {}));
  const bool known =
      stated && (from == 'n' || from == 's') && (towards == 'e' || towards == 'w') && a >= 0 && a <= 90;
  if (!known) return flaw;
  const double azimuth = from == 'n' ? (towards == 'e' ? a : 360 - a) : (towards == 'e' ? 180 - a : 180 + a);
  const Azimuth turned = Azimuth::degrees(azimuth);
  flaw.restated = exact_dms(turned);
  return flaw;
}

}  // namespace

Outcome<Angle> read_angle(std::string_view text, const AngleForm& form) {
  const auto result = attempt(text, form);
  if (const auto* degrees = std::get_if<double>(&result)) return Angle::degrees(*degrees);
  const Flaw& told = std::get<Flaw>(result);
  text = text_scan::trimmed(text);
  const std::string_view body = text.starts_with('\'') ? text.substr(1) : text;
  if (body.empty()) return Fault{"no text", std::string(kSpellings), ""};
  const auto accepts = [&form](std::string_view candidate) {
    return !candidate.starts_with('\'') && std::holds_alternative<double>(attempt(candidate, form));
  };
  std::optional<Flaw> flaw = quadrant(body, form);
  // A flaw without a remark, such as out of range, may have a better reason: a date, a word.
  if (!flaw && !told.remark.empty()) flaw = told;
  if (!flaw && body.size() <= kLongestText) flaw = number_scan::find_flaw(body);
  if (!flaw && !told.cure.empty()) flaw = told;
  if (!flaw) flaw = number_scan::find_separator_flaw(body, form.decimal_comma);
  if (!flaw) flaw = Flaw{"", std::string(kSpellings), ""};
  return number_scan::fault_of(text, "an angle", *flaw, accepts);
}

Outcome<Angle> read_circle(std::string_view text, const AngleForm& form) {
  const auto on_circle = [](const Outcome<Angle>& a) { return a && a->degrees() >= 0 && a->degrees() < 360; };
  Outcome<Angle> angle = read_angle(text, form);
  if (on_circle(angle)) return angle;
  if (!angle) {
    Fault fault = angle.fault();
    // Two slips at once: what is offered would have to be mended once more.
    if (!on_circle(read_angle(fault.suggestion, form))) fault.suggestion.clear();
    return fault;
  }
  const std::string plain(text_scan::trimmed(text)), as_gon = plain + " gon";
  const bool maybe_gon = angle->degrees() > 360 && angle->degrees() < 400 &&
                         form.bare == AngleNotation::degrees && read_angle(as_gon, form);
  const std::string turned = exact_dms(Azimuth::degrees(angle->degrees()));
  if (maybe_gon)
    return Fault{in_quotes(plain),
                 fmt::format("a reading from 0 to under 360 degrees; gon have their word behind them: {}{}",
                             as_gon, turned.empty() ? "" : fmt::format(", or {} beyond a full turn", turned)),
                 ""};
  return Fault{in_quotes(plain), "a reading from 0 to under 360 degrees (400 gon)", turned};
}

}  // namespace deckmark
