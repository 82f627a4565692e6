#include "stages/run_pieces.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "job/tables/pieces.h"
#include "job/tables/runs.h"
#include "measure/verdict.h"
#include "report/words.h"
#include "stages/job_marks.h"
#include "stages/run_members.h"
#include "table/names.h"

namespace deckmark {

namespace {

constexpr Length kZero = Length::metres(0);

Where piece_where(const OverheadJob& stated, std::size_t row, std::string_view column) {
  return cell_of(stated.pieces_table, row, column);
}

std::string pieces_words(std::size_t n) { return fmt::format("{} piece{}", n, n == 1 ? "" : "s"); }

/// Lengths that are left once pieces are cut.
std::vector<Length> cut_lengths(const std::vector<SitePiece>& pieces, const SiteCutResult& cut) {
  std::vector<Length> out;
  for (const SitePiece& p : pieces) out.push_back(p.length);
  for (const SiteCut& c : cut.cuts) out[c.piece] -= c.amount;
  out.erase(out.end() - static_cast<std::ptrdiff_t>(cut.unused), out.end());
  return out;
}

}  // namespace

RowsOfRuns rows_of_runs(const OverheadJob& stated, Messages& told) {
  RowsOfRuns out(stated.runs.size());
  std::map<std::string, std::size_t, std::less<>> by_name;
  for (std::size_t r = 0; r < stated.runs.size(); ++r) by_name.emplace(stated.runs[r].name, r);
  for (std::size_t i = 0; i < stated.pieces.size(); ++i) {
    const std::string& of = stated.pieces[i].run;
    const auto at = by_name.find(of);
    const auto run = at != by_name.end() ? std::optional(at->second) : run_named(stated, of);
    if (run)
      out[*run].push_back(i);
    else if (stated.runs_table.table && !stated.refused_runs.may_hold(of))
      told.problem(piece_where(stated, i, pieces::run.name), pieces::run.name,
                   Fault{in_quotes(of), "a run of the runs table", ""});
  }
  return out;
}

RunPieces::RunPieces(const OverheadJob& stated, std::size_t run, const Path& path,
                     std::span<const Member> members, const std::vector<std::size_t>& rows)
    : stated_(stated), run_(run), path_(path), members_(members), rows_(rows) {}

void RunPieces::divide() {
  const auto has_member = [&](std::size_t i) { return stated_.pieces[i].member.has_value(); };
  if (rows_.empty()) {
    if (stated_.hangers.joint_every) add_line(std::nullopt, {});
  } else if (std::ranges::none_of(rows_, has_member)) {
    add_line(std::nullopt, rows_);
  } else {
    for (std::size_t m = 0; m < members_.size(); ++m) {
      std::vector<std::size_t> mine;
      std::ranges::copy_if(rows_, std::back_inserter(mine),
                           [&](std::size_t i) { return stated_.pieces[i].member == members_[m].side; });
      if (!mine.empty()) add_line(m, std::move(mine));
    }
  }
}

void RunPieces::check(Messages& told) const {
  const auto is_side = [&](MemberSide side) {
    return std::ranges::any_of(members_, [&](const Member& m) { return m.side == side; });
  };
  const bool any_side =
      std::ranges::any_of(rows_, [&](std::size_t i) { return stated_.pieces[i].member.has_value(); });
  for (const std::size_t i : rows_) {
    const StatedPiece& p = stated_.pieces[i];
    const Where at = piece_where(stated_, i, pieces::member.name);
    if (p.member && !is_side(*p.member) && !members_.empty())
      told.problem(
          at, pieces::member.name,
          Fault{fmt::format("{} of {}, {}", word_of(*p.member), run().name,
                            members_.size() < 2
                                ? std::string("which has one member")
                                : fmt::format("whose members are {} and {}", word_of(members_[0].side),
                                              word_of(members_[1].side))),
                members_.size() < 2 ? "nothing, or a separation of the run" : "a member of the run", ""});
    if (any_side && !p.member)
      told.problem(at, pieces::member.name,
                   Fault{fmt::format("{} without a member, beside pieces of {} with one", p.name, run().name),
                         "a member in all rows of a run, or in none", ""});
  }
}

void RunPieces::add_line(std::optional<std::size_t> member, std::vector<std::size_t> rows) {
  Line line{member, std::move(rows), {}, {}};
  for (const std::size_t i : line.rows) {
    line.pieces.push_back({stated_.pieces[i].length, stated_.pieces[i].may_cut});
    line.names.push_back(stated_.pieces[i].name);
  }
  if (line.rows.empty())
    for (const Length l : equal_pieces(path_.length(), *stated_.hangers.joint_every)) {
      line.pieces.push_back({l});
      line.names.push_back(fmt::format("{}/{}", run().name, line.pieces.size()));
    }
  lines_.push_back(std::move(line));
}

void RunPieces::lay(std::span<const Stretch> no_joint) {
  if (lines_.empty()) divide();
  for (Line& line : lines_) lay(line, no_joint);
}

void RunPieces::lay(Line& line, std::span<const Stretch> no_joint) const {
  const Member* member = line.member ? &members_[*line.member] : nullptr;
  SiteCutTask task{line.pieces, member ? member->length() : path_.length(), path_.is_closed(), {}, {}};
  for (const Stretch& s : no_joint)
    task.no_joint.push_back(member ? Stretch{member->along(s.from), member->along(s.to)} : s);
  const std::optional<Length>& least = stated_.hangers.piece_least;
  task.piece_least = least;
  // On the run's line a piece is as long as it has to be for the shortest that is made of it.
  if (least && !member) task.piece_least = *least / least_stretch() + longest_loss();
  line.cut = deckmark::site_cuts(task);
  if (line.cut.broken.piece_least && !member) {  // only the first and the last piece lose by the ends
    task.piece_least = *least / least_stretch();
    line.cut = deckmark::site_cuts(task);
  }
  line.laid = lay_pieces(cut_lengths(line.pieces, line.cut), task.member, task.closed);
  if (least && !line.cut.broken.any()) line.cut.broken.piece_least = has_short_piece(line);
}

double RunPieces::least_stretch() const {
  double least = 1;
  for (const Member& m : members_) least = std::min(least, m.stretch);
  return least;
}

Length RunPieces::longest_loss() const {
  Length out = kZero;
  for (const Member& m : members_) out = std::max({out, m.from, path_.length() - m.to});
  return path_.is_closed() ? kZero : out;
}

/// A piece that is cut comes out shorter than piece_least on some member.
bool RunPieces::has_short_piece(const Line& line) const {
  for (std::size_t m = 0; m < members_.size(); ++m) {
    if (line.member && *line.member != m) continue;
    const PiecesOfMember on = line.member
                                  ? PiecesOfMember{beside_run(line.laid, members_[m])}
                                  : cut_for(line.laid, members_[m], path_.length(), path_.is_closed());
    for (const SiteCut& c : line.cut.cuts) {
      if (c.piece < on.before || c.piece - on.before >= on.laid.pieces.size()) continue;
      const LaidPiece& p = on.laid.pieces[c.piece - on.before];
      if ((p.to - p.from) * members_[m].stretch < *stated_.hangers.piece_least - kHair) return true;
    }
  }
  return false;
}

bool RunPieces::is_cut() const {
  return std::ranges::any_of(lines_, [](const Line& l) { return !l.cut.cuts.empty(); });
}
bool RunPieces::keeps_rules() const {
  return std::ranges::none_of(lines_, [](const Line& l) { return l.cut.broken.any(); });
}

std::vector<Length> RunPieces::joints() const {
  std::vector<Length> out;
  for (const Line& line : lines_)
    for (const Length j : line.laid.joints) out.push_back(line.member ? members_[*line.member].beside(j) : j);
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end(), [](Length a, Length b) { return b - a <= kHair; }),
            out.end());
  return out;
}

