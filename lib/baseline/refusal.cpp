#include <fmt/format.h>

#include <cmath>
#include <string>

#include "baseline/tie_fit.h"
#include "measure/angle_text.h"

namespace deckmark {

namespace {

std::string joined(const std::vector<std::string>& parts) {
  std::string out;
  for (std::size_t i = 0; i < parts.size(); ++i)
    out += (i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ") + parts[i];
  return out;
}

std::vector<std::string> open_names(const OpenParts& open) {
  std::vector<std::string> out;
  if (open.rotation) out.emplace_back("the rotation");
  if (open.along_x) out.emplace_back("the origin along X");
  if (open.along_y) out.emplace_back("the origin along Y");
  if (open.scale) out.emplace_back("the scale");
  return out;
}

std::string ties_counted(const OpenParts& open) {
  if (open.ties == 0) return "no ties";
  return fmt::format("{} tie{}{}, {} stat{} x and {} y", open.ties, open.ties == 1 ? "" : "s",
                     open.one_place && open.ties > 1 ? ", all at one place" : "", open.stated_x,
                     open.stated_x == 1 ? "es" : "e", open.stated_y);
}

/// What tie would settle it.
std::string cure(const OpenParts& open) {
  if (open.held) {
    const char lead = *open.held == Hold::x ? 'y' : 'x', along = *open.held == Hold::x ? 'X' : 'Y';
    return fmt::format("a second tie that states {} well along {} from the first, or hold = \"both\"", lead,
                       along);
  }
  if (open.ties == 0 || (open.rotation && (open.one_place || open.ties == 1)))
    return "a second tie that states x and y, far from the first";
  std::vector<std::string> out;
  if (open.along_x) out.emplace_back("a tie that states x");
  if (open.along_y) out.emplace_back("a tie that states y");
  if (open.rotation)
    out.emplace_back(open.along_x || open.along_y
                         ? "one more of the same axis, far from it"
                         : "a tie that states y far along X from the others, or x far along Y");
  if (open.scale && (!open.rotation || open.together))
    out.emplace_back("a tie that states another x, or another y, far from the others, or scale = \"fixed\"");
  return joined(out);
}

Fault open_fault(const BaselineResult& r) {
  if (r.open.parallel)
    return {"ties whose two baselines run parallel and do not cross",
            "an X and a Y baseline square to each other", "check which ties state x and which y"};
  if (r.open.no_length) {
    const bool x = *r.open.no_length == Hold::x;
    return {fmt::format("ties whose {} baseline has no length: all that state {} lie at one place",
                        x ? "X" : "Y", x ? "y" : "x"),
            "ties apart from each other along each baseline", "check the northing and easting of those ties"};
  }
  std::string found = "ties that leave " + joined(open_names(r.open)) + " open";
  if (r.open.held) found += fmt::format(" with hold = \"{}\"", *r.open.held == Hold::x ? "x" : "y");
  return {found + " (" + ties_counted(r.open) + ")", "ties that fix where the baselines lie", cure(r.open)};
}

std::string whole_degrees(Azimuth a) { return fmt::format("{}°", std::lround(a.degrees()) % 360); }

std::string listed(const std::vector<Azimuth>& azimuths) {
  std::vector<std::string> out;
  out.reserve(azimuths.size());
  for (const Azimuth a : azimuths) out.push_back(dms_text(a, 0));
  return joined(out);
}

Fault two_fits_fault(const BaselineResult& r) {
  const double apart = std::abs((r.azimuths.front() - r.azimuths.back()).degrees());
  std::string cure = "a tie that states another x or y, away from those there";
  if (apart > 120)
    cure += fmt::format(", or azimuth_near = \"{}\" to say which", whole_degrees(r.azimuths.front()));
  return {"ties that fit as well with +X at azimuth " + listed(r.azimuths),
          "ties that fit one way round only", cure};
}

Fault mirrored_fault(const BaselineResult& r) {
  const bool keyed = r.options.mirrored;
  return {fmt::format("ties that misfit by {:.3f} m {} and by {:.3f} m {}", r.misfit.metres(),
                      keyed ? "mirrored" : "as drawn", r.misfit_other_hand.metres(),
                      keyed ? "as drawn" : "mirrored"),
          fmt::format("ties that fit a drawing that is{} mirrored", keyed ? "" : " not"),
          fmt::format("exchange x and y of the ties, or exchange northing and easting, or mirrored = {}: all "
                      "three fit alike, so look which was keyed wrongly",
                      keyed ? "false" : "true")};
}

Fault azimuth_fault(const BaselineResult& r) {
  return {"azimuth_near = " + dms_text(*r.options.azimuth_near, 0) +
              ", farther than 60° from every fit of the ties",
          "a rough azimuth of +X within 60° of " + listed(r.azimuths),
          fmt::format("azimuth_near = \"{}\"", whole_degrees(r.azimuths.front()))};
}

Fault units_fault(const BaselineResult& r) {
  const UnitRatio& u = *r.units;
  return {fmt::format("a scale of {:.6g}, the ratio of {} to {}", u.scale, u.drawing, u.site),
          "ties whose drawing and site lengths are in the units stated",
          fmt::format("the drawing looks like {0} read as {1}, or the site like {1} read as {0}", u.drawing,
                      u.site)};
}

}  // namespace

Fault refusal(const BaselineResult& result) {
  switch (result.status) {
    case FitStatus::two_fits:
      return two_fits_fault(result);
    case FitStatus::only_mirrored:
      return mirrored_fault(result);
    case FitStatus::azimuth_refused:
      return azimuth_fault(result);
    case FitStatus::units_differ:
      return units_fault(result);
    case FitStatus::not_converged:
      return {"ties whose fit does not settle", "ties that agree with the drawing",
              "check the ties one by one"};
    case FitStatus::open:
    case FitStatus::solved:
      break;
  }
  return open_fault(result);
}

}  // namespace deckmark
