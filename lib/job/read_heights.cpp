#include "job/read_heights.h"

#include <fmt/format.h>

#include <numbers>

#include "job/columns.h"
#include "job/keys/heights_keys.h"
#include "job/one_of.h"
#include "measure/decimal.h"
#include "measure/length_text.h"
#include "measure/letters.h"
#include "table/names.h"

namespace deckmark {

namespace {

constexpr Length kLongestStaff = Length::metres(20), kFarthest = Length::metres(1000),
                 kFar = Length::metres(100);  // no staff, no sight and no good sight is longer (common
                                              // practice, no source)
constexpr std::string_view kTargetIsWords[] = {"below", "above"};

bool is_a_reading(Length l) { return abs(l) <= kLongestStaff; }
bool is_from_plane(Length l) { return is_not_negative(l) && l <= kLongestStaff; }
bool is_a_sight(Length l) { return is_above_zero(l) && l <= kFarthest; }

bool is_metric(LengthUnit unit) {
  return unit == LengthUnit::metre || unit == LengthUnit::millimetre || unit == LengthUnit::centimetre;
}

/// How far the staff stood, above zero; doubted where curvature would show.
std::optional<Length> read_sight(const LengthCells& column, const LengthColumn& read, const Row& row,
                                 Messages& told) {
  const auto value =
      not_beyond(column, row, above_zero(column, row, read.read(row, told), told), kFarthest, told);
  if (value && *value > kFar)
    column.doubt(
        "a sight over 100 m", row,
        fmt::format("{} is a sight of {:.1f} m, over 100 m: the earth's curve shows there and is not taken "
                    "off; stand within 100 m",
                    in_quotes(column.text(row)), value->metres()),
        told);
  return value;
}

/// Level and target of a row; nothing where a cell is bad (told).
std::optional<KeyedTarget> read_target(const NameColumn& target, const WordsColumn& level, const Row& row,
                                       Messages& told) {
  const auto name = read_name(target, row, told);
  KeyedTarget out;
  if (!read_word(level, row, kAsbuiltLevelWords, out.level, told) || !name) return std::nullopt;
  out.name = *name;
  return out;
}

void read_benchmarks(const TableKey& key, const JobReading& in, TableLoader& tables) {
  namespace c = deckmark::benchmarks;
  Job& job = in.job;
  Messages& messages = in.told.of(Part::heights);
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const LengthColumn read_elevation =
      lengths_of(table.at<c::elevation>(), job.site_unit, kSiteUnit, messages);
  const auto sd = table.at<c::sd>();
  const LengthColumn read_sd = lengths_of(sd, job.site_unit, kSiteUnit, messages, is_sd_above_zero);
  auto rows =
      read_records<Rows<KeyedBenchmark>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::point>(), row, told);
        const auto elevation = elevation_of(read_elevation.require(row, told));
        const auto spread = control_sd(sd, row, read_sd.read(row, told), told);
        if (!name || !elevation || (sd.has(row) && !spread)) return out.refuse(name, row.begin());
        const bool is_held = !spread || *spread == Length::metres(0);
        out.add({std::string(*name), *elevation, is_held ? std::nullopt : spread}, *name, row.begin());
      });
  refuse_name_twice(tables, table.at<c::point>(), rows);
  job.heights.benchmarks_table = {table.shared(), std::move(rows.begins)};
  job.heights.benchmarks = std::move(rows.records);
}

void read_level(const TableKey& key, const JobReading& in, TableLoader& tables) {
  namespace c = deckmark::level_readings;
  Job& job = in.job;
  Messages& messages = in.told.of(Part::heights);
  const auto table = tables.open<c::Terms, c::Places>(key);
  if (!table) return;
  const auto back = table.at<c::back>(), fore = table.at<c::fore>(), distance = table.at<c::distance>();
  const auto staff = [&](const LengthCells& column) {
    return lengths_of(column, job.site_unit, kSiteUnit, messages, is_a_reading);
  };
  const LengthColumn read_back = staff(back), read_fore = staff(fore);
  const LengthColumn read_distance = lengths_of(distance, job.site_unit, kSiteUnit, messages, is_a_sight);
  auto rows =
      read_records<Rows<KeyedLevelReading>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto setup = read_name(table.at<c::setup>(), row, told);
        const auto target = read_target(table.at<c::target>(), table.at<c::level>(), row, told);
        const bool is_back = back.has(row);
        if (is_back == fore.has(row)) {
          fore.problem(row,
                       Fault{is_back ? "both back and fore" : "neither back nor fore",
                             "one of them: back on what is known, fore on what is wanted; a second reading "
                             "of a staff has its own row",
                             ""},
                       told);
          return;
        }
        const LengthCells& read_on = is_back ? back : fore;
        const auto reading =
            not_beyond(read_on, row, (is_back ? read_back : read_fore).read(row, told), kLongestStaff, told);
        const auto away = read_sight(distance, read_distance, row, told);
        if (!setup || !target || !reading || (distance.has(row) && !away)) return;
        out.add({std::string(*setup), *target, is_back, *reading, away}, target->name, row.begin());
      });
  job.heights.level_table = {table.shared(), std::move(rows.begins)};
  job.heights.level = std::move(rows.records);
}

/// 0 or 180; nothing where the cell is empty. False where it holds anything else (told).
bool read_housing(const NumberColumn& housing, const Row& row, std::optional<Housing>& out, Messages& told) {
  if (!housing.has(row)) return true;
  const std::string_view text = trimmed(housing.text(row));
  if (text != "0" && text != "180") {
    housing.problem(row,
                    Fault{in_quotes(housing.text(row)),
                          "0 or 180: read the target, turn the laser half round, read it again", ""},
                    told);
    return false;
  }
  out = text == "0" ? Housing::straight : Housing::turned;
  return true;
}

