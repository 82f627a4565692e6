#include "stages/bill.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <string>
#include <unordered_map>
#include <utility>

#include "job/tables/bill.h"
#include "measure/decimal.h"
#include "measure/letters.h"
#include "report/words.h"
#include "stages/parts.h"

namespace deckmark {

namespace {

/// A piece of the bill this near to the drawing's is that piece.
constexpr Length kSamePiece = Length::millimetres(1);
/// Lengths keyed in another unit are rounded there; no two units are nearer to one another than this.
constexpr double kSameInUnit = 0.01;

/// A row of the bill that states a length of a piece, with the drawing's.
struct LengthPair {
  std::size_t row;
  BilledLength billed;
  const std::vector<Length>* drawn;

  /// The nearest of the drawing's, and the longest that is made of it.
  Length nearest() const {
    return *std::ranges::min_element(*drawn, {}, [&](Length d) { return abs(d - billed.length); });
  }
  Length longest() const { return *std::ranges::max_element(*drawn); }
  bool fits_in_unit(double factor) const {
    return std::ranges::any_of(*drawn, [&](Length d) {
      return abs(d - billed.length * factor) <= std::max(kSamePiece + kHair, d * kSameInUnit);
    });
  }
};

/// What is told of a bill that was held against the drawing.
class BillLook {
 public:
  BillLook(const BillStated& stated, const std::vector<PieceHung>& pieces, const BillFound& found,
           Messages& told)
      : bill_(stated.bill),
        runs_(stated.overhead.runs),
        unit_(stated.drawing_unit),
        pieces_(pieces),
        found_(found),
        told_(told) {
    for (const PieceHung& p : pieces) drawn_[small_letters(p.need.piece)] = p.lengths;
  }

  void look() {
    tell_stuck();
    tell_not_needed();
    look_at_lengths();
  }

 private:
  const ReadTable& judged_by() const {
    return bill_.arrived_table.table ? bill_.arrived_table : bill_.bill_table;
  }

  void tell_stuck() {
    constexpr std::size_t kNamed = 3, kPartsNamed = 5;
    const std::size_t stuck = found_.stuck_runs();
    const bool loose = found_.lacks_any(found_.runs);
    if (stuck == 0 && !loose) return;
    std::vector<std::string> named;
    for (std::size_t r = 0; r < found_.runs && named.size() < kNamed; ++r)
      if (found_.lacks_any(r))
        named.push_back(fmt::format("{} lacks {}", runs_[r].name, lacks_words(found_, r, kPartsNamed)));
    if (stuck > named.size()) named.push_back(fmt::format("and {} more", stuck - named.size()));
    const std::string of_none =
        loose ? fmt::format("hangers of no run lack {}", lacks_words(found_, found_.runs, kPartsNamed)) : "";
    if (loose) named.push_back(of_none);
    const std::string text =
        stuck == 0 ? of_none
                   : fmt::format("{} of {} run{} cannot begin{}: {}", stuck, found_.runs,
                                 found_.runs == 1 ? "" : "s",
                                 bill_.arrived_table.table ? "" : ", by the bill", fmt::join(named, "; "));
    told_.doubt("runs that cannot begin", judged_by().table->whole(), "file", text + "; see short.csv");
  }

  /// At the first row that names it, of the bill or of what arrived.
  void tell_not_needed() {
    constexpr std::string_view kKind = "parts that nothing needs";
    std::unordered_map<std::string_view, Where> first;
    const auto find = [&](const ReadTable& table, const auto& rows) {
      for (std::size_t i = 0; i < rows.size(); ++i)
        if (!first.contains(rows[i].part)) first.emplace(rows[i].part, cell_of(table, i, bill::part.name));
    };
    find(bill_.bill_table, bill_.bill);
    find(bill_.arrived_table, bill_.arrived);
    std::size_t told = 0, more = 0;
    for (const PartHeld& p : found_.held.parts) {
      if (p.from != PartFrom::nothing) continue;
      if (++told > Messages::kDoubtsKept) {
        ++more;
        continue;
      }
      const auto near = nearest_word(p.part, needed_names());
      told_.doubt(kKind, first.at(p.part), bill::part.name,
                  fmt::format("nothing in the drawing needs {}{}", p.part,
                              near ? fmt::format(": is {} meant?", *near) : ""));
    }
    if (more > 0) told_.more_doubts(kKind, more);
  }

  /// Names that a bill can mean: parts of needs, and pieces whether or not they are held against it.
  const std::vector<std::string>& needed_names() {
    if (!needed_.empty()) return needed_;
    for (const PartHeld& p : found_.held.parts)
      if (p.from == PartFrom::needs) needed_.push_back(p.part);
    for (const PieceHung& p : pieces_) needed_.push_back(p.need.piece);
    return needed_;
  }

