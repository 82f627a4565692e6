// The rows of kind ang and angout, and forms of angles beyond them.

#include <cmath>
#include <cstdlib>
#include <map>
#include <optional>
#include <string>

#include "case_rows.h"
#include "measure/angle_text.h"
#include "measure/frame.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

using Reader = Outcome<Angle> (*)(std::string_view, const AngleForm&);

struct Setting {
  AngleForm form;
  Reader reader;
};

Setting setting_of(const std::string& setting) {
  const AngleForm degrees{AngleNotation::degrees, false};
  if (setting.starts_with("packed")) return {{AngleNotation::packed, false}, &read_angle};
  if (setting.starts_with("circle reading") || setting.starts_with("azimuth")) return {degrees, &read_circle};
  if (setting == "angle" || setting == "angle, decimal degrees") return {degrees, &read_angle};
  // These state their notation themselves, so that the job may be silent.
  REQUIRE((setting == "angle, degrees-minutes-seconds" || setting == "angle with the suffix gon" ||
           setting.starts_with("bearing text")));
  return {{std::nullopt, false}, &read_angle};
}

const std::map<std::string, std::string> kSaid{{"ang-07", "seconds would be 60"},
                                               {"ang-08", "decimal degrees"},
                                               {"ang-18", "U+00BA"},
                                               {"ang-19", "two parts"},
                                               {"ang-20", "minutes under 60"},
                                               {"ang-21", "seconds under 60"},
                                               {"ang-22", "two signs"},
                                               {"ang-23", "last part"},
                                               {"ang-24", "compass letter"},
                                               {"ang-25", "time of day"},
                                               {"ang-28", "gon"},
                                               {"ang-31", "clockwise from north"},
                                               {"ang-32", "clockwise from north"},
                                               {"ang-33", "no finite number"},
                                               {"ang-34", "decimal comma"},
                                               {"ang-38", "three parts"},
                                               {"ang-39", "clockwise from north"},
                                               {"ang-29", "under 360"},
                                               {"ang-30", "from 0"}};

const std::map<std::string, std::string> kTry{
    {"ang-08", "123.75°"},   {"ang-19", "123-45-00"}, {"ang-20", "46-00-00"}, {"ang-21", "45-00-00.0"},
    {"ang-31", "134-30-00"}, {"ang-29", "0-00-00"},   {"ang-30", "350-00-00"}};

// The rows where either is right, and what this program does.
const std::map<std::string, bool> kTaken{{"ang-13", true},  {"ang-16", true},  {"ang-18", true},
                                         {"ang-19", false}, {"ang-29", false}, {"ang-30", false},
                                         {"ang-31", false}, {"ang-36", true}};

}  // namespace

TEST_CASE("angle cases") {
  for (const VectorRow& row : case_rows("ang")) {
    CAPTURE(row.at("id"));
    const Setting s = setting_of(row.at("setting"));
    const auto angle = s.reader(unescape(row.at("input")), s.form);
    const std::string& expect = row.at("expect");
    const bool taken = expect == "accept" || (expect == "either" && kTaken.at(row.at("id")));
    REQUIRE(bool(angle) == taken);
    if (taken) {
      CHECK(std::abs(angle->degrees() - std::strtod(row.at("value").c_str(), nullptr)) <=
            1e-12);  // the table's last place
      continue;
    }
    check_fault(angle.fault(), [&](const std::string& text) { return bool(s.reader(text, s.form)); });
    const std::string said = angle.fault().found + " " + angle.fault().expected;
    CHECK_MESSAGE(said.find(kSaid.at(row.at("id"))) != std::string::npos, said);
    if (kTry.count(row.at("id")) != 0) CHECK(angle.fault().suggestion == kTry.at(row.at("id")));
  }
}

