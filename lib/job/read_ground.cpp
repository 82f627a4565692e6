#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "job/columns.h"
#include "job/grid_rows.h"
#include "job/job_reading.h"
#include "job/keys/site_keys.h"
#include "job/plausible.h"
#include "job/tables.h"
#include "measure/decimal.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

bool is_height_of_work(Length h) { return h >= kLowestWork && h <= kHighestWork; }
std::string heights_of_work() {
  return fmt::format("a height above the ellipsoid from {} m to {} m", fixed(kLowestWork.metres(), 0),
                     fixed(kHighestWork.metres(), 0));
}

/// The middle one; of an even count the mean of the middle two. REQUIRES at least one.
Length median(std::vector<Length> values) {
  std::ranges::sort(values);
  return (values[(values.size() - 1) / 2] + values[values.size() / 2]) / 2;
}

/// Columns latitude and longitude.
class GeographicColumns {
 public:
  GeographicColumns(const AngleCells& latitude, const AngleCells& longitude, const GroundJob& ground,
                    Messages& messages)
      : latitude_(latitude),
        longitude_(longitude),
        read_latitude_(latitude, ground.angles, messages, kKey),
        read_longitude_(longitude, ground.angles, messages, kKey) {}
  bool is_stated(const Row& row) const { return latitude_.has(row) || longitude_.has(row); }
  std::optional<Geographic> require(const Row& row, Messages& messages) const {
    const auto lat = read(latitude_, row, read_latitude_, 'N', 'S', messages);
    const auto lon = read(longitude_, row, read_longitude_, 'E', 'W', messages);
    const bool exchanged = lat && lon && within(*lat, kLongitude) && within(*lon, kLatitude);
    const bool lat_held = hold(latitude_, row, lat, kLatitude, exchanged, messages);
    const bool lon_held = hold(longitude_, row, lon, kLongitude, exchanged, messages);
    if (!lat || !lon || !lat_held || !lon_held) return std::nullopt;
    return Geographic{*lat, wrapped(*lon)};
  }
  void tell_none(const Row& row, Messages& messages) const {
    tell_empty(latitude_, row, "latitude and longitude, both", "", messages);
  }
  /// Tells a place as it stands.
  void problem(const Row& row, const Fault& fault, Messages& messages) const {
    latitude_.problem(row, fault, messages);
  }

 private:
  static constexpr double kLatitude = 90, kLongitude = 360;
  static bool within(Angle a, double most) { return std::abs(a.degrees()) <= most; }
  std::optional<Angle> read(const AngleCells& column, const Row& row, const AngleColumn& from, char positive,
                            char negative, Messages& messages) const {
    if (column.has(row)) return from.read_hemisphere(row, positive, negative, messages);
    tell_empty(column, row, "latitude and longitude, both", "", messages);
    return std::nullopt;
  }
  bool hold(const AngleCells& column, const Row& row, std::optional<Angle> angle, double most, bool exchanged,
            Messages& messages) const {
    if (!angle || within(*angle, most)) return true;
    column.problem(row,
                   Fault{in_quotes(column.text(row)), fmt::format("an angle from -{0} to {0} degrees", most),
                         exchanged ? "latitude and longitude the other way round" : ""},
                   messages);
    return false;
  }
  static constexpr std::string_view kKey = "the key angles under [instrument]";
  AngleCells latitude_, longitude_;
  AngleColumn read_latitude_, read_longitude_;
};

namespace c = deckmark::grid_control;

/// Rows of control in a map projection, or as latitude and longitude, or both, which then check each other.
class ControlRows {
 public:
  ControlRows(const OpenTable<c::Terms>& table, const Job& job, Messages& messages)
      : table_(table),
        ground_(job.ground),
        northing_(table.at<c::northing>()),
        easting_(table.at<c::easting>()),
        height_(table.at<c::ellipsoidal_height>()),
        grid_(job.ground, northing_, easting_, job.site_unit, messages),
        read_northing_(lengths_of(northing_, job.site_unit, kSiteUnit, messages)),
        read_easting_(lengths_of(easting_, job.site_unit, kSiteUnit, messages)),
        read_height_(lengths_of(height_, job.site_unit, kSiteUnit, messages, is_height_of_work)),
        place_(table.at<c::latitude>(), table.at<c::longitude>(), job.ground, messages) {
    refuse_two_feet(northing_, easting_, job.site_unit, messages);
  }