  void look_at_lengths() {
    std::vector<LengthPair> pairs;
    for (std::size_t i = 0; i < bill_.lengths.size(); ++i) {
      if (!bill_.lengths[i]) continue;
      const auto at = drawn_.find(small_letters(bill_.bill[i].part));
      if (at != drawn_.end()) pairs.push_back({i, *bill_.lengths[i], &at->second});
    }
    if (pairs.empty() || tell_unit(pairs)) return;
    for (const LengthPair& p : pairs) {
      const auto apart = [&](Length drawn) { return abs(drawn - p.billed.length); };
      const bool is_short = p.longest() > p.billed.length + kSamePiece + kHair;
      const Length drawn = apart(p.nearest()) > kSamePiece + kHair ? p.nearest() : p.longest();
      if (apart(p.nearest()) <= kSamePiece + kHair && !is_short) continue;
      told_.doubt("pieces of the bill of another length", cell_of(bill_.bill_table, p.row, bill::length.name),
                  bill::length.name,
                  fmt::format("{} is {} on the bill and {}{} in the drawing: {} apart, more than 1 mm",
                              bill_.bill[p.row].part, length_words(p.billed.length, unit_),
                              drawn == p.nearest() ? "" : "up to ", length_words(drawn, unit_),
                              length_words_beyond(apart(drawn), kSamePiece, small_unit(unit_, unit_))));
    }
  }

  /// Bare lengths of which more are the drawing's in another unit than in the one that they were read in.
  bool tell_unit(const std::vector<LengthPair>& pairs) {
    const Table& table = *bill_.bill_table.table;
    constexpr std::size_t kLengthColumn = bill::Terms::index<bill::length>();
    const LengthUnit read_as = table.header_unit(kLengthColumn).value_or(unit_);
    std::size_t bare = 0, as_read = 0;
    for (const LengthPair& p : pairs)
      if (p.billed.is_bare) ++bare, as_read += p.fits_in_unit(1);
    if (2 * as_read >= bare) return false;
    for (const LengthUnit other : {LengthUnit::foot, LengthUnit::metre, LengthUnit::millimetre,
                                   LengthUnit::inch, LengthUnit::centimetre}) {
      const double factor = metres_in(other) / metres_in(read_as);
      const auto fit = static_cast<std::size_t>(std::ranges::count_if(
          pairs, [&](const LengthPair& p) { return p.billed.is_bare && p.fits_in_unit(factor); }));
      if (2 * fit <= bare) continue;
      const Where at = table.header_where(kLengthColumn);
      told_.problem(
          at, bill::length.name,
          Fault{fmt::format("lengths read as {}", unit_words(read_as)),
                fmt::format("{0}: read as {0} {1} of {2} are the drawing's pieces, read as {3} {4}",
                            unit_words(other), fit, bare, unit_words(read_as),
                            as_read == 0 ? "none" : std::to_string(as_read)),
                fmt::format("{} ({})", at.renamed ? at.renamed->word : std::string(bill::length.name),
                            unit_word(other))});
      return true;
    }
    return false;
  }

 private:
  const BillJob& bill_;
  const std::vector<StatedRun>& runs_;
  LengthUnit unit_;
  const std::vector<PieceHung>& pieces_;
  const BillFound& found_;
  Messages& told_;
  std::unordered_map<std::string, std::vector<Length>> drawn_;
  std::vector<std::string> needed_;
};

}  // namespace

std::size_t BillFound::stuck_runs() const {
  std::size_t n = 0;
  for (std::size_t r = 0; r < runs; ++r) n += lacks_any(r);
  return n;
}

Staged<BillFound> hold_bill(const BillStated& stated, const JobMarks& marks, const Overhead& overhead) {
  const BillJob& bill = stated.bill;
  if (!bill.any()) return Staged<BillFound>::absent();
  const std::vector<PlaceCounts> places = place_counts(stated.overhead, marks, overhead);
  const std::vector<PieceHung> pieces = pieces_hung(stated.overhead, overhead);
  std::vector<PieceNeed> piece_needs;
  for (const PieceHung& p : pieces) piece_needs.push_back(p.need);
  DeliveryInput in{bill.needs, piece_needs, places};
  if (bill.bill_table.table) in.bill = bill.bill;
  if (bill.arrived_table.table) in.arrived = bill.arrived;
  BillFound found{hold_delivery(in), overhead.runs.size()};
  Messages told;
  BillLook(stated, pieces, found, told).look();
  return Staged<BillFound>::found(std::move(found), std::move(told));
}

std::string lacks_words(const BillFound& bill, std::size_t run, std::size_t most) {
  std::vector<std::string> words;
  const std::vector<PartLack>& lacks = bill.held.lacks[run];
  for (const PartLack& lack : lacks) {
    if (words.size() == most) {
      words.push_back(
          fmt::format("{} part{} more", lacks.size() - most, lacks.size() == most + 1 ? "" : "s"));
      break;
    }
    words.push_back(fmt::format("{} {}", lack.count, bill.held.parts[lack.part].part));
  }
  return fmt::format("{}", fmt::join(words, ", "));
}

std::vector<PartLine> all_parts(const OverheadJob& stated, const JobMarks& marks, const Overhead& overhead,
                                const CutsFound* cuts, const BillFound* bill) {
  std::vector<PartLine> parts;
  const bool has_needs = bill && std::ranges::count(bill->held.parts, PartFrom::needs, &PartHeld::from) > 0;
  if (counts_parts(stated) || has_needs) parts = parts_of(marks, overhead, cuts, stated.cut);
  if (!bill) return parts;
  for (const PartHeld& p : bill->held.parts)
    if (p.from == PartFrom::needs)
      parts.push_back({p.part, static_cast<std::size_t>(p.drawing), std::nullopt});
  return parts;
}

}  // namespace deckmark
