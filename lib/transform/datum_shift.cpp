#include <fmt/format.h>
#include <proj.h>

#include <cmath>
#include <mutex>

#include "transform/proj_parts.h"

namespace deckmark {

struct DatumShift::Parts {
  ProjContext context;
  ProjHandle shift;  ///< longitude, latitude in degrees, both ways round made alike
  mutable std::mutex guard;
};

namespace {

struct ListEnd {
  void operator()(PJ_OBJ_LIST* list) const { proj_list_destroy(list); }
};
struct FactoryEnd {
  void operator()(PJ_OPERATION_FACTORY_CONTEXT* f) const { proj_operation_factory_context_destroy(f); }
};

/// Grid files that an operation needs and that are not there, with a comma between.
std::string missing_files(pj_ctx* context, PJ* operation) {
  std::string names;
  const int count = proj_coordoperation_get_grid_used_count(context, operation);
  for (int i = 0; i < count; ++i) {
    const char* name = "";
    int available = 0;
    proj_coordoperation_get_grid_used(context, operation, i, &name, nullptr, nullptr, nullptr, nullptr,
                                      nullptr, &available);
    if (!available) names += (names.empty() ? "" : ", ") + std::string(name);
  }
  return names;
}

}  // namespace

DatumShift::DatumShift(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
DatumShift::~DatumShift() = default;

Outcome<std::shared_ptr<const DatumShift>> DatumShift::open(std::string_view geographic,
                                                            const GridSystem& to) {
  const std::string text(geographic);
  auto parts = std::make_unique<Parts>();
  parts->context = quiet_context();
  pj_ctx* const context = parts->context.get();
  const auto from = open_definition(context, text);
  if (!from) {
    Fault fault{from.fault().found, "a geographic coordinate system, such as EPSG:4258",
                from.fault().suggestion};
    const std::string with_authority = "EPSG:" + text;
    // The number may be that of no such system.
    if (fault.suggestion == "\"" + with_authority + "\"" && !open(with_authority, to))
      fault.suggestion.clear();
    return fault;
  }
  const PJ_TYPE type = proj_get_type(from->get());
  if (type != PJ_TYPE_GEOGRAPHIC_2D_CRS && type != PJ_TYPE_GEOGRAPHIC_3D_CRS)
    return Fault{fmt::format("{} ({}), which has no latitudes and longitudes", in_quotes(text),
                             proj_get_name(from->get())),
                 "a geographic coordinate system, such as EPSG:4258", ""};
  const ProjHandle target(proj_clone(context, base_of(*to.parts_)));
  const std::unique_ptr<PJ_OPERATION_FACTORY_CONTEXT, FactoryEnd> factory(
      proj_create_operation_factory_context(context, nullptr));
  // Sorted as if every grid file were there: what is best must not depend on what happens to be installed.
  proj_operation_factory_context_set_grid_availability_use(context, factory.get(),
                                                           PROJ_GRID_AVAILABILITY_IGNORED);
  proj_operation_factory_context_set_allow_ballpark_transformations(context, factory.get(), 0);
  proj_operation_factory_context_set_spatial_criterion(context, factory.get(),
                                                       PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION);
  if (const auto& area = to.area())
    proj_operation_factory_context_set_area_of_interest(context, factory.get(), area->west.degrees(),
                                                        area->south.degrees(), area->east.degrees(),
                                                        area->north.degrees());
  const std::unique_ptr<PJ_OBJ_LIST, ListEnd> list(
      proj_create_operations(context, from->get(), target.get(), factory.get()));
  const int count = list ? proj_list_get_count(list.get()) : 0;
  const std::string change = fmt::format("{} ({})", in_quotes(text), proj_get_name(from->get()));
  const std::string datum = fmt::format("the datum of {} ({})", to.code(), proj_get_name(target.get()));
  if (count == 0)
    return Fault{fmt::format("{}, from which no change to {} is known", change, datum),
                 "a system whose change of datum is known", ""};
  ProjHandle best(proj_list_get(context, list.get(), 0));
  if (const std::string missing = missing_files(context, best.get()); !missing.empty())
    return Fault{fmt::format("{}, whose change to {} needs the grid file {}, which is not installed", change,
                             datum, missing),
                 "latitudes and longitudes on the datum of the projection, or the grid file",
                 fmt::format("{} in the folder of proj.db", missing)};
  const double accuracy = proj_coordoperation_get_accuracy(context, best.get());
  if (accuracy < 0 || accuracy > kWorstMetres)
    return Fault{
        fmt::format("{}, whose change to {} is good to {}", change, datum,
                    accuracy < 0 ? std::string("an unknown amount") : fmt::format("{:g} m", accuracy)),
        fmt::format("a change of datum good to {:g} m", kWorstMetres),
        "control on the datum of the projection"};
  parts->shift = ProjHandle(proj_normalize_for_visualization(context, best.get()));
  if (!parts->shift) return Fault{change, "a change of datum that can be computed", ""};
  return std::make_shared<const DatumShift>(std::move(parts));
}

std::optional<Geographic> DatumShift::operator()(const Geographic& p, Length height) const {
  const std::lock_guard lock(parts_->guard);
  PJ* const shift = parts_->shift.get();
  proj_errno_reset(shift);
  const PJ_COORD to =
      proj_trans(shift, PJ_FWD, proj_coord(p.longitude.degrees(), p.latitude.degrees(), height.metres(), 0));
  if (proj_errno(shift) != 0 || !std::isfinite(to.xy.x) || !std::isfinite(to.xy.y)) return std::nullopt;
  return Geographic{Angle::degrees(to.xy.y), Angle::degrees(to.xy.x)};
}

}  // namespace deckmark