  struct Taken {
    Point<Grid> at;
    std::optional<Length> height;
    bool confirmed;  ///< by latitude and longitude
  };
  std::optional<Taken> require(const Row& row, Messages& messages) const {
    const auto height = read_height(row, messages);
    const bool geographic = place_.is_stated(row),
               plane = northing_.has(row) || easting_.has(row) || !geographic;
    std::optional<Point<Grid>> from_plane, from_place;
    std::optional<Geographic> place;
    if (!geographic && !northing_.stands() && !easting_.stands()) {
      place_.tell_none(row, messages);
      return std::nullopt;
    }
    if (plane) {
      const auto n = read_northing_.require(row, messages), e = read_easting_.require(row, messages);
      if (!n || !e) return std::nullopt;
      from_plane = Point<Grid>{{.northing = *n, .easting = *e}};
    }
    if (geographic) {
      place = own_datum(row, height.value_or(Length::metres(0)), messages);
      if (!place) return std::nullopt;
    }
    if (!ground_.system)
      return Taken{
          from_plane.value_or(Point<Grid>{{.northing = Length::metres(0), .easting = Length::metres(0)}}),
          height, true};
    if (from_plane && !place) {
      const auto p = grid_.check(row, *from_plane, true, messages);
      return p ? std::optional(Taken{*p, height, false}) : std::nullopt;
    }
    if (from_plane) return agreed(row, *from_plane, *place, height, messages);
    from_place = inside(row, *place, messages);
    return from_place ? std::optional(Taken{*from_place, height, true}) : std::nullopt;
  }

 private:
  /// The place on the projection's own datum.
  std::optional<Geographic> own_datum(const Row& row, Length height, Messages& messages) const {
    const auto stated = place_.require(row, messages);
    if (!stated || !ground_.shift) return stated;
    const auto shifted = (*ground_.shift)(*stated, height);
    if (!shifted)
      place_.problem(row,
                     Fault{place_words(*stated),
                           fmt::format("a place from which {} leads to {}", ground_.options.geographic,
                                       ground_.system->code()),
                           ""},
                     messages);
    return shifted;
  }

  /// A no-data value such as -9999 would scale the whole site.
  std::optional<Length> read_height(const Row& row, Messages& messages) const {
    const auto height = read_height_.read(row, messages);
    if (!height || is_height_of_work(*height)) return height;
    height_.problem(row,
                    Fault{in_quotes(height_.text(row)), heights_of_work(),
                          "the height of the point; or elevation under [site], and an empty cell"},
                    messages);
    return std::nullopt;
  }

  std::optional<Point<Grid>> inside(const Row& row, const Geographic& p, Messages& messages) const {
    const auto at = ground_.system->covers(p) ? ground_.system->project(p) : std::nullopt;
    if (at) return at;
    std::string cure = "latitude, longitude and crs from one control sheet";
    const OutsideReason why = ground_.system->why_outside(p);
    if (why == OutsideReason::exchanged)
      cure = "latitude and longitude the other way round: so the point lies inside";
    if (why == OutsideReason::sign) cure = "another sign: west longitudes and south latitudes are negative";
    if (why == OutsideReason::zero) cure = "an empty cell: 0, 0 stands for a missing value";
    if (why == OutsideReason::near_edge) cure = near_edge_cure(*ground_.system, p);
    const auto words = outside_words(*ground_.system, p);
    messages.problem(Where::in(table_->source(), row.begin()), "row",
                     Fault{words.lies, words.expected, cure});
    return std::nullopt;
  }