MemberPieces RunPieces::pieces_of(std::size_t m) const {
  MemberPieces out;
  const auto line = std::ranges::find_if(lines_, [&](const Line& l) { return !l.member || *l.member == m; });
  if (line == lines_.end()) return out;
  std::size_t before = 0;
  if (line->member) {
    out.laid = beside_run(line->laid, members_[m]);
  } else {
    PiecesOfMember cut = cut_for(line->laid, members_[m], path_.length(), path_.is_closed());
    out.laid = std::move(cut.laid);
    before = cut.before;
  }
  for (std::size_t i = 0; i < out.laid.pieces.size(); ++i) {
    out.names.push_back(line->names[before + i]);
    if (!line->rows.empty()) out.rows.push_back(line->rows[before + i]);
    out.cut_off.push_back(kZero);
    for (const SiteCut& c : line->cut.cuts)
      if (c.piece == before + i && c.end == AtEnd::start) out.cut_off.back() = on_member(*line, m, c.amount);
  }
  return out;
}

std::vector<MemberPieces> RunPieces::pieces() const {
  std::vector<MemberPieces> out;
  for (std::size_t m = 0; m < members_.size(); ++m) out.push_back(pieces_of(m));
  return out;
}

std::vector<SiteCutFound> RunPieces::site_cuts() const {
  std::vector<SiteCutFound> out;
  for (const Line& line : lines_)
    for (const SiteCut& c : line.cut.cuts)
      for (std::size_t m = 0; m < members_.size(); ++m)
        if (!line.member || *line.member == m)
          out.push_back({line.names[c.piece], run_, members_[m].side, on_member(line, m, c.amount), c.end,
                         !line.cut.broken.any()});
  return out;
}

Length RunPieces::on_member(const Line& line, std::size_t member, Length amount) const {
  return line.member ? amount : amount * members_[member].stretch;
}

std::string RunPieces::words(const Line& line) const {
  return line.member ? member_words(stated_, members_[*line.member]) : run().name;
}

