// Jobs as a person would write them: units, notations, separators and columns of every kind.
#include <cmath>
#include <cstdlib>

#include "independent_job.h"

namespace deckmark_test {

namespace {

constexpr Real kPi = 3.14159265358979323846264338327950288L;
constexpr Real kFoot = 0.3048L, kSurveyFoot = 1200.0L / 3937.0L;

// Words, sizes, decimals written in the tables here, last digit of the program's tables.
constexpr UnitChoice kMetre{"m", 1, 4, 1e-5L}, kMillimetre{"mm", 0.001L, 1, 0.01L},
    kCentimetre{"cm", 0.01L, 2, 0.001L}, kFeet{"ft", kFoot, 4, 1e-5L}, kInches{"in", kFoot / 12, 3, 1e-4L},
    kSurveyFeet{"us-ft", kSurveyFoot, 4, 1e-5L};

class Maker {
 public:
  explicit Maker(std::mt19937_64& random) : random_(random) {}

  RandomJob make() {
    kind();
    truth();
    ties();
    points();
    heights();
    deck_marks();
    job_.files["job.toml"] = job_file();
    return job_;
  }

 private:
  Real uniform(Real low, Real high) {
    return low + (high - low) * (static_cast<Real>(random_()) / static_cast<Real>(std::mt19937_64::max()));
  }
  std::size_t whole(std::size_t low, std::size_t high) { return low + random_() % (high - low + 1); }
  bool chance(int percent) { return whole(1, 100) <= static_cast<std::size_t>(percent); }
  Real normal(Real sd) {  // Box and Muller
    return sd * std::sqrt(-2 * std::log(uniform(1e-12L, 1))) * std::cos(2 * kPi * uniform(0, 1));
  }

  std::string with_mark(std::string number) const {
    if (job_.comma)
      if (const auto at = number.find('.'); at != std::string::npos) number[at] = ',';
    return number;
  }
  static std::string decimal(long long scaled, int decimals) {
    std::string digits = std::to_string(std::llabs(scaled));
    if (digits.size() <= static_cast<std::size_t>(decimals))
      digits.insert(0, static_cast<std::size_t>(decimals) + 1 - digits.size(), '0');
    if (decimals > 0) digits.insert(digits.size() - static_cast<std::size_t>(decimals), ".");
    return (scaled < 0 ? "-" : "") + digits;
  }
  /// The nearest length that the decimals can write.
  Written number(Real metres, const UnitChoice& unit) const {
    const Real ten = std::pow(10.0L, unit.decimals);
    const long long scaled = std::llround(metres / unit.metres * ten);
    return {with_mark(decimal(scaled, unit.decimals)), static_cast<Real>(scaled) / ten * unit.metres};
  }
  /// Feet-inches to 1/16, in one of the notations.
  Written feet_inches(Real metres) {
    const long long sixteenths = std::llround(metres / kFoot * 192), all = std::llabs(sixteenths);
    const std::string sign = sixteenths < 0 ? "-" : "", feet = std::to_string(all / 192),
                      inches = std::to_string(all % 192 / 16);
    long long top = all % 16, bottom = 16;
    while (top > 0 && top % 2 == 0) top /= 2, bottom /= 2;
    const std::string fraction = top == 0 ? "" : std::to_string(top) + "/" + std::to_string(bottom);
    const Real value = static_cast<Real>(sixteenths) / 192 * kFoot;
    const auto joined = [&](const char* between) {
      return fraction.empty() ? inches : inches + between + fraction;
    };
    const bool like_a_month =
        feet.size() == 4 && (feet.starts_with("19") || feet.starts_with("20"));  // 2026-11 is refused
    switch (whole(0, 3)) {
      case 0:
        return {sign + feet + "'-" + joined(" ") + "\"", value};
      case 1:
        return like_a_month ? Written{sign + feet + "'" + joined(" ") + "\"", value}
                            : Written{sign + feet + "-" + joined(" "), value};
      case 2:
        return {sign + feet + "' " + joined("-") + "\"", value};
      default:
        return {sign + feet + " ft " + joined(" ") + " in", value};
    }
  }
  Written drawn(Real metres) { return job_.feet_inches ? feet_inches(metres) : number(metres, job_.drawing); }
  Written on_site(Real metres) const { return number(metres, job_.site); }
  /// A length with its unit, for the job file; never with a comma.
  Written stated(Real metres, const UnitChoice& unit, int decimals) const {
    const Real ten = std::pow(10.0L, decimals);
    const long long scaled = std::llround(metres / unit.metres * ten);
    return {decimal(scaled, decimals) + " " + unit.word, static_cast<Real>(scaled) / ten * unit.metres};
  }

