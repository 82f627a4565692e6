#include "job/read_instrument.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "job/columns.h"
#include "job/keys/setup_keys.h"
#include "job/named_after.h"
#include "job/reading_checks.h"
#include "measure/decimal.h"
#include "measure/letters.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

constexpr Length kHighest = Length::metres(20), kFarthest = Length::metres(20000),
                 kLargestConstant = Length::metres(1);
constexpr Length kLooseDistance = Length::millimetres(10);  // no instrument of this trade reads worse
constexpr double kHighPressureInMillimetres = 690,
                 kLowPressure = 800;  // between them stand mmHg of places under 800 m
constexpr double kHectopascalOfMillimetre = 1.33322;
constexpr Length kNearest = Length::metres(0.1);  // nearer, no direction can be read

namespace c = deckmark::observations;
using ObservationTable = OpenTable<c::Terms>;

/// One row of observations before its target has a number.
struct NamedReading {
  std::string target;
  Reading reading;
};

std::string loose_distance(Length sd) {
  return fmt::format("distances good to {} mm only; is the unit as meant?", fixed(sd.millimetres(), 1));
}

/// How the columns of an observations table are read.
struct ReadingColumns {
  ReadingColumns(const ObservationTable& table, LengthUnit unit, std::optional<AngleNotation> bare,
                 Messages& messages)
      : circle(table.at<c::circle>()),
        zenith(table.at<c::zenith>()),
        slope(table.at<c::slope>()),
        height(table.at<c::height>()),
        reflector(table.at<c::reflector>()),
        target_sd(table.at<c::target_sd>()),
        distance_sd(table.at<c::distance_sd>()),
        read_circle(circle, bare, messages),
        read_zenith(zenith, bare, messages),
        read_slope(lengths_of(slope, unit, kSiteUnit, messages,
                              [](Length l) { return is_above_zero(l) && l <= kFarthest; })),
        read_height(
            lengths_of(height, unit, kSiteUnit, messages, [](Length l) { return abs(l) <= kHighest; })),
        read_reflector(lengths_of(reflector, unit, kSiteUnit, messages,
                                  [](Length l) { return abs(l) <= kLargestConstant; })),
        read_target_sd(lengths_of(target_sd, unit, kSiteUnit, messages, is_not_negative)),
        read_distance_sd(lengths_of(distance_sd, unit, kSiteUnit, messages, is_above_zero)) {}
  AngleCells circle, zenith;
  LengthCells slope, height, reflector, target_sd, distance_sd;
  AngleColumn read_circle, read_zenith;
  LengthColumn read_slope, read_height, read_reflector, read_target_sd, read_distance_sd;
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

/// The value where it is no further from zero than that; nothing otherwise (told).
std::optional<Length> not_beyond(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Length most, Messages& told) {
  if (!value || abs(*value) <= most) return value;
  column.problem(
      row,
      Fault{
          fmt::format("{}, which is {} m", in_quotes(column.text(row)), fixed(value->metres(), 0)),
          fmt::format("a length up to {} m; look at the unit and the decimal point", fixed(most.metres(), 0)),
          ""},
      told);
  return std::nullopt;
}

/// Reads one `[[setup]]`: what is wrong with its readings leaves its plan, and the other way round.
class OneSetup {
 public:
  OneSetup(const JobReading& in, const JobValue& item, SetupMessages& told)
      : in_(in),
        item_(item),
        job_(in.job),
        into_(in.job.instrument),
        told_(told),
        tables_(in.job, told.readings) {}

  void read() {
    SetupReader of_place = reader(told_.place), of_readings = reader(told_.readings),
                of_plan = reader(told_.plan);
    SetupKeys keys;
    of_place.read<kSetupPlaceKeys>(keys, in_.bare());
    if (knows_angles()) of_readings.read<kSetupReadingKeys>(keys, in_.bare());
    of_plan.read<kSetupPlanKeys>(keys, in_.bare());
    StatedSetup out;
    out.where = item_.place;
    name(of_place, keys, out);
    place(of_place, keys, out);
    out.has_height = keys.height.written;
    out.height = keys.height.value_or(out.height);
    out.orientation = keys.orientation.value;
    if (keys.observations) observations(*keys.observations, out);
    out.states_plan = of_plan.means("plan");
    plan(of_plan, keys, out);
    if (of_readings.lacks("observations") && !told_.place.has_problems()) needs_observations(keys, out);
    out.is_spoiled = told_.spoils_setup() || !knows_angles();
    out.is_plan_spoiled = told_.spoils_plan();
    into_.setups.push_back(std::move(out));
  }

