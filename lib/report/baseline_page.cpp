#include "report/baseline_page.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "measure/length_text.h"
#include "report/pieces.h"
#include "report/text.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kRows = 16;  // of the table, where the rest stands elsewhere
constexpr std::size_t kWhat = 15;  // characters of a row's name
constexpr std::size_t kNames = 4;  // told one by one

std::string held_words(Hold hold) {
  switch (hold) {
    case Hold::both:
      return "Neither baseline is held; both give a little.";
    case Hold::x:
      return "The X baseline is held, as the ties with a y give its direction; Y takes what is left.";
    case Hold::y:
      return "The Y baseline is held, as the ties with an x give its direction; X takes what is left.";
  }
  return "";
}

/// Length of a coordinate or a distance; feet-inches of the drawing where they find room.
std::string cell(const BaselinePage& page, const PageLine& line, const std::optional<Length>& value) {
  if (!value) return "-";
  if (line.is_dimension && page.drawing_unit == LengthUnit::feet_inches)
    if (std::string text = feet_inches_text(*value, 64); text.size() <= 10) return text;
  return fixed(in_unit(*value, page.site_unit), page.site_unit == LengthUnit::millimetre ? 1 : 4);
}

std::string small(const BaselinePage& page, const std::optional<Length>& value) {
  return value ? short_length(*value, page.small_unit()) : "-";
}

std::string table_text(const BaselinePage& page, std::optional<std::string_view> rest) {
  if (page.lines.empty()) return "";
  const std::string_view unit = unit_word(page.site_unit), mm = short_unit(page.small_unit());
  std::string text =
      fmt::format("\n  {} {:>10} {:>10} {:>7} {:>14} {:>6}{}from\n", column("what", kWhat), "stated", "found",
                  "off", fmt::format("permitted, {}", mm), "good", column("", 7));
  text += fmt::format("  {} {:>10} {:>10} {:>7} {:>6} {:>7} {:>6} verdict\n", column("", kWhat), unit, unit,
                      mm, "job", "set-out", "to");
  std::vector<PermittedBy> sources;
  const std::vector<std::size_t> rows = shown_rows(page.lines, rest ? kRows : page.lines.size());
  for (const std::size_t i : rows) {
    const PageLine& l = page.lines[i];
    auto at = std::find(sources.begin(), sources.end(), l.by);
    if (at == sources.end()) at = sources.insert(at, l.by);
    const char letter = static_cast<char>('a' + (at - sources.begin()));
    text += fmt::format("  {} {:>10} {:>10} {:>7} {:>6} {:>7} {:>6} {:<8} {}\n", column(l.what, kWhat),
                        stated_text(page, l), found_text(page, l), off_text(page, l), small(page, l.by_job),
                        small(page, l.by_setout), small(page, l.good_to), verdict_word(l.verdict), letter);
  }
  if (const std::string left = left_out_words(page.lines, rows, rest.value_or("")); !left.empty())
    text += "  " + left + "\n";
  text +=
      "  off: drawing minus site for ties, site minus drawing for the rest; the\n  stricter limit counts. "
      "good to: within this, 95 times in 100.\n";
  for (std::size_t i = 0; i < sources.size(); ++i)
    text += fmt::format("  {}  {}\n", static_cast<char>('a' + i), permitted_words(sources[i]));
  return text;
}

