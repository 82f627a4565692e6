#include <fmt/format.h>
#include <proj.h>

#include <algorithm>
#include <cmath>
#include <GeographicLib/Ellipsoid.hpp>
#include <GeographicLib/Geodesic.hpp>
#include <mutex>
#include <numbers>
#include <sstream>
#include <vector>

#include "transform/proj_parts.h"

namespace deckmark {

void ContextEnd::operator()(pj_ctx* c) const { proj_context_destroy(c); }
void HandleEnd::operator()(PJconsts* p) const { proj_destroy(p); }

struct GridSystem::Parts {
  ProjContext context;
  ProjHandle base;  ///< the geographic system under the projection
  ProjHandle
      projection;  ///< the bare projection: longitude, latitude in radians to easting, northing in metres
  mutable std::mutex guard;
  std::string code, name;
  LengthUnit unit = LengthUnit::metre;
  std::optional<AreaOfUse> area;
  bool own_shift = false;
  GeographicLib::Ellipsoid ellipsoid{1, 0};
  GeographicLib::Geodesic geodesic{1, 0};
};

PJconsts* base_of(const GridSystem::Parts& parts) { return parts.base.get(); }

namespace {

constexpr double kRadians = std::numbers::pi / 180;
constexpr int kZoneNumbers =
    60;  // zones that a map of the world is cut into, at most (common practice, no source)

ProjHandle handle(PJ* p) { return ProjHandle(p); }

bool is_blank_text(std::string_view text) { return text.find_first_not_of(" \t") == std::string_view::npos; }

Fault not_a_code(const std::string& text) {
  const bool digits = !text.empty() && std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
  return Fault{
      in_quotes(text) + (digits ? ", a code without its authority" : ", which is no known code"),
      "a projected coordinate system, such as EPSG:32632",
      digits ? fmt::format("\"EPSG:{}\"", text) : "the code on the control sheet, with its authority"};
}

/// The axes' names decide, never their order: one runs north, one east.
std::optional<Fault> look_at_axes(pj_ctx* context, PJ* crs, const std::string& text, LengthUnit& unit) {
  const ProjHandle axes = handle(proj_crs_get_coordinate_system(context, crs));
  const int count = axes ? proj_cs_get_axis_count(context, axes.get()) : 0;
  bool north = false, east = false;
  double factor = 0;
  std::string found, last;
  bool polar = false;  // both axes run the same way from the pole
  for (int i = 0; i < count; ++i) {
    const char* direction = "";
    proj_cs_get_axis_info(context, axes.get(), i, nullptr, nullptr, &direction, &factor, nullptr, nullptr,
                          nullptr);
    north = north || std::string_view(direction) == "north";
    east = east || std::string_view(direction) == "east";
    found += (found.empty() ? "" : " and ") + std::string(direction);
    polar = polar || last == direction;
    last = direction;
  }
  if (polar)
    return Fault{fmt::format("{} ({}), a polar system, whose axes both run {}", in_quotes(text),
                             proj_get_name(crs), last),
                 "a system whose axes run north and east: polar ones are not supported", ""};
  if (!north || !east) {
    const std::string name = proj_get_name(crs);
    const ProjHandle other = handle(proj_create(context, (name + " East North").c_str()));
    const char* code = other ? proj_get_id_code(other.get(), 0) : nullptr;
    const char* authority = other ? proj_get_id_auth_name(other.get(), 0) : nullptr;
    return Fault{fmt::format("{} ({}), whose axes run {}", in_quotes(text), name, found),
                 "a system whose axes run north and east",
                 code && authority ? fmt::format("\"{}:{}\" ({} East North)", authority, code, name)
                                   : "the north and east system of the same datum"};
  }
  for (const LengthUnit u : {LengthUnit::metre, LengthUnit::foot, LengthUnit::survey_foot})
    if (std::abs(factor / metres_in(u) - 1) < 1e-12) {
      unit = u;
      return std::nullopt;
    }
  return Fault{fmt::format("{}, whose unit is {} m", in_quotes(text), factor),
               "a system in metres, feet or US survey feet", ""};
}

/// The one step of a conversion that projects; steps that exchange axes or change units are ours by name and
/// type.
std::string projecting_step(const std::string& pipeline) {
  std::istringstream words(pipeline);
  std::vector<std::string> steps(1);
  for (std::string word; words >> word;) {
    if (word == "+step")
      steps.emplace_back();
    else if (word != "+proj=pipeline")
      steps.back() += (steps.back().empty() ? "" : " ") + word;
  }
  std::string found;
  for (const std::string& step : steps) {
    if (step.empty() || step.find("+proj=axisswap") != std::string::npos ||
        step.find("+proj=unitconvert") != std::string::npos ||
        step.find("+proj=longlat") != std::string::npos)
      continue;
    if (!found.empty()) return "";  // more than a projection
    found = step;
  }
  return found;
}

ProjHandle bare_projection(pj_ctx* context, PJ* crs) {
  const ProjHandle conversion = handle(proj_crs_get_coordoperation(context, crs));
  const char* text =
      conversion ? proj_as_proj_string(context, conversion.get(), PJ_PROJ_5, nullptr) : nullptr;
  const std::string step = text ? projecting_step(text) : "";
  return step.empty() ? ProjHandle() : handle(proj_create(context, step.c_str()));
}

std::optional<AreaOfUse> area_of(pj_ctx* context, PJ* crs) {
  double west = 0, south = 0, east = 0, north = 0;
  const char* name = nullptr;
  if (!proj_get_area_of_use(context, crs, &west, &south, &east, &north, &name) || west <= -1000)
    return std::nullopt;
  return AreaOfUse{Angle::degrees(west), Angle::degrees(south), Angle::degrees(east), Angle::degrees(north),
                   name ? name : ""};
}

/// `EPSG:4326` from a definition that knows its code; else the text itself.
std::string code_of(PJ* crs, const std::string& text) {
  const char* authority = proj_get_id_auth_name(crs, 0);
  const char* code = proj_get_id_code(crs, 0);
  return authority && code       ? fmt::format("{}:{}", authority, code)
         : text.starts_with("+") ? "the stated projection"
                                 : std::string(proj_get_name(crs));
}

}  // namespace

ProjContext quiet_context() {
  ProjContext context(proj_context_create());
  proj_log_func(context.get(), nullptr, [](void*, int, const char*) {});
  proj_context_set_enable_network(context.get(), 0);
  return context;
}

Outcome<std::shared_ptr<PJconsts>> open_definition(pj_ctx* context, const std::string& text) {
  const bool known_form = text.find(':') != std::string::npos || text.starts_with("+proj=") ||
                          text.find('[') != std::string::npos;
  if (is_blank_text(text) || !known_form || text.starts_with("+init") || text.starts_with("file:"))
    return not_a_code(text);
  if (!text.starts_with("+") && !proj_context_get_database_path(context))
    return Fault{in_quotes(text) + ", but the database of coordinate systems (proj.db) was not found",
                 "proj.db where the projection library looks for it (Debian package proj-data)",
                 "the folder that holds proj.db in the variable PROJ_LIB"};
  std::string definition = text;
  if (text.starts_with("+") && text.find("+type=crs") == std::string::npos) definition += " +type=crs";
  std::shared_ptr<PJconsts> made(proj_create(context, definition.c_str()), HandleEnd{});
  if (!made) return not_a_code(text);
  return made;
}

GridSystem::GridSystem(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
GridSystem::~GridSystem() = default;

Outcome<std::shared_ptr<const GridSystem>> GridSystem::open(std::string_view crs) {
  const std::string text(crs);
  auto parts = std::make_unique<Parts>();
  parts->context = quiet_context();
  pj_ctx* const context = parts->context.get();
  auto definition = open_definition(context, text);
  if (!definition) {
    Fault fault = definition.fault();
    const std::string with_authority = "EPSG:" + text;
    // The number may be that of no projection.
    if (fault.suggestion == "\"" + with_authority + "\"" && !open(with_authority)) fault.suggestion.clear();
    return fault;
  }
  ProjHandle inner;  // of a compound system, whose heights are left alone, or of one with a change of datum
  PJ* system = definition->get();
  for (int depth = 0; system && depth < 4; ++depth) {
    const PJ_TYPE type = proj_get_type(system);
    if (type == PJ_TYPE_BOUND_CRS)
      parts->own_shift = true;
    else if (type != PJ_TYPE_COMPOUND_CRS)
      break;
    inner = handle(type == PJ_TYPE_BOUND_CRS ? proj_get_source_crs(context, system)
                                             : proj_crs_get_sub_crs(context, system, 0));
    system = inner.get();
  }
  if (!system || proj_get_type(system) != PJ_TYPE_PROJECTED_CRS)
    return Fault{
        fmt::format("{} ({}), which is not a map projection", in_quotes(text),
                    system ? proj_get_name(system) : "unknown"),
        "a projected coordinate system, such as EPSG:32632",
        "latitudes and longitudes in the control table, and the projection they are to be taken to here"};
  if (auto fault = look_at_axes(context, system, text, parts->unit)) return *fault;
  parts->projection = bare_projection(context, system);
  parts->base = handle(proj_crs_get_geodetic_crs(context, system));
  const ProjHandle ellipsoid = handle(proj_get_ellipsoid(context, system));
  double a = 0, inverse_flattening = 0;
  if (!parts->projection || !parts->base || !ellipsoid ||
      !proj_ellipsoid_get_parameters(context, ellipsoid.get(), &a, nullptr, nullptr, &inverse_flattening))
    return Fault{in_quotes(text) + ", which is not a plain projection",
                 "a projected coordinate system, such as EPSG:32632", ""};
  const double f = inverse_flattening > 0 ? 1 / inverse_flattening : 0;
  parts->ellipsoid = GeographicLib::Ellipsoid(a, f);
  parts->geodesic = GeographicLib::Geodesic(a, f);
  parts->code = code_of(system, text);
  parts->name = text.starts_with("+") ? text : std::string(proj_get_name(system));
  parts->area = area_of(context, system);
  return std::make_shared<const GridSystem>(std::move(parts));
}

const std::string& GridSystem::code() const { return parts_->code; }
const std::string& GridSystem::name() const { return parts_->name; }
LengthUnit GridSystem::unit() const { return parts_->unit; }
const std::optional<AreaOfUse>& GridSystem::area() const { return parts_->area; }
bool GridSystem::has_own_shift() const { return parts_->own_shift; }

std::optional<Geographic> GridSystem::geographic(const Point<Grid>& p) const {
  const std::lock_guard lock(parts_->guard);
  PJ* const projection = parts_->projection.get();
  const double e = p.at.easting.metres(), n = p.at.northing.metres();
  proj_errno_reset(projection);
  const PJ_COORD back = proj_trans(projection, PJ_INV, proj_coord(e, n, 0, 0));
  if (proj_errno(projection) != 0 || !std::isfinite(back.lp.lam) || !std::isfinite(back.lp.phi))
    return std::nullopt;
  const PJ_COORD again = proj_trans(projection, PJ_FWD, back);
  // A place that does not come back is none: far from its centre a projection folds over itself.
  if (proj_errno(projection) != 0 || !(std::hypot(again.xy.x - e, again.xy.y - n) < 1e-3))
    return std::nullopt;
  return Geographic{Angle::degrees(back.lp.phi / kRadians), wrapped(Angle::degrees(back.lp.lam / kRadians))};
}

std::optional<Point<Grid>> GridSystem::project(const Geographic& p) const {
  if (std::abs(p.latitude.degrees()) > 90) return std::nullopt;
  const std::lock_guard lock(parts_->guard);
  PJ* const projection = parts_->projection.get();
  proj_errno_reset(projection);
  const PJ_COORD to =
      proj_trans(projection, PJ_FWD,
                 proj_coord(p.longitude.degrees() * kRadians, p.latitude.degrees() * kRadians, 0, 0));
  if (proj_errno(projection) != 0 || !std::isfinite(to.xy.x) || !std::isfinite(to.xy.y)) return std::nullopt;
  return Point<Grid>{{.northing = Length::metres(to.xy.y), .easting = Length::metres(to.xy.x)}};
}

std::optional<GridFactors> GridSystem::factors(const Geographic& p) const {
  const std::lock_guard lock(parts_->guard);
  PJ* const projection = parts_->projection.get();
  proj_errno_reset(projection);
  const PJ_FACTORS f = proj_factors(
      projection, proj_coord(p.longitude.degrees() * kRadians, p.latitude.degrees() * kRadians, 0, 0));
  constexpr double kConformal = 1e-7;  // scales along meridian and parallel agree to 1e-10 where they should
  if (proj_errno(projection) != 0 || !std::isfinite(f.meridional_scale) ||
      !(std::abs(f.meridional_scale / f.parallel_scale - 1) < kConformal))
    return std::nullopt;
  return GridFactors{Angle::radians(f.meridian_convergence),
                     std::sqrt(f.meridional_scale * f.parallel_scale)};
}

namespace {

/// Degrees of longitude past the nearer side of an area, below zero inside; its sides may lie about the 180th
/// meridian.
double past_side(const AreaOfUse& a, const Geographic& p) {
  const double west = a.west.degrees(), width = a.east.degrees() - west + (a.east < a.west ? 360 : 0);
  return std::abs(wrapped(p.longitude - Angle::degrees(west + width / 2)).degrees()) - width / 2;
}

}  // namespace

bool GridSystem::covers(const Geographic& p) const {
  if (std::abs(p.latitude.degrees()) > 90) return false;
  if (!parts_->area) return true;
  constexpr double kEdge = 1.0 / 3600;
  const AreaOfUse& a = *parts_->area;
  const double latitude = p.latitude.degrees();
  return latitude >= a.south.degrees() - kEdge && latitude <= a.north.degrees() + kEdge &&
         past_side(a, p) <= kEdge;
}

Length GridSystem::beyond_area(const Geographic& p) const {
  if (!parts_->area || covers(p)) return Length::metres(0);
  const AreaOfUse& a = *parts_->area;
  Geographic edge{std::clamp(p.latitude, a.south, a.north), p.longitude};
  if (past_side(a, p) > 0) {
    const auto off = [&](Angle side) { return std::abs(wrapped(p.longitude - side).degrees()); };
    edge.longitude = off(a.west) < off(a.east) ? a.west : a.east;
  }
  return geodesic(p, edge);
}

bool GridSystem::covers(const Point<Grid>& p) const {
  const auto place = geographic(p);
  return place && covers(*place);
}

bool GridSystem::is_of_other_zone(const Point<Grid>& p) const {
  const auto place = geographic(p);
  if (!place || !parts_->area) return false;
  constexpr double kZones = 18;  // three zones of six degrees
  const AreaOfUse& a = *parts_->area;
  const double beyond = std::min(std::abs(wrapped(place->longitude - a.east).degrees()),
                                 std::abs(wrapped(place->longitude - a.west).degrees()));
  return place->latitude >= a.south && place->latitude <= a.north && beyond < kZones;
}

std::optional<Point<Grid>> GridSystem::with_zone_number(const Point<Grid>& p) const {
  const double million = 1e6, e = p.at.easting.metres();
  if (parts_->unit != LengthUnit::metre || e <= 0) return std::nullopt;
  const auto at = [&](double easting) {
    return Point<Grid>{{.northing = p.at.northing, .easting = Length::metres(easting)}};
  };
  if (e < million) {
    for (int zone = 1; zone <= kZoneNumbers; ++zone)
      if (covers(at(e + zone * million))) return at(e + zone * million);
    return std::nullopt;
  }
  const double zone = std::floor(e / million);
  const Point<Grid> without = at(e - zone * million);
  const auto place = geographic(without);
  if (!place || !covers(*place)) return std::nullopt;
  // Zones of six degrees from the 180th meridian or from Greenwich, and of three about multiples of three.
  const double longitude = place->longitude.degrees();
  for (const double known :
       {std::floor((longitude + 180) / 6) + 1, std::floor(longitude / 6) + 1, std::round(longitude / 3)})
    if (zone == known) return without;
  return std::nullopt;
}

OutsideGrid GridSystem::why_outside(const Point<Grid>& p, LengthUnit unit) const {
  const Length n = p.at.northing, e = p.at.easting;
  const Length zero = Length::metres(0);
  const auto as = [&](OutsideReason reason) { return OutsideGrid{reason, std::nullopt}; };
  if (n == zero && e == zero) return as(OutsideReason::zero);
  if (const Point<Grid> other{{.northing = e, .easting = n}}; covers(other))
    return {OutsideReason::exchanged, other};
  const auto place = geographic(p);
  if (place && is_near_edge(*place)) return as(OutsideReason::near_edge);
  // Sheets of systems that count from a corner write southings and westings without a minus.
  for (const auto& [sn, se] : {std::pair(-1, -1), std::pair(1, -1), std::pair(-1, 1)})
    for (const Point<Grid>& other : {Point<Grid>{{.northing = n * sn, .easting = e * se}},
                                     Point<Grid>{{.northing = e * sn, .easting = n * se}}})
      if ((other.at.northing < zero || other.at.easting < zero) && covers(other))
        return {OutsideReason::sign, other};
  if (const auto other = with_zone_number(p)) return {OutsideReason::zone_number, other};
  // Numbers this small are counted from a site's own origin: in no zone do both stand so near its origin.
  const Length near = Length::metres(100000);
  const bool is_small = abs(n) < near && abs(e) < near;
  const bool other_zone = !is_small && is_of_other_zone(p);
  if (other_zone && unit == parts_->unit) return as(OutsideReason::other_zone);
  struct Other {
    LengthUnit unit;
    OutsideReason reason;
  };
  std::vector<Other> others = {{LengthUnit::metre, OutsideReason::as_metres},
                               {LengthUnit::foot, OutsideReason::as_feet},
                               {LengthUnit::survey_foot, OutsideReason::as_survey_feet}};
  // Both feet land in one place on a map: the system's own is the one that is meant.
  std::stable_partition(others.begin(), others.end(), [&](const Other& o) { return o.unit == parts_->unit; });
  for (const Other& o : others) {
    const double k = metres_in(o.unit) / metres_in(unit);
    if (o.unit != unit && covers(Point<Grid>{{.northing = n * k, .easting = e * k}})) return as(o.reason);
  }
  if (is_small) return as(OutsideReason::local);
  return as(other_zone ? OutsideReason::other_zone : OutsideReason::unknown);
}

OutsideReason GridSystem::why_outside(const Geographic& p) const {
  if (p.latitude == Angle::degrees(0) && p.longitude == Angle::degrees(0)) return OutsideReason::zero;
  if (covers(Geographic{p.longitude, p.latitude})) return OutsideReason::exchanged;
  if (is_near_edge(p)) return OutsideReason::near_edge;
  for (const auto& [lat, lon] : {std::pair(1, -1), std::pair(-1, 1), std::pair(-1, -1)})
    if (covers(Geographic{p.latitude * lat, p.longitude * lon})) return OutsideReason::sign;
  return OutsideReason::unknown;
}

Length GridSystem::mean_radius(const Geographic& p) const {
  const double latitude = p.latitude.degrees();
  return Length::metres(std::sqrt(parts_->ellipsoid.MeridionalCurvatureRadius(latitude) *
                                  parts_->ellipsoid.TransverseCurvatureRadius(latitude)));
}

double GridSystem::elevation_factor(const Geographic& p, Length height) const {
  const Length r = mean_radius(p);
  return r / (r + height);
}

double GridSystem::direction_spread(const Geographic& p, Length height) const {
  const double latitude = p.latitude.degrees(), h = height.metres(), mean = elevation_factor(p, height);
  const double along = parts_->ellipsoid.MeridionalCurvatureRadius(latitude),
               across = parts_->ellipsoid.TransverseCurvatureRadius(latitude);
  return std::max(std::abs(along / (along + h) - mean), std::abs(across / (across + h) - mean));
}

Length GridSystem::geodesic(const Geographic& a, const Geographic& b) const {
  double s = 0;
  parts_->geodesic.Inverse(a.latitude.degrees(), a.longitude.degrees(), b.latitude.degrees(),
                           b.longitude.degrees(), s);
  return Length::metres(s);
}

Azimuth GridSystem::geodesic_azimuth(const Geographic& from, const Geographic& to) const {
  double first = 0, second = 0;
  parts_->geodesic.Inverse(from.latitude.degrees(), from.longitude.degrees(), to.latitude.degrees(),
                           to.longitude.degrees(), first, second);
  return Azimuth::degrees(first);
}

Length GridSystem::geodesic_at(const Geographic& a, const Geographic& b, Length height) const {
  return geodesic(a, b) / elevation_factor(Geographic{(a.latitude + b.latitude) / 2, a.longitude}, height);
}

}  // namespace deckmark
