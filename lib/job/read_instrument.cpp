#include "job/read_instrument.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "job/columns.h"
#include "job/reading_checks.h"
#include "measure/decimal.h"
#include "measure/letters.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

constexpr Angle kLargestSd = Angle::degrees(1);
constexpr Length kHighest = Length::metres(20), kFarthest = Length::metres(20000),
                 kLargestConstant = Length::metres(1);
constexpr Length kLooseDistance = Length::millimetres(10);  // no instrument of this trade reads worse
constexpr double kHighPressureInMillimetres = 690,
                 kLowPressure = 800;  // between them stand mmHg of places under 800 m
constexpr double kHectopascalOfMillimetre = 1.33322;
constexpr Length kNearest = Length::metres(0.1);  // nearer, no direction can be read
constexpr std::size_t kLongestName = 60;          // files are named after setups
/// No columns of observations, but often written for `slope`.
const std::vector<std::string> kMeantSlope = {"distance",     "distance m",     "distance_m",
                                              "distance [m]", "slope distance", "slope_distance"};

/// One row of observations before its target has a number.
struct NamedReading {
  std::string target;
  Reading reading;
};

std::string loose_distance(Length sd) {
  return fmt::format("distances good to {} mm only; is the unit as meant?", fixed(sd.millimetres(), 1));
}

/// True where a name can stand in a file's name as it is.
bool is_file_part(std::string_view name) {
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
  };
  return !name.empty() && std::ranges::all_of(name, fits);
}
std::string as_file_part(std::string_view name) {
  std::string out;
  for (const char c : name) {
    if ((static_cast<unsigned char>(c) & 0xC0) == 0x80) continue;
    out += is_file_part(std::string_view(&c, 1)) ? c : '_';
  }
  return out.empty() ? "S1" : out;
}

/// How the columns of an observations table are read.
struct ReadingColumns {
  ReadingColumns(const Table& table, LengthUnit unit, std::optional<AngleNotation> bare, Messages& messages)
      : read_circle(table, circle, bare, messages),
        read_zenith(table, zenith, bare, messages),
        read_slope(table, slope, unit, kSiteUnit, messages,
                   [](Length l) { return is_above_zero(l) && l <= kFarthest; }),
        read_height(table, height, unit, kSiteUnit, messages, [](Length l) { return abs(l) <= kHighest; }),
        read_reflector(table, reflector, unit, kSiteUnit, messages,
                       [](Length l) { return abs(l) <= kLargestConstant; }),
        read_target_sd(table, target_sd, unit, kSiteUnit, messages, is_not_negative),
        read_distance_sd(table, distance_sd, unit, kSiteUnit, messages, is_above_zero) {}
  AngleColumn read_circle, read_zenith;
  LengthColumn read_slope, read_height, read_reflector, read_target_sd, read_distance_sd;
};

/// Face 1 or 2; 1 where the cell is empty. Other words for it are refused with the number to write.
std::optional<std::int64_t> read_face(const Table& table, const Row& row, Messages& told) {
  if (!row.has(face)) return 1;
  const std::string word = small_letters(row.text(face));
  for (const auto& [one, two] : {std::pair{"i", "ii"},
                                 {"left", "right"},
                                 {"l", "r"},
                                 {"f1", "f2"},
                                 {"face 1", "face 2"},
                                 {"direct", "reverse"}})
    if (word == one || word == two) {
      told.problem(Where::in(table.source(), row.offset(face)), "face",
                   Fault{in_quotes(row.text(face)), "1 or 2", word == one ? "1" : "2"});
      return std::nullopt;
    }
  return read_whole(table, row, face, 1, 2, told);
}

