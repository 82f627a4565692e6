// The rows of kind len, usft and lenout.

#include <array>
#include <cmath>
#include <cstdlib>
#include <map>

#include "case_rows.h"
#include "measure/decimal.h"
#include "measure/length_text.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

constexpr std::array kAllUnits{LengthUnit::metre,      LengthUnit::millimetre,  LengthUnit::centimetre,
                               LengthUnit::foot,       LengthUnit::survey_foot, LengthUnit::inch,
                               LengthUnit::feet_inches};

std::vector<LengthForm> forms_of(const std::string& setting) {
  if (setting == "any table unit") {
    std::vector<LengthForm> all;
    for (const LengthUnit unit : kAllUnits) all.push_back({unit, false, false});
    return all;
  }
  REQUIRE(setting.starts_with("unit "));
  const auto unit = unit_from_word(setting.substr(5));
  REQUIRE(unit.has_value());
  return {{*unit, false, false}};
}

// What a refusal must say, from the column `behaviour`.
const std::map<std::string, std::string> kSaid{{"len-31", "fraction of one or more"},
                                               {"len-37", "mark"},
                                               {"len-38", "feet or inches"},
                                               {"len-39", "under 12"},
                                               {"len-40", "fraction below one"},
                                               {"len-41", "decimal feet and inches"},
                                               {"len-42", "zero denominator"},
                                               {"len-44", "second foot mark"},
                                               {"len-45", "feet before inches"},
                                               {"len-46", "two signs"},
                                               {"len-47", "text behind the length"},
                                               {"len-48", "letter O"},
                                               {"len-49", "no unit"},
                                               {"len-50", "two fractions"},
                                               {"len-51", "lacks a part"},
                                               {"len-52", "parentheses"},
                                               {"len-55", "date made by a spreadsheet"},
                                               {"len-56", "date"},
                                               {"len-58", "UTF-8"},
                                               {"len-69", "two inch marks"},
                                               {"len-70", "letter l"},
                                               {"len-71", "two fractions"},
                                               {"len-73", "date"},
                                               {"len-34", "thousands"}};

// What the reader proposes instead, where one thing alone can have been meant.
const std::map<std::string, std::string> kTry{
    {"len-31", "1 1/16\""}, {"len-39", "13'-1\""}, {"len-40", "6'-0\""}, {"len-44", "3'-4\""},
    {"len-45", "3'-4\""},   {"len-46", ""},        {"len-47", ""},       {"len-48", "10'-6\""},
    {"len-52", "-3'-4\""},  {"len-58", "12'-6\""}, {"len-69", ""},       {"len-70", "12'-6\""},
    {"len-34", "1234'-5\""}};

// The rows where either is right, and what this program does.
const std::map<std::string, bool> kTaken{{"len-13", true}, {"len-16", true},  {"len-31", false},
                                         {"len-32", true}, {"len-34", false}, {"len-35", true},
                                         {"len-57", true}, {"len-67", true}};

// Taken, and a notice prints the reading back.
const std::map<std::string, bool> kMarksLeftOut{{"len-32", true}, {"len-35", true}, {"len-36", true}};

void check_row(const VectorRow& row, const LengthForm& form) {
  CAPTURE(row.at("id"));
  CAPTURE(unit_word(form.bare));
  const std::string text = unescape(row.at("input"));
  const auto reading = read_length(text, form);
  const std::string& expect = row.at("expect");
  const bool taken = expect == "accept" || (expect == "either" && kTaken.at(row.at("id")));
  REQUIRE(bool(reading) == taken);
  if (taken) {
    double want = std::strtod(row.at("value").c_str(), nullptr);
    // The row takes 150 in for international inches in any table; by the contract they are survey inches in
    // this column.
    if (row.at("id") == "len-62" && form.bare == LengthUnit::survey_foot) want = 150.0 / 12 * 1200 / 3937;
    CHECK(std::abs(reading->value.metres() - want) <= std::max(1e-9, 1e-15 * std::abs(want)));
    CHECK(reading->marks_left_out == (kMarksLeftOut.count(row.at("id")) != 0));
    return;
  }
  const Fault& fault = reading.fault();
  check_fault(fault, [&](const std::string& s) { return bool(read_length(s, form)); });
  const std::string said = fault.found + " " + fault.expected;
  const auto wanted = kSaid.find(row.at("id"));
  REQUIRE(wanted != kSaid.end());
  CHECK_MESSAGE(said.find(wanted->second) != std::string::npos, said);
  const auto instead = kTry.find(row.at("id"));
  if (instead != kTry.end()) CHECK(fault.suggestion == instead->second);
}

}  // namespace

TEST_CASE("feet-inch cases") {
  for (const VectorRow& row : case_rows("len")) {
    for (const LengthForm& form : forms_of(row.at("setting"))) check_row(row, form);
  }
}

TEST_CASE("survey foot cases") {
  int elsewhere = 0;
  for (const VectorRow& row : case_rows("usft")) {
    CAPTURE(row.at("id"));
    // Two statements of which foot, header against job: the table's matter, tested with its columns.
    if (row.at("id") == "usft-07") {
      ++elsewhere;
      continue;
    }
    const std::string setting =
        row.at("id") == "usft-06" ? "unit ft" : row.at("setting");  // the header's unit
    const LengthForm form = forms_of(setting)[0];
    const auto reading = read_length(unescape(row.at("input")), form);
    REQUIRE(bool(reading));
    const double want = std::strtod(row.at("value").c_str(), nullptr);
    CHECK(std::abs(reading->value.metres() - want) <=
          std::max(5e-16, 1e-15 * std::abs(want)));  // half its last place
  }
  CHECK(elsewhere == 1);
}

namespace {

Length typed(const std::string& text) {
  const auto reading = read_length(text, {LengthUnit::feet_inches, false, false});
  REQUIRE(bool(reading));
  return reading->value;
}

// One line for every row of kind lenout: what is printed there.
std::string printed(const std::string& id, const std::string& input) {
  if (id == "lenout-01" || id == "lenout-02" || id == "lenout-06" || id == "lenout-07")
    return feet_inches_text(Length::metres(std::strtod(input.c_str(), nullptr)), 16);
  if (id == "lenout-03" || id == "lenout-12") return feet_inches_text(typed(input), 8);
  if (id == "lenout-04") return feet_inches_text(Length::metres(3 * 0.3048 * 4), 16);
  if (id == "lenout-05" || id == "lenout-08") return feet_inches_text(typed(input), 16);
  if (id == "lenout-09") return feet_decimal_inches_text(typed(input), 2);
  if (id == "lenout-10")
    return fixed(in_unit(typed(input), LengthUnit::foot), table_decimals(LengthUnit::foot));
  if (id == "lenout-11")
    return feet_inches_text(typed("3/32\""), 16) + " " + feet_inches_text(typed("-3/32\""), 16);
  FAIL("no way to print ", id);
  return "";
}

}  // namespace

TEST_CASE("printing cases") {
  const std::map<std::string, std::string> decided{
      {"lenout-03", "6'-0\""},                   // a tie goes away from zero
      {"lenout-10", "5.56250"},                  // 0.00001 ft
      {"lenout-11", "0'-0 1/8\" -0'-0 1/8\""}};  // away from zero on both sides
  for (const VectorRow& row : case_rows("lenout")) {
    CAPTURE(row.at("id"));
    const auto by_us = decided.find(row.at("id"));
    CHECK(printed(row.at("id"), row.at("input")) ==
          (by_us != decided.end() ? by_us->second : row.at("value")));
  }
}
