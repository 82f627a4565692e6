#include "report/signed_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "measure/visible_lines.h"

namespace deckmark {

namespace {

/// A TOML text in quotes, whose characters all show.
std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : visible_lines(std::string(text))) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') out += '\\';
    if (byte < 0x20 || byte == 0x7F)
      out += fmt::format("\\u{:04X}", byte);
    else
      out += c;
  }
  return out + "\"";
}

std::string number(double value) { return fmt::format("{}", value); }
std::string metres(Length value) { return number(value.metres()); }
std::string_view hold_word(Hold hold) { return hold == Hold::both ? "both" : hold == Hold::x ? "x" : "y"; }

std::string fit_section(const BaselineResult& result) {
  const FittedTransform& fit = *result.fit;
  const SimilarityParts& p = fit.site_from_drawing.parts();
  std::string text =
      fmt::format("[fit]\nheld = {}\nscale_free = {}\nmirrored = {}\n",
                  quoted(hold_word(result.options.hold)), result.options.scale_free, p.mirrored);
  text += fmt::format("drawing_x = {}\ndrawing_y = {}\nnorthing = {}\neasting = {}\n",
                      metres(p.drawing_centre.at.x), metres(p.drawing_centre.at.y),
                      metres(p.site_centre.at.northing), metres(p.site_centre.at.easting));
  text += fmt::format(
      "azimuth_x = {}\nscale = {}\n# order easting (m), northing (m), azimuth (rad), scale\ncovariance = [\n",
      number(p.azimuth_x.degrees()), number(p.scale));
  for (const auto& row : fit.covariance) text += fmt::format("  [{}],\n", fmt::join(row, ", "));
  return text + "]\n";
}

std::string tie_section(const TieRow& r, const std::string& mark, const Point<Site>& at) {
  return fmt::format(
      "\n[[tie]]\nmark = {}\naxis = \"{}\"\nnorthing = {}\neasting = {}\nstated = {}\nfound = {}\nresidual = "
      "{}\nresidual_sd = {}\nredundancy = {}\npermitted = {}\nverdict = \"{}\"\n",
      quoted(mark), r.axis == TieAxis::x ? "x" : "y", metres(at.at.northing), metres(at.at.easting),
      metres(r.stated), metres(r.computed), metres(r.residual), metres(r.residual_sd), number(r.redundancy),
      metres(r.tolerance), verdict_word(r.verdict));
}

std::string check_section(const SignedRow& c) {
  std::string text = fmt::format("\n[[check]]\ncheck = {}\nfrom = {}\nto = {}\n", quoted(c.check),
                                 quoted(c.from), quoted(c.to));
  if (c.deviation) text += fmt::format("deviation = {}\n", metres(*c.deviation));
  if (c.permitted) text += fmt::format("permitted = {}\n", metres(*c.permitted));
  return text + fmt::format("verdict = {}\nsource = {}\n", quoted(c.verdict), quoted(c.source));
}

std::string control_section(const KeptControl& c) {
  std::string text = fmt::format("\n[[control]]\npoint = {}\nnorthing = {}\neasting = {}\n", quoted(c.point),
                                 metres(c.at.northing.length()), metres(c.at.easting.length()));
  if (!c.elevation.is_none()) text += fmt::format("elevation = {}\n", metres(c.elevation.length()));
  return text;
}

/// What is said of the signature.
std::string head_section(const SignedText& t) {
  const auto stated = [](std::string_view key, const std::string& value) {
    return value.empty() ? "" : fmt::format("{} = {}\n", key, quoted(value));
  };
  std::string text =
      "# Signed baselines. Lengths in metres, azimuth in degrees. Do not edit: the seal at the end\n# would "
      "no longer fit. To use this fit, name the file under [baselines] signed of the job.\n\n";
  text += fmt::format(
      "[signed]\ntitle = {}\nrevision = {}\nby = {}\non = {}\naccepted_outside = {}\n{}ties = "
      "{}\nties_sha256 "
      "= {}\n{}{}{}program = {}\n\n",
      quoted(t.title), quoted(t.revision), quoted(t.by), quoted(t.on), quoted(t.accepted_outside),
      stated("standing", t.standing), quoted(t.ties_file), quoted(t.ties_sha256), stated("for", t.for_file),
      stated("storey", t.storey), stated("signed_before", t.before), quoted(t.program));
  return text;
}

}  // namespace

std::string signed_body(const SignedText& t) {
  std::string text = head_section(t);
  text += fit_section(*t.fit);
  for (const TieRow& r : t.fit->rows) text += tie_section(r, t.marks[r.tie], t.places[r.tie]);
  for (const SignedRow& c : t.checks) text += check_section(c);
  for (const KeptControl& c : t.control) text += control_section(c);
  for (const auto& [name, sha256] : t.inputs)
    text += fmt::format("\n[[input]]\nfile = {}\nsha256 = {}\n", quoted(name), quoted(sha256));
  return text + "\n";
}

std::string signed_again(const SignedText& t, std::string_view body) {
  constexpr std::string_view kFit = "[fit]\n";
  std::size_t at = body.find(kFit);
  while (at != std::string_view::npos && at > 0 && body[at - 1] != '\n') at = body.find(kFit, at + 1);
  return head_section(t) + std::string(body.substr(std::min(at, body.size())));
}

}  // namespace deckmark
