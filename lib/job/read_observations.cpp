#include "job/read_observations.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "job/columns.h"
#include "job/reading_checks.h"
#include "measure/decimal.h"
#include "measure/letters.h"

namespace deckmark {

namespace {

constexpr Length kHighest = Length::metres(20), kFarthest = Length::metres(20000),
                 kLargestConstant = Length::metres(1);
constexpr Length kLooseDistance = Length::millimetres(10);  // no instrument of this trade reads worse
constexpr Angle kLooseAngle = Angle::degrees(1.0 / 60);     // nor this
constexpr Angle kLargestAngleSd = Angle::degrees(1);

namespace c = deckmark::observations;
using ObservationTable = OpenTable<c::Terms>;

/// One row of observations before its target has a number.
struct NamedReading {
  std::string target;
  Reading reading;
};

/// How the columns of an observations table are read.
struct ReadingColumns {
  ReadingColumns(const ObservationTable& table, LengthUnit unit, std::optional<AngleNotation> bare,
                 Messages& messages)
      : circle(table.at<c::circle>()),
        zenith(table.at<c::zenith>()),
        circle_sd(table.at<c::circle_sd>()),
        zenith_sd(table.at<c::zenith_sd>()),
        slope(table.at<c::slope>()),
        horizontal(table.at<c::horizontal>()),
        height(table.at<c::height>()),
        reflector(table.at<c::reflector>()),
        target_sd(table.at<c::target_sd>()),
        distance_sd(table.at<c::distance_sd>()),
        read_circle(circle, bare, messages),
        read_zenith(zenith, bare, messages),
        read_circle_sd(circle_sd, bare, messages),
        read_zenith_sd(zenith_sd, bare, messages),
        read_slope(lengths_of(slope, unit, kSiteUnit, messages, is_distance)),
        read_horizontal(lengths_of(horizontal, unit, kSiteUnit, messages, is_distance)),
        read_height(
            lengths_of(height, unit, kSiteUnit, messages, [](Length l) { return abs(l) <= kHighest; })),
        read_reflector(lengths_of(reflector, unit, kSiteUnit, messages,
                                  [](Length l) { return abs(l) <= kLargestConstant; })),
        read_target_sd(lengths_of(target_sd, unit, kSiteUnit, messages, is_not_negative)),
        read_distance_sd(lengths_of(distance_sd, unit, kSiteUnit, messages, is_above_zero)) {}
  static bool is_distance(Length l) { return is_above_zero(l) && l <= kFarthest; }
  bool has_reading(const Row& row) const {
    return circle.has(row) || zenith.has(row) || slope.has(row) || horizontal.has(row);
  }

