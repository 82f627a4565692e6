// Members of runs on the page: drawn to scale with their ends, and in tables.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/page_parts.h"

namespace deckmark {

namespace {

using End = PlanMember::End;

constexpr std::size_t kMemberRows = 200, kMeetings = 200;

/// Figure units.
struct Arrow {
  double x, y, along_x, along_y;  // the way has length 1
};
/// At `to`, away from `from`; nothing where both are one place.
std::optional<Arrow> arrow(const PlanFrame& f, const Point<Drawing>& from, const Point<Drawing>& to) {
  const double x = f.x(to.at.x), y = f.y(to.at.y), dx = x - f.x(from.at.x), dy = y - f.y(from.at.y),
               size = std::hypot(dx, dy);
  if (size < 1e-9) return std::nullopt;
  return Arrow{x, y, dx / size, dy / size};
}

void stroke(Markup& m, std::string_view style, double x, double y, double to_x, double to_y) {
  m.empty("path", fmt::format("class=\"{}\" d=\"M{} {}L{} {}\"", style, px(x), px(y), px(to_x), px(to_y)));
}

/// A bar across the end: thin where it is free, thick against a wall.
void cap(Markup& m, const Arrow& a, End end) {
  if (end != End::free && end != End::wall) return;
  const double half = end == End::wall ? 6 : 4.5, out = end == End::wall ? 2 : 0;
  const double x = a.x + a.along_x * out, y = a.y + a.along_y * out;
  stroke(m, end == End::wall ? "wall" : "fine", x - a.along_y * half, y + a.along_x * half,
         x + a.along_y * half, y - a.along_x * half);
}

/// The cut member is parted beside the one that goes through.
void part(Markup& m, const PlanFrame& f, const PlanThrough& t) {
  const auto a = arrow(f, t.ahead, t.at);
  if (!a) return;
  const double apart = t.apart.metres() * f.scale();
  constexpr double kMost = 5, kLeast = 2;  // of the gap; narrower ones an eye would not see
  const double across = apart > 0 ? std::min(kMost, 0.8 * apart) : kMost, half = 2.5;
  if (across < kLeast) return;
  m.empty("path", fmt::format("class=\"gap\" style=\"stroke-width:{}\" d=\"M{} {}L{} {}\"", px(across),
                              px(a->x - a->along_x * half), px(a->y - a->along_y * half),
                              px(a->x + a->along_x * half), px(a->y + a->along_y * half)));
  stroke(m, "member", a->x - a->along_x * (half + 1), a->y - a->along_y * (half + 1),
         a->x + a->along_x * (half + 1), a->y + a->along_y * (half + 1));
}

bool has_end(const PlanPage& plan, const PlanFrame& f, End end) {
  return std::ranges::any_of(plan.members, [&](const PlanMember& k) {
    return k.line.size() > 1 &&
           ((k.start == end && f.holds(k.line.front())) || (k.finish == end && f.holds(k.line.back())));
  });
}

/// How a run with its members is hung and ends; a ring has no ends.
void member_rows(Markup& m, const HungRunLine& run, LengthUnit unit) {
  const std::string hang = hanging_words(run);
  for (const MemberLine& k : run.members) {
    const bool is_first = &k == &run.members.front();
    m.open("tr");
    if (is_first)
      text_cell(m, run.run);
    else
      m.element("td", "");
    m.element("td", k.member.empty() ? "single" : k.member);
    number_cell(m, taped(k.length, unit));
    m.element("td", run.kind == "ring" ? "-" : k.start).element("td", run.kind == "ring" ? "-" : k.finish);
    m.open("td").name(is_first ? hang : "").close().close().line();
  }
}

void left_out(Markup& m, std::size_t all, std::size_t told, std::string_view file) {
  if (all > told) paragraph(m, fmt::format("{} more in {}.", all - told, file), "class=\"told\"");
}

void members_section(Markup& m, const JobPage& page) {
  const LengthUnit unit = page.drawing_unit;
  open_section(m, "Members of the runs");
  open_table(m,
             {"run", "member", fmt::format("#length, {}", taped_unit(unit)), "start", "finish", "hanging"});
  std::size_t all = 0, told = 0;
  for (const HungRunLine& r : page.hung) {
    all += r.members.size();
    if (all > kMemberRows) continue;
    told = all;
    member_rows(m, r, unit);
  }
  close_table(m);
  left_out(m, all, told, "members.csv");
  paragraph(
      m,
      "Lengths on middle lines. Where hanging begins is common practice; the drawing or the engineer wins.",
      "class=\"told\"");
  m.close().line();
}

void meetings_section(Markup& m, const JobPage& page) {
  if (page.crossings.empty()) return;
  const LengthUnit unit = page.drawing_unit;
  open_section(m, "Where runs meet");
  const std::string at = fmt::format("#at, {}", taped_unit(unit));
  open_table(m, {"run", at, "run", at, "how"});
  for (std::size_t i = 0; i < page.crossings.size() && i < kMeetings; ++i) {
    const CrossingLine& c = page.crossings[i];
    m.open("tr");
    text_cell(m, c.first);
    number_cell(m, taped(c.along_first, unit));
    text_cell(m, c.second);
    number_cell(m, taped(c.along_second, unit));
    m.open("td").name(crossing_words(c));
    if (c.allowance)
      m.text(fmt::format("; the inside member ends {} before the corner, the outside one beyond",
                         taped(*c.allowance, unit)));
    m.close().close().line();
  }
  close_table(m);
  left_out(m, page.crossings.size(), kMeetings, "crossings.csv");
  paragraph(m, "Distances along each run from its start.", "class=\"told\"");
  m.close().line();
}

/// A place and what is there stay in one line.
std::string unbroken(std::string word) {
  if (const std::size_t at = word.find(' '); at != std::string::npos) word.replace(at, 1, "\u00A0");
  return word;
}

void labels_section(Markup& m, const JobPage& page) {
  if (page.pieces.lines.empty()) return;
  const LengthUnit unit = page.drawing_unit;
  open_section(m, "Pieces: a line for each label");
  paragraph(m, fmt::format("Cut, then mark on top, from the piece's start, in {}. Tick what is marked.",
                           taped_unit(unit)));
  m.open("ul", "class=\"labels\"").line();
  for (const PieceLine& p : page.pieces.lines) {
    m.open("li").element("span", "\u2610", "class=\"box\"");
    const std::vector<std::string> words = label_words(p, unit);
    m.element("strong", label_head(p, unit) + (words.empty() ? "" : ":"));
    std::string text;
    for (const std::string& w : words) text += (text.empty() ? " " : ", ") + unbroken(w);
    m.text(text).close().line();
  }
  m.close().line();
  left_out(m, page.pieces.all, page.pieces.lines.size(), "piece-marks.csv");
  m.close().line();
}

}  // namespace

void members_sections(Markup& m, const JobPage& page) {
  if (std::ranges::all_of(page.hung, [](const HungRunLine& r) { return r.members.empty(); })) return;
  members_section(m, page);
  meetings_section(m, page);
  labels_section(m, page);
}

void draw_members(Markup& m, const PlanPage& plan, const PlanFrame& f) {
  for (const PlanMember& k : plan.members) {
    std::string d;
    for (const Point<Drawing>& p : k.line)
      d += fmt::format("{}{} {}", d.empty() ? "M" : "L", px(f.x(p.at.x)), px(f.y(p.at.y)));
    m.empty("path", fmt::format("class=\"member\" d=\"{}\"", d));
  }
  for (const PlanThrough& t : plan.through) part(m, f, t);
  for (const PlanMember& k : plan.members) {
    if (k.line.size() < 2) continue;
    if (const auto a = arrow(f, k.line[1], k.line[0])) cap(m, *a, k.start);
    if (const auto a = arrow(f, k.line[k.line.size() - 2], k.line.back())) cap(m, *a, k.finish);
  }
}

void spare_members(const PlanPage& plan, const PlanFrame& f, LabelPlaces& places) {
  constexpr double kStep = 6, kHalf = 1.5;
  std::size_t left = 4000;  // labels that keep off more would be felt
  const auto spare = [&](double x, double y, double half) {
    if (left == 0) return;
    --left;
    places.spare({x - half, y - half, x + half, y + half});
  };
  for (const PlanMember& k : plan.members) {
    for (std::size_t i = 1; i < k.line.size(); ++i) {
      const double x = f.x(k.line[i - 1].at.x), y = f.y(k.line[i - 1].at.y), dx = f.x(k.line[i].at.x) - x,
                   dy = f.y(k.line[i].at.y) - y, size = std::hypot(dx, dy);
      for (double s = 0; s < size && left > 0; s += kStep) spare(x + dx * s / size, y + dy * s / size, kHalf);
    }
    const auto spare_cap = [&](End end, const Point<Drawing>& at) {
      if (end == End::free || end == End::wall) spare(f.x(at.at.x), f.y(at.at.y), 5);
    };
    if (k.line.empty()) continue;
    spare_cap(k.start, k.line.front());
    spare_cap(k.finish, k.line.back());
  }
}

void members_key(Markup& m, const PlanPage& plan, const PlanFrame& f) {
  const auto item = [&](std::string_view words, auto draw_sign) {
    m.open("li").open("svg", "class=\"sign\" viewBox=\"0 0 16 12\" aria-hidden=\"true\"");
    draw_sign();
    m.close().text(words).close();
  };
  if (has_end(plan, f, End::free))
    item("free end", [&] { stroke(m, "member", 0, 6, 13, 6), cap(m, {13, 6, 1, 0}, End::free); });
  if (has_end(plan, f, End::wall))
    item("end at a wall", [&] { stroke(m, "member", 0, 6, 12, 6), cap(m, {12, 6, 1, 0}, End::wall); });
  if (has_end(plan, f, End::joined))
    item("end that joins another run", [&] { m.empty("path", "class=\"member\" d=\"M0 10L12 10L12 0\""); });
  if (std::ranges::any_of(plan.through, [&](const PlanThrough& t) { return f.holds(t.at); }))
    item("goes through, notched for the other", [&] {
      stroke(m, "member", 8, 0, 8, 12);
      stroke(m, "member", 0, 6, 5, 6), stroke(m, "member", 11, 6, 16, 6);
    });
}

void members_note(Markup& m, const PlanPage& plan) {
  if (std::ranges::none_of(plan.members, &PlanMember::is_of_pair)) return;
  const bool is_named = !plan.levels.empty() && !plan.levels.front().square;
  paragraph(
      m,
      fmt::format("The two members of a pair are left and right as one walks from the run's start{}; of "
                  "an arc or ring inside and outside.",
                  is_named ? ", where its name stands" : ""),
      "class=\"told\"");
}

}  // namespace deckmark