/// A zenith angle as read, with a direction in plan; nothing otherwise (told).
std::optional<Angle> read_zenith(const Table& table, const Row& row, const AngleColumn& column,
                                 Messages& told) {
  const auto value = column.read(row, told);
  if (!value) return std::nullopt;
  const bool vertical =
      *value == Angle::degrees(0) || *value == Angle::degrees(180) || *value == Angle::degrees(360);
  if (!vertical && *value > Angle::degrees(0) && *value < Angle::degrees(360)) return value;
  told.problem(Where::in(table.source(), row.offset(zenith)), "zenith",
               Fault{in_quotes(row.text(zenith)) +
                         (vertical ? ", straight up or down, where the circle says nothing" : ""),
                     "a zenith angle of 0 to 360 degrees as read, 90 (in face 2 270) where level; or an "
                     "empty cell where none was read",
                     ""});
  return std::nullopt;
}

/// The value where it is no further from zero than that; nothing otherwise (told).
std::optional<Length> not_beyond(const Table& table, const Row& row, std::size_t column,
                                 std::optional<Length> value, Length most, Messages& told) {
  if (!value || abs(*value) <= most) return value;
  told.problem(Where::in(table.source(), row.offset(column)), table.spec().columns[column].name,
               Fault{fmt::format("{}, which is {} m", in_quotes(row.text(column)), fixed(value->metres(), 0)),
                     fmt::format("a length up to {} m; look at the unit and the decimal point",
                                 fixed(most.metres(), 0)),
                     ""});
  return std::nullopt;
}

class InstrumentReader {
 public:
  InstrumentReader(const JobValue& root, Job& job, TableLoader& tables, Messages& messages)
      : root_(root), job_(job), into_(job.instrument), tables_(tables), messages_(messages) {}

  void read() {
    instrument();
    stake();
    const JobValue* setups = root_.member("setup");
    if (!setups) return;
    const bool is_list =
        setups->kind == JobValue::Kind::list && std::ranges::all_of(setups->items, [](const JobValue& item) {
          return item.kind == JobValue::Kind::section;
        });
    if (!is_list) {
      messages_.problem(Where::at(job_.file, setups->place), "setup",
                        Fault{setups->text, "a section in double brackets for every setup", "[[setup]]"});
      return;
    }
    for (const JobValue& item : setups->items) setup(item);
    required();
  }

 private:
  void instrument() {
    SectionReader s(root_.member("instrument"), "instrument", job_.file, messages_);
    InstrumentOptions& o = into_.options;
    if (const auto word = s.choice("angles", {"degrees", "gon", "packed"}))
      into_.angles = static_cast<AngleNotation>(*word);
    const auto is_angle_sd = [](Angle a) { return a > Angle::degrees(0) && a <= kLargestSd; };
    o.angle_sd = s.angle("angle_sd", std::nullopt, "0-00-02", is_angle_sd);
    if (o.angle_sd && !is_angle_sd(*o.angle_sd))
      s.problem("angle_sd", Fault{"an sd that is not above zero or over one degree",
                                  "the sd of one direction, mean of both faces, such as \"2\\\"\"", ""});
    o.distance_sd = s.possible_sd("distance_sd", false);
    if (o.distance_sd && *o.distance_sd > kLooseDistance)
      messages_.doubt("a loose distance", s.where("distance_sd"), "instrument.distance_sd",
                      loose_distance(*o.distance_sd));
    o.distance_ppm = s.number("distance_ppm", 0, 1000, "a number of ppm").value_or(o.distance_ppm);
    o.centring_sd = s.possible_sd("centring_sd", true).value_or(o.centring_sd);
    o.target_sd = s.possible_sd("target_sd", true).value_or(o.target_sd);
    o.height_sd = s.possible_sd("height_sd", true).value_or(o.height_sd);
    o.refraction = s.number("refraction", -10, 10, "a refraction coefficient").value_or(o.refraction);
    if (s.choice("distances", {"corrected", "raw"}).value_or(0) == 1) o.distances = Distances::raw;
    o.reflector =
        within(s, "reflector", kLargestConstant, "an additive constant", "\"-34 mm\"").value_or(o.reflector);
    o.reference_refractivity = s.number("reference_refractivity", 1, 1000, "a refractivity in ppm");
    o.temperature = s.number("temperature", -60, 80, "degrees Celsius");
    o.pressure = s.number("pressure", 300, 1200, "a pressure in hPa");
    if (o.pressure && *o.pressure > kHighPressureInMillimetres && *o.pressure < kLowPressure)
      messages_.doubt("a low pressure", s.where("pressure"), "instrument.pressure",
                      fmt::format("{} hPa is the air of a place over 1900 m high; if it is in mmHg, write {}",
                                  fixed(*o.pressure, 1), fixed(*o.pressure * kHectopascalOfMillimetre, 1)));
    o.humidity = s.number("humidity", 0, 100, "a relative humidity in %").value_or(o.humidity);
    o.wavelength = s.number("wavelength", 300, 2000, "a wavelength in nm").value_or(o.wavelength);
    const auto is_rise = [](Angle a) { return a > Angle::degrees(0) && a <= Angle::degrees(90); };
    if (const auto steep = s.angle("steep", into_.angles, "45°", is_rise)) {
      o.steep = *steep;
      if (!is_rise(*steep))
        s.problem("steep", Fault{"an elevation that is not from above 0 to 90 degrees",
                                 "the elevation above which a sight is steep, such as \"45°\"", ""});
    }
    for (const char* key :
         {"angle_sd", "distance_sd", "reference_refractivity", "temperature", "pressure", "reflector"})
      if (s.has(key)) stated_.push_back(key);
    s.finish();
  }