 private:
  using SetupReader = SectionReader<kSetup>;
  SetupReader reader(Messages& told) const {
    return SetupReader(&item_, std::string(kSetup.name), job_.file, told);
  }
  /// Where the job refuses to say how angles are read, none can be.
  bool knows_angles() const { return into_.angles || !in_.section<kInstrument>(Part::units).has("angles"); }

  void name(SetupReader& s, const SetupKeys& keys, StatedSetup& out) {
    const Stated<std::string>& text = keys.name;
    if (!text) {
      if (s.lacks("name"))
        told_.place.problem(out.where, "setup.name",
                            Fault{"a setup without a name", "a name of letters, digits, - and _",
                                  fmt::format("name = \"S{}\"", into_.setups.size() + 1)});
      return;
    }
    out.name = *text;
    if (text->size() > kLongestFilePart)
      s.problem("name", Fault{in_quotes(*text) + ", which is longer",
                              fmt::format("a name of up to {} letters, digits, - and _", kLongestFilePart),
                              fmt::format("\"S{}\"", into_.setups.size() + 1)});
    else if (!is_file_part(*text))
      s.problem("name",
                Fault{in_quotes(*text), "a name of letters, digits, - and _, since files are named after it",
                      fmt::format("\"{}\"", as_file_part(*text, "S1"))});
    for (const StatedSetup& other : into_.setups)
      if (same_name(other.name, *text))
        s.problem("name", Fault{fmt::format("name {} again", in_quotes(*text)),
                                "each setup's name once, without regard to letter case", ""});
  }

  void place(SetupReader& s, const SetupKeys& keys, StatedSetup& out) {
    using Name = KeyName<kSetup>;
    if (s.means("at")) {
      if (!keys.at.written) return;
      for (const Name key : {Name("northing"), Name("easting"), Name("elevation"), Name("sd")})
        if (s.has(key))
          s.problem(key, Fault{fmt::format("{} beside at", key.word),
                               "at, or the instrument's own northing, easting, elevation and sd", ""});
      if (keys.at) out.control = known(s, *keys.at, out);
      return;
    }
    out.place = SetupPlace::own;
    if (s.lacks("northing") && s.lacks("easting")) {
      told_.place.problem(
          out.where, "setup.at",
          Fault{"a setup without a place", "at = a control point or \"free\", or northing and easting",
                "at = \"free\""});
      return;
    }
    for (const Name key : {Name("northing"), Name("easting")})
      if (s.lacks(key))
        told_.place.problem(out.where, fmt::format("setup.{}", key.word),
                            Fault{fmt::format("no {}", key.word), "both northing and easting", ""});
    const Length none = Length::metres(0);
    out.own =
        ControlMark{{{.northing = keys.northing.value_or(none), .easting = keys.easting.value_or(none)}},
                    elevation_of(keys.elevation.value),
                    keys.sd.value};
  }

  std::optional<std::size_t> known(SetupReader& s, const std::string& at, StatedSetup& out) {
    if (at == "free") return std::nullopt;
    out.place = SetupPlace::known;
    const auto row = control(at);
    if (!row && knows_control())
      s.problem("at", Fault{in_quotes(at), fmt::format("a control point{}, or \"free\"", control_names()),
                            same_name(at, "free") ? "\"free\"" : near_control(at)});
    return row;
  }

  /// All of it: where a row could not be read, its name is no slip of those who write it.
  bool knows_control() const { return !in_.told.is_spoiled(Part::control); }
  std::optional<std::size_t> control(std::string_view name) const {
    const auto found =
        std::ranges::find_if(job_.control, [&](const ControlPoint& c) { return same_name(c.name, name); });
    if (found == job_.control.end()) return std::nullopt;
    return static_cast<std::size_t>(found - job_.control.begin());
  }
  /// The first of them, in brackets: a name with another digit is another point, so none is proposed.
  std::string control_names() const {
    constexpr std::size_t kShown = 6;
    std::string names;
    for (std::size_t i = 0; i < std::min(kShown, job_.control.size()); ++i)
      names += (i == 0 ? "" : ", ") + job_.control[i].name;
    if (job_.control.size() > kShown) names += fmt::format(" and {} more", job_.control.size() - kShown);
    return names.empty() ? "" : " (" + names + ")";
  }
  std::string near_control(const std::string& name) const {
    std::vector<std::string> names;
    for (const ControlPoint& c : job_.control) names.push_back(c.name);
    const auto near = meant_word(name, names);
    return near ? fmt::format("\"{}\"", *near) : "";
  }