  AngleCells circle, zenith, circle_sd, zenith_sd;
  LengthCells slope, horizontal, height, reflector, target_sd, distance_sd;
  AngleColumn read_circle, read_zenith, read_circle_sd, read_zenith_sd;
  LengthColumn read_slope, read_horizontal, read_height, read_reflector, read_target_sd, read_distance_sd;
};

/// Face 1 or 2; 1 where the cell is empty. Other words for it are refused with the number to write.
std::optional<std::int64_t> read_face(const NumberColumn& face, const Row& row, Messages& told) {
  if (!face.has(row)) return 1;
  const std::string word = small_letters(face.text(row));
  for (const auto& [one, two] : {std::pair{"i", "ii"},
                                 {"left", "right"},
                                 {"l", "r"},
                                 {"f1", "f2"},
                                 {"face 1", "face 2"},
                                 {"direct", "reverse"}})
    if (word == one || word == two) {
      face.problem(row, Fault{in_quotes(face.text(row)), "1 or 2", word == one ? "1" : "2"}, told);
      return std::nullopt;
    }
  return read_whole(face, row, 1, 2, told);
}

/// A zenith angle as read, with a direction in plan; nothing otherwise (told).
std::optional<Angle> read_zenith(const ReadingColumns& columns, const Row& row, Messages& told) {
  const AngleCells& zenith = columns.zenith;
  const auto value = columns.read_zenith.read(row, told);
  if (!value) return std::nullopt;
  const bool vertical =
      *value == Angle::degrees(0) || *value == Angle::degrees(180) || *value == Angle::degrees(360);
  if (!vertical && *value > Angle::degrees(0) && *value < Angle::degrees(360)) return value;
  zenith.problem(row,
                 Fault{in_quotes(zenith.text(row)) +
                           (vertical ? ", straight up or down, where the circle says nothing" : ""),
                       "a zenith angle of 0 to 360 degrees as read, 90 (in face 2 270) where level; or an "
                       "empty cell where none was read",
                       ""},
                 told);
  return std::nullopt;
}

/// The sd of one angle as read in its own face; nothing where the cell is empty or bad (bad: told).
std::optional<Angle> read_angle_sd(const AngleCells& column, const AngleColumn& read, const Row& row,
                                   Messages& told) {
  const auto value = read.read(row, told);
  if (!value) return std::nullopt;
  if (*value <= Angle::degrees(0) || *value > kLargestAngleSd) {
    column.problem(row,
                   Fault{in_quotes(column.text(row)) +
                             (*value > kLargestAngleSd ? ", over one degree" : ", not above zero"),
                         "the sd of one reading, above zero, such as 0-00-05", ""},
                   told);
    return std::nullopt;
  }
  if (*value > kLooseAngle)
    column.doubt("a loose angle", row,
                 fmt::format("an angle good to {} only; is the unit as meant? 5 seconds are 0-00-05",
                             dms_text(*value, 0)),
                 told);
  return value;
}

/// The distance of a row, as read or already reduced, with its sd. False where it has both (told).
bool read_distance(const ReadingColumns& r, const Row& row, Reading& out, Messages& told) {
  out.slope =
      not_beyond(r.slope, row, above_zero(r.slope, row, r.read_slope.read(row, told), told), kFarthest, told);
  out.horizontal =
      not_beyond(r.horizontal, row, above_zero(r.horizontal, row, r.read_horizontal.read(row, told), told),
                 kFarthest, told);
  out.distance_sd = above_zero(r.distance_sd, row, r.read_distance_sd.read(row, told), told);
  if (const auto loose = out.distance_sd ? loose_distance(*out.distance_sd) : std::nullopt)
    r.distance_sd.doubt("a loose distance", row, *loose + " A distance that was read goes under slope", told);
  if (!r.slope.has(row) || !r.horizontal.has(row)) return true;
  r.horizontal.problem(row,
                       Fault{fmt::format("{} beside slope {}", in_quotes(r.horizontal.text(row)),
                                         in_quotes(r.slope.text(row))),
                             "one distance a row: slope as read, or horizontal as reduced", "an empty cell"},
                       told);
  return false;
}

/// Reads one table.
class ObservationReader {
 public:
  ObservationReader(const ObservationTable& table, const ObservationsRead& as, Messages& messages)
      : table_(table), as_(as), told_(messages), columns_(table, as.unit, as.angles, messages) {}

  void read(StatedSetup& out) {
    if (columns_.reflector.stands() && as_.distances == Distances::corrected)
      told_.doubt("a reflector constant that is not applied", columns_.reflector.header(),
                  columns_.reflector.name(),
                  "distances are taken as corrected by the instrument, so this column is not applied; state "
                  "distances = \"raw\" under [instrument] if they are not");
    Messages of_rows;
    auto rows =
        read_records<Rows<NamedReading>>(*table_, of_rows, [&](auto& all, const Row& r, Messages& told) {
          if (auto reading = row(r, told)) {
            const std::string name = reading->target;
            all.add(std::move(*reading), name, r.begin());
          }
        });
    if (of_rows.has_problems() && are_angles_exchanged()) {
      told_.problem(columns_.circle.header(), "header",
                    Fault{"circle and zenith exchanged: every circle could be a zenith angle, and most "
                          "zenith angles cannot",
                          "the horizontal circle under circle, the zenith angle under zenith",
                          "circle in place of zenith, and zenith in place of circle"});
      return;
    }
    told_.merge(std::move(of_rows));
    out.begins = std::move(rows.begins);
    number_targets(out, std::move(rows.records));
    check_readings(out, told_);
  }

 private:
  std::optional<NamedReading> row(const Row& row, Messages& told) const;
  bool are_angles_exchanged() const;
  static void number_targets(StatedSetup& out, std::vector<NamedReading> rows);

