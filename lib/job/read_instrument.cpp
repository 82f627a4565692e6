#include "job/read_instrument.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "job/columns.h"
#include "job/keys/net_keys.h"
#include "job/keys/setup_keys.h"
#include "job/named_after.h"
#include "job/read_observations.h"
#include "measure/decimal.h"
#include "measure/letters.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

constexpr double kHighPressureInMillimetres = 690,
                 kLowPressure = 800;  // between them stand mmHg of places under 800 m
constexpr double kHectopascalOfMillimetre = 1.33322;
constexpr std::size_t kTargetCell = observations::Terms::index<observations::target>();
constexpr Length kNearest = Length::metres(0.1);  // nearer, no direction can be read

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
    SetupKeys& keys = keys_;
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
    lacks_observations_ = of_readings.lacks("observations");
    if (keys.observations) {
      read_observations(*keys.observations, {job_.site_unit, into_.angles, into_.options.distances}, tables_,
                        out, told_.readings);
      refuse_own_mark(out);
    }
    out.states_plan = of_plan.means("plan");
    plan(of_plan, keys, out);
    index_ = into_.setups.size();
    into_.setups.push_back(std::move(out));
  }

  /// What needs all setups to be read.
  void finish() {
    StatedSetup& out = into_.setups[index_];
    const bool is_known = !out.over || is_sighted(*out.over);
    if (!told_.place.has_problems()) {
      if (lacks_observations_) needs_observations(out);
      if (keys_.plan) needs_place(out);
    }
    out.is_spoiled = told_.spoils_setup() || !knows_angles() || !is_known;
    out.is_plan_spoiled = told_.spoils_plan();
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
      if (keys.at) stand_at(*keys.at, out);
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

  /// A point that is no control is one that other setups sight, until all are read.
  void stand_at(const std::string& at, StatedSetup& out) const {
    if (at == "free") return;
    out.place = SetupPlace::known;
    out.control = control(at);
    if (!out.control) out.over = at;
  }

  /// Whether another setup sights the point. Told where none does; unknown where not all names are known.
  bool is_sighted(const std::string& at) {
    bool knows_all = knows_control();
    std::vector<std::string> names;
    for (const ControlPoint& c : job_.control) names.push_back(c.name);
    const auto is_at = [&](const std::string& name) { return same_name(name, at); };
    for (std::size_t i = 0; i < into_.setups.size(); ++i) {
      const std::vector<std::string>& targets = into_.setups[i].targets;
      const bool sights = std::ranges::any_of(targets, is_at);
      if (sights) return i != index_;  // its own sight of it is told
      if (i == index_) continue;
      knows_all = knows_all && !in_.told.of_setup(i).readings.has_problems();
      names.insert(names.end(), targets.begin(), targets.end());
    }
    if (knows_all)
      told_.place.problem(
          keys_.at.at, "setup.at",
          Fault{in_quotes(at),
                fmt::format("a control point{}, a point that another setup sights, or \"free\"",
                            control_names()),
                same_name(at, "free") ? "\"free\"" : near_name(at, std::move(names))});
    return false;
  }

  void refuse_own_mark(const StatedSetup& out) {
    if (out.place != SetupPlace::known) return;
    const auto target = std::ranges::find_if(
        out.targets, [&](const std::string& name) { return same_name(name, *keys_.at); });
    if (target == out.targets.end()) return;
    const auto reading = std::ranges::find(
        out.readings, static_cast<std::size_t>(target - out.targets.begin()), &Reading::target);
    const auto row = static_cast<std::size_t>(reading - out.readings.begin());
    told_.readings.problem(out.table->where(out.begins[row], kTargetCell), observations::target.name,
                           Fault{in_quotes(*target) + ", over which the instrument stands",
                                 "another point; or another place of the setup", ""});
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
  static std::string near_name(const std::string& name, std::vector<std::string> known) {
    std::ranges::sort(known);
    known.erase(std::unique(known.begin(), known.end()), known.end());
    const auto near = meant_word(name, known);
    return near ? fmt::format("\"{}\"", *near) : "";
  }
  std::string near_control(const std::string& name) const {
    std::vector<std::string> names;
    for (const ControlPoint& c : job_.control) names.push_back(c.name);
    return near_name(name, std::move(names));
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
  }

  void needs_place(const StatedSetup& out) {
    if (out.place == SetupPlace::known ? out.control.has_value() : out.own.has_value()) return;
    told_.plan.problem(
        keys_.plan.at, "setup.plan",
        Fault{"a plan for a setup at no stated place",
              "the spot's rough northing and easting in place of at, or at = a control point", ""});
  }

  /// Without readings a place of its own says something, and so does a stated orientation.
  void needs_observations(const StatedSetup& out) {
    if (out.place == SetupPlace::own || out.states_plan) return;
    if (out.place == SetupPlace::known && keys_.orientation.written) return;
    told_.readings.problem(
        out.where, "setup.observations",
        Fault{fmt::format("no observations of setup {}", in_quotes(out.name)),
              out.place == SetupPlace::known ? "a table of readings; or an orientation; or a plan"
                                             : "a table of readings to two or more control points",
              "observations = \"s1.csv\""});
  }

  const JobReading& in_;
  const JobValue& item_;
  Job& job_;
  InstrumentJob& into_;
  SetupMessages& told_;
  TableLoader tables_;
  SetupKeys keys_;
  bool lacks_observations_ = false;
  std::size_t index_ = 0;  ///< among the setups
};

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
    in_.section<kNet>(Part::instrument).read(job_, in_.bare());
    const JobValue* setups = in_.root.member(kSetup.name);
    if (!setups) return;
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
    if (setups->items.empty()) return;
    in_.told.of_setup(setups->items.size() - 1);  // so that none moves while they are read
    std::vector<OneSetup> all;
    for (std::size_t i = 0; i < setups->items.size(); ++i)
      all.emplace_back(in_, setups->items[i], in_.told.of_setup(i)).read();
    for (OneSetup& one : all) one.finish();
    required();
  }

 private:
  void instrument() {
    instrument_.read<kInstrumentKeys>(job_, in_.bare());
    const InstrumentOptions& o = into_.options;
    if (const auto loose = o.distance_sd ? loose_distance(*o.distance_sd) : std::nullopt)
      instrument_.doubt("a loose distance", "distance_sd", *loose);
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

bool states_setups(const JobReading& in) { return in.root.member(kSetup.name) != nullptr; }

}  // namespace deckmark