std::string head_text(const BaselinePage& page) {
  std::string name = page.title.empty() ? "" : visible(page.title);
  if (!page.revision.empty()) name += (name.empty() ? "revision " : ", revision ") + visible(page.revision);
  std::string text = name.empty() ? "BASELINES\n" : fmt::format("BASELINES: {}\n", cut(name, 68));
  if (!page.fit) return text + "  " + without_ties_text(page.without_ties, page.mirrored) + "\n";
  const SimilarityParts& parts = page.fit->site_from_drawing.parts();
  const Point<Site> origin =
      page.fit->site_from_drawing(Point<Drawing>{{.x = Length::metres(0), .y = Length::metres(0)}});
  const int decimals = page.site_unit == LengthUnit::millimetre ? 1 : 4;
  text += fmt::format("  +X runs at azimuth {} from {}{}\n  X = Y = 0 lies at N {} E {} {}\n",
                      dms_text(parts.azimuth_x, 1), page.north, parts.mirrored ? " (mirrored drawing)" : "",
                      fixed(in_unit(origin.at.northing, page.site_unit), decimals),
                      fixed(in_unit(origin.at.easting, page.site_unit), decimals), unit_word(page.site_unit));
  if (!page.scale_free) return text + "  scale fixed at 1\n";
  const double ppm = (parts.scale - 1) * 1e6;
  const bool metric = page.site_unit == LengthUnit::metre || page.site_unit == LengthUnit::centimetre ||
                      page.site_unit == LengthUnit::millimetre;
  const Length hundred = Length::metres(metric ? 100 : 30.48);
  return text + fmt::format(
                    "  scale fitted: {}, {} ppm from 1\n  site lengths count as right: the drawing is "
                    "{} by {} {} per {}\n",
                    fixed(parts.scale, 7), fixed(ppm, 1), ppm < 0 ? "shrunk" : "stretched",
                    short_length(abs(hundred * (parts.scale - 1)), page.small_unit()),
                    short_unit(page.small_unit()), metric ? "100 m" : "100 ft");
}

std::string signed_by(const SignedWords& s) {
  std::string text =
      fmt::format("Signed by {} on {} for revision {}: this fit is used unchanged.", visible(s.by),
                  visible(s.on), s.revision.empty() ? "(none)" : visible(s.revision));
  if (!s.accepted_outside.empty())
    text += fmt::format(" Accepted though {}: {}.",
                        s.standing.starts_with(kNotChecked) ? "not checked" : "not within",
                        visible(s.accepted_outside));
  return text;
}

std::string today_words(const SignedCheck& today, const BaselinePage& page) {
  return fmt::format("New ties against it, {}: {}: {}.",
                     plural(today.new_stated, "stated coordinate", "stated coordinates"),
                     signed_shift_words(today, page.small_unit(), page.drawing_unit),
                     today.moved ? "more than chance, look at the marks" : "no more than chance");
}

std::string square_words(const BaselinePage& page) {
  const SquarenessResult& s = *page.square;
  const std::string_view mm = short_unit(page.small_unit());
  if (s.contradicted)
    return fmt::format("Squareness: not stated. The lengths between {} contradict one another{}.",
                       fmt::join(page.corner, ", "),
                       page.measure_first.empty() ? "" : "; measure " + page.measure_first + " again first");
  if (!s.included)
    return fmt::format("Squareness: not checked; the ties leave the direction of the {} baseline open.",
                       s.x_open && s.y_open ? "X and of the Y"
                       : s.x_open           ? "X"
                                            : "Y");
  const bool closed = *s.deviation_over < Length::metres(0);
  const Length by = abs(*s.deviation_over);
  std::string text = fmt::format(
      "Squareness: +X to +Y is {}, {} by {} {} over {}", dms_text(*s.included, 0), closed ? "closed" : "open",
      s.verdict == Verdict::outside ? short_length_beyond(by, s.limit.permitted, page.small_unit())
                                    : short_length(by, page.small_unit()),
      mm, length_words(s.shorter, page.site_unit));
  if (s.at_worst && page.corner.empty())
    text += fmt::format(". With each baseline on its own {} would move most, by {} {}", page.square_worst,
                        short_length(*s.at_worst, page.small_unit()), mm);
  if (s.at_worst && !page.corner.empty())
    text += fmt::format(". Square to one baseline or along the other differ most at {}, by {} {}",
                        page.square_worst, short_length(*s.at_worst, page.small_unit()), mm);
  if (!page.corner.empty())
    text += fmt::format(". By lengths alone, between {}", fmt::join(page.corner, ", "));
  return text + ".";
}