  const ObservationTable& table_;
  const ObservationsRead& as_;
  Messages& told_;
  ReadingColumns columns_;
};

std::optional<NamedReading> ObservationReader::row(const Row& row, Messages& told) const {
  const ReadingColumns& r = columns_;
  NamedReading out;
  const auto name = read_name(table_.at<c::target>(), row, told);
  const auto side = read_face(table_.at<c::face>(), row, told);
  const auto turned = r.read_circle.read_circle(row, told);
  if (!r.has_reading(row))
    tell_empty(r.circle, row, "a reading: circle, zenith, slope or horizontal", "", told);
  out.reading.zenith = read_zenith(r, row, told);
  out.reading.circle_sd = read_angle_sd(r.circle_sd, r.read_circle_sd, row, told);
  out.reading.zenith_sd = read_angle_sd(r.zenith_sd, r.read_zenith_sd, row, told);
  const bool one_distance = read_distance(r, row, out.reading, told);
  const auto tall = not_beyond(r.height, row, r.read_height.read(row, told), kHighest, told);
  out.reading.reflector =
      not_beyond(r.reflector, row, r.read_reflector.read(row, told), kLargestConstant, told);
  out.reading.target_sd = not_negative(r.target_sd, row, r.read_target_sd.read(row, told), told);
  if (r.horizontal.has(row) && r.reflector.has(row) && as_.distances == Distances::raw)
    r.reflector.doubt("a reflector constant that is not applied", row,
                      "not applied to a distance under horizontal, which is taken as reduced", told);
  if (!name || !side || !one_distance || !r.has_reading(row)) return std::nullopt;
  if ((r.circle.has(row) && !turned) || (r.zenith.has(row) && !out.reading.zenith) ||
      (r.height.has(row) && !tall))
    return std::nullopt;
  out.target = std::string(*name);
  out.reading.face = static_cast<int>(*side);
  if (turned) out.reading.circle = CircleReading::degrees(turned->degrees());
  out.reading.target_height = tall.value_or(Length::metres(0));
  if (!face_agrees(out.reading)) {
    r.zenith.problem(row,
                     Fault{in_quotes(r.zenith.text(row)) + fmt::format(" in face {}", out.reading.face),
                           out.reading.face == 1 ? "a zenith angle under 180 degrees (face 2 reads over 180)"
                                                 : "a zenith angle over 180 degrees (face 1 reads under 180)",
                           ""},
                     told);
    return std::nullopt;
  }
  return out;
}

/// Both angles of every row, read without a word.
bool ObservationReader::are_angles_exchanged() const {
  constexpr std::size_t kFew = 4;
  constexpr double kSteepest = 45;  // degrees from level: what a circle seldom is in all rows
  struct Counted {
    std::size_t rows = 0, steep = 0, wrong = 0;
    void reserve(std::size_t) {}
    void append(Counted&& other) { rows += other.rows, steep += other.steep, wrong += other.wrong; }
  };
  Messages quiet;
  const Counted all = read_records<Counted>(*table_, quiet, [&](Counted& out, const Row& r, Messages& told) {
    const auto side = read_face(table_.at<c::face>(), r, told);
    const auto circle = columns_.read_circle.read_circle(r, told);
    const auto zenith = columns_.read_zenith.read(r, told);
    if (!side || !circle || !zenith) return;
    const auto off_level = [&](Angle a) { return std::fabs(a.degrees() - (*side == 2 ? 270 : 90)); };
    ++out.rows;
    out.steep += off_level(*circle) > kSteepest;
    out.wrong += off_level(*zenith) > 90;
  });
  return all.rows >= kFew && all.steep == 0 && 2 * all.wrong >= all.rows;
}

void ObservationReader::number_targets(StatedSetup& out, std::vector<NamedReading> rows) {
  std::map<std::string, std::size_t> numbers;
  for (NamedReading& row : rows) {
    const auto [at, fresh] = numbers.emplace(small_letters(row.target), out.targets.size());
    if (fresh) out.targets.push_back(row.target);
    row.reading.target = at->second;
    out.readings.push_back(row.reading);
  }
}

/// A table has one kind of reading at least. A column `distance` is near `distance_sd` by its letters and
/// `slope` by its meaning: 25 m taken for an sd would be believed, and no zenith angle makes up for it.
bool has_readings(const ObservationTable& table, Messages& told) {
  const Where header = table.at<c::circle>().header();
  std::string meant;
  for (const std::string& name : table->column_names()) {
    if (std::ranges::count(c::kMeantSlope, name) == 0) continue;
    told.notice("an unknown column", header, "header",
                fmt::format("column {} is not known and not used; slope is", in_quotes(name)));
    meant = fmt::format("slope in place of {}", name);
  }
  const bool has_zenith = table.at<c::zenith>().stands();
  if (table.at<c::circle>().stands() || table.at<c::slope>().stands() || table.at<c::horizontal>().stands() ||
      (has_zenith && meant.empty()))
    return true;
  const Offer& offer = table->offer();
  if (meant.empty() &&
      (offer.has(c::circle.name) || offer.has(c::slope.name) || offer.has(c::horizontal.name)))
    meant = table->offered_line();
  told.problem(header, "header",
               Fault{columns_found(*table),
                     has_zenith ? "observations column circle, slope or horizontal beside zenith"
                                : "observations column circle, zenith, slope or horizontal",
                     meant});
  return false;
}

}  // namespace

void read_observations(const TableKey& key, const ObservationsRead& as, TableLoader& tables, StatedSetup& out,
                       Messages& messages) {
  const auto table = tables.open<c::Terms, c::Places>(key);
  if (!table || !has_readings(table, messages)) return;
  out.table = table.shared();
  ObservationReader(table, as, messages).read(out);
}

std::optional<std::string> loose_distance(Length sd) {
  if (sd <= kLooseDistance) return std::nullopt;
  return fmt::format("distances good to {} mm only; is the unit as meant?", fixed(sd.millimetres(), 1));
}

}  // namespace deckmark
