#pragma once
/// What the ledger of a job and the changes between its issues must be, computed apart from the program and
/// from what is promised alone: whole micrometres, maps by number, every issue compared with the rows that
/// stand in the ledger.

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace deckmark_test {

/// The ledger keeps six decimals of metres.
using Micro = std::int64_t;
using MaybeMicro = std::optional<Micro>;

/// A point as one run would hand it out.
struct HandedPoint {
  std::string name, was;
  std::string kind = "hanger", run, crew;
  Micro x = 0, y = 0;
  Micro northing = 0, easting = 0;
  MaybeMicro attach, deck, cut;  ///< deck: that of the deck list
};

/// Where +X and +Y point on site, in fifths: (3, 4) is a direction of length 1.
struct SiteAxes {
  std::int64_t x_north = 0, x_east = 5, y_north = 5, y_east = 0;
};

/// All that one run would hand out.
struct HandedOut {
  std::string revision, job = "job.toml", storey, folder = "out";
  Micro floor = 0;
  std::int64_t deck_offset = 5000, start = 1001, step = 1;
  SiteAxes axes;
  std::vector<HandedPoint> points;  ///< in the order in which new numbers are given
};

/// floor, deck, bracket, cut: the order in which one number's changes are told.
enum What : std::size_t { floor_mark, deck_point, bracket, rod };

/// What of a ledger row makes an issue when it differs.
struct Kept {
  std::string point, kind, run, crew;
  bool live = true;
  Micro x = 0, y = 0, northing = 0, easting = 0, floor = 0;
  MaybeMicro attach, deck, cut;
  std::int64_t deck_offset = 0;
  bool operator==(const Kept&) const = default;
};
struct LedgerRow {
  std::int64_t number = 0;
  Kept kept;
  std::string revision;
  int issue = 0;
  std::array<int, 4> told{};  ///< by What: the issue that last told it
};
/// The last row of every number.
using States = std::map<std::int64_t, LedgerRow>;

/// A row of changes.csv.
struct ToldChange {
  std::int64_t number = 0;
  What what = floor_mark;
  std::string point, change;
  std::optional<std::int64_t> dx_fifths, dy_fifths;  ///< fifths of a micrometre
  MaybeMicro square;                                 ///< of the distance, in square micrometres
  MaybeMicro dz;
  MaybeMicro old_northing, old_easting, old_elevation;
};

/// A unit in which tables are printed: its word, and with how many decimals a hundredth of a
/// millimetre is written.
struct TableUnit {
  const char* word;
  int decimals;
};
inline constexpr TableUnit kMetres{"m", 5}, kMillimetres{"mm", 2}, kCentimetres{"cm", 3};

/// changes.csv with its header.
std::string changes_csv(const std::vector<ToldChange>& changes, const TableUnit& unit);

/// One issue as its row of issued.csv.
struct IssuedRow {
  int issue = 0;
  std::string revision, job, storey;
  std::size_t live = 0, rows = 0;
  std::string folder, before, digest;
  /// The row up to and including the folder, without a line end.
  std::string up_to_folder() const;
};

/// The history of one job.
class Account {
 public:
  /// Takes a run; true where it is a new issue.
  bool take(const HandedOut& run);
  /// True where two dropped numbers, or two new points, have the same claim to one place: then nothing that
  /// was promised says which is the renamed one.
  bool is_open(const HandedOut& run) const;
  bool is_open_since(int issue) const;

  int issues() const { return static_cast<int>(issued_.size()); }
  /// The two files, whole.
  const std::string& numbers_csv() const { return numbers_; }
  const std::string& issued_csv() const { return issued_text_; }
  /// Of the last issue, against what was told before it; against what had been told up to an issue.
  const std::vector<ToldChange>& changes() const { return changes_; }
  std::vector<ToldChange> changes_since(int issue) const;

  const std::vector<IssuedRow>& issued() const { return issued_; }
  /// The number's row of that very issue.
  const LedgerRow& row_in(std::int64_t number, int issue) const;
  States states_at(int issue) const;
  States states() const { return states_at(issues()); }

 private:
  friend class Comparing;
  States continued(const States& before, const HandedOut& run) const;
  void append(const HandedOut& run, const std::vector<LedgerRow>& rows, const States& now);

  std::vector<LedgerRow> rows_;
  std::vector<IssuedRow> issued_;
  std::vector<ToldChange> changes_;
  SiteAxes axes_;
  std::string numbers_, issued_text_;
};

}  // namespace deckmark_test