  /// Grid coordinates and latitude and longitude of one row must be one place.
  std::optional<Taken> agreed(const Row& row, const Point<Grid>& at, const Geographic& place,
                              std::optional<Length> height, Messages& messages) const {
    const Length kRounding = Length::millimetres(10), kOtherPlace = Length::metres(1);
    const GridSystem& system = *ground_.system;
    const auto same = system.project(place);
    const auto back = system.geographic(at);
    const Length apart = same ? distance(*same, at) : Length::metres(0);
    if (same && apart <= kOtherPlace) {
      if (apart > kRounding)
        messages.doubt("control given twice", Where::in(table_->source(), row.begin()), "row",
                       fmt::format("northing, easting and latitude, longitude of {} are {} m apart",
                                   table_.at<c::point>().text(row), fixed(apart.metres(), 3)));
      const auto p = grid_.check(row, at, true, messages);
      return p ? std::optional(Taken{*p, height, true}) : std::nullopt;
    }
    std::string cure = "coordinates of one point, from one control sheet";
    if (back) {
      const double east = wrapped(back->longitude - place.longitude).degrees();
      const bool latitude_fits = std::abs((back->latitude - place.latitude).degrees()) < 1e-3;
      for (const double zone : {6.0, 3.0})
        if (latitude_fits && std::abs(east) > 1 && std::abs(std::remainder(east, zone)) < 1e-3) {
          cure = fmt::format("the crs of another zone: {} degrees of longitude lie between the two",
                             fixed(std::abs(east), 0));
          break;
        }
    }
    if (same && is_scaled(at, *same, place))
      cure = "grid coordinates: these are ground-scaled about the origin";
    messages.problem(
        Where::in(table_->source(), row.begin()), "row",
        Fault{fmt::format("{}: northing, easting lie at {}, latitude, longitude say {}{}",
                          in_quotes(table_.at<c::point>().text(row)), back ? place_words(*back) : "no place",
                          place_words(place),
                          same ? fmt::format(", {} m away", fixed(apart.metres(), 2)) : std::string()),
              fmt::format("one place, within {} m", fixed(kOtherPlace.metres(), 0)), cure});
    return std::nullopt;
  }

  bool is_scaled(const Point<Grid>& at, const Point<Grid>& true_place, const Geographic& place) const {
    const auto factors = ground_.system->factors(place);
    if (!factors) return false;
    const double k = factors->point_scale * ground_.system->elevation_factor(
                                                place, ground_.options.elevation.value_or(Length::metres(0)));
    const Point<Grid> unscaled{{.northing = at.at.northing * k, .easting = at.at.easting * k}};
    return distance(unscaled, true_place) < 0.05 * distance(at, true_place);
  }

  const OpenTable<c::Terms>& table_;
  const GroundJob& ground_;
  LengthCells northing_, easting_, height_;
  GridRows grid_;
  LengthColumn read_northing_, read_easting_, read_height_;
  GeographicColumns place_;
};

struct GridControl {
  ControlPoint point;
  ControlRows::Taken at;
};

