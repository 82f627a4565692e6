// Forms of lengths beyond the case table, and what each form of column makes of a text.

#include "measure/length_text.h"

#include <cmath>
#include <string>

#include "case_rows.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

constexpr LengthForm kFeetInches{LengthUnit::feet_inches, false, false};
constexpr LengthForm kMetre{LengthUnit::metre, false, false};
constexpr LengthForm kSurvey{LengthUnit::survey_foot, false, false};

// Exact inches as a fraction, in metres: one rounding, like the reader's.
double inches(double over, double under) { return over * 127.0 / (under * 5000.0); }

}  // namespace

TEST_CASE("feet-inches are read to the nearest double") {
  struct Row {
    const char* text;
    double over, under;
    bool marks_left_out;
  };  // inches = over / under
  for (const Row& r : {Row{"12'-6 1/2\"", 301, 2, false},
                       Row{"0'-3\"", 3, 1, false},
                       Row{"123'-4\"", 1480, 1, false},
                       Row{"12'", 144, 1, false},
                       Row{"-3'-4 1/64\"", -2561, 64, false},
                       Row{"12 ft 6 1/2 in", 301, 2, false},
                       Row{"12FT 6IN", 150, 1, false},
                       Row{"12ft6in", 150, 1, false},
                       Row{"12 feet 6 inches", 150, 1, false},
                       Row{"1 foot 1 inch", 13, 1, false},
                       Row{"12 ft. 6 in.", 150, 1, false},
                       Row{"12' 6 in", 150, 1, false},
                       Row{"12 ft-6\"", 150, 1, false},
                       Row{"12\xE2\x80\x99 6\xC2\xBD\xE2\x80\x9D", 301, 2, false},
                       Row{"3'4''", 40, 1, false},
                       Row{"3\xE2\x80\xB2"
                           "4\xE2\x80\xB2\xE2\x80\xB2",
                           40, 1, false},
                       Row{"12'-\xC2\xBD\"", 289, 2, false},
                       Row{"12'\xC2\xBD\"", 289, 2, false},
                       Row{"6-\xC2\xBD\"", 13, 2, false},
                       Row{"1/2\"", 1, 2, false},
                       Row{"-1/2\"", -1, 2, false},
                       Row{"+1/2\"", 1, 2, false},
                       Row{"6 1/2 in", 13, 2, false},
                       Row{"150\"", 150, 1, false},
                       Row{"12'-11 63/64\"", 9983, 64, false},
                       Row{"5' 0/3\"", 60, 1, false},
                       Row{"1,5\"", 0, 0, false},
                       Row{"'12'-6\"", 150, 1, false},
                       Row{"'-12'-6\"", -150, 1, false},
                       Row{"12-6", 150, 1, true},
                       Row{"12-6 1/2", 301, 2, true},
                       Row{"12'6", 150, 1, true},
                       Row{"12 6 1/2", 301, 2, true},
                       Row{"12-6-1/2", 301, 2, true},
                       Row{"12 6-1/2", 301, 2, true},
                       Row{"12 - 6 1/2", 301, 2, true},
                       Row{"-12-6", -150, 1, true},
                       Row{"12'-6 1/2", 301, 2, true},
                       Row{"5' 3/4", 243, 4, true},
                       Row{"12-6\xC2\xBD", 301, 2, true},
                       Row{"0-6", 6, 1, true},
                       Row{"1000-6", 12006, 1, true},
                       Row{"12'6.5", 301, 2, true}}) {
    CAPTURE(r.text);
    const auto reading = read_length(r.text, kFeetInches);
    REQUIRE(bool(reading) == (r.under != 0));
    if (!reading) continue;
    CHECK(reading->value.metres() == inches(r.over, r.under));
    CHECK(reading->marks_left_out == r.marks_left_out);
    CHECK(reading->stated.has_value());
    CHECK(!reading->coarse);
  }
}

