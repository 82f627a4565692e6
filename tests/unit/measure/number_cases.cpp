// The rows of kind num: plain numbers in a metre table, read as lengths and as numbers.

#include <cmath>
#include <map>

#include "case_rows.h"
#include "measure/decimal.h"
#include "measure/length_text.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

LengthForm form_of(const std::string& setting) {
  if (setting == "unit m, comma-separated table") return {LengthUnit::metre, false, false};
  if (setting == "unit m, semicolon-separated table") return {LengthUnit::metre, true, false};
  if (setting == "unit mm") return {LengthUnit::millimetre, false, false};
  REQUIRE(setting == "unit in");
  return {LengthUnit::inch, false, false};
}

// What a refusal must say, from the column `behaviour`.
const std::map<std::string, std::string> kSaid{{"num-17", "decimal comma"},
                                               {"num-23", "spreadsheet error"},
                                               {"num-24", "column is too narrow"},
                                               {"num-26", "U+FF11"},
                                               {"num-37", "U+2014"},
                                               {"num-41", "U+200B"},
                                               {"num-42", "spreadsheet error"},
                                               {"num-10", "range"},
                                               {"num-43", "missing"},
                                               {"num-20", "thousands"},
                                               {"num-12", "hexadecimal"}};

// The rows where either is right, and what this program does.
const std::map<std::string, bool> kTaken{{"num-04", true},  {"num-11", false}, {"num-15", false},
                                         {"num-19", false}, {"num-20", false}, {"num-27", true},
                                         {"num-34", false}, {"num-40", false}, {"num-41", false}};

}  // namespace

TEST_CASE("number cases read as lengths") {
  for (const VectorRow& row : case_rows("num")) {
    CAPTURE(row.at("id"));
    const LengthForm form = form_of(row.at("setting"));
    const std::string text = unescape(row.at("input"));
    const auto reading = read_length(text, form);
    const std::string& expect = row.at("expect");
    const bool taken =
        expect == "accept" || expect == "warn" || (expect == "either" && kTaken.at(row.at("id")));
    REQUIRE(bool(reading) == taken);
    if (taken) {
      CHECK(reading->value.metres() ==
            std::strtod(row.at("value").c_str(), nullptr));  // the nearest double, not nearly it
      CHECK(reading->coarse == (expect == "warn"));
      continue;
    }
    check_fault(reading.fault(), [&](const std::string& s) { return bool(read_length(s, form)); });
    if (kSaid.count(row.at("id")) != 0) {
      const std::string said = reading.fault().found + " " + reading.fault().expected;
      CHECK_MESSAGE(said.find(kSaid.at(row.at("id"))) != std::string::npos, said);
    }
  }
}

TEST_CASE("number cases read as numbers") {
  for (const VectorRow& row : case_rows("num")) {
    CAPTURE(row.at("id"));
    const LengthForm form = form_of(row.at("setting"));
    const std::string text = unescape(row.at("input"));
    const auto reading = read_number(text, form.decimal_comma);
    const std::string& expect = row.at("expect");
    bool taken = expect == "accept" || expect == "warn" || (expect == "either" && kTaken.at(row.at("id")));
    if (row.at("id") == "num-27") taken = false;  // 12.5m: a plain number has no unit
    REQUIRE(bool(reading) == taken);
    if (taken) {
      // The value of the table is in metres; a plain number is the count that was written.
      const double count = std::strtod(row.at("value").c_str(), nullptr) / metres_in(form.bare);
      CHECK(reading->value == doctest::Approx(count).epsilon(1e-15));
      CHECK(reading->coarse == (expect == "warn"));
      continue;
    }
    check_fault(reading.fault(),
                [&](const std::string& s) { return bool(read_number(s, form.decimal_comma)); });
  }
}

TEST_CASE("a lost digit is told by the exponent's last place") {
  struct Row {
    const char* text;
    bool coarse;
  };
  for (const Row& r : {Row{"4.52E+05", true}, Row{"1.25e1", false}, Row{"1.2e1", true},
                       Row{"4.52E+01", false}, Row{"5e0", true}, Row{"452000", false}, Row{"1.5e-3", false},
                       Row{"1.234567E+06", true}, Row{"1.2345678E+06", false}}) {
    CAPTURE(r.text);
    CHECK(read_number(r.text, false)->coarse == r.coarse);
    CHECK(read_length(r.text, {LengthUnit::metre, false, false})->coarse == r.coarse);
  }
}

TEST_CASE("counts are digits alone, within their bounds") {
  struct Row {
    const char* text;
    bool good;
    std::int64_t value;
    const char* suggestion;
  };
  for (const Row& r : {Row{"1", true, 1, ""}, Row{"999999999", true, 999999999, ""}, Row{" 7 ", true, 7, ""},
                       Row{"007", true, 7, ""}, Row{"0", false, 0, ""}, Row{"1000000000", false, 0, ""},
                       Row{"", false, 0, ""}, Row{"-3", false, 0, ""}, Row{"12.0", false, 0, "12"},
                       Row{"12.5", false, 0, ""}, Row{"1e3", false, 0, "1000"}, Row{"0x10", false, 0, ""},
                       Row{"99999999999999999999999", false, 0, ""}, Row{"twelve", false, 0, ""}}) {
    CAPTURE(r.text);
    const auto count = read_count(r.text, 1, 999999999);
    REQUIRE(bool(count) == r.good);
    if (r.good) {
      CHECK(*count == r.value);
    } else {
      CHECK(count.fault().suggestion == r.suggestion);
      check_fault(count.fault(), [](const std::string& s) { return bool(read_count(s, 1, 999999999)); });
    }
  }
}