namespace {

Angle typed(const std::string& text) {
  const auto angle = read_angle(text, {});
  REQUIRE(bool(angle));
  return *angle;
}

// `dN=1 dE=0`
Vec<Site> difference(const std::string& input) {
  const double northing = std::strtod(input.c_str() + input.find('=') + 1, nullptr);
  const double easting = std::strtod(input.c_str() + input.rfind('=') + 1, nullptr);
  return {{.northing = Length::metres(northing), .easting = Length::metres(easting)}};
}

std::optional<std::string> printed(const std::string& id, const std::string& input) {
  if (id == "angout-01") return dms_text(Azimuth::degrees(typed(input).degrees()), 1);
  if (id == "angout-02") return dms_text(Azimuth::degrees(typed(input).degrees()), 2);
  if (id == "angout-03" || id == "angout-05" || id == "angout-06") return dms_text(typed(input), 1);
  if (id == "angout-04") return dms_text(Angle::degrees(3 + 19 / 60.0), 0);
  if (id == "angout-07")
    return gon_text(Azimuth::degrees(Angle::gon(std::strtod(input.c_str(), nullptr)).degrees()), 4);
  if (id == "angout-08") return packed_text(typed(input), 0);
  // No azimuth: azimuth_of REQUIRES a difference that is not zero; the caller that holds the names refuses
  // it.
  if (id == "angout-12") return std::nullopt;
  return dms_text(azimuth_of(difference(input)), 0);
}

}  // namespace

TEST_CASE("printed angle cases") {
  int elsewhere = 0;
  for (const VectorRow& row : case_rows("angout")) {
    CAPTURE(row.at("id"));
    const auto text = printed(row.at("id"), row.at("input"));
    if (!text) {
      ++elsewhere;
      continue;
    }
    CHECK(*text == row.at("value"));
  }
  CHECK(elsewhere == 1);
}

TEST_CASE("angles by marks, parts and signs") {
  struct Row {
    const char* text;
    double want;
  };  // degrees
  for (const Row& r : {Row{"123-45-06.7", 123 + (45 + 6.7 / 60) / 60},
                       Row{"123:45:06.7", 123 + (45 + 6.7 / 60) / 60},
                       Row{"2\"", 2 / 3600.0},
                       Row{"-0.5\"", -0.5 / 3600},
                       Row{"30'", 0.5},
                       Row{"1'30\"", 0.025},
                       Row{"40°", 40},
                       Row{"40 deg", 40},
                       Row{"40d", 40},
                       Row{"45°30'", 45.5},
                       Row{"45°-30'-00\"", 45.5},
                       Row{"45\xCB\x9A"
                           "30'",
                           45.5},
                       Row{"45° 30\xE2\x80\x99 00\xE2\x80\x9D", 45.5},
                       Row{"1\xE2\x88\x92", 0},
                       Row{"\xE2\x88\x92"
                           "10°",
                           -10},
                       Row{"+10°", 10},
                       Row{"-123 45 06", -(123 + (45 + 0.1) / 60)},
                       Row{"100GON", 90},
                       Row{"-50 gon", -45},
                       Row{"0", 0},
                       Row{"0.000", 0},
                       Row{"45\xE2\x80\x93"
                           "30\xE2\x80\x93"
                           "00",
                           45.5},
                       Row{"'45-30-00", 45.5}}) {
    CAPTURE(r.text);
    const auto angle = read_angle(r.text, {});
    if (std::string(r.text).ends_with("\x92")) {
      CHECK(!angle);
      continue;
    }  // a minus behind
    REQUIRE(bool(angle));
    CHECK(angle->degrees() == doctest::Approx(r.want).epsilon(2e-16));
  }
}