TEST_CASE("what a text says of its unit") {
  using U = LengthUnit;
  struct Row {
    LengthForm form;
    const char* text;
    std::optional<U> stated;
    double metres;
  };
  for (const Row& r :
       {Row{kMetre, "3.81", std::nullopt, 3.81}, Row{kMetre, "3.81 m", U::metre, 3.81},
        Row{kMetre, "3810 mm", U::millimetre, 3.81}, Row{kMetre, "381CM", U::centimetre, 3.81},
        Row{kMetre, "12.5 ft", U::foot, 3.81}, Row{kMetre, "12.5'", U::feet_inches, 3.81},
        Row{kMetre, "150 in", U::inch, 3.81}, Row{kMetre, "150\"", U::feet_inches, 3.81},
        Row{kMetre, "12'-6\"", U::feet_inches, 3.81}, Row{kMetre, "3937 us-ft", U::survey_foot, 1200},
        Row{kMetre, "3937 US-FT", U::survey_foot, 1200}, Row{kMetre, "3937usft", U::survey_foot, 1200},
        Row{kMetre, "1e3 mm", U::millimetre, 1}, Row{kMetre, ".5 m", U::metre, 0.5},
        Row{kMetre, "5. m", U::metre, 5},
        // In a survey foot column feet marks and inches are survey feet; the word ft alone is the other foot,
        // told by `stated`.
        Row{kSurvey, "3937", std::nullopt, 1200}, Row{kSurvey, "3937'", U::feet_inches, 1200},
        Row{kSurvey, "47244\"", U::feet_inches, 1200}, Row{kSurvey, "47244 in", U::inch, 1200},
        Row{kSurvey, "3937 ft 0 in", U::feet_inches, 1200}, Row{kSurvey, "10 ft", U::foot, 3.048},
        Row{kSurvey, "1 m", U::metre, 1}, Row{kSurvey, "39'-4 4/9\"", U::feet_inches, 12.000112889114668},
        Row{{U::foot, false, false}, "12.5", std::nullopt, 3.81},
        Row{{U::inch, false, false}, "6 1/2", std::nullopt, 0.1651},
        Row{{U::feet_inches, false, false}, "0.000", std::nullopt, 0},
        Row{{U::feet_inches, false, true}, "0", std::nullopt, 0},
        Row{{U::millimetre, false, true}, "5 mm", U::millimetre, 0.005},
        Row{{U::feet_inches, false, true}, "4'-0\"", U::feet_inches, 1.2192},
        Row{{U::metre, true, false}, "12,5", std::nullopt, 12.5},
        Row{{U::metre, true, false}, "12.5", std::nullopt, 12.5},
        Row{{U::metre, true, false}, "12'-6,5\"", U::feet_inches, 3.8227},
        Row{{U::metre, true, false}, "1,234", std::nullopt, 1.234}}) {
    CAPTURE(r.text);
    CAPTURE(unit_word(r.form.bare));
    const auto reading = read_length(r.text, r.form);
    REQUIRE(bool(reading) == (r.metres >= 0));
    if (!reading) continue;
    CHECK(reading->stated == r.stated);
    CHECK(reading->value.metres() == doctest::Approx(r.metres).epsilon(3e-16));
  }
}