/// A point whose coordinates were scaled about the origin lies kilometres off, on the line to the origin, and
/// comes back to its neighbours by the factor.
void look_for_scaled(const Table& table, const std::vector<GridControl>& rows,
                     const std::vector<std::uint32_t>& begins, const GroundJob& ground, Messages& messages) {
  if (rows.size() < 3) return;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].at.confirmed) continue;
    double n = 0, e = 0, spread = 0;
    for (std::size_t j = 0; j < rows.size(); ++j)
      if (j != i) n += rows[j].at.at.at.northing.metres(), e += rows[j].at.at.at.easting.metres();
    const double others = static_cast<double>(rows.size() - 1);
    const Point<Grid> centre{{.northing = Length::metres(n / others), .easting = Length::metres(e / others)}};
    for (std::size_t j = 0; j < rows.size(); ++j)
      if (j != i) spread = std::max(spread, distance(rows[j].at.at, centre).metres());
    const double off = distance(rows[i].at.at, centre).metres();
    if (off < 200 || off < 5 * spread) continue;
    const auto place = ground.system->geographic(centre);
    const auto factors = place ? ground.system->factors(*place) : std::nullopt;
    if (!factors) continue;
    const double k = factors->point_scale * ground.system->elevation_factor(*place, ground.height);
    const Point<Grid>& p = rows[i].at.at;
    const Point<Grid> unscaled{{.northing = p.at.northing * k, .easting = p.at.easting * k}};
    if (distance(unscaled, centre).metres() > std::max(2 * spread, 0.1 * off)) continue;
    messages.problem(
        Where::in(table.source(), begins[i]), "row",
        Fault{
            fmt::format("{}, {} m away from the other control", in_quotes(rows[i].point.name), fixed(off, 0)),
            fmt::format("grid coordinates; these look scaled about the origin by 1/{}", fixed(k, 6)),
            fmt::format("northing {}, easting {} m; or its latitude and longitude beside it, where it really "
                        "lies there",
                        fixed(unscaled.at.northing.metres(), 3), fixed(unscaled.at.easting.metres(), 3))});
  }
}

/// A site is nowhere near so steep as this (common practice, no source).
constexpr Length kOddHeight = Length::metres(100);

void look_at_heights(const LengthCells& column, const std::vector<GridControl>& rows,
                     const std::vector<std::uint32_t>& begins, Messages& messages) {
  std::vector<Length> heights;
  for (const GridControl& r : rows)
    if (r.at.height) heights.push_back(*r.at.height);
  if (heights.empty()) return;
  const Length middle = median(heights);
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (const auto& h = rows[i].at.height; h && abs(*h - middle) > kOddHeight)
      messages.doubt(
          "a height far from the others", column.where(begins[i]), column.name(),
          fmt::format("{} at {} m, the middle of all heights is {} m: in another unit, or of another kind?",
                      rows[i].point.name, fixed(h->metres(), 3), fixed(middle.metres(), 3)));
}

}  // namespace

void TableLoader::grid_control(const TableKey& key) {
  const auto table = open<c::Terms, c::Places>(key);
  if (!table) return;
  const bool plane = table.at<c::northing>().stands() && table.at<c::easting>().stands(),
             geographic = table.at<c::latitude>().stands() && table.at<c::longitude>().stands();
  if (!plane && !geographic) {
    const PlaceOffer offer = place_offer(*table);
    messages_.problem(
        table.at<c::northing>().header(), "header",
        Fault{columns_found(*table),
              "control columns northing and easting, or latitude and longitude" + offer.others, offer.line});
    return;
  }
  GroundJob& ground = job_.ground;
  const ControlRows rows_of(table, job_, messages_);
  const LengthColumn read_elevation =
      lengths_of(table.at<c::elevation>(), job_.site_unit, kSiteUnit, messages_);
  const auto sd = table.at<c::sd>();
  const LengthColumn read_sd = lengths_of(sd, job_.site_unit, kSiteUnit, messages_, is_possible_sd);
  auto rows =
      read_records<Rows<GridControl>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::point>(), row, told);
        const auto at = rows_of.require(row, told);
        const auto high = read_elevation.read(row, told);
        const auto spread = control_sd(sd, row, read_sd.read(row, told), told);
        if (name && at)
          out.add({{std::string(*name),
                    Point<Site>{{.northing = at->at.at.northing, .easting = at->at.at.easting}},
                    elevation_of(high), spread},
                   *at},
                  *name, row.begin());
        else
          out.refuse(name, row.begin());
      });
  refuse_name_twice(*this, table.at<c::point>(), rows);
  if (ground.system) look_for_scaled(*table, rows.records, rows.begins, ground, messages_);
  look_at_heights(table.at<c::ellipsoidal_height>(), rows.records, rows.begins, messages_);
  for (GridControl& r : rows.records) {
    ground.control.push_back(r.at.at);
    if (r.at.height) ground.heights.push_back(*r.at.height);
    job_.control.push_back(std::move(r.point));
  }
  job_.control_table = {table.shared(), std::move(rows.begins)};
}