std::string unchecked_words(const std::vector<std::string>& unchecked) {
  if (unchecked.empty()) return "Every stated coordinate is checked by other ties.";
  const std::size_t told = std::min(unchecked.size(), kNames);
  std::string text =
      fmt::format("No other tie checks {}",
                  fmt::join(unchecked.begin(), unchecked.begin() + static_cast<std::ptrdiff_t>(told), ", "));
  if (told < unchecked.size()) text += fmt::format(" and {} more", unchecked.size() - told);
  return text + ".";
}

std::string wrong_words(const BaselinePage& page) {
  if (page.wrong.empty()) return "No tie contradicts the others.";
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < std::min(page.wrong.size(), kNames); ++i) {
    const PageWrong& w = page.wrong[i];
    parts.push_back(fmt::format("{}, which seems to be off by {} {}", w.what,
                                short_length(abs(w.error), page.small_unit()),
                                short_unit(page.small_unit())));
    if (!w.alike.empty())
      parts.back() += fmt::format(" ({} would explain it as well)", fmt::join(w.alike, ", "));
  }
  if (page.wrong.size() > kNames) parts.push_back(fmt::format("and {} more", page.wrong.size() - kNames));
  return fmt::format(
      "THE OTHER TIES CONTRADICT {}. It still counts in the fit: look at it, then measure again.",
      fmt::join(parts, "; "));
}

std::string ellipse_words(const ErrorEllipse& e, LengthUnit unit) {
  return fmt::format("{} by {} {} (95 % ellipse, longest at azimuth {} deg)",
                     short_length(e.semi_major, unit), short_length(e.semi_minor, unit), short_unit(unit),
                     fixed(e.azimuth.degrees(), 0));
}

std::string variance_words(const VarianceTest& v, std::size_t left_over, bool details) {
  const Agreement agreement = v.too_high  ? Agreement::worse
                              : v.too_low ? Agreement::better
                                          : Agreement::as_stated;
  std::string text = fmt::format("{}; they {}", plural(left_over, "spare coordinate", "spare coordinates"),
                                 agreement_words(v.factor, agreement));
  if (v.too_high) text += ": a tie is wrong, or the sds are too small";
  if (v.too_low) text += ": the sds are cautious";
  if (details)
    text += fmt::format(" (variance factor {}, {} to {} expected at 95 %)", fixed(v.factor, 2),
                        fixed(v.lower, 2), fixed(v.upper, 2));
  return text + ".";
}

void add_assurance(const BaselinePage& page, std::vector<std::string>& out) {
  const Assurance& a = *page.assurance;
  if (page.left_over > 0 && !page.signature) out.push_back(wrong_words(page));
  out.push_back(unchecked_words(page.unchecked));
  if (a.detectable)
    out.push_back(fmt::format("A tie wrong by less than {} {} could go unnoticed; weakest: {}{}.",
                              short_length(*a.detectable, page.small_unit()), short_unit(page.small_unit()),
                              page.least_seen,
                              page.details ? " (a greater one is seen 4 times in 5, alpha 0.001)" : ""));
  if (page.same_ties)
    out.push_back("The spare coordinates agree as they were signed.");
  else if (a.variance)
    out.push_back(variance_words(*a.variance, page.left_over, page.details));
  else
    out.push_back("No spare coordinate: nothing tests the stated sds.");
  out.push_back(fmt::format("Origin good to {}.", ellipse_words(a.origin, page.small_unit())));
  if (a.at_farthest)
    out.push_back(fmt::format("Farthest point, {}: {}.", page.farthest,
                              ellipse_words(*a.at_farthest, page.small_unit())));
}

}  // namespace