  void stake() {
    SectionReader s(root_.member("stake"), "stake", job_.file, messages_);
    into_.stake.target_height = height_key(s, "target_height").value_or(into_.stake.target_height);
    into_.stake.deck_target_height =
        height_key(s, "deck_target_height").value_or(into_.stake.deck_target_height);
    if (s.choice("order", {"run", "walk"}).value_or(0) == 1) into_.order = StakeOrder::walk;
    s.finish();
  }

  /// A length no further from zero than that; nothing otherwise (told).
  std::optional<Length> within(SectionReader& s, std::string_view key, Length most, std::string_view what,
                               std::string example) {
    const auto value = s.length(key, job_.site_unit, [most](Length v) { return abs(v) <= most; });
    if (!value || abs(*value) <= most) return value;
    s.problem(key,
              Fault{fmt::format("{} m", fixed(value->metres(), 3)),
                    fmt::format("{} up to {} m, such as {}", what, fixed(most.metres(), 0), example), ""});
    return std::nullopt;
  }
  std::optional<Length> height_key(SectionReader& s, std::string_view key) {
    return within(s, key, kHighest, "a height", "\"1.55 m\"");
  }

  bool is_stated(std::string_view key) const { return std::ranges::count(stated_, key) > 0; }

  /// Keys without a default, as soon as something is to be reduced or predicted.
  void required() {
    const auto reads = [](const StatedSetup& s) { return s.table || !s.plan.empty(); };
    const auto first = std::ranges::find_if(into_.setups, reads);
    const auto stakes = std::ranges::find_if(
        into_.setups, [](const StatedSetup& s) { return s.orientation.has_value() || s.table; });
    if (first == into_.setups.end() && stakes == into_.setups.end()) return;
    const std::string& name = first != into_.setups.end() ? first->name : stakes->name;
    const auto need = [&](std::string_view key, std::string_view what, std::string_view example) {
      if (is_stated(key)) return;
      messages_.problem(Where::whole(job_.file), fmt::format("instrument.{}", key),
                        Fault{fmt::format("no {}, which setup {} needs", key, in_quotes(name)),
                              std::string(what), fmt::format("{} = {} under [instrument]", key, example)});
    };
    need("angle_sd", "the sd of one direction, mean of both faces", "\"2\\\"\"");
    need("distance_sd", "the constant part of the sd of a distance", "\"2 mm\"");
    if (into_.options.distances != Distances::raw) return;
    need("reference_refractivity", "the refractivity in ppm at which the instrument reads true", "283.7");
    need("temperature", "degrees Celsius", "20.0");
    need("pressure", "hPa, as the barometer on site reads (not reduced to sea level)", "1013.25");
  }

