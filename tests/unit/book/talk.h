#pragma once
/// A dialogue in memory: a floor of two runs, two setups, a clock that is set by hand.

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "../issues/plain_ledger.h"
#include "book/dialogue.h"

namespace talk {

using namespace deckmark;

inline LedgerRow hanger(const std::string& run, std::string_view name, std::uint32_t number, double x,
                        double y, std::string_view crew = "") {
  LedgerRow row = plain::hanger(name, number, x, y);
  static std::vector<std::unique_ptr<std::string>> kept;
  kept.push_back(std::make_unique<std::string>(run));
  row.run = *kept.back();
  row.crew = crew;
  return row;
}

/// Run R1 1001 to 1006 along x at y 0, run R2 1007 to 1012 at y 3, spaces of 2 m; 1013 was dropped, 1014 has
/// no deck point, 1015 to 1040 stand on run R3 at y 6.
inline Ledger floor_of_two_runs() {
  std::vector<LedgerRow> rows;
  static std::vector<std::unique_ptr<std::string>> names;
  const auto add = [&](const std::string& run, std::uint32_t number, double x, double y) {
    names.push_back(std::make_unique<std::string>("P" + std::to_string(number)));
    rows.push_back(hanger(run, *names.back(), number, x, y, number < 1007 ? "north" : "south"));
  };
  for (std::uint32_t i = 0; i < 6; ++i) add("R1", 1001 + i, 2.0 * i, 0);
  for (std::uint32_t i = 0; i < 6; ++i) add("R2", 1007 + i, 2.0 * i, 3);
  add("R2", 1013, 12, 3);
  rows.back().live = false;
  add("R2", 1014, 14, 3);
  rows.back().deck = Kept::none();
  for (std::uint32_t i = 0; i < 26; ++i) add("R3", 1015 + i, 2.0 * i, 6);
  return plain::ledger_of({rows});
}

/// At N 98, E 200, turned so that a circle of 0 is north; sds as of a good setup.
inline SetupResult setup_at(double northing, double easting) {
  SetupResult out;
  out.status = SetupStatus::solved;
  out.at = {{.northing = Length::metres(northing), .easting = Length::metres(easting)}};
  out.orientation = Angle::degrees(0);
  const double turn = 3.0 / 206264.8;
  out.covariance = {{{0.0005 * 0.0005, 0, 0}, {0, 0.0005 * 0.0005, 0}, {0, 0, turn * turn}}};
  out.elevation = Elevation::metres(1);
  out.elevation_sd = Length::millimetres(1);
  out.instrument_height = Length::metres(1.5);
  return out;
}

inline ControlMark mark_at(double northing, double easting) {
  return {{{.northing = Length::metres(northing), .easting = Length::metres(easting)}},
          Elevation::metres(2.5),
          std::nullopt};
}

class Talk {
 public:
  explicit Talk(BookRequest request = {"Ada", "S1"})
      : ledger_(floor_of_two_runs()), request_(std::move(request)) {
    facts.ledger = &ledger_;
    facts.issue = 1;
    facts.instrument.angle_sd = Angle::arc_seconds(2);
    facts.instrument.distance_sd = Length::millimetres(1);
    facts.instrument.distance_ppm = 1.5;
    facts.typing.angles.bare = AngleNotation::degrees;
    facts.targets = {{"T1", mark_at(128, 200)}, {"T2", mark_at(98, 235)}, {"T3", mark_at(78, 190)}};
    facts.setups = {{"S1", setup_at(98, 200), {0, 1, 2}}, {"S2", setup_at(110, 215), {1}}};
    facts.options.check_every = 3;
  }
  /// A second dialogue over what the first wrote.
  void again(BookRequest request) {
    request_ = std::move(request);
    dialogue.reset();
  }
  std::vector<std::string> open(std::size_t torn = 0) {
    dialogue = std::make_unique<Dialogue>(facts, request_, book, std::vector<const Book*>{&book}, 0);
    return lines(dialogue->open(torn, clock()));
  }
  std::vector<std::string> type(std::string_view line) { return lines(dialogue->take(line, clock())); }
  /// What the last line is.
  std::string last(std::string_view line) { return type(line).back(); }
  std::vector<std::string> lines(BookAnswer answer) {
    file += answer.rows;
    answer_ = std::move(answer);
    std::vector<std::string> out;
    for (const Said& s : answer_.said) out.push_back(s.line);
    return out;
  }
  /// What is typed of a place as the setup sees it, with a circle that is off.
  static std::string seen(const SetupResult& from, double northing, double easting, double turned = 0,
                          double longer = 0) {
    const double dn = northing - from.at.at.northing.metres(), de = easting - from.at.at.easting.metres();
    double circle = std::atan2(de, dn) * 180 / std::numbers::pi + turned / 3600;
    if (circle < 0) circle += 360;
    char out[80];
    std::snprintf(out, sizeof out, "%.7f %.6f", circle, std::hypot(dn, de) + longer);
    return out;
  }
  std::string target(std::size_t i, double turned = 0, double longer = 0) const {
    const auto& at = facts.targets[i].mark.at.at;
    return seen(facts.setups[0].result, at.northing.metres(), at.easting.metres(), turned, longer);
  }
  /// A number's place, off by so much.
  std::string at(std::uint32_t number, double north = 0, double east = 0) const {
    const LedgerRow row = ledger_.row(ledger_.find(number));
    return seen(facts.setups[0].result, row.site.northing.metres() + north, row.site.easting.metres() + east);
  }
  /// The standing's first check, so that marks are taken.
  void begin() {
    open();
    type("check T1");
    type(target(0));
  }
  BookClock clock() const {
    const int minutes = 480 + minute;
    char out[40];
    std::snprintf(out, sizeof out, "2026-11-28T%02d:%02d:00+00:00", minutes / 60, minutes % 60);
    return {out, *instant_of(out)};
  }
  const Ledger& ledger() const { return ledger_; }
  const BookAnswer& answer() const { return answer_; }
  const Entry& row(std::uint32_t entry) const { return book.entries().at(entry - 1); }

  BookFacts facts;
  Book book{"", "0123456789abcdef"};
  std::unique_ptr<Dialogue> dialogue;
  std::string file;
  int minute = 0;

 private:
  Ledger ledger_;
  BookRequest request_;
  BookAnswer answer_;
};

using Lines = std::vector<std::string>;

inline bool has(const Lines& lines, std::string_view line) {
  return std::find(lines.begin(), lines.end(), line) != lines.end();
}
inline bool begins(const Lines& lines, std::string_view front) {
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& l) { return l.starts_with(front); });
}

/// 2" and 1 mm.
inline InstrumentOptions plain_instrument() {
  InstrumentOptions out;
  out.angle_sd = Angle::arc_seconds(2);
  out.distance_sd = Length::millimetres(1);
  return out;
}

}  // namespace talk