std::string_view permitted_words(PermittedBy by) {
  switch (by) {
    case PermittedBy::own_tolerance:
      return "the tie's own tolerance, in the ties table";
    case PermittedBy::job_tolerance:
      return "tolerance of the job";
    case PermittedBy::default_tolerance:
      return "default of 5 mm where the job states none (common practice, no source)";
    case PermittedBy::iso_primary:
      return "ISO 4463-1:1989, primary system (from memory; setout_* override)";
    case PermittedBy::iso_secondary:
      return "ISO 4463-1:1989, secondary system (from memory; setout_* override)";
    case PermittedBy::job_figures:
      return "set-out figures of the job, in place of ISO 4463-1";
    case PermittedBy::job_dimension:
      return "dimension_tolerance of the job";
    case PermittedBy::default_dimension:
      break;
  }
  return "default of 1/16\" for dimensions (common practice, no source)";
}

std::vector<std::size_t> shown_rows(const std::vector<PageLine>& lines, std::size_t most) {
  std::vector<std::size_t> order(lines.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  if (lines.size() <= most) return order;
  const auto rank = [&](std::size_t i) {
    const PageLine& l = lines[i];
    if (l.verdict == Verdict::outside) return 2e9;
    if (l.verdict == Verdict::unsure || l.is_square) return 1e9;
    return l.off && l.permitted > Length::metres(0) ? abs(*l.off) / l.permitted : 0.0;
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return rank(a) > rank(b); });
  order.resize(most);
  std::sort(order.begin(), order.end());
  return order;
}

std::string left_out_words(const std::vector<PageLine>& lines, const std::vector<std::size_t>& shown,
                           std::string_view rest) {
  if (shown.size() >= lines.size()) return "";
  std::size_t outside = 0, unsure = 0;
  for (std::size_t i = 0, next = 0; i < lines.size(); ++i) {
    if (next < shown.size() && shown[next] == i) {
      ++next;
      continue;
    }
    outside += lines[i].verdict == Verdict::outside;
    unsure += lines[i].verdict == Verdict::unsure;
  }
  std::string text = fmt::format("and {} more, ", lines.size() - shown.size());
  if (outside > 0) text += fmt::format("{} of them OUTSIDE{}", outside, unsure > 0 ? ", " : "");
  if (unsure > 0) text += fmt::format("{} unsure", unsure);
  return fmt::format("{}{}: {}", text, outside + unsure == 0 ? "within" : "", rest);
}

std::string signed_shift_words(const SignedCheck& today, LengthUnit site_unit, LengthUnit drawing_unit) {
  const std::string_view mm = short_unit(site_unit);
  std::vector<std::string> parts;
  if (today.shift_x)
    parts.push_back(fmt::format("{} {} along X (sd {})", short_length(*today.shift_x, site_unit), mm,
                                short_length(today.sd_x, site_unit)));
  if (today.shift_y)
    parts.push_back(fmt::format("{} {} along Y (sd {})", short_length(*today.shift_y, site_unit), mm,
                                short_length(today.sd_y, site_unit)));
  if (today.turn)
    parts.push_back(fmt::format("turned {}\" clockwise (sd {})", fixed(today.turn->arc_seconds(), 0),
                                fixed(today.sd_turn.arc_seconds(), 0)));
  return fmt::format("shifted, at the middle of the new ties (X {}, Y {}), {}",
                     length_words(today.middle.at.x, drawing_unit),
                     length_words(today.middle.at.y, drawing_unit), fmt::join(parts, ", "));
}

LengthUnit BaselinePage::small_unit() const { return deckmark::small_unit(site_unit, drawing_unit); }

std::string off_text(const BaselinePage& page, const PageLine& line) {
  if (!line.off || line.verdict != Verdict::outside) return small(page, line.off);
  return short_length_beyond(*line.off, line.permitted, page.small_unit());
}

std::string stated_text(const BaselinePage& page, const PageLine& line) {
  return line.is_square ? "90-00-00" : cell(page, line, line.stated);
}

std::string found_text(const BaselinePage& page, const PageLine& line) {
  if (!line.is_square) return cell(page, line, line.found);
  if (line.angle) return dms_text(*line.angle, 0);
  return page.square && page.square->contradicted ? "-" : "open";
}