  void plan(SetupReader& s, const SetupKeys& keys, StatedSetup& out) {
    out.rounds = keys.rounds;
    const Stated<std::vector<std::string>>& names = keys.plan;
    if (!names) return;
    const auto stands = s.listed("plan");
    for (std::size_t i = 0; i < names->size(); ++i) {
      const std::string& n = (*names)[i];
      const auto refuse = [&](const Fault& fault) {
        told_.plan.problem(stands[i].second, "setup.plan", fault);
      };
      const auto row = control(n);
      if (row && row == out.control)
        refuse({in_quotes(n) + ", over which the instrument will stand", "other control points", ""});
      else if (row && out.own && distance(out.own->at, job_.control[*row].at) < kNearest)
        refuse({in_quotes(n) + ", at which the spot lies",
                "control points that can be sighted from the spot; or at = the control point to stand on",
                ""});
      else if (row)
        out.plan.push_back(*row);
      else if (knows_control())
        refuse({in_quotes(n), "control points that will be sighted" + control_names(), near_control(n)});
    }
    if (names->empty()) s.problem("plan", Fault{"an empty list", "control points that will be sighted", ""});
    if (out.place == SetupPlace::free && !told_.place.has_problems())
      s.problem("plan",
                Fault{"a plan for a setup at no stated place",
                      "the spot's rough northing and easting in place of at, or at = a control point", ""});
  }

  /// Without readings a place of its own says something, and so does a stated orientation.
  void needs_observations(const SetupKeys& keys, const StatedSetup& out) {
    if (out.place == SetupPlace::own || out.states_plan) return;
    if (out.place == SetupPlace::known && keys.orientation.written) return;
    told_.readings.problem(
        out.where, "setup.observations",
        Fault{fmt::format("no observations of setup {}", in_quotes(out.name)),
              out.place == SetupPlace::known ? "a table of readings; or an orientation; or a plan"
                                             : "a table of readings to two or more control points",
              "observations = \"s1.csv\""});
  }

  void observations(const TableKey& key, StatedSetup& out);
  std::optional<NamedReading> row(const ObservationTable& table, const Row& row,
                                  const ReadingColumns& columns, Messages& told) const;
  bool has_readings(const ObservationTable& table) const;
  bool are_angles_exchanged(const ObservationTable& table, const ReadingColumns& columns) const;
  void number_targets(StatedSetup& out, std::vector<NamedReading> rows);

