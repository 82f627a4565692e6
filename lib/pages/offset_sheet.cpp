#include "pages/offset_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "pages/baselines.h"
#include "report/offset_text.h"
#include "report/overhead_text.h"
#include "report/words.h"
#include "stages/along_runs.h"

namespace deckmark {

namespace {

/// The drawing's marks by run, runs in the order of their first point, those without a run last.
std::vector<std::vector<std::uint32_t>> by_run(const MarkTable& marks) {
  std::vector<std::vector<std::uint32_t>> out;
  std::vector<std::uint32_t> alone;
  std::vector<std::size_t> place(marks.runs.words().size(), SIZE_MAX);
  for (std::uint32_t m = 0; m < marks.size(); ++m) {
    const std::uint32_t run = marks.runs.number(m);
    if (run == 0) {
      alone.push_back(m);
      continue;
    }
    if (place[run] == SIZE_MAX) {
      place[run] = out.size();
      out.emplace_back();
    }
    out[place[run]].push_back(m);
  }
  if (!alone.empty()) out.push_back(std::move(alone));
  return out;
}

/// The marks of the swing ties, and where each lies from the baselines as found.
std::vector<SheetFrom> places_of(const OffsetsFound& found, const FittedTransform& fit) {
  const Transform<Drawing, Site> drawing_from_site = fit.site_from_drawing.inverse();
  std::vector<SheetFrom> out;
  for (const FromMark& f : found.swing_from) out.push_back({f.name, drawing_from_site(f.at)});
  return out;
}

/// How far off a baseline a mark may be found and still be a mark of it: what is permitted of its tie.
Length permitted_off(const std::vector<NamedTie>& ties, const std::string& name) {
  for (const NamedTie& t : ties)
    if (same_name(t.name, name)) return t.tie.tolerance;
  return Length::metres(0);
}

/// Along which axis one looks, and on which hand the other lies.
SheetStand stand_of(const OffsetsStated& stated, const std::vector<SheetFrom>& from) {
  const bool is_left =
      !stated.baselines.mirrored;  // +Y is left of +X seen from above, right of it on a mirrored drawing
  const SheetStand nowhere{false, "+X", "+Y", is_left};
  if (from.empty()) return nowhere;
  constexpr Length kMost = Length::millimetres(5);  // whatever is permitted (common practice, no source)
  const auto is_near = [&](const SheetFrom& f, Length off) {
    return as_written(off, stated.offsets.options.form) == Length::metres(0) ||
           abs(off) <= std::min(permitted_off(stated.baselines.ties, f.name), kMost);
  };
  const Vec<Drawing> way = from[1].at - from[0].at;
  if (abs(way.by.x) <= kMost && abs(way.by.y) <= kMost) return nowhere;
  if (is_near(from[0], from[0].at.at.y) && is_near(from[1], from[1].at.at.y)) {
    const bool on = way.by.x > Length::metres(0);
    return {true, on ? "+X" : "-X", "+Y", is_left == on};
  }
  if (is_near(from[0], from[0].at.at.x) && is_near(from[1], from[1].at.at.x)) {
    const bool on = way.by.y > Length::metres(0);
    return {true, on ? "+Y" : "-Y", "+X", is_left != on};
  }
  return nowhere;
}

std::string baselines_words(const BaselinesStated& stated) {
  const auto held = [](std::string_view word) {
    return word == "both" ? std::string("neither") : word == "x" ? std::string("X") : std::string("Y");
  };
  if (stated.checks.signed_fit)
    return fmt::format("baselines signed (held: {})", held(stated.checks.signed_fit->held));
  if (!stated.ties_table.table) return "no baselines found";
  const Hold h = stated.options.hold;
  return fmt::format("baselines not signed (held: {})", held(h == Hold::both ? "both"
                                                             : h == Hold::x  ? "x"
                                                                             : "y"));
}

/// Makes the blocks, and watches what rounding does.
class SheetMaker {
 public:
  explicit SheetMaker(const SheetInput& in)
      : runs_(in.runs),
        laid_(in.laid),
        found_(in.found),
        share_(in.share),
        datum_(in.datum),
        form_(in.stated.offsets.options.form),
        along_(along_runs(laid_.marks, laid_.overhead, runs_)),
        pairs_(pairs_of_runs(laid_.marks, laid_.overhead)) {
    if (!in.cuts || !share_.does(CrewWork::deck)) return;
    for (std::size_t i = 0; i < in.cuts->marks.size(); ++i)
      if (const auto& cut = in.cuts->cuts[i]) cuts_.emplace(in.cuts->marks[i], *cut);
  }