TEST_CASE("what cannot be meant is refused with a proposal that works") {
  struct Row {
    LengthForm form;
    const char* text;
    const char* said;
    const char* suggestion;
  };
  constexpr LengthForm needs_mm{LengthUnit::millimetre, false, true};
  constexpr LengthForm comma{LengthUnit::metre, true, false};
  for (const Row& r : {Row{kFeetInches, "12", "12' or 12\"", ""},
                       Row{kFeetInches, "12.5", "12.5' or 12.5\"", ""},
                       Row{kFeetInches, "-12", "-12' or -12\"", ""},
                       Row{kFeetInches, "6 1/2", "mark", "6 1/2\""},
                       Row{kFeetInches, "6-1/2", "mark", "6 1/2\""},
                       Row{kFeetInches, "1/2", "mark", "1/2\""},
                       Row{kFeetInches, "12-13", "under 12", "13'-1\""},
                       Row{kFeetInches, "12'-13.5\"", "under 12", "13'-1.5\""},
                       Row{kFeetInches, "-12'-25 1/2\"", "under 12", "-14'-1 1/2\""},
                       Row{kFeetInches, "12 6", "without marks", "12'-6\""},
                       Row{kFeetInches, "12-6.5", "without marks", "12'-6.5\""},
                       Row{kFeetInches, "12-6\"", "foot mark", "12'-6\""},
                       Row{kFeetInches, "3 ft 4", "inch mark", "3'-4\""},
                       Row{kFeetInches, "9 1/2'", "fraction of a foot", ""},
                       Row{kFeetInches, "6.5 1/2\"", "decimals and a fraction", ""},
                       Row{kFeetInches, "6 1/2 3\"", "two fractions", ""},
                       Row{kFeetInches, "6 1.5/2\"", "whole numbers", ""},
                       Row{kFeetInches, "6 1 / 2\"", "lacks a part", ""},
                       Row{kFeetInches, "12'-1e0\"", "exponent", ""},
                       Row{kFeetInches, "12'-11 17/16\"", "fraction below one", "13'-0 1/16\""},
                       Row{kFeetInches, "2026-01", "date", ""},
                       Row{kFeetInches, "2026-01-02", "date", ""},
                       Row{kFeetInches, "12-Jun-2026", "date", ""},
                       Row{kFeetInches, "1/2/26", "date", ""},
                       Row{kFeetInches, "4 Mar", "date", ""},
                       Row{kFeetInches, "Mar-04", "date", ""},
                       Row{kFeetInches, "'4-Mar", "date", ""},
                       Row{kFeetInches, "12:30", "time", ""},
                       Row{kFeetInches, "12:30:00 PM", "time", ""},
                       Row{kFeetInches,
                           "\xE2\x80\x93"
                           "5'",
                           "U+2013", "-5'"},
                       Row{kFeetInches,
                           "12'\xE2\x88\x92"
                           "6\"",
                           "U+2212", "12'-6\""},
                       Row{kFeetInches,
                           "12\xE2\x80\x94"
                           "6\"",
                           "U+2014", ""},
                       Row{kFeetInches,
                           "12'\xE2\x80\x93"
                           "13\"",
                           "under 12", "13'-1\""},
                       Row{kFeetInches, "- 5'", "blank behind its sign", "-5'"},
                       Row{kFeetInches, "3.81 metres", "no unit", ""},
                       Row{kFeetInches, "6 1/2 mm", "decimals of mm", ""},
                       Row{kFeetInches, "5 mm 3", "behind the mm", ""},
                       Row{kFeetInches, "12'+6\"", "behind the feet", ""},
                       Row{kFeetInches, "I2'", "letter I", "12'"},
                       Row{kFeetInches, "12'-6 l/2\"", "letter l", "12'-6 1/2\""},
                       Row{kFeetInches, "", "no text", ""},
                       Row{kFeetInches, "'", "length such as", ""},
                       Row{kMetre, "12-6", "without marks", ""},
                       Row{kMetre, "12'6", "inch mark", "12'-6\""},
                       Row{kMetre, "1 2.5", "blank inside", ""},
                       Row{kMetre, "1 234 567.5", "blank inside", ""},
                       Row{kMetre, "1\u00A0234\u202F567.5", "thousands", "1234567.5"},
                       Row{kMetre, "0 234", "blank inside", ""},
                       Row{kMetre, "1,234.5", "thousands", "1234.5"},
                       Row{kMetre, "12,34,567.5", "thousands", ""},
                       Row{kMetre, "0,305", "decimal comma", "0.305"},
                       Row{kMetre, "412,305", ": 412.305 or 412305", ""},
                       Row{kMetre, "1e10", "range", ""},
                       Row{kMetre, "-1e10", "range", ""},
                       Row{kMetre, "1e999999999", "range", ""},
                       Row{kMetre, "1e-999999999", "1e-300", ""},
                       Row{kMetre, "#DIV/0!", "spreadsheet error", ""},
                       Row{kMetre, "n/a", "missing", ""},
                       Row{kMetre, "?", "missing", ""},
                       Row{kMetre, "1.5E", "empty exponent", ""},
                       Row{kMetre, "\x92", "0x92", ""},
                       Row{kMetre, "12.5\xC2\xAD", "U+00AD", "12.5"},
                       Row{kMetre, "1\xD9\xA2", "length in m", ""},
                       Row{kMetre, "-1.#IND", "length in m", ""},
                       Row{needs_mm, "5", "5 mm, 5 m, 5 ft or 5 in", ""},
                       Row{needs_mm, "12-6", "without marks", ""},
                       Row{needs_mm, "6 1/2", "mark", "6 1/2\""},
                       Row{{LengthUnit::feet_inches, false, true}, "4", "without a unit", ""},
                       Row{comma, "1.234,5", "one decimal comma or point", "1234,5"},
                       Row{comma, "1,234.5", "one decimal comma or point", "1234.5"},
                       Row{kMetre, "3'318.7260", "inches under 12", ""},  // thousands for some
                       Row{kMetre, "12'-14\"", "inches under 12", "13'-2\""},
                       Row{comma, "1,234,567", "one decimal comma or point", "1234567"}}) {
    CAPTURE(r.text);
    const auto reading = read_length(r.text, r.form);
    REQUIRE(!reading);
    const std::string said = reading.fault().found + " " + reading.fault().expected;
    CHECK_MESSAGE(said.find(r.said) != std::string::npos, said);
    CHECK(reading.fault().suggestion == r.suggestion);
    check_fault(reading.fault(), [&](const std::string& s) { return bool(read_length(s, r.form)); });
  }
}