  const JobReading& in_;
  const JobValue& item_;
  Job& job_;
  InstrumentJob& into_;
  SetupMessages& told_;
  TableLoader tables_;
};

std::optional<NamedReading> OneSetup::row(const ObservationTable& table, const Row& row,
                                          const ReadingColumns& columns, Messages& told) const {
  const ReadingColumns& r = columns;
  NamedReading out;
  const auto name = read_name(table.at<c::target>(), row, told);
  const auto side = read_face(table.at<c::face>(), row, told);
  const auto turned = r.read_circle.read_circle(row, told);
  if (!r.circle.has(row) && !r.slope.has(row))
    tell_empty(r.circle, row, "a reading of the horizontal circle, or a slope distance", "", told);
  out.reading.zenith = read_zenith(r, row, told);
  out.reading.slope =
      not_beyond(r.slope, row, above_zero(r.slope, row, r.read_slope.read(row, told), told), kFarthest, told);
  const auto tall = not_beyond(r.height, row, r.read_height.read(row, told), kHighest, told);
  out.reading.reflector =
      not_beyond(r.reflector, row, r.read_reflector.read(row, told), kLargestConstant, told);
  out.reading.target_sd = not_negative(r.target_sd, row, r.read_target_sd.read(row, told), told);
  out.reading.distance_sd = above_zero(r.distance_sd, row, r.read_distance_sd.read(row, told), told);
  if (out.reading.distance_sd && *out.reading.distance_sd > kLooseDistance)
    r.distance_sd.doubt(
        "a loose distance", row,
        loose_distance(*out.reading.distance_sd) + " A distance that was read goes under slope", told);
  if (!name || !side || (r.circle.has(row) ? !turned : !r.slope.has(row))) return std::nullopt;
  if ((r.zenith.has(row) && !out.reading.zenith) || (r.height.has(row) && !tall)) return std::nullopt;
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

void OneSetup::observations(const TableKey& key, StatedSetup& out) {
  const auto table = tables_.open<c::Terms, c::Places>(key);
  if (!table) return;
  if (!has_readings(table)) return;
  out.table = table.shared();
  const ReadingColumns columns(table, job_.site_unit, into_.angles, told_.readings);
  if (columns.reflector.stands() && into_.options.distances == Distances::corrected)
    told_.readings.doubt(
        "a reflector constant that is not applied", columns.reflector.header(), columns.reflector.name(),
        "distances are taken as corrected by the instrument, so this column is not applied; state "
        "distances = \"raw\" under [instrument] if they are not");
  Messages of_rows;
  auto rows = read_records<Rows<NamedReading>>(*table, of_rows, [&](auto& all, const Row& r, Messages& told) {
    if (auto reading = row(table, r, columns, told)) {
      const std::string name = reading->target;
      all.add(std::move(*reading), name, r.begin());
    }
  });
  if (of_rows.has_problems() && are_angles_exchanged(table, columns)) {
    told_.readings.problem(
        columns.circle.header(), "header",
        Fault{"circle and zenith exchanged: every circle could be a zenith angle, and most "
              "zenith angles cannot",
              "the horizontal circle under circle, the zenith angle under zenith",
              "circle in place of zenith, and zenith in place of circle"});
    return;
  }
  told_.readings.merge(std::move(of_rows));
  out.begins = std::move(rows.begins);
  number_targets(out, std::move(rows.records));
}

/// Both angles of every row, read without a word.
bool OneSetup::are_angles_exchanged(const ObservationTable& table, const ReadingColumns& columns) const {
  constexpr std::size_t kFew = 4;
  constexpr double kSteepest = 45;  // degrees from level: what a circle seldom is in all rows
  struct Counted {
    std::size_t rows = 0, steep = 0, wrong = 0;
    void reserve(std::size_t) {}
    void append(Counted&& other) { rows += other.rows, steep += other.steep, wrong += other.wrong; }
  };
  Messages quiet;
  const Counted all = read_records<Counted>(*table, quiet, [&](Counted& out, const Row& r, Messages& told) {
    const auto side = read_face(table.at<c::face>(), r, told);
    const auto circle = columns.read_circle.read_circle(r, told);
    const auto zenith = columns.read_zenith.read(r, told);
    if (!side || !circle || !zenith) return;
    const auto off_level = [&](Angle a) { return std::fabs(a.degrees() - (*side == 2 ? 270 : 90)); };
    ++out.rows;
    out.steep += off_level(*circle) > kSteepest;
    out.wrong += off_level(*zenith) > 90;
  });
  return all.rows >= kFew && all.steep == 0 && 2 * all.wrong >= all.rows;
}

/// A table without circles needs distances. A column `distance` is near `distance_sd` by its letters and
/// `slope` by its meaning: 25 m taken for an sd would be believed.
bool OneSetup::has_readings(const ObservationTable& table) const {
  const Where header = table.at<c::circle>().header();
  std::string meant;
  for (const std::string& name : table->column_names()) {
    if (std::ranges::count(c::kMeantSlope, name) == 0) continue;
    told_.readings.notice("an unknown column", header, "header",
                          fmt::format("column {} is not known and not used; slope is", in_quotes(name)));
    meant = fmt::format("slope in place of {}", name);
  }
  if (table.at<c::circle>().stands() || table.at<c::slope>().stands()) return true;
  const Offer& offer = table->offer();
  if (meant.empty() && (offer.has(c::circle.name) || offer.has(c::slope.name))) meant = table->offered_line();
  told_.readings.problem(
      header, "header",
      Fault{columns_found(*table), "observations column circle, or slope with zenith", meant});
  return false;
}

void OneSetup::number_targets(StatedSetup& out, std::vector<NamedReading> rows) {
  std::map<std::string, std::size_t> numbers;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto [at, fresh] = numbers.emplace(small_letters(rows[i].target), out.targets.size());
    if (fresh) out.targets.push_back(rows[i].target);
    rows[i].reading.target = at->second;
    out.readings.push_back(rows[i].reading);
    if (out.control && fresh && same_name(job_.control[*out.control].name, rows[i].target))
      told_.readings.problem(out.table->where(out.begins[i], c::Terms::index<c::target>()), c::target.name,
                             Fault{in_quotes(rows[i].target) + ", over which the instrument stands",
                                   "another point; or another place of the setup", ""});
  }
  check_readings(out, told_.readings);
}

class InstrumentReader {
 public:
  explicit InstrumentReader(const JobReading& in)
      : in_(in),
        job_(in.job),
        into_(in.job.instrument),
        instrument_(in.section<kInstrument>(Part::instrument)) {}

