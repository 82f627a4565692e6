#include "measure/length_grammar.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <deque>
#include <span>
#include <variant>

#include "measure/exact.h"
#include "measure/text_scan.h"
#include "measure/unit_slips.h"
#include "measure/value_tokens.h"

namespace deckmark::length_grammar {

namespace {

using number_scan::Flaw;
using value_tokens::Kind;
using value_tokens::Token;

constexpr std::size_t kLongestText = 256;  // bytes; a bound on the work that a text can cause

struct Fraction {
  std::uint64_t numerator = 0, denominator = 1;
};

// `6`, `6.5`, `6 1/2`, `6½`, `1/2`, `½`.
struct Quantity {
  std::optional<Token> whole;
  std::optional<Fraction> fraction;
  bool is_decimal() const { return whole && !fraction; }
  std::string text() const {
    std::string out = whole ? std::string(whole->text) : "";
    if (!fraction) return out;
    return fmt::format("{}{}{}/{}", out, whole ? " " : "", fraction->numerator, fraction->denominator);
  }
};

// Metres in one of something, as a fraction.
struct Ratio {
  std::uint64_t over, under;
};

Ratio ratio_of(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::metre:
      return {1, 1};
    case LengthUnit::millimetre:
      return {1, 1000};
    case LengthUnit::centimetre:
      return {1, 100};
    case LengthUnit::foot:
    case LengthUnit::feet_inches:
      return {381, 1250};
    case LengthUnit::survey_foot:
      return {1200, 3937};
    case LengthUnit::inch:
      return {127, 5000};
  }
  return {1, 1};
}

// Not a small number: not of digits alone, or too large for a numerator, a denominator or feet to be carried
// into.
constexpr std::uint64_t kNotSmall = ~std::uint64_t{0};

std::uint64_t small_number(std::string_view digits) {
  constexpr std::uint64_t kMost = 1'000'000'000;
  std::uint64_t value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  const bool fits = error == std::errc{} && end == digits.data() + digits.size() && value <= kMost;
  return fits ? value : kNotSmall;
}

class Parser : private value_tokens::TokenReader {
 public:
  Parser(const std::vector<Token>& tokens, const LengthForm& form) : TokenReader(tokens), form_(form) {}

  // The reading or the flaw; an empty flaw says only that the text is no length.
  std::variant<LengthReading, Flaw> parse() {
    if (const auto reading = length()) return *reading;
    if (improper_ && flaw_.restated.empty()) refuse_improper("");
    return flaw_;
  }

 private:
  bool is_word(std::initializer_list<std::string_view> words) const {
    if (!is(Kind::word)) return false;
    const std::string word = small_letters(now().text);
    return std::find(words.begin(), words.end(), word) != words.end();
  }
  bool is_feet_word() const { return is_word({"ft", "ft.", "feet", "foot"}); }
  bool is_inch_word() const { return is_word({"in", "in.", "inch", "inches"}); }
  bool is_inch() const { return is(Kind::inch_mark) || is_inch_word(); }

  std::nullopt_t refuse_improper(std::string restated) {
    return refuse_and_restate(", with a fraction of one or more", "a fraction below one",
                              std::move(restated));
  }

  using Reading = std::optional<LengthReading>;
  Reading length();
  std::optional<Quantity> quantity();
  std::optional<Fraction> fraction();
  Reading alone(const Quantity& q);
  Reading behind_feet(const Quantity& feet, bool by_word);
  Reading without_marks(const Quantity& feet);
  Reading with_inch_mark(const Quantity& q);
  Reading with_word(const Quantity& q);
  bool inches_fit(const Quantity& feet, const Quantity& inches);
  std::string restated(const Quantity* feet, const Quantity& inches) const;
  Reading feet_and_inches(const Quantity& feet, const Quantity& inches);
  Reading counted(const Quantity& q, Ratio metres);
  void add_terms(const Quantity& q, Ratio metres);
  Reading rounded();

