#pragma once
/// The pieces of which the members of runs are made: laid, cut on site where they are too long, marked.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "hanger/members.h"
#include "hanger/pieces.h"
#include "hanger/site_cuts.h"
#include "job/overhead_job.h"
#include "table/message.h"

namespace deckmark {

/// What a member is made of.
struct MemberPieces {
  std::vector<std::string> names;  ///< of the pieces that find place
  LaidPieces laid;                 ///< beside the run's line
  std::vector<PieceMark> marks;    ///< index: of the run's hangers, or of the meetings of members
  std::vector<Length> cut_off;     ///< of every piece, what is sawn off its start
  /// Of the pieces table, of `names`; none where the pieces are of one length.
  std::vector<std::size_t> rows;
};

/// A piece that is too long for where it goes.
struct SiteCutFound {
  std::string piece;
  std::size_t run = 0;
  MemberSide member = MemberSide::single;
  Length amount;  ///< on that member
  AtEnd end = AtEnd::finish;
  /// No cut keeps the rules: it stays to be asked for, and is no cut to make.
  bool is_allowed = true;
};

/// Stated pieces by run, each run's in the order of the table.
using RowsOfRuns = std::vector<std::vector<std::size_t>>;
/// Problems: pieces of no run.
RowsOfRuns rows_of_runs(const OverheadJob& stated, Messages& told);

/// Pieces of one run, before its hangers are spaced.
class RunPieces {
 public:
  RunPieces(const OverheadJob& stated, std::size_t run, const Path& path, std::span<const Member> members,
            const std::vector<std::size_t>& rows);
  /// Problems: rows with and without a member, members that the run has not.
  void check(Messages& told) const;
  /// `no_joint`: stretches of the run's line in which no joint may lie.
  void lay(std::span<const Stretch> no_joint);
  std::size_t run_index() const { return run_; }
  /// Some piece has to be cut, and where may be chosen.
  bool is_cut() const;
  bool keeps_rules() const;
  /// Along the run's line, in order.
  std::vector<Length> joints() const;
  /// What each member is made of.
  std::vector<MemberPieces> pieces() const;
  std::vector<SiteCutFound> site_cuts() const;
  /// Doubts: pieces that do not add up, that find no place, members without pieces.
  void tell(LengthUnit unit, Messages& told) const;

 private:
  /// What pieces are laid along: the run's line for all members, or one member.
  struct Line {
    std::optional<std::size_t> member;  ///< of the run; none: the run's line
    std::vector<std::size_t> rows;      ///< none: pieces of one length
    std::vector<SitePiece> pieces;
    std::vector<std::string> names;
    SiteCutResult cut{};
    LaidPieces laid{};  ///< along the line
  };
  /// Which pieces lie along what; once.
  void divide();
  void add_line(std::optional<std::size_t> member, std::vector<std::size_t> rows);
  void lay(Line& line, std::span<const Stretch> no_joint) const;
  double least_stretch() const;
  /// The most that a member ends before its run does.
  Length longest_loss() const;
  bool has_short_piece(const Line& line) const;
  /// A length along the line, as it is on a member.
  Length on_member(const Line& line, std::size_t member, Length amount) const;
  std::string words(const Line& line) const;
  static std::string cut_words(const Line& line, const SiteCut& cut, LengthUnit unit);
  void tell_longer_than_stock(LengthUnit unit, Messages& told) const;
  void tell_cut(const Line& line, LengthUnit unit, Messages& told) const;
  MemberPieces pieces_of(std::size_t member) const;
  const StatedRun& run() const { return stated_.runs[run_]; }

  const OverheadJob& stated_;
  std::size_t run_;
  const Path& path_;
  std::span<const Member> members_;
  std::vector<std::size_t> rows_;
  std::vector<Line> lines_;
};

}  // namespace deckmark