  void read() {
    instrument();
    in_.section<kStake>(Part::stake).read(job_, in_.bare());
    const JobValue* setups = in_.root.member(kSetup.name);
    if (!setups) return;
    into_.states_setups = true;
    const bool is_list =
        setups->kind == JobValue::Kind::list && std::ranges::all_of(setups->items, [](const JobValue& item) {
          return item.kind == JobValue::Kind::section;
        });
    if (!is_list) {
      in_.told.of(Part::setups)
          .problem(setups->place, "setup",
                   Fault{setups->text, "a section in double brackets for every setup", "[[setup]]"});
      return;
    }
    for (std::size_t i = 0; i < setups->items.size(); ++i)
      OneSetup(in_, setups->items[i], in_.told.of_setup(i)).read();
    required();
  }

 private:
  void instrument() {
    instrument_.read<kInstrumentKeys>(job_, in_.bare());
    const InstrumentOptions& o = into_.options;
    if (o.distance_sd && *o.distance_sd > kLooseDistance)
      instrument_.doubt("a loose distance", "distance_sd", loose_distance(*o.distance_sd));
    if (o.pressure && *o.pressure > kHighPressureInMillimetres && *o.pressure < kLowPressure)
      instrument_.doubt(
          "a low pressure", "pressure",
          fmt::format("{} hPa is the air of a place over 1900 m high; if it is in mmHg, write {}",
                      fixed(*o.pressure, 1), fixed(*o.pressure * kHectopascalOfMillimetre, 1)));
  }

  /// Keys without a default, as soon as something is to be reduced or predicted.
  void required() {
    const auto reads = [](const StatedSetup& s) { return s.table || !s.plan.empty(); };
    const auto first = std::ranges::find_if(into_.setups, reads);
    const auto stakes = std::ranges::find_if(
        into_.setups, [](const StatedSetup& s) { return s.orientation.has_value() || s.table; });
    if (first == into_.setups.end() && stakes == into_.setups.end()) return;
    const std::string& name = first != into_.setups.end() ? first->name : stakes->name;
    const auto need = [&](KeyName<kInstrument> key, std::string_view what, std::string_view example) {
      if (instrument_.means(key)) return;
      instrument_.problem(
          key, Fault{fmt::format("no {}, which setup {} needs", key.word, in_quotes(name)), std::string(what),
                     fmt::format("{} = {} under [instrument]", key.word, example)});
    };
    need("angle_sd", "the sd of one direction, mean of both faces", "\"2\\\"\"");
    need("distance_sd", "the constant part of the sd of a distance", "\"2 mm\"");
    if (into_.options.distances != Distances::raw) return;
    need("reference_refractivity", "the refractivity in ppm at which the instrument reads true", "283.7");
    need("temperature", "degrees Celsius", "20.0");
    need("pressure", "hPa, as the barometer on site reads (not reduced to sea level)", "1013.25");
  }

  const JobReading& in_;
  Job& job_;
  InstrumentJob& into_;
  SectionReader<kInstrument> instrument_;
};

}  // namespace

void read_instrument(const JobReading& in) { InstrumentReader(in).read(); }

}  // namespace deckmark