  std::vector<SheetBlock> blocks() {
    auto all = by_run(*laid_.marks);
    for (auto& marks : all) sort_along(marks, along_);
    const auto is_left_out = [this](std::uint32_t m) { return !is_row(m); };
    std::erase_if(all, [&](const auto& marks) { return std::ranges::all_of(marks, is_left_out); });
    auto runs = all;  // as far as they are the crew's
    for (auto& marks : runs) std::erase_if(marks, is_left_out);
    std::vector<SheetBlock> out;
    for (std::size_t r = 0; r < runs.size(); ++r) {
      out.push_back(block(runs[r], all[r]));
      // The diagonal goes to the far end of the run beside it.
      if (runs.size() < 2) continue;
      const auto& other = runs[r + 1 < runs.size() ? r + 1 : r - 1];
      const std::uint32_t from = runs[r].front();
      const auto reach = [&](std::uint32_t m) {
        return distance(laid_.placed.marks[from], laid_.placed.marks[m]);
      };
      const std::uint32_t far = reach(other.back()) >= reach(other.front()) ? other.back() : other.front();
      out.back().diagonal = check(from, far);
    }
    return out;
  }
  Length largest() const { return largest_; }
  void watch(const std::vector<SheetFrom>& marks) {
    for (const SheetFrom& f : marks) watch(f.at.at.x), watch(f.at.at.y);
  }

 private:
  bool is_row(std::uint32_t mark) const { return share_.has(mark) && !found_.stands(mark); }
  void watch(Length value) { largest_ = std::max(largest_, abs(as_written(value, form_) - value)); }
  void watch(const std::optional<Length>& value) {
    if (value) watch(*value);
  }
  std::optional<SheetCheck> check(std::uint32_t from, std::uint32_t to) {
    if (from == to) return std::nullopt;
    const Length span = distance(laid_.placed.marks[from], laid_.placed.marks[to]);
    watch(span);
    return SheetCheck{laid_.numbers.of(from), laid_.numbers.of(to), span};
  }
  /// `whole`: all marks of the run.
  SheetBlock block(const std::vector<std::uint32_t>& marks, const std::vector<std::uint32_t>& whole) {
    SheetBlock b;
    const MarkTable& table = *laid_.marks;
    b.run = table.runs[marks.front()];
    for (const std::uint32_t m : marks) {
      const SheetRow row{laid_.numbers.of(m),
                         table.names[m],
                         along_[m],
                         table.places[m],
                         swing_tie_of(found_, laid_.placed, m),
                         straight_drop(laid_, m),
                         from_strings(found_, laid_.placed, m),
                         in_place_of_drop(laid_.marks, laid_.overhead, m),
                         above_datum(m)};
      watch(row.along);
      if (row.strings) {
        watch(row.strings->from_x_string);
        watch(row.strings->from_y_string);
      } else {
        watch(row.at.at.x);
        watch(row.at.at.y);
      }
      watch(row.drop);
      watch(row.above);
      if (row.tie) {
        watch(row.tie->first);
        watch(row.tie->second);
      }
      b.rows.push_back(row);
      if (const auto cut = cuts_.find(m); cut != cuts_.end()) {
        watch(cut->second);
        b.rods.push_back({row.number, row.point, cut->second});
      }
    }
    if (b.run.empty()) return b;
    b.ends = check(marks.front(), marks.back());
    if (const auto pair = pairs_.find(table.runs.number(marks.front())); pair != pairs_.end()) {
      watch(pair->second.by);
      b.members =
          pair_words(offset_text(pair->second.by, form_), pair->second.is_curved, pair->second.is_all);
    }
    look_along(b, whole);
    return b;
  }

  std::optional<Length> above_datum(std::uint32_t mark) const {
    const std::optional<Elevation> bracket = laid_.heights.at(mark).attach;
    return datum_ && bracket ? std::optional(*bracket - *datum_) : std::nullopt;
  }