  void setup(const JobValue& item) {
    SectionReader s(&item, "setup", job_.file, messages_);
    StatedSetup out;
    out.where = Where::at(job_.file, item.place);
    name(s, out);
    place(s, out);
    out.has_height = s.has("height");
    out.height = height_key(s, "height").value_or(out.height);
    const auto is_in_a_turn = [](Angle a) { return a < Angle::degrees(360) && a > Angle::degrees(-360); };
    out.orientation = s.angle("orientation", into_.angles, "40°", is_in_a_turn);
    if (out.orientation && !is_in_a_turn(*out.orientation))
      s.problem("orientation", Fault{"an azimuth of a full turn or more",
                                     "the azimuth of circle 0, under 360 degrees (400 gon)", ""});
    const auto table = s.table("observations");
    if (table) observations(*table, out);
    plan(s, out);
    if (!s.has("observations")) needs_observations(s, out);
    s.finish();
    into_.setups.push_back(std::move(out));
  }

  void name(SectionReader& s, StatedSetup& out) {
    const auto text = s.text("name");
    if (!text) {
      if (!s.has("name"))
        messages_.problem(out.where, "setup.name",
                          Fault{"a setup without a name", "a name of letters, digits, - and _",
                                fmt::format("name = \"S{}\"", into_.setups.size() + 1)});
      return;
    }
    out.name = *text;
    if (text->size() > kLongestName)
      s.problem("name", Fault{in_quotes(*text) + ", which is longer",
                              fmt::format("a name of up to {} letters, digits, - and _", kLongestName),
                              fmt::format("\"S{}\"", into_.setups.size() + 1)});
    else if (!is_file_part(*text))
      s.problem("name",
                Fault{in_quotes(*text), "a name of letters, digits, - and _, since files are named after it",
                      fmt::format("\"{}\"", as_file_part(*text))});
    for (const StatedSetup& other : into_.setups)
      if (same_name(other.name, *text))
        s.problem("name", Fault{fmt::format("name {} again", in_quotes(*text)),
                                "each setup's name once, without regard to letter case", ""});
  }

  void place(SectionReader& s, StatedSetup& out) {
    const auto at = s.text("at");
    const bool own = s.has("northing") || s.has("easting");
    ControlMark mark{{{.northing = Length::metres(0), .easting = Length::metres(0)}}, {}, {}};
    if (const auto n = s.length("northing", job_.site_unit)) mark.at.at.northing = *n;
    if (const auto e = s.length("easting", job_.site_unit)) mark.at.at.easting = *e;
    mark.elevation = elevation_of(s.within("elevation", job_.site_unit, kFarthest, "an elevation"));
    mark.sd = s.possible_sd("sd", true);
    if (s.has("at")) {
      for (const char* key : {"northing", "easting", "elevation", "sd"})
        if (s.has(key))
          s.problem(key, Fault{fmt::format("{} beside at", key),
                               "at, or the instrument's own northing, easting, elevation and sd", ""});
      if (at) out.control = known(s, *at, out);
      return;
    }
    out.place = SetupPlace::own;
    if (!own) {
      messages_.problem(out.where, "setup.at",
                        Fault{"a setup without a place",
                              "at = a control point or \"free\", or northing and easting", "at = \"free\""});
      return;
    }
    for (const char* key : {"northing", "easting"})
      if (!s.has(key))
        messages_.problem(out.where, fmt::format("setup.{}", key),
                          Fault{fmt::format("no {}", key), "both northing and easting", ""});
    out.own = mark;
  }

  std::optional<std::size_t> known(SectionReader& s, const std::string& at, StatedSetup& out) {
    if (at == "free") return std::nullopt;
    out.place = SetupPlace::known;
    const auto row = control(at);
    if (!row)
      s.problem("at", Fault{in_quotes(at), fmt::format("a control point{}, or \"free\"", control_names()),
                            same_name(at, "free") ? "\"free\"" : near_control(at)});
    return row;
  }

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