void read_laser(const TableKey& key, const JobReading& in, TableLoader& tables) {
  namespace c = deckmark::laser_readings;
  Job& job = in.job;
  Messages& messages = in.told.of(Part::heights);
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const auto reading = table.at<c::reading>(), distance = table.at<c::distance>();
  const auto target_is = table.at<c::target_is>();
  const LengthColumn read_reading = lengths_of(reading, job.site_unit, kSiteUnit, messages, is_from_plane);
  const LengthColumn read_distance = lengths_of(distance, job.site_unit, kSiteUnit, messages, is_a_sight);
  auto rows = read_records<
      Rows<KeyedLaserReading>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
    const auto laser = read_name(table.at<c::laser>(), row, told);
    const auto target = read_target(table.at<c::target>(), table.at<c::level>(), row, told);
    auto value = read_reading.require(row, told);
    if (value && *value < Length::metres(0)) {
      reading.problem(row,
                      Fault{in_quotes(reading.text(row)),
                            "a reading of zero or more, and target_is to say on which side of the plane "
                            "the target lies",
                            ""},
                      told);
      value.reset();
    }
    value = not_beyond(reading, row, value, kLongestStaff, told);
    std::optional<std::size_t> side;
    if (read_word(target_is, row, kTargetIsWords, side, told) && !side)
      tell_empty(target_is, row, "below or above: where the target lies from the laser's plane", "", told);
    if (!distance.has(row))
      tell_empty(distance, row,
                 "how far the target is from the laser: its plane is the worse the "
                 "farther",
                 "", told);
    const auto away = read_sight(distance, read_distance, row, told);
    std::optional<Housing> housing;
    const bool good = read_housing(table.at<c::housing>(), row, housing, told);
    if (!good || !laser || !target || !value || !side || !away) return;
    out.add({std::string(*laser), *target, *value, *side == 1, *away, housing}, target->name, row.begin());
  });
  job.heights.laser_table = {table.shared(), std::move(rows.begins)};
  job.heights.laser = std::move(rows.records);
}

/// One sd of a plane that may be off by so much so far away.
std::optional<Angle> sd_of_beam(std::string_view text) {
  const std::string low = small_letters(text);
  const std::size_t at = low.find(" at ");
  if (at == std::string::npos) return std::nullopt;
  const LengthForm form{.bare = LengthUnit::metre, .needs_unit = true};
  const auto off = read_length(trimmed(text.substr(0, at)), form),
             away = read_length(trimmed(text.substr(at + 4)), form);
  if (!off || !away || off->value <= Length::metres(0) || away->value <= Length::metres(0))
    return std::nullopt;
  const double sd = 0.5 * (off->value / away->value);
  const Angle out = Angle::degrees(sd * 180 / std::numbers::pi);
  return out > Angle::degrees(1) ? std::nullopt : std::optional(out);
}

/// The sd of a laser's plane: from its papers, or as it was found; one of the two.
void read_beam(SectionReader<kHeights>& s, HeightsJob& job) {
  const bool papers = s.has("beam"), found = s.has("beam_sd");
  if (papers && found)
    return s.problem("beam_sd", Fault{"both beam and beam_sd",
                                      "one of them: beam_sd where deckmark fieldtest found it", ""});
  if (papers) {
    if (s.is_refused("beam")) return;
    if (const auto sd = sd_of_beam(job.beam))
      job.options.beam_sd = *sd;
    else
      s.problem("beam", Fault{in_quotes(job.beam), "how far the plane may be off, and how far away",
                              "\"3 mm at 10 m\""});
    return;
  }
  if (!found && s.lacks("beam") && s.lacks("beam_sd") && s.has("laser"))
    s.problem("laser", Fault{"a laser without beam and beam_sd",
                             "what its papers allow its plane, or its sd as deckmark fieldtest found it",
                             "beam = \"3 mm at 10 m\""});
}

}  // namespace

void read_heights(const JobReading& in) {
  Job& job = in.job;
  HeightsJob& heights = job.heights;
  auto s = in.section<kHeights>(Part::heights);
  s.read(job, in.bare());
  heights.options.staff_in_feet = !is_metric(job.site_unit);
  heights.wanted = s.means("level") || s.means("laser");
  read_beam(s, heights);
  if (heights.wanted && s.lacks("benchmarks"))
    s.problem(s.has("level") ? KeyName<kHeights>("level") : KeyName<kHeights>("laser"),
              Fault{"readings without benchmarks", "the points of known height that they begin from",
                    "benchmarks = \"benchmarks.csv\""});
  TableLoader tables = in.tables(Part::heights);
  if (job.named.benchmarks) read_benchmarks(*job.named.benchmarks, in, tables);
  if (job.named.level_readings) read_level(*job.named.level_readings, in, tables);
  if (job.named.laser_readings) read_laser(*job.named.laser_readings, in, tables);
}

bool measures_deck(const Job& job) {
  const auto is_deck = [&job](const KeyedTarget& t) {
    if (t.level) return *t.level == AsbuiltLevel::deck;
    return read_count(t.name, job.numbers.deck_offset + 1, kMostNumber) &&
           (!job.mark_index || !job.mark_index->find(t.name));
  };
  const HeightsJob& h = job.heights;
  return std::ranges::any_of(h.level, [&](const auto& r) { return is_deck(r.target); }) ||
         std::ranges::any_of(h.laser, [&](const auto& r) { return is_deck(r.target); });
}

}  // namespace deckmark