  /// Whether what is along the run can be taped from the mark at 0 in one line, and supports stand in it.
  void look_along(SheetBlock& b, const std::vector<std::uint32_t>& marks) const {
    const auto zero = std::find_if(marks.begin(), marks.end(), [&](std::uint32_t m) {
      return !laid_.marks.is_support(m) && along_[m] && abs(*along_[m]) <= kHair;
    });
    if (zero == marks.end()) return;
    if (!is_row(*zero)) b.zero = SheetZero{laid_.numbers.of(*zero), found_.stands(*zero)};
    const Path* line =
        line_of_run(laid_.marks, laid_.overhead, runs_, laid_.marks->runs.number(marks.front()));
    const bool curved = line && !line->is_straight();
    bool straight = !curved, beside = false;
    for (const std::uint32_t m : marks) {
      if (!along_[m]) continue;
      const bool in_line = abs(abs(*along_[m]) - distance(laid_.marks->places[*zero],
                                                          laid_.marks->places[m])) < 0.5 * offset_step(form_);
      if (!laid_.marks.is_support(m))
        straight = straight && in_line;
      else if (line)
        beside = beside || line->nearest(laid_.marks->places[m]).distance >= 0.5 * offset_step(form_);
      else
        beside = beside || !in_line;
    }
    b.way = curved ? SheetBlock::Way::curved : straight ? SheetBlock::Way::straight : SheetBlock::Way::bent;
    b.supports_beside = beside && (line || straight);
  }

  const std::vector<StatedRun>& runs_;
  const LaidOut& laid_;
  const OffsetsFound& found_;
  const CrewShare& share_;
  std::optional<Elevation> datum_;
  OffsetForm form_;
  std::vector<std::optional<Length>> along_;
  std::map<std::uint32_t, PairBeside> pairs_;
  std::unordered_map<std::uint32_t, Length> cuts_;  // of marks
  Length largest_ = Length::metres(0);
};

std::optional<SheetStrings> strings_of(const OffsetsFound& found) {
  if (!found.strings) return std::nullopt;
  const StringsFound& s = *found.strings;
  const auto& m = s.marks;
  return SheetStrings{m[0].name,
                      m[1].name,
                      m[2].name,
                      s.lines.is_second_to_x(),
                      s.lines.is_third_to_y(),
                      swing_tie(m[0].at, m[1].at, m[2].at).side,
                      distance(m[0].at, m[1].at),
                      distance(m[0].at, m[2].at),
                      distance(m[1].at, m[2].at),
                      s.spans};
}

struct SheetContent {
  SheetHead head;
  std::vector<SheetBlock> blocks;
};

SheetContent content_of(const SheetInput& in) {
  SheetMaker maker(in);
  SheetContent out{{}, maker.blocks()};
  std::vector<SheetFrom> from = places_of(in.found, in.laid.placed.fit);
  if (!in.found.strings) maker.watch(from);
  SheetHead& sheet = out.head;
  sheet.title = in.head.title;
  sheet.revision = in.head.revision;
  sheet.issue = in.issue;
  sheet.sha256 = in.sha256;
  sheet.strings = strings_of(in.found);
  sheet.baselines = in.found.strings && in.found.strings->alone ? "laid out from strings"
                                                                : baselines_words(in.stated.baselines);
  sheet.standing = in.verdict;
  sheet.release.assign(in.head.release.begin(), in.head.release.end());
  sheet.form = in.stated.offsets.options.form;
  sheet.stand = stand_of(in.stated, from);
  sheet.from = std::move(from);
  sheet.is_scaled = shows_scale(in.stated.offsets, in.laid.marks, in.laid.placed);
  if (in.share.does(CrewWork::deck)) sheet.deck_offset = in.laid.numbers.deck_offset;
  sheet.has_datum = in.datum.has_value();
  sheet.largest_rounding = maker.largest();
  sheet.crew = in.share.name();
  if (in.found.strings)
    for (const std::uint32_t m : in.found.strings->stand) sheet.already.emplace_back(in.laid.marks->names[m]);
  sheet.corners = corner_words(in.found.corners, small_unit(in.head.site_unit, in.head.drawing_unit));
  return out;
}

}  // namespace

std::string offset_sheet(const SheetInput& input) {
  const SheetContent content = content_of(input);
  return offset_sheet_text(content.head, content.blocks);
}

std::string offset_screen(const SheetInput& input) {
  const SheetContent content = content_of(input);
  return offset_screen_text(content.head, content.blocks);
}

}  // namespace deckmark