TEST_CASE("angles that are refused") {
  struct Row {
    const char* text;
    const char* said;
    const char* suggestion;
  };
  for (const Row& r : {Row{"45.3", "bare number", ""},
                       Row{"1:02", "two parts", ""},
                       Row{"45-30-10'", "last mark", ""},
                       Row{"123-45", "two parts", "123-45-00"},
                       Row{"2026-01-02", "date", ""},
                       Row{"123°45'06", "no mark", "123-45-06"},
                       Row{"45'30°", "in order", ""},
                       Row{"45°30°", "in order", ""},
                       Row{"45-30:10", "two kinds", ""},
                       Row{"90\"", "under 60", ""},
                       Row{"45°60'", "under 60", "46-00-00"},
                       Row{"800°", "720", ""},
                       Row{"45.5°30'", "last part", ""},
                       Row{"1e2-00-00", "exponent", ""},
                       Row{"45-30-", "sign behind", ""},
                       Row{"", "no text", ""},
                       Row{"N 45-30-00 W", "clockwise", "314-30-00"},
                       Row{"s45°30'10.5\"w", "clockwise", "225-30-10.5"},
                       Row{"#REF!", "spreadsheet error", ""},
                       Row{"45 rad", "such as", ""},
                       Row{"45%", "such as", ""},
                       Row{"1e999°", "720", ""},
                       Row{"45-30-00-", "sign behind", ""},
                       Row{"45°3O'", "letter O", "45°30'"}}) {
    CAPTURE(r.text);
    const auto angle = read_angle(r.text, {});
    REQUIRE(!angle);
    const std::string said = angle.fault().found + " " + angle.fault().expected;
    CHECK_MESSAGE(said.find(r.said) != std::string::npos, said);
    CHECK(angle.fault().suggestion == r.suggestion);
    check_fault(angle.fault(), [](const std::string& text) { return bool(read_angle(text, {})); });
  }
}

TEST_CASE("a bare number is read as the job says") {
  CHECK(read_angle("45.3015", {AngleNotation::degrees, false})->degrees() == 45.3015);
  CHECK(read_angle("45.3015", {AngleNotation::packed, false})->degrees() == 45.504166666666667);  // 45-30-15
  CHECK(read_angle("50", {AngleNotation::gon, false})->degrees() == 45);
  CHECK(read_angle("45,5", {AngleNotation::degrees, true})->degrees() == 45.5);
  CHECK(read_angle("45,3", {AngleNotation::packed, true})->degrees() == 45.5);
  CHECK(read_angle(".3", {AngleNotation::packed, false})->degrees() == 0.5);
  // A stated notation wins over the job's.
  CHECK(read_angle("100 gon", {AngleNotation::degrees, false})->degrees() == 90);
  CHECK(read_angle("45-30-00", {AngleNotation::gon, false})->degrees() == 45.5);
  CHECK(!read_angle("1e1", {AngleNotation::packed, false}));
}

TEST_CASE("a circle reading lies from 0 to under 360") {
  const AngleForm degrees{AngleNotation::degrees, false};
  CHECK(read_circle("359.9999", degrees)->degrees() == 359.9999);
  CHECK(read_circle("0", degrees)->degrees() == 0);
  CHECK(read_circle("399.9999 gon", degrees)->degrees() == doctest::Approx(359.99991));
  for (const char* text : {"360", "-10", "380", "400 gon", "-0.0001", "370-00-00"}) {
    CAPTURE(text);
    const auto circle = read_circle(text, degrees);
    REQUIRE(!circle);
    // 380 may be gon.
    CHECK(circle.fault().suggestion.empty() == (std::string(text) == "380"));
    check_fault(circle.fault(), [&](const std::string& s) { return bool(read_circle(s, degrees)); });
  }
}

TEST_CASE("directions never print a full circle or sixty") {
  for (int decimals = 0; decimals <= 6; ++decimals) {
    for (const double below : {1e-3, 1e-5, 1e-7, 1e-10, 1e-13}) {
      for (const double whole : {360.0, 45.0, 1.0}) {
        const std::string text = dms_text(Azimuth::degrees(whole - below), decimals);
        CAPTURE(text);
        CHECK(!text.starts_with("360"));
        CHECK(text.find("-60") == std::string::npos);
      }
    }
  }
  CHECK(degrees_text(Azimuth::degrees(359.99999996), 7) == "0.0000000");
  CHECK(degrees_text(Azimuth::degrees(359.9999999), 7) == "359.9999999");
  CHECK(degrees_text(Azimuth::degrees(45.5), 0) == "46");
  CHECK(gon_text(Azimuth::degrees(90), 0) == "100");
  CHECK(packed_text(Azimuth::degrees(359.99999996), 0) == "0.0000");
  CHECK(packed_text(Angle::degrees(-0.5), 1) == "-0.30000");
  CHECK(dms_text(Angle::degrees(0.5 / 3600), 0) ==
        "0-00-01");  // a tie, though 0.5/3600 is under it in binary
  CHECK(dms_text(Angle::degrees(-0.5 / 3600), 0) == "-0-00-01");
}