TEST_CASE("a minus in front of the fraction is refused, a dash that joins is none") {
  const LengthForm form{LengthUnit::feet_inches};
  for (const char* text : {"5'-6 -1/8\"", "5' 6 -1/8\"", "6 -1/8\"", "-5'-6 -1/8\""}) {
    CAPTURE(text);
    const auto read = read_length(text, form);
    REQUIRE_FALSE(read);
    CHECK(read.fault().found.find("a minus in front of the fraction") != std::string::npos);
  }
  for (const char* text : {"5'-6-1/8\"", "5'-6 1/8\"", "5'-6 - 1/8\"", "5'-6- 1/8\""}) {
    CAPTURE(text);
    const auto read = read_length(text, form);
    REQUIRE(read);
    CHECK(read->value.metres() == doctest::Approx(66.125 * 0.0254).epsilon(1e-12));
  }
}

TEST_CASE("minus zero is zero") {
  for (const char* text : {"-0", "-0.00", "-0'-0\"", "-0 m", "-0'", "-0 0/4\""}) {
    CAPTURE(text);
    const auto reading = read_length(text, kFeetInches);
    REQUIRE(bool(reading));
    CHECK(!std::signbit(reading->value.metres()));
  }
}

TEST_CASE("a text that is too long is refused, and says how long one may be") {
  CHECK(bool(read_length(std::string(200, '0') + "12.5", kMetre)));
  const auto reading = read_length(std::string(100000, '1'), kMetre);
  REQUIRE(!reading);
  CHECK(reading.fault().expected.find("256") != std::string::npos);
}