std::vector<std::string> baseline_findings(const BaselinePage& page) {
  std::vector<std::string> out;
  if (page.signature) out.push_back(signed_by(*page.signature));
  if (page.same_ties)
    out.push_back("Every tie of today was signed: nothing new checks this fit.");
  else if (page.today)
    out.push_back(today_words(*page.today, page));
  if (page.fit) out.push_back(held_words(page.hold));
  if (page.square) out.push_back(square_words(page));
  if (!page.moves.empty()) out.push_back(page.moves);
  if (page.assurance) add_assurance(page, out);
  return out;
}

std::string without_ties_text(WithoutTies place, bool mirrored) {
  switch (place) {
    case WithoutTies::as_stated:
      return "no ties: frame = \"site\" says that x is easting and y is northing";
    case WithoutTies::unknown:
      return "no ties: nothing says where the drawing lies on site";
    case WithoutTies::strings:
      return "no ties: marks are laid out from strings between corner marks as taped";
    case WithoutTies::as_drawn:
      break;
  }
  return fmt::format("no ties: the drawing frame is taken as the site frame, E = x, N = {}y",
                     mirrored ? "-" : "");
}

std::string baseline_page_text(const BaselinePage& page, std::optional<std::string_view> rest) {
  std::string findings;
  for (const std::string& sentence : baseline_findings(page)) {
    const std::vector<std::string> lines = wrapped(sentence, 76, 8);
    for (std::size_t i = 0; i < lines.size(); ++i) findings += (i == 0 ? "  " : "    ") + lines[i] + "\n";
  }
  return head_text(page) + table_text(page, rest) + (findings.empty() ? "" : "\n" + findings);
}

Acceptance acceptance_of(const BaselinePage& page, std::string_view verdict) {
  if (page.signature) return Acceptance::signed_already;
  if (verdict.starts_with(kStop)) return Acceptance::stopped;
  if (page.lines.empty()) return Acceptance::nothing;
  return verdict.starts_with(kReady) ? Acceptance::plain : Acceptance::with_reason;
}

bool can_be_accepted(Acceptance acceptance) {
  return acceptance == Acceptance::plain || acceptance == Acceptance::with_reason;
}

std::string acceptance_words(Acceptance acceptance, const std::string& revision) {
  const std::string accept = fmt::format("I accept these baselines for layout of revision {}",
                                         revision.empty() ? "________" : visible(revision));
  switch (acceptance) {
    case Acceptance::plain:
      return accept + ".";
    case Acceptance::with_reason:
      return accept + " though NOT CHECKED, because";
    case Acceptance::stopped:
      return "Nothing to accept here: DO NOT LAY OUT.";
    case Acceptance::signed_already:
      return "Nothing to accept here: signed already.";
    case Acceptance::nothing:
      break;
  }
  return "Nothing to accept here: no ties and no lengths.";
}

std::string_view measured_with(const BaselinePage& page) {
  return page.without_ties == WithoutTies::strings ? "tape and laser" : "instrument and serial number";
}

std::string signature_text(const BaselinePage& page, Acceptance acceptance) {
  std::string text;
  for (const std::string& line : wrapped(acceptance_words(acceptance, page.revision), kColumns, 3))
    text += line + "\n";
  if (acceptance == Acceptance::with_reason) text += "\n  reason " + std::string(71, '_') + "\n";
  if (can_be_accepted(acceptance))
    text += fmt::format(
        "\n  name ______________________ signature ______________________ date ____________\n\n  {}\n",
        page.without_ties == WithoutTies::strings
            ? "tape and laser __________________________________ weather ____________________"
            : "instrument and serial ____________________________ weather, tape _____________");
  text += "\n  stop and call _______________________\n";
  return can_be_accepted(acceptance) ? text + "  Numbers are computed; the signature is yours.\n" : text;
}

}  // namespace deckmark