  void kind() {
    static constexpr UnitChoice drawing[] = {kMetre, kMillimetre, kCentimetre, kFeet, kInches, kSurveyFeet};
    static constexpr UnitChoice site[] = {kMetre, kMetre, kMetre, kMillimetre, kFeet, kSurveyFeet};
    static constexpr UnitChoice list[] = {kMetre, kMillimetre, kCentimetre, kFeet, kInches, kSurveyFeet};
    job_.feet_inches = chance(40);
    job_.drawing = job_.feet_inches ? kFeet : drawing[whole(0, 5)];
    job_.site = site[whole(0, 5)];
    job_.list = list[whole(0, 5)];
    job_.comma = chance(30);
    job_.mirrored = chance(35);
    job_.free_scale = chance(30);
    job_.held = job_.free_scale ? Held::both : static_cast<Held>(whole(0, 2));
    job_.sloping = chance(60);
    separator_ = job_.comma ? ';' : chance(20) ? '\t' : chance(20) ? ';' : ',';
  }

  void truth() {
    width_ = uniform(8, 120);
    depth_ = uniform(8, 80);
    job_.true_azimuth = uniform(0, 2 * kPi);
    job_.true_scale = job_.free_scale ? uniform(0.97L, 1.03L) : 1;
    const bool far = chance(50);
    north_ = far ? uniform(-9e6L, 9e6L) : uniform(-5000, 5000);
    east_ = far ? uniform(-9e6L, 9e6L) : uniform(-5000, 5000);
    const bool drawing_far = !job_.feet_inches && chance(25);
    x0_ = drawing_far ? uniform(-2e6L, 2e6L) : uniform(-30, 30);
    y0_ = drawing_far ? uniform(-2e6L, 2e6L) : uniform(-30, 30);
    if (job_.feet_inches && chance(30)) x0_ = uniform(-4000, 4000);
  }

  /// Where a drawing place truly is: northing, easting.
  std::array<Real, 2> site_of(Real x, Real y) const {
    const Real a = x - x0_, b = (job_.mirrored ? -1 : 1) * (y - y0_), s = job_.true_scale;
    const Real sine = std::sin(job_.true_azimuth), cosine = std::cos(job_.true_azimuth);
    return {north_ + s * (a * cosine + b * sine), east_ + s * (a * sine - b * cosine)};
  }

  std::string line(std::initializer_list<std::string> cells) const {
    std::string text;
    for (const std::string& cell : cells)
      text += (text.empty() && &cell == cells.begin() ? "" : std::string(1, separator_)) + cell;
    return text + "\n";
  }