const GroundJob* TableLoader::grid_of(const TableKey& key) const {
  return key.frame == TableKey::Frame::grid ? &job_.ground : nullptr;
}

namespace {

using SiteReader = SectionReader<kSite>;

/// What the keys say of the projection, opened.
void open_system(const JobReading& in, SiteReader& site, Messages& messages) {
  Job& job = in.job;
  GroundJob& ground = job.ground;
  using Name = KeyName<kSite>;
  for (const Name key : {Name("geographic"), Name("ground_at"), Name("elevation")})
    if (site.has(key) && site.lacks("crs"))
      site.problem(key, Fault{fmt::format("{} without crs", key.word), "the projection that it belongs to",
                              "crs = \"EPSG:...\" beside it"});
  if (!ground.crs_key.taken) return;
  auto system = GridSystem::open(ground.options.crs);
  if (!system) return site.problem("crs", system.fault());
  ground.system = *system;
  if (const auto foot = other_foot(job.site_unit, *ground.system)) {
    in.section<kSite>(Part::units).problem("unit", *foot);
    job.site_unit = ground.system->unit();  // every table of the other foot would be told again
  }
  if (ground.system->has_own_shift())
    messages.notice("change of datum set aside", site.where("crs"), "site.crs",
                    "the change of datum that it states is not used: coordinates, latitudes and longitudes "
                    "are on the projection's own datum");
  if (!ground.system->area())
    site.doubt("no area of use", "crs",
               "the projection states no area of use: that coordinates lie where they should is not checked");
  if (ground.options.geographic.empty()) return;
  auto shift = DatumShift::open(ground.options.geographic, *ground.system);
  if (!shift) return site.problem("geographic", shift.fault());
  ground.shift = *shift;
}

/// The row that ground_at names; nothing where the control has none (told). REQUIRES control of which every
/// row was read.
std::optional<std::size_t> named_base(SiteReader& site, const Job& job) {
  const std::string& wanted = job.ground.options.ground_at;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < job.control.size(); ++i) {
    if (same_name(job.control[i].name, trimmed(wanted))) return i;
    names.push_back(job.control[i].name);
  }
  const auto near = meant_word(wanted, names);
  site.problem("ground_at", Fault{in_quotes(wanted), "a point of the control table",
                                  near ? fmt::format("\"{}\"", *near) : ""});
  return std::nullopt;
}

/// The control point about which coordinates come to ground scale.
std::optional<std::size_t> find_base(SiteReader& site, const Job& job, Messages& messages) {
  const std::string& wanted = job.ground.options.ground_at;
  if (wanted.empty()) {
    messages.doubt(
        "no ground_at", site.where("crs"), "site.ground_at",
        fmt::format("not stated: coordinates are brought to ground scale about {}, the first control point",
                    job.control[0].name));
    return 0;
  }
  return named_base(site, job);
}

Length height_of_work(SiteReader& site, const GroundJob& ground, std::size_t points, Messages& messages) {
  if (const auto& stated = ground.options.elevation) {
    // Heights above the sea and above the ellipsoid differ by up to some 100 m; work is within fewer of its
    // control (common practice, no source).
    constexpr Length kOtherKind = Length::metres(50);
    const Length control = ground.heights.empty() ? *stated : median(ground.heights);
    if (abs(*stated - control) > kOtherKind)
      messages.doubt("elevation far from the control", site.where("elevation"), "site.elevation",
                     fmt::format("{} m, but the ellipsoidal heights of the control are about {} m: is it a "
                                 "height above the sea, or in another unit?",
                                 fixed(stated->metres(), 3), fixed(control.metres(), 3)));
    return *stated;
  }
  if (ground.heights.size() == points) {
    Length sum = Length::metres(0);
    for (const Length h : ground.heights) sum += h;
    const Length mean = sum / static_cast<double>(points);
    messages.notice(
        "no elevation", site.where("crs"), "site.elevation",
        fmt::format("not stated: {} m, the mean ellipsoidal height of the control", fixed(mean.metres(), 3)));
    return mean;
  }
  if (site.has("elevation")) return Length::metres(0);  // refused
  messages.doubt("no elevation", site.where("crs"), "site.elevation",
                 "not stated: the work is taken to lie on the ellipsoid; every 100 m of height is 16 ppm, "
                 "1.6 mm in 100 m");
  return Length::metres(0);
}

