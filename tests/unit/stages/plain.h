#pragma once
/// Plain inputs of stages, lists and pages, made by hand: no files, no job.

#include <doctest/doctest.h>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "job/read_table.h"
#include "stages/laid_out.h"
#include "table/message.h"
#include "table/reader.h"

/// Lines that differ are shown.
template <>
struct doctest::StringMaker<std::vector<std::string>> {
  static doctest::String convert(const std::vector<std::string>& lines) {
    std::string out;
    for (const std::string& line : lines) out += "\n    " + line;
    return out.c_str();
  }
};

namespace plain {

using namespace deckmark;

inline Length m(double v) { return Length::metres(v); }
inline Length mm(double v) { return Length::millimetres(v); }
inline Point<Drawing> xy(double x, double y) { return {{.x = m(x), .y = m(y)}}; }
inline Point<Site> at(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}

/// A table as it is read, with the place of every row; the header is line 1.
inline ReadTable table_of(std::string file, std::vector<ColumnSpec> columns, const std::string& text) {
  struct Begins final : Table::Handler {
    std::vector<std::uint32_t> begins;
    void row(const Row& r, Messages&) override { begins.push_back(r.begin()); }
  };
  Messages messages;
  auto table = Table::open(Source::from_bytes(std::move(file), text),
                           TableSpec{"rows", std::move(columns), {}, true, {}}, messages);
  ReadTable out;
  out.table = std::make_shared<const Table>(std::move(table.value()));
  for (const auto& part : out.table->read([] { return std::make_unique<Begins>(); }, messages)) {
    const auto& begins = static_cast<const Begins&>(*part).begins;
    out.begins.insert(out.begins.end(), begins.begin(), begins.end());
  }
  return out;
}

/// A drawing point; lengths in metres.
struct PlainMark {
  std::string name;
  double x = 0, y = 0;
  std::string run = {}, kind = {};
  std::optional<double> height = {};
  std::string was = {};
};

/// The marks as their table `drawing.csv` states them: mark 0 stands on line 2.
inline JobMarks marks_of(const std::vector<PlainMark>& rows) {
  const auto quoted = [](const std::string& text) {
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + "\"";
  };
  std::string text = "point,x,y,height,kind,run,was\n";
  MarkTable marks;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const PlainMark& r = rows[i];
    const std::string height = r.height ? std::to_string(*r.height) : "";
    text += quoted(r.name) + "," + std::to_string(r.x) + "," + std::to_string(r.y) + "," + height + "," +
            quoted(r.kind) + "," + quoted(r.run) + "," + quoted(r.was) + "\n";
    marks.names.push_back(r.name);
    marks.places.push_back(xy(r.x, r.y));
    if (r.height) marks.heights.put(i, m(*r.height));
    if (!r.kind.empty()) marks.kinds.put(i, r.kind);
    if (!r.run.empty()) marks.runs.put(i, r.run);
    if (!r.was.empty()) marks.was.put(i, r.was);
  }
  const ReadTable table = table_of("drawing.csv",
                                   {{"point", ColumnKind::name, true},
                                    {"x", ColumnKind::length, true},
                                    {"y", ColumnKind::length, true},
                                    {"height", ColumnKind::length, false},
                                    {"kind", ColumnKind::text, false},
                                    {"run", ColumnKind::text, false},
                                    {"was", ColumnKind::text, false}},
                                   text);
  for (const std::uint32_t b : table.begins) marks.begins.push_back(b);
  return drawn_marks(std::move(marks), table.table);
}

/// On site E = 200 + x, N = 100 + y, so that no axis is taken for another.
inline FittedTransform shifted_fit() {
  return {claim({.drawing_centre = xy(0, 0),
                 .site_centre = at(100, 200),
                 .azimuth_x = Azimuth::degrees(90),
                 .scale = 1,
                 .mirrored = false}),
          {}};
}

/// Marks laid out by hand, owned; `view` for what takes a `LaidOut`.
struct PlainLaid {
  JobMarks marks;
  Overhead overhead{};
  Placed placed{SitePlace::by_fit, {}, {}, shifted_fit(), {}, {}, {}};
  Numbers numbers{};
  std::optional<Decks> decks{};
  Elevation floor = Elevation::metres(0);
  std::optional<Length> attach_height{};

  LaidOut view() const {
    return {marks, overhead, placed, numbers,
            Heights(marks, placed, decks ? &*decks : nullptr, floor, attach_height)};
  }
  /// Maps the marks by the fit anew.
  void map() {
    placed.marks.clear();
    for (const Point<Drawing>& p : marks->places) placed.marks.push_back(placed.fit.site_from_drawing(p));
  }
  /// A level deck over all, with deck numbers.
  void put_deck(double elevation, std::int64_t offset = 5000) {
    decks = Decks{{{Deck::level(Elevation::metres(elevation))}, {std::nullopt}, false}, {}, {}};
    numbers.deck_offset = offset;
  }
};

/// Numbers 1001, 1002, ... ; no deck, floor at 0.
inline PlainLaid laid_of(const std::vector<PlainMark>& rows) {
  PlainLaid out{.marks = marks_of(rows)};
  out.map();
  for (std::size_t i = 0; i < rows.size(); ++i)
    out.numbers.issue.numbers.push_back(static_cast<std::uint32_t>(1001 + i));
  return out;
}

/// Title, revision and units of a job, owned.
struct PlainHead {
  std::string title = "Hall", revision = "B", file = "job.toml";
  LengthUnit unit = LengthUnit::metre;
  JobHead view() const { return {title, revision, file, false, unit, unit, unit, "site north"}; }
};

/// What a job says of its baselines, owned.
struct PlainBaselines {
  std::vector<NamedTie> ties{};
  ReadTable ties_table{};
  BaselineOptions options{};
  SquarenessOptions square{};
  BaselineJob checks{};
  std::string revision = "B";
  bool mirrored = false;
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;

  BaselinesStated view() const {
    return {ties, ties_table, options, square, checks, revision, mirrored, drawing_unit, site_unit};
  }
};

/// A tie that states x and y; sds and tolerance of it in millimetres.
inline NamedTie tie(std::string name, double x, double y, const Point<Site>& found, double sd = 2,
                    double tolerance = 6) {
  return {std::move(name), {m(x), m(y), found, mm(sd), mm(sd), mm(tolerance)}, false};
}

/// Told lines of one grade.
inline std::vector<std::string> told(const Messages& messages, Grade grade) {
  std::vector<std::string> out;
  for (const Message& one : messages.sorted(grade)) out.push_back(message_line(one));
  return out;
}
inline bool tells_nothing(const Messages& messages) {
  return messages.problems() == 0 && messages.doubts() == 0 && messages.sorted(Grade::notice).empty();
}

}  // namespace plain