TEST_CASE("feet-inches are printed carried, reduced and mirrored") {
  struct Row {
    double inches;
    int denominator;
    const char* want;
  };
  for (const Row& r :
       {Row{150.5, 16, "12'-6 1/2\""}, Row{0, 16, "0'-0\""}, Row{-0.0, 16, "0'-0\""}, Row{3, 16, "0'-3\""},
        Row{-40, 16, "-3'-4\""}, Row{71.96875, 16, "6'-0\""}, Row{71.96874, 16, "5'-11 15/16\""},
        Row{-71.96875, 16, "-6'-0\""}, Row{0.03125, 16, "0'-0 1/16\""}, Row{-0.03125, 16, "-0'-0 1/16\""},
        Row{0.0312, 16, "0'-0\""}, Row{-0.0312, 16, "0'-0\""}, Row{0.5, 1, "0'-1\""}, Row{11.5, 1, "1'-0\""},
        Row{1.015625, 64, "0'-1 1/64\""}, Row{12000000, 16, "1000000'-0\""}}) {
    CAPTURE(r.inches);
    CHECK(feet_inches_text(Length::inches(r.inches), r.denominator) == r.want);
  }
  // A tie reached by arithmetic is the same tie: 0.1 + 0.2 is over 0.3 in binary, 0.7 + 0.1 is under 0.8.
  CHECK(feet_inches_text(Length::inches(0.7 + 0.1) - Length::inches(0.8) + Length::inches(3.0 / 32), 16) ==
        "0'-0 1/8\"");
  CHECK(feet_inches_text(Length::inches(0.1 + 0.2) - Length::inches(0.3) - Length::inches(3.0 / 32), 16) ==
        "-0'-0 1/8\"");
}

TEST_CASE("feet and decimal inches carry") {
  struct Row {
    double inches;
    int decimals;
    const char* want;
  };
  for (const Row& r :
       {Row{35.999, 2, "3'-0.00\""}, Row{35.99, 2, "2'-11.99\""}, Row{-35.999, 2, "-3'-0.00\""},
        Row{0.004, 2, "0'-0.00\""}, Row{-0.004, 2, "0'-0.00\""}, Row{6.05, 2, "0'-6.05\""},
        Row{6.5, 0, "0'-7\""}, Row{0.125, 2, "0'-0.13\""}, Row{-0.125, 2, "-0'-0.13\""}}) {
    CAPTURE(r.inches);
    CHECK(feet_decimal_inches_text(Length::inches(r.inches), r.decimals) == r.want);
  }
}

TEST_CASE("units") {
  for (const LengthUnit unit :
       {LengthUnit::metre, LengthUnit::millimetre, LengthUnit::centimetre, LengthUnit::foot,
        LengthUnit::survey_foot, LengthUnit::inch, LengthUnit::feet_inches}) {
    CAPTURE(unit_word(unit));
    CHECK(unit_from_word(unit_word(unit)) == unit);
    CHECK(from_unit(1, unit).metres() == doctest::Approx(metres_in(unit)).epsilon(2e-16));
    CHECK(in_unit(from_unit(1234.5, unit), unit) == doctest::Approx(1234.5).epsilon(3e-16));
    // The contract's resolution of tables: 0.01 mm, or 0.0001 in for the inch.
    const double step = metres_in(unit) * std::pow(10.0, -table_decimals(unit));
    CHECK(step <= (unit == LengthUnit::inch ? 0.0001 * 0.0254 : 0.00001) * (1 + 1e-12));
  }
  CHECK(unit_from_word("US-Ft") == LengthUnit::survey_foot);
  CHECK(!unit_from_word("metre"));
  for (const auto& [word, unit] : {std::pair{"metre", "m"},
                                   {"Meters", "m"},
                                   {"millimetres", "mm"},
                                   {"Centimetre", "cm"},
                                   {"feet", "ft"},
                                   {"Foot", "ft"},
                                   {"US survey foot", "us-ft"},
                                   {"survey feet", "us-ft"},
                                   {"inches", "in"},
                                   {"ells", ""},
                                   {"yd", ""},
                                   {"miles", ""}})
    CHECK(likely_unit_word(word) == unit);
  CHECK(!unit_from_word(""));
}