/// What is known once the control was read: the point, the height and the factor; control comes to ground
/// scale.
void bring_control_to_ground(SiteReader& site, Job& job, Messages& messages) {
  GroundJob& ground = job.ground;
  if (!ground.system) {
    if (ground.states_crs && !ground.options.ground_at.empty() && job.named.control)
      (void)named_base(site, job);
    return;
  }
  if (job.control.empty()) {
    if (!messages.has_problems())
      site.problem("crs",
                   Fault{"no control", "a table of control: one of its points is where ground and grid meet",
                         "control = \"control.csv\" under [site]"});
    return;
  }
  if (ground.control
          .empty())  // a table in ground coordinates: they are the grid's at the point where the two meet
    for (const ControlPoint& c : job.control)
      ground.control.push_back({{.northing = c.at.at.northing, .easting = c.at.at.easting}});
  const bool control_is_ground = job.ground_control;
  const auto base = find_base(site, job, messages);
  if (!base) return;
  ground.base = *base;
  ground.height = height_of_work(site, ground, job.control.size(), messages);
  const Point<Grid> at = ground.control[*base];
  const auto place = ground.system->geographic(at);
  const auto factors = place ? ground.system->factors(*place) : std::nullopt;
  const std::string& name = job.control[*base].name;
  if (!place ||
      !ground.system->covers(*place)) {  // of a table in ground coordinates: rows in the grid were held to it
    const auto why = ground.system->why_outside(at, job.site_unit).reason;
    const auto words = place
                           ? outside_words(*ground.system, *place)
                           : OutsideWords{"no place on the ellipsoid",
                                          "a place inside the area of use of " + area_words(*ground.system)};
    site.problem("crs", Fault{fmt::format("{} at {}", words.lies, name), words.expected,
                              why == OutsideReason::local       ? local_control_cure(*ground.system)
                              : why == OutsideReason::near_edge ? near_edge_cure(*ground.system, *place)
                                                                : "the crs on the control sheet"});
    return;
  }
  if (!factors) {
    site.problem("crs", Fault{fmt::format("{}, which has no one scale at {}", ground.system->code(), name),
                              "a conformal projection, which scales alike in all directions",
                              "the crs on the control sheet"});
    return;
  }
  const double combined = factors->point_scale * ground.system->elevation_factor(*place, ground.height);
  if (!is_sensible_factor(combined)) {
    site.problem("crs", Fault{fmt::format("a combined factor of {} at {}", fixed(combined, 7), name),
                              "a scale factor from 0.98 to 1.02", "the projection of this region"});
    return;
  }
  ground.ground = claim_ground(at, combined);
  for (std::size_t i = 0; i < job.control.size(); ++i) {
    if (control_is_ground)
      ground.control[i] = ground.ground->to_grid(job.control[i].at);
    else
      job.control[i].at = ground.ground->to_ground(ground.control[i]);
  }
}

}  // namespace

void read_control(const JobReading& in) {
  Job& job = in.job;
  Messages& told = in.told.of(Part::control);
  auto site = in.section<kSite>(Part::control);
  site.read<kControlKeys>(job, in.bare());
  job.states_control = site.means("control");
  job.ground.states_crs = site.means("crs");
  job.ground.angles = job.instrument.angles;
  open_system(in, site, told);
  const std::size_t before = told.problems();
  if (job.named.control) in.tables(Part::control).control(*job.named.control);
  const bool is_whole = told.problems() == before && (job.named.control || !site.has("control"));
  if (is_whole) bring_control_to_ground(site, job, told);
  doubt_near_control(job, told);
}

}  // namespace deckmark