  void ties() {
    const int sds = static_cast<int>(whole(0, 2));  // 0: the job's tie_sd; 1: a column; 2: one an axis
    tie_sd_ = stated(uniform(0.0004L, 0.003L), kMillimetre, 2);
    std::string text = line({"mark", "x", "y", "northing", "easting"});
    if (sds == 1) text.insert(text.size() - 1, std::string(1, separator_) + "sd");
    if (sds == 2) text.insert(text.size() - 1, std::string(1, separator_) + "sd_x" + separator_ + "sd_y");
    const std::size_t count = whole(4, 9);
    for (std::size_t i = 0; i < count; ++i) {
      JobTie t;
      t.name = "B" + std::to_string(i + 1);
      // Three corners state both, so that direction, hand and both origins stand well; the others may state
      // one.
      const bool corner = i < 3;
      const Real x = x0_ + (corner ? (i == 1 ? width_ : 0) + uniform(0, 2) : uniform(-3, width_ + 3));
      const Real y = y0_ + (corner ? (i == 2 ? depth_ : 0) + uniform(0, 2) : uniform(-3, depth_ + 3));
      const std::size_t states = corner ? 0 : whole(0, 2);
      const Written keyed_x = drawn(x), keyed_y = drawn(y);
      t.sd_x = t.sd_y = tie_sd_.metres;
      std::string more;
      if (sds > 0) {
        const Written sd_x = stated(uniform(0.0005L, 0.004L), kMillimetre, 2),
                      sd_y = sds == 2 ? stated(uniform(0.0005L, 0.004L), kMillimetre, 2) : sd_x;
        t.sd_x = sd_x.metres;
        t.sd_y = sd_y.metres;
        more = separator_ + with_mark(sd_x.text) + (sds == 2 ? separator_ + with_mark(sd_y.text) : "");
      }
      const auto at = site_of(keyed_x.metres, keyed_y.metres);
      t.northing = on_site(at[0] + normal(std::hypot(t.sd_x, t.sd_y) / std::sqrt(2.0L)));
      t.easting = on_site(at[1] + normal(std::hypot(t.sd_x, t.sd_y) / std::sqrt(2.0L)));
      if (states != 1) t.x = keyed_x;
      if (states != 2) t.y = keyed_y;
      text += line({t.name, t.x ? t.x->text : "", t.y ? t.y->text : "", t.northing.text, t.easting.text});
      text.insert(text.size() - 1, more);
      job_.ties.push_back(std::move(t));
    }
    job_.files["ties.csv"] = text;
  }

  void points() {
    const std::size_t count = whole(5, 30);
    own_heights_ = chance(40);
    attach_ = stated(uniform(2.2L, 3.6L), kMetre, 3);
    job_.attach = attach_.metres;
    std::string text = own_heights_ ? line({"point", "y", "x", "height"}) : line({"point", "y", "x"});
    for (std::size_t i = 0; i < count; ++i) {
      JobPoint p{"H-" + std::to_string(i + 1), drawn(x0_ + uniform(-20, width_ + 20)),
                 drawn(y0_ + uniform(-20, depth_ + 20)), std::nullopt};
      if (own_heights_ && chance(60)) p.height = drawn(uniform(2.0L, 3.7L));
      text += own_heights_ ? line({p.name, p.y.text, p.x.text, p.height ? p.height->text : ""})
                           : line({p.name, p.y.text, p.x.text});
      job_.points.push_back(std::move(p));
    }
    job_.files["drawing.csv"] = text;
  }

  void heights() {
    floor_ = stated(uniform(-4, 180), kMetre, 3);
    job_.floor = floor_.metres;
    level_ = stated(job_.floor + uniform(5.5L, 9), kMetre, 3);
    job_.level = level_.metres;
    rise_x_ = uniform(-0.012L, 0.012L);
    rise_y_ = uniform(-0.012L, 0.012L);
    if (!job_.sloping) return;
    const bool drawing = chance(35);
    std::string text =
        drawing ? line({"shot", "x", "y", "elevation"}) : line({"shot", "northing", "easting", "elevation"});
    const std::size_t count = whole(4, 12);
    for (std::size_t i = 0; i < count; ++i) {
      // Corners first, so that the plane stands well.
      const Real x = x0_ + (i < 4 ? (i % 2 ? width_ : 0) + uniform(0, 1) : uniform(0, width_));
      const Real y = y0_ + (i < 4 ? (i / 2 ? depth_ : 0) + uniform(0, 1) : uniform(0, depth_));
      const auto at = site_of(x, y);
      JobShot s{!drawing, drawing ? drawn(x) : on_site(at[0]), drawing ? drawn(y) : on_site(at[1]),
                on_site(job_.level + rise_x_ * (x - x0_) + rise_y_ * (y - y0_) + normal(0.002L))};
      text += line({"D" + std::to_string(i + 1), s.a.text, s.b.text, s.elevation.text});
      job_.shots.push_back(std::move(s));
    }
    job_.files["deck.csv"] = text;
  }

