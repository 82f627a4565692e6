#pragma once
/// What the program has to say about its input: problems, doubts and notices, each with its place.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "measure/fault.h"
#include "table/source.h"

namespace deckmark {

/// A problem stops the job (exit 2); a doubt is something a careful person would look at; a notice says what
/// was done. Doubts and notices never change the exit status.
enum class Grade : std::uint8_t { problem, doubt, notice };
std::string_view grade_word(Grade g);

/// A column that a file calls by a word of its own.
struct RenamedColumn {
  std::string column, word;  ///< the program's word, the file's
};

/// Where a message belongs. Either an offset in a source (line and column are computed only when it is
/// printed), or a line and column that are known, or the file as a whole.
struct Where {
  std::string file;                      ///< the path as the job names it; empty: no file
  std::shared_ptr<const Source> source;  ///< with `offset`
  std::uint32_t offset = 0;
  LineColumn known{};  ///< line 0: the file as a whole
  /// Null where the file calls the column as the program does. What is told of that column names its word.
  std::shared_ptr<const RenamedColumn> renamed = {};

  static Where whole(std::string file) { return {std::move(file), nullptr, 0, {}, {}}; }
  static Where in(const std::shared_ptr<const Source>& s, std::uint32_t offset) {
    return {s->name(), s, offset, {}, {}};
  }
  static Where at(std::string file, LineColumn place) { return {std::move(file), nullptr, 0, place, {}}; }
};

/// A message ready for printing.
struct Message {
  Grade grade;
  std::string file;
  LineColumn place;
  std::string field, text;
};

/// Collects messages. Counts are exact; at most `kProblemsKept` problem lines a file and `kDoubtsKept` lines
/// of one kind of doubt or notice are kept, the first in file order.
class Messages {
 public:
  static constexpr std::size_t kProblemsKept = 100;
  static constexpr std::size_t kDoubtsKept = 10;

  /// `found ..., expected ...; try ...` from the fault.
  void problem(Where where, std::string_view field, const Fault& fault);
  void problem(Where where, std::string_view field, std::string text);
  /// `kind` groups doubts that are alike: after the tenth only their count is told.
  void doubt(std::string_view kind, Where where, std::string_view field, std::string text);
  /// Counts doubts of a kind that has as many as are told, without their words. REQUIRES `kDoubtsKept` told.
  void more_doubts(std::string_view kind, std::size_t count);
  void notice(std::string_view kind, Where where, std::string_view field, std::string text);
  /// Problems of one column that expect the same become one, told at its header, where they are most of the
  /// table's rows: then the header is wrong, or the unit. REQUIRES messages of that table alone. `header`:
  /// the place of a column's word.
  void fold_alike(std::size_t rows, const std::function<Where(std::string_view field)>& header);
  /// Leaves the problems alone: of what is not used, doubts and notices say nothing.
  void keep_problems();
  /// Takes all of another collection's messages.
  void merge(Messages&& other);

  bool has_problems() const { return problems_ > 0; }
  std::size_t problems() const { return problems_; }
  std::size_t doubts() const { return doubts_; }

  /// Messages of one grade in file order (files in the order first named), places computed, counts of what
  /// was left out as last lines of their file or kind.
  std::vector<Message> sorted(Grade grade) const;
  /// The same with one message a kind: the first one's, behind which stands how many there are and where the
  /// next of them are.
  std::vector<Message> folded(Grade grade) const;

 private:
  struct Entry {
    Where where;
    std::string field, text;
    std::string found, expected;  // of a problem
    std::size_t order = 0;
  };
  struct Bucket {  // one file's problems, or one kind of doubt or notice
    Grade grade;
    std::vector<Entry> kept;  // sorted by place
    std::size_t count = 0;
    std::size_t most = 0;
  };
  std::vector<Message> told(Grade grade, bool by_kind) const;
  void add_problem(Entry entry);
  void add(Grade grade, const std::string& key, std::size_t most, Entry entry);
  std::size_t file_rank(const std::string& file);

  std::vector<std::pair<std::string, Bucket>> buckets_;
  std::map<std::string, std::size_t, std::less<>> bucket_of_, rank_of_;
  std::map<std::pair<std::string, std::string>, std::size_t>
      alike_;  // problems by field and what is expected
  std::size_t problems_ = 0, doubts_ = 0, next_order_ = 0;
};

/// One line: `FILE:LINE:COLUMN: FIELD: text`, parts that are unknown left out.
std::string message_line(const Message& m);
/// `found ..., expected ...; try ...`; a suggestion that cannot be shown as it stands is left out.
std::string fault_text(const Fault& fault);
/// A file that cannot be read. `found` names it and the reason; a file that is being written is told to be
/// run again on.
Fault unreadable_fault(std::string found, const Unreadable& why, std::string expected,
                       std::string suggestion = "");
/// The known word nearest to the one given, if one is near enough to be meant.
std::optional<std::string> nearest_word(std::string_view word, const std::vector<std::string>& known);

}  // namespace deckmark