  void plan(SectionReader& s, StatedSetup& out) {
    out.rounds = static_cast<std::size_t>(s.count("rounds", 1, 100).value_or(1));
    const auto names = s.texts("plan", {});
    if (!names) return;
    for (const std::string& n : *names) {
      const auto row = control(n);
      if (row && row == out.control)
        s.problem("plan",
                  Fault{in_quotes(n) + ", over which the instrument will stand", "other control points", ""});
      else if (row && out.own && distance(out.own->at, job_.control[*row].at) < kNearest)
        s.problem(
            "plan",
            Fault{in_quotes(n) + ", at which the spot lies",
                  "control points that can be sighted from the spot; or at = the control point to stand on",
                  ""});
      else if (row)
        out.plan.push_back(*row);
      else
        s.problem("plan", Fault{in_quotes(n), "control points that will be sighted" + control_names(),
                                near_control(n)});
    }
    if (names->empty()) s.problem("plan", Fault{"an empty list", "control points that will be sighted", ""});
    if (out.place == SetupPlace::free)
      s.problem("plan",
                Fault{"a plan for a setup at no stated place",
                      "the spot's rough northing and easting in place of at, or at = a control point", ""});
  }

  /// Without readings a place of its own says something, and so does a stated orientation.
  void needs_observations(SectionReader& s, const StatedSetup& out) {
    if (out.place == SetupPlace::own || !out.plan.empty() || s.has("plan")) return;
    if (out.place == SetupPlace::known && s.has("orientation")) return;
    messages_.problem(
        out.where, "setup.observations",
        Fault{fmt::format("no observations of setup {}", in_quotes(out.name)),
              out.place == SetupPlace::known ? "a table of readings; or an orientation; or a plan"
                                             : "a table of readings to two or more control points",
              "observations = \"s1.csv\""});
  }

  void observations(const TableKey& key, StatedSetup& out);
  std::optional<NamedReading> row(const Table& table, const Row& row, const ReadingColumns& c,
                                  Messages& told) const;
  bool has_readings(const Table& table) const;
  void number_targets(StatedSetup& out, std::vector<NamedReading> rows);

  const JobValue& root_;
  Job& job_;
  InstrumentJob& into_;
  TableLoader& tables_;
  Messages& messages_;
  std::vector<std::string> stated_;
};

std::optional<NamedReading> InstrumentReader::row(const Table& table, const Row& row, const ReadingColumns& c,
                                                  Messages& told) const {
  NamedReading out;
  const auto name = read_name(table, row, target, told);
  const auto side = read_face(table, row, told);
  const auto turned = c.read_circle.read_circle(row, told);
  if (!row.has(circle) && !row.has(slope))
    tell_empty(table, row, circle, "a reading of the horizontal circle, or a slope distance", "", told);
  out.reading.zenith = read_zenith(table, row, c.read_zenith, told);
  out.reading.slope = not_beyond(
      table, row, slope, above_zero(table, row, slope, c.read_slope.read(row, told), told), kFarthest, told);
  const auto tall = not_beyond(table, row, height, c.read_height.read(row, told), kHighest, told);
  out.reading.reflector =
      not_beyond(table, row, reflector, c.read_reflector.read(row, told), kLargestConstant, told);
  out.reading.target_sd = not_negative(table, row, target_sd, c.read_target_sd.read(row, told), told);
  out.reading.distance_sd = above_zero(table, row, distance_sd, c.read_distance_sd.read(row, told), told);
  if (out.reading.distance_sd && *out.reading.distance_sd > kLooseDistance)
    told.doubt("a loose distance", Where::in(table.source(), row.offset(distance_sd)), "distance_sd",
               loose_distance(*out.reading.distance_sd) + " A distance that was read goes under slope");
  if (!name || !side || (row.has(circle) ? !turned : !row.has(slope))) return std::nullopt;
  if ((row.has(zenith) && !out.reading.zenith) || (row.has(height) && !tall)) return std::nullopt;
  out.target = std::string(*name);
  out.reading.face = static_cast<int>(*side);
  if (turned) out.reading.circle = CircleReading::degrees(turned->degrees());
  out.reading.target_height = tall.value_or(Length::metres(0));
  if (!face_agrees(out.reading)) {
    told.problem(Where::in(table.source(), row.offset(zenith)), "zenith",
                 Fault{in_quotes(row.text(zenith)) + fmt::format(" in face {}", out.reading.face),
                       out.reading.face == 1 ? "a zenith angle under 180 degrees (face 2 reads over 180)"
                                             : "a zenith angle over 180 degrees (face 1 reads under 180)",
                       ""});
    return std::nullopt;
  }
  return out;
}