void RunPieces::tell(LengthUnit unit, Messages& told) const {
  const auto run_doubt = [&](std::string text) {
    told.doubt("runs without pieces", cell_of(stated_.runs_table, run_, runs::run.name), runs::run.name,
               std::move(text));
  };
  if (rows_.empty() && stated_.pieces_table.table && !stated_.hangers.joint_every)
    run_doubt(fmt::format("no piece of the pieces table lies along {}", run().name));
  for (std::size_t m = 0; m < members_.size() && !rows_.empty(); ++m) {
    if (std::ranges::none_of(lines_, [&](const Line& l) { return !l.member || *l.member == m; }))
      run_doubt(
          fmt::format("no piece of the pieces table lies along {}", member_words(stated_, members_[m])));
  }
  tell_longer_than_stock(unit, told);
  for (const Line& line : lines_) {
    if (!line.rows.empty()) tell_cut(line, unit, told);
    for (std::size_t m = 0; m < members_.size() && !line.member; ++m) {
      const PiecesOfMember cut = cut_for(line.laid, members_[m], path_.length(), path_.is_closed());
      if (const std::size_t lost = cut.before + cut.behind; lost > 0)
        told.doubt("pieces without a place", cell_of(stated_.runs_table, run_, runs::run.name),
                   runs::run.name,
                   fmt::format("{} of {} find{} no place on {}, which ends before", pieces_words(lost),
                               run().name, lost == 1 ? "s" : "", member_words(stated_, members_[m])));
    }
  }
}

/// Pieces of one length are laid along the run's line: outside of a curve or corner they come out longer.
void RunPieces::tell_longer_than_stock(LengthUnit unit, Messages& told) const {
  if (!rows_.empty() || lines_.empty()) return;
  const Length every = *stated_.hangers.joint_every;
  const Member* on = nullptr;
  std::string_view name;
  Length longest = every + kPiecesAddUp;
  const std::vector<MemberPieces> all = pieces();
  for (std::size_t m = 0; m < all.size(); ++m)
    for (std::size_t p = 0; p < all[m].names.size(); ++p) {
      const Length is = (all[m].laid.pieces[p].to - all[m].laid.pieces[p].from) * members_[m].stretch;
      if (is > longest) longest = is, on = &members_[m], name = all[m].names[p];
    }
  if (on)
    told.doubt(
        "pieces longer than joint_every", cell_of(stated_.runs_table, run_, runs::run.name), runs::run.name,
        fmt::format(
            "{} on {} is {} long, more than joint_every {}: state its pieces, or a shorter joint_every", name,
            member_words(stated_, *on), length_words(longest, unit), length_words(every, unit)));
}

std::string RunPieces::cut_words(const Line& line, const SiteCut& cut, LengthUnit unit) {
  const std::string &name = line.names[cut.piece], amount = length_words(cut.amount, unit);
  return line.cut.broken.any() ? fmt::format("{} is {} too long", name, amount)
                               : fmt::format("{} by {} at its {}", name, amount, word_of(cut.end));
}

void RunPieces::tell_cut(const Line& line, LengthUnit unit, Messages& told) const {
  const SiteCutResult& cut = line.cut;
  const bool is_sound = !cut.too_short && !cut.broken.any() && cut.unused == 0;
  if (is_sound) return;  // what is cut then stands in site-cuts.csv
  const std::string of = words(line);
  const std::string what = line.member ? "the member" : "the run";
  std::string text;
  std::size_t at = line.pieces.size() - 1;
  if (cut.too_short) {
    text = fmt::format("the pieces of {} end {} before {} does, behind {}", of,
                       length_words(*cut.too_short, unit), what, line.names.back());
  } else if (cut.cuts.empty()) {
    at = line.pieces.size() - cut.unused - 1;
    text = fmt::format("the pieces of {} are longer than {}, which ends with {}", of, what, line.names[at]);
  } else {
    at = cut.cuts.front().piece;
    text = fmt::format("the pieces of {} are longer than {}:{}", of, what, cut.broken.any() ? "" : " cut");
    for (std::size_t i = 0; i < cut.cuts.size(); ++i)
      text += (i == 0 ? " " : ", ") + cut_words(line, cut.cuts[i], unit);
  }
  if (cut.unused > 0) {
    text += fmt::format(", and {} behind it find{} no place:", pieces_words(cut.unused),
                        cut.unused == 1 ? "s" : "");
    constexpr std::size_t kNamed = 3;
    for (std::size_t i = 0; i < std::min(cut.unused, kNamed); ++i)
      text += fmt::format("{} {}", i == 0 ? "" : ",", line.names[line.names.size() - cut.unused + i]);
    if (cut.unused > kNamed) text += fmt::format(" and {} more", cut.unused - kNamed);
  }
  if (cut.broken.may_cut) text += "; may_cut allows no such cut";
  if (cut.broken.piece_least)
    text += fmt::format("; no cut keeps every piece at piece_least {}",
                        length_words(stated_.hangers.piece_least.value_or(kLeastSiteCut), unit));
  told.doubt("pieces that do not add up", piece_where(stated_, line.rows[at], pieces::length.name),
             pieces::length.name, std::move(text));
}

}  // namespace deckmark