  void deck_marks() {
    plumb_sd_ = stated(uniform(0.0005L, 0.003L), kMillimetre, 2);
    plumb_tolerance_ = stated(uniform(0.003L, 0.012L), kMillimetre, 1);
    job_.plumb_sd = plumb_sd_.metres;
    job_.plumb_tolerance = plumb_tolerance_.metres;
    job_.slope = chance(50) ? 6 : 200;
    const bool offsets = chance(30), elevations = chance(60);
    std::string text = offsets ? line({"point", "dx", "dy"}) : line({"point", "northing", "easting"});
    if (elevations) text.insert(text.size() - 1, std::string(1, separator_) + "elevation");
    const std::size_t count = whole(1, job_.points.size());
    for (std::size_t i = 0; i < count; ++i) {
      const JobPoint& p = job_.points[i];
      const auto at = site_of(p.x.metres, p.y.metres);
      const Real off_a = normal(0.005L) + 0.0003L, off_b = normal(0.005L) + 0.0003L;
      JobDeckMark m{i, !offsets, on_site(offsets ? off_a : at[0] + off_a),
                    on_site(offsets ? off_b : at[1] + off_b), std::nullopt};
      if (elevations && chance(70)) m.elevation = on_site(job_.level + normal(0.01L) + 0.8L);
      // By name, by floor number or by deck number.
      const std::string named = i % 3 == 0 ? p.name : std::to_string((i % 3 == 1 ? 1001 : 6001) + i);
      text += line({named, m.a.text, m.b.text});
      if (elevations) text.insert(text.size() - 1, separator_ + (m.elevation ? m.elevation->text : ""));
      if (std::hypot(m.a.metres, m.b.metres) > 0) job_.marks.push_back(std::move(m));
    }
    job_.files["deckmarks.csv"] = text;
  }

  std::string job_file() {
    const Written tolerance = stated(uniform(0.002L, 0.008L), kMillimetre, 1);
    job_.tolerance = tolerance.metres;
    static constexpr const char* holds[] = {"both", "x", "y"};
    std::string text = "[drawing]\npoints = \"drawing.csv\"\nunit = \"" +
                       std::string(job_.feet_inches ? "ft-in" : job_.drawing.word) + "\"\n";
    if (job_.mirrored) text += "mirrored = true\n";
    text += "[site]\nunit = \"" + std::string(job_.site.word) + "\"\n";
    text += "[baselines]\nties = \"ties.csv\"\ntie_sd = \"" + tie_sd_.text + "\"\ntolerance = \"" +
            tolerance.text + "\"\n";
    text += "hold = \"" + std::string(holds[static_cast<std::size_t>(job_.held)]) + "\"\n";
    if (job_.free_scale) text += "scale = \"free\"\n";
    if (chance(30))
      text += "azimuth_near = \"" +
              std::to_string(static_cast<double>((job_.true_azimuth + uniform(-0.5L, 0.5L)) * 180 / kPi)) +
              "°\"\n";
    text += "[floor]\nelevation = \"" + floor_.text + "\"\n[deck]\n";
    text += job_.sloping ? "shots = \"deck.csv\"\n" : "elevation = \"" + level_.text + "\"\n";
    text += "[hangers]\nheight = \"" + attach_.text + "\"\n[plumb]\nmarks = \"deckmarks.csv\"\nsd = \"" +
            plumb_sd_.text + "\"\ntolerance = \"" + plumb_tolerance_.text +
            "\"\nslope = \"1:" + std::to_string(static_cast<int>(job_.slope)) + "\"\n";
    return text + "[list]\nunit = \"" + job_.list.word + "\"\n";
  }

  std::mt19937_64& random_;
  RandomJob job_{.drawing = kMetre,
                 .site = kMetre,
                 .list = kMetre,
                 .ties = {},
                 .points = {},
                 .shots = {},
                 .marks = {},
                 .files = {}};
  char separator_ = ',';
  Real width_ = 0, depth_ = 0, north_ = 0, east_ = 0, x0_ = 0, y0_ = 0, rise_x_ = 0, rise_y_ = 0;
  bool own_heights_ = false;
  Written tie_sd_, attach_, floor_, level_, plumb_sd_, plumb_tolerance_;
};

}  // namespace

RandomJob random_job(std::mt19937_64& random) { return Maker(random).make(); }

}  // namespace deckmark_test