void InstrumentReader::observations(const TableKey& key, StatedSetup& out) {
  const auto table = tables_.open(
      key, {"observations",
            {name_column("target"), number_column("face"), angle_column("circle"), angle_column("zenith"),
             length_column("slope"), length_column("height"), length_column("reflector"),
             length_column("target_sd"), length_column("distance_sd")},
            {},
            false,
            kMeantSlope});
  if (!table) return;
  if (!has_readings(*table)) return;
  out.table = table;
  const ReadingColumns columns(*table, job_.site_unit, into_.angles, messages_);
  if (table->has_column(reflector) && into_.options.distances == Distances::corrected)
    messages_.doubt(
        "a reflector constant that is not applied",
        Where::in(table->source(), table->header_offset(reflector)), "reflector",
        "distances are taken as corrected by the instrument, so this column is not applied; state "
        "distances = \"raw\" under [instrument] if they are not");
  std::vector<std::uint32_t> begins;
  auto rows =
      read_records<Rows<NamedReading>>(*table, messages_, [&](auto& all, const Row& r, Messages& told) {
        if (auto reading = row(*table, r, columns, told)) {
          const std::string name = reading->target;
          all.add(std::move(*reading), name, r.begin());
        }
      });
  out.begins = std::move(rows.begins);
  number_targets(out, std::move(rows.records));
}

/// A table without circles needs distances. A column `distance` is near `distance_sd` by its letters and
/// `slope` by its meaning: 25 m taken for an sd would be believed.
bool InstrumentReader::has_readings(const Table& table) const {
  const Where header = Where::in(table.source(), table.header_offset(circle));
  std::string meant;
  for (const std::string& name : table.column_names()) {
    if (std::ranges::count(kMeantSlope, name) == 0) continue;
    messages_.notice("an unknown column", header, "header",
                     fmt::format("column {} is not known and not used; slope is", in_quotes(name)));
    meant = fmt::format("slope in place of {}", name);
  }
  if (table.has_column(circle) || table.has_column(slope)) return true;
  messages_.problem(header, "header",
                    Fault{columns_found(table), "observations column circle, or slope with zenith", meant});
  return false;
}

void InstrumentReader::number_targets(StatedSetup& out, std::vector<NamedReading> rows) {
  std::map<std::string, std::size_t> numbers;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto [at, fresh] = numbers.emplace(small_letters(rows[i].target), out.targets.size());
    if (fresh) out.targets.push_back(rows[i].target);
    rows[i].reading.target = at->second;
    out.readings.push_back(rows[i].reading);
    if (out.control && fresh && same_name(job_.control[*out.control].name, rows[i].target))
      messages_.problem(out.table->where(out.begins[i], target), "target",
                        Fault{in_quotes(rows[i].target) + ", over which the instrument stands",
                              "another point; or another place of the setup", ""});
  }
  check_readings(out, messages_);
}

}  // namespace

void read_instrument(const JobValue& root, Job& job, TableLoader& tables, Messages& messages) {
  InstrumentReader(root, job, tables, messages).read();
}

}  // namespace deckmark