  bool is_survey() const { return form_.bare == LengthUnit::survey_foot; }
  Ratio inch() const { return is_survey() ? Ratio{100, 3937} : Ratio{127, 5000}; }

  const LengthForm& form_;
  bool improper_ = false;  // a fraction of one or more has been read: the text is refused at its end
  std::vector<exact::Term> terms_;
  std::deque<std::string> numerators_;  // digits that terms_ point to
};

std::optional<LengthReading> Parser::length() {
  if (is(Kind::hyphen) || is(Kind::minus) || is(Kind::plus)) {
    // Only '-' and U+2212 are a minus: an en dash in front is not, nor is a dash with a blank behind it.
    if (is(Kind::hyphen) && now().text != "-") return refuse();
    if (now(1).blank_before) return refuse();
    negative_ = !is(Kind::plus);
    ++at_;
  }
  const auto q = quantity();
  if (!q) return std::nullopt;
  if (is(Kind::end)) return alone(*q);
  if (is(Kind::feet_mark) || is_feet_word()) {
    if (q->fraction) return refuse(", with a fraction of a foot", "feet and inches, such as 12'-6\"");
    const bool by_word = is(Kind::word);
    ++at_;
    return behind_feet(*q, by_word);
  }
  if (is_inch()) return with_inch_mark(*q);
  if (is(Kind::word)) return with_word(*q);
  if (is(Kind::hyphen) || is(Kind::number)) return without_marks(*q);
  if (is(Kind::slash) && q->fraction) return refuse(", with two fractions", "one fraction");
  if (is(Kind::slash)) return refuse(", with a fraction that lacks a part", "a fraction such as 1/2");
  return refuse();
}

std::optional<Quantity> Parser::quantity() {
  Quantity q;
  std::size_t joint = 0;
  if (is(Kind::number) && !is(Kind::slash, 1)) {
    q.whole = now();
    ++at_;
    joint = is(Kind::hyphen) ? 1 : 0;
  }
  const bool joins = is(Kind::vulgar, joint) || (is(Kind::number, joint) && is(Kind::slash, joint + 1));
  if (!joins && q.whole) return q;
  if (!joins) return refuse();
  if (q.whole && !q.whole->number.is_whole())
    return refuse(", with decimals and a fraction", "either decimals or a fraction");
  // A dash that stands off the inches and on the fraction is meant as a minus.
  if (joint && now().blank_before && !now(1).blank_before)
    return refuse(", with a minus in front of the fraction", "one sign, in front of the whole length");
  at_ += joint;
  q.fraction = fraction();
  if (!q.fraction) return std::nullopt;
  return q;
}

std::optional<Fraction> Parser::fraction() {
  if (is(Kind::vulgar)) {
    const Fraction f{now().numerator, now().denominator};
    ++at_;
    return f;
  }
  if (!is(Kind::number, 2) || now(1).blank_before || now(2).blank_before)
    return refuse(", with a fraction that lacks a part", "a fraction such as 1/2");
  const std::uint64_t over = now().number.is_whole() ? small_number(now().text) : kNotSmall;
  const std::uint64_t under = now(2).number.is_whole() ? small_number(now(2).text) : kNotSmall;
  if (over == kNotSmall || under == kNotSmall)
    return refuse(", with a fraction that is not of two whole numbers", "a fraction such as 1/2");
  if (under == 0) return refuse(", with a zero denominator", "a fraction with a denominator above zero");
  improper_ = improper_ || over >= under;
  at_ += 3;
  return Fraction{over, under};
}

// Feet and inches whose fraction is one or more, carried; empty where a part is too large for it.
std::string Parser::restated(const Quantity* feet, const Quantity& inches) const {
  const std::uint64_t whole_feet = feet ? small_number(feet->text()) : 0,
                      whole = inches.whole ? small_number(inches.whole->text) : 0;
  if (!inches.fraction || whole_feet == kNotSmall || whole == kNotSmall) return "";
  const auto [over, under] = *inches.fraction;
  const std::string rest = over % under == 0 ? "" : fmt::format(" {}/{}", over % under, under);
  const std::uint64_t count = whole + over / under;
  return signed_text(feet ? fmt::format("{}'-{}{}\"", whole_feet + count / 12, count % 12, rest)
                          : fmt::format("{}{}\"", count, rest));
}

// The end behind one quantity: no unit, no mark.
std::optional<LengthReading> Parser::alone(const Quantity& q) {
  const std::string text = q.text();
  if (q.fraction) {
    if (form_.bare == LengthUnit::inch && !form_.needs_unit) return counted(q, inch());
    return refuse(", without a mark that says what it counts",
                  "a fraction of an inch with its mark, or feet and inches", signed_text(text + '"'));
  }
  const Reading as_it_stands = counted(q, ratio_of(form_.bare));
  if (!as_it_stands || as_it_stands->value == Length::metres(0)) return as_it_stands;
  const bool marks = form_.bare == LengthUnit::feet_inches;
  if (form_.needs_unit) return refuse(", without a unit", units_of(signed_text(text)));
  if (!marks) return as_it_stands;
  return refuse(", which may be feet or inches",
                fmt::format("a mark that says which, {0}' or {0}\"", signed_text(text)));
}

std::optional<LengthReading> Parser::with_inch_mark(const Quantity& q) {
  const bool by_word = is(Kind::word);
  ++at_;
  if (is(Kind::end)) {
    Reading out = counted(q, inch());
    if (out) out->stated = by_word ? LengthUnit::inch : LengthUnit::feet_inches;
    return out;
  }
  const bool dash = is(Kind::hyphen) && is(Kind::number, 1);
  if (dash) ++at_;
  if (is(Kind::number)) {
    const auto second = quantity();
    if (!second) return std::nullopt;
    if (is(Kind::feet_mark) || is_feet_word()) {
      ++at_;
      // Both parts and their marks, in the other order. A sign or a dash may belong to the inches alone.
      const bool clear = is(Kind::end) && !dash && !negative_;
      return refuse_and_restate(", with inches before feet", "feet before inches",
                                clear ? fmt::format("{}'-{}\"", second->text(), q.text()) : "");
    }
    if (is_inch()) return refuse(", with two inch marks", "a foot mark behind the feet, or one length alone");
  }
  return refuse(", with text behind the length", "a length alone");
}

std::optional<LengthReading> Parser::with_word(const Quantity& q) {
  const std::string word = small_letters(now().text);
  std::optional<LengthUnit> unit = word == "usft" ? LengthUnit::survey_foot : unit_from_word(word);
  if (!unit || unit == LengthUnit::feet_inches) {
    std::string near;
    for (const std::string_view known : {"inch", "in", "feet", "foot", "ft", "mm", "cm", "us-ft"})
      if (word.size() == known.size() + 1 && word.starts_with(known) && word.back() == 's' &&
          is(Kind::end, 1))
        near = signed_text(fmt::format("{} {}", q.text(), known));
    return refuse(fmt::format(", whose {} is no unit", in_quotes(now().text)),
                  "a length in m, mm, cm, ft, us-ft or in, or in feet and inches", near);
  }
  if (q.fraction) return refuse(", with a fraction", fmt::format("decimals of {}", unit_word(*unit)));
  ++at_;
  if (!is(Kind::end))
    return refuse(fmt::format(", with text behind the {}", unit_word(*unit)), "a length alone");
  Reading out = counted(q, ratio_of(*unit));
  if (out) out->stated = unit;
  return out;
}

std::optional<LengthReading> Parser::behind_feet(const Quantity& feet, bool by_word) {
  if (is(Kind::end)) {
    // The word `ft` alone is the international foot in every column; the mark is the column's own foot.
    Reading out =
        counted(feet, ratio_of(is_survey() && !by_word ? LengthUnit::survey_foot : LengthUnit::foot));
    if (out) out->stated = by_word ? LengthUnit::foot : LengthUnit::feet_inches;
    return out;
  }
  if (is(Kind::hyphen)) ++at_;
  if (!is(Kind::number) && !is(Kind::vulgar)) return refuse(", with text behind the feet", "a length alone");
  const auto inches = quantity();
  if (!inches) return std::nullopt;
  const std::string both = signed_text(fmt::format("{}'-{}\"", feet.text(), inches->text()));
  if (is(Kind::feet_mark) || is_feet_word())
    return refuse(", with a second foot mark", "an inch mark behind the inches",
                  is(Kind::end, 1) ? both : "");
  const bool marked = is_inch();
  if (marked) ++at_;
  if (is(Kind::number) || is(Kind::vulgar) || is(Kind::slash))
    return refuse(", with more than feet, inches and one fraction", "a length alone");
  if (!is(Kind::end)) return refuse(", with text behind the length", "a length alone");
  if (!feet.whole->number.is_whole())
    return refuse(", with decimal feet and inches together", "whole feet before inches");
  if (!inches_fit(feet, *inches)) return std::nullopt;
  if (!marked && (by_word || form_.bare != LengthUnit::feet_inches))
    return refuse(", without its inch mark", "inches with their mark", both);
  Reading out = feet_and_inches(feet, *inches);
  if (out) out->marks_left_out = !marked;
  return out;
}

// Two numbers and no mark: feet and inches where the table says so and nothing else could be meant.
std::optional<LengthReading> Parser::without_marks(const Quantity& feet) {
  if (feet.fraction) return is(Kind::number) ? refuse(", with two fractions", "one fraction") : refuse();
  const bool dash = is(Kind::hyphen);
  if (dash) ++at_;
  if (!is(Kind::number)) return refuse();
  const std::string_view first = feet.whole->text;
  const std::string_view second = now().text;
  const auto inches = quantity();
  if (!inches) return std::nullopt;
  const bool in_feet = form_.bare == LengthUnit::feet_inches;
  if (!feet.whole->number.is_whole() || !inches->whole || (!dash && !inches->fraction && !in_feet))
    return refuse();
  // In a column of metres the dash may be a slip for the point.
  const bool of_feet = in_feet || form_.bare == LengthUnit::foot || is_survey();
  const std::string marks = "feet and inches with their marks";
  const std::string both = signed_text(fmt::format("{}'-{}\"", feet.text(), inches->text()));
  if (is_inch()) return refuse(", without its foot mark", marks, is(Kind::end, 1) && of_feet ? both : "");
  if (!is(Kind::end)) return refuse();
  // 2026-01 is a month.
  if (first.size() == 4 && (first.starts_with("19") || first.starts_with("20")) && second.size() == 2 &&
      !inches->fraction)
    return refuse(", which may be a month that a spreadsheet made", marks);
  if (!in_feet || form_.needs_unit || !inches->whole->number.is_whole() || (!dash && !inches->fraction))
    return refuse(", without marks", marks, of_feet ? both : "");
  if (!inches_fit(feet, *inches)) return std::nullopt;
  Reading out = feet_and_inches(feet, *inches);
  if (out) out->marks_left_out = true;
  return out;
}

// Inches beside feet are under 12; the flaw proposes the length with the feet carried. Three figures are
// thousands for some (3'318.726 m), so nothing is proposed for them.
bool Parser::inches_fit(const Quantity& feet, const Quantity& inches) {
  if (!inches.whole) return true;
  const Token& whole = *inches.whole;
  if (whole.number.has_exponent) {
    refuse(", with an exponent in its inches", "inches in plain digits");
    return false;
  }
  const std::string_view digits = whole.text.substr(0, whole.text.find_first_of(".,"));
  const std::uint64_t count = digits.empty() ? 0 : small_number(digits);
  if (count < 12) return true;
  const std::uint64_t carried_into = small_number(feet.text());
  std::string carried;
  if (count < 100 && carried_into != kNotSmall) {
    Quantity rest = inches;
    const std::string left = fmt::format("{}{}", count % 12, whole.text.substr(digits.size()));
    rest.whole->text = left;
    carried = signed_text(fmt::format("{}'-{}\"", carried_into + count / 12, rest.text()));
  }
  refuse_and_restate("", "inches under 12", carried);
  return false;
}

std::optional<LengthReading> Parser::feet_and_inches(const Quantity& feet, const Quantity& inches) {
  if (improper_) return refuse_improper(restated(&feet, inches));
  add_terms(feet, {12 * inch().over, inch().under});
  add_terms(inches, inch());
  Reading out = rounded();
  if (out) out->stated = LengthUnit::feet_inches;
  return out;
}

std::optional<LengthReading> Parser::counted(const Quantity& q, Ratio metres) {
  if (improper_) return refuse_improper(restated(nullptr, q));
  add_terms(q, metres);
  Reading out = rounded();
  if (out) out->coarse = q.whole && q.whole->number.is_coarse();
  return out;
}

void Parser::add_terms(const Quantity& q, Ratio metres) {
  if (q.whole) terms_.push_back(q.whole->number.term(metres.over, metres.under));
  if (!q.fraction) return;
  numerators_.push_back(fmt::format("{}", q.fraction->numerator));
  terms_.push_back({numerators_.back(), 0, metres.over, metres.under * q.fraction->denominator});
}

std::optional<LengthReading> Parser::rounded() {
  const exact::Rounded sum = exact::nearest(terms_);
  if (sum.size == exact::Size::too_small)
    return refuse("", "a length of 0, or one that is not under 1e-300 m");
  if (sum.size == exact::Size::too_large || sum.value > kLongest)
    return refuse("", "a length in range, up to 1e9 m");
  LengthReading out;
  out.value = Length::metres((negative_ ? -sum.value : sum.value) + 0.0);
  return out;
}

// Without the apostrophe by which a spreadsheet marks a cell as text; no length begins with a foot mark.
std::string_view without_prefix(std::string_view text) {
  return text.starts_with('\'') ? text.substr(1) : text;
}

std::variant<LengthReading, Flaw> attempt(std::string_view text, const LengthForm& form) {
  text = text_scan::trimmed(text);
  if (text.size() > kLongestText) return Flaw{"", " of at most 256 characters", ""};
  const std::vector<Token> tokens = value_tokens::tokens_of(without_prefix(text), form.decimal_comma);
  return Parser(tokens, form).parse();
}

std::string usual_forms(const LengthForm& form) {
  if (form.bare == LengthUnit::feet_inches) return "a length such as 12'-6 1/2\" or 3.81 m";
  if (form.needs_unit) return "a length such as 3.81 m, 3810 mm or 12'-6 1/2\"";
  return fmt::format("a length in {}, or one such as 3.81 m or 12'-6 1/2\"", unit_word(form.bare));
}

}  // namespace

Outcome<LengthReading> read(std::string_view text, const LengthForm& form) {
  const auto result = attempt(text, form);
  if (const auto* reading = std::get_if<LengthReading>(&result)) return *reading;
  text = text_scan::trimmed(text);
  if (text.empty()) return Fault{"no text", usual_forms(form), ""};
  const auto accepts = [&form](std::string_view candidate) {
    return !candidate.starts_with('\'') && std::holds_alternative<LengthReading>(attempt(candidate, form));
  };
  const Flaw& told = std::get<Flaw>(result);
  const bool specific = !told.cure.empty();
  std::optional<Flaw> flaw;
  const std::string_view body = without_prefix(text);
  if (text.size() <= kLongestText && !body.empty()) flaw = number_scan::find_flaw(body);
  if (!flaw && specific) flaw = told;
  if (!flaw) flaw = number_scan::find_separator_flaw(body, form.decimal_comma);
  if (!flaw) flaw = Flaw{"", usual_forms(form), ""};
  return number_scan::fault_of(text, "a length", *flaw, accepts);
}

}  // namespace deckmark::length_grammar
