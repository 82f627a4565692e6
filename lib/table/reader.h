#pragma once
/// Delimited text: header, rows, cells, each with its place. Good rows pay nothing for messages.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "measure/length_text.h"
#include "table/big_vector.h"
#include "table/message.h"
#include "table/renaming.h"
#include "table/source.h"

namespace deckmark {

/// What a column holds decides how a header's unit and a spreadsheet's text prefix are taken.
enum class ColumnKind : std::uint8_t { name, text, length, number, angle };

/// A column that a table may have.
struct ColumnSpec {
  std::string name;  ///< lower case
  ColumnKind kind = ColumnKind::text;
  bool required = false;
  std::string also = {};  ///< a second name, taken where the header does not have the first; lower case
  /// Words that lists made elsewhere have for it, the likelier first: offered as renames, never read.
  std::span<const std::string_view> found_as = {};
};

/// What the table is and which columns it may have.
struct TableSpec {
  std::string what;  ///< for messages: "drawing points", "control"
  std::vector<ColumnSpec> columns;
  std::vector<std::string> fixed_columns;  ///< a file without a header: its columns in order
  bool may_be_empty = false;               ///< no data rows is no problem (the ledger)
  std::vector<std::string> ignored = {};   ///< columns that are known to stand there and not used: no notice
  /// Pairs of columns by index, of which one has to stand: ways to give a place.
  std::vector<std::pair<std::size_t, std::size_t>> ways = {};
  std::vector<std::size_t> one_of = {};  ///< columns of which one has to stand; empty: no such
  TableLine line = {};  ///< the job file's value, for renames and for what is offered to be pasted
};

/// The cells of one record. Views hold until the next record, but for text that is not escaped: that lives in
/// the source.
class Row {
 public:
  static constexpr std::uint32_t kNoField = 0xFFFFFFFF;

  /// The cell under a column of the spec, trimmed and unquoted; empty where the column is absent.
  std::string_view text(std::size_t column) const {
    const std::uint32_t f = field_of_[column];
    return f == kNoField ? std::string_view{} : cell(f);
  }
  bool has(std::size_t column) const { return !text(column).empty(); }
  bool is_escaped(std::size_t column) const {
    const std::uint32_t f = field_of_[column];
    return f != kNoField && fields_[f].escaped != 0;
  }
  /// Where the cell begins, its quote and leading blanks included; the record's begin where the column is
  /// absent.
  std::uint32_t offset(std::size_t column) const {
    const std::uint32_t f = field_of_[column];
    return f == kNoField ? begin_ : fields_[f].begin;
  }
  /// Where the record begins.
  std::uint32_t begin() const { return begin_; }

 private:
  friend class RecordScanner;
  struct Field {
    std::uint32_t begin, from, to;  // source offsets; escaped: from and to index the scratch text
    std::uint32_t escaped;
  };
  std::string_view cell(std::uint32_t f) const {
    const Field& field = fields_[f];
    const char* base = field.escaped ? scratch_.data() : text_;
    return {base + field.from, field.to - field.from};
  }
  const char* text_ = nullptr;
  const std::uint32_t* field_of_ = nullptr;
  std::vector<Field> fields_;
  std::size_t count_ = 0;  // fields in this record
  std::uint32_t begin_ = 0;
  bool odd_ = false;  // bytes that want a closer look
  std::string scratch_;
};

/// A table whose header has been read.
class Table {
 public:
  /// Reads the header; nothing where it has a problem (told in `messages`).
  static std::optional<Table> open(std::shared_ptr<const Source> source, TableSpec spec, Messages& messages);

  const std::shared_ptr<const Source>& source() const { return source_; }
  const TableSpec& spec() const { return spec_; }
  /// Names of all columns as the header has them, in lower case.
  const std::vector<std::string>& column_names() const { return names_; }
  bool has_column(std::size_t column) const { return field_of_[column] != Row::kNoField; }
  /// The unit's text that the header gives for a column, empty where it gives none.
  const std::string& header_unit_text(std::size_t column) const { return unit_text_[column]; }
  /// The length unit that the header states for a column.
  std::optional<LengthUnit> header_unit(std::size_t column) const { return unit_of_[column]; }
  bool decimal_comma() const { return separator_ != ','; }
  char separator() const { return separator_; }

  /// Takes rows in file order. One handler sees one stretch of the file.
  class Handler {
   public:
    virtual ~Handler() = default;
    virtual void row(const Row& row, Messages& messages) = 0;
    /// About how many rows will come, here and in stretches that will be appended.
    virtual void expect(std::size_t) {}
  };
  /// Reads all rows. A long file is read in two stretches on two threads; `make` makes a handler for each,
  /// and the handlers come back in file order. A problem of a row's form skips that row.
  std::vector<std::unique_ptr<Handler>> read(const std::function<std::unique_ptr<Handler>()>& make,
                                             Messages& messages) const;
  /// The cell offset of a column in the record that begins at `begin`, for messages after reading.
  std::uint32_t cell_offset(std::uint32_t begin, std::size_t column) const;
  /// A cell of a column: in a row at hand, or in the record that begins at `begin`; a column's word in the
  /// header.
  Where where(const Row& row, std::size_t column) const { return at(row.offset(column), column); }
  Where where(std::uint32_t begin, std::size_t column) const {
    return at(cell_offset(begin, column), column);
  }
  Where header_where(std::size_t column) const { return at(header_at_[column], column); }
  /// What unknown words of the header could be, and the line of the job file that says so; empty where it
  /// offers nothing.
  const Offer& offer() const { return offer_; }
  std::string offered_line() const;
  Where whole() const { return Where::whole(source_->name()); }

 private:
  friend class HeaderReader;
  Table() = default;
  struct Stretch;
  void read_stretch(Stretch& stretch, std::uint32_t stop) const;
  Where at(std::uint32_t offset, std::size_t column) const {
    Where out = Where::in(source_, offset);
    out.renamed = renamed_[column];
    return out;
  }
  /// The program's word for a field of the file; `row` where it has none. Its cell.
  std::string_view field_word(std::size_t field) const;
  Where field_where(const Row& row, std::size_t field) const;
  void look_at_unnamed(Messages& messages);
  bool well_formed(const Row& row, Messages& messages) const;
  void look_at_end(Messages& messages) const;
  void look_at_comment(std::uint32_t begin, std::uint32_t end, Messages& messages) const;
  std::size_t about_rows() const;
  std::uint32_t middle(std::size_t rows) const;
  std::shared_ptr<const Source> source_;
  TableSpec spec_;
  char separator_ = ',';
  std::size_t fields_ = 0;  // in the header
  std::uint32_t body_ = 0;  // offset of the first line after the header
  std::vector<std::uint32_t> field_of_;
  std::vector<std::uint32_t> unnamed_;  // fields without a name
  std::vector<std::string> names_;      // of all fields as the file has them, lower case
  std::vector<std::string> called_;     // the same by the program's words
  std::vector<std::shared_ptr<const RenamedColumn>> renamed_;  // by column; null where it is not renamed
  Offer offer_;
  std::vector<std::string> unit_text_;
  std::vector<std::optional<LengthUnit>> unit_of_;
  std::vector<std::uint32_t> header_at_;
};

/// Texts of one column, 8 bytes each beside the source's bytes.
class TextColumn {
 public:
  TextColumn() = default;
  explicit TextColumn(std::shared_ptr<const Source> source) : source_(std::move(source)) {}
  std::size_t size() const { return refs_.size(); }
  std::string_view operator[](std::size_t i) const {
    const Ref r = refs_[i];
    return r.length & kOwned ? std::string_view(owned_.data() + r.offset, r.length & ~kOwned)
                             : std::string_view(source_->text().data() + r.offset, r.length);
  }
  void reserve(std::size_t n) { refs_.reserve(n); }
  /// Text that lives in the source is referred to; any other is copied.
  void push_back(std::string_view text);
  /// REQUIRES the same source, or none.
  void append(TextColumn&& other);

 private:
  static constexpr std::uint32_t kOwned = 0x80000000U;
  struct Ref {
    std::uint32_t offset, length;
  };
  std::shared_ptr<const Source> source_;
  BigVector<Ref> refs_;
  std::string owned_;
};

/// Reads the lengths of one column: header, cell and job unit, and what is to be told about them.
class LengthColumn {
 public:
  /// The lengths that whoever reads the column takes.
  using Takes = bool (*)(Length);
  /// `job_key` names the key that gives `unit`, for messages. `takes`: no other length is suggested for a
  /// cell; null: all.
  LengthColumn(const Table& table, std::size_t column, LengthUnit unit, std::string_view job_key,
               Messages& messages, Takes takes = nullptr);
  /// The cell's length; nothing where it is empty or bad (bad: told).
  std::optional<Length> read(const Row& row, Messages& messages) const;
  /// The same, and an empty cell is a problem.
  std::optional<Length> require(const Row& row, Messages& messages) const;

 private:
  /// The text states the other foot than its column.
  bool is_other_foot(const LengthReading& reading) const;
  /// The fault of a text, without a suggestion that this column would refuse.
  Fault fault_here(Fault fault) const;
  /// What a text says of itself beside its value; false where the cell is refused.
  bool tell(const Row& row, const LengthReading& reading, std::string_view text, Messages& messages) const;
  const Table* table_;
  std::size_t column_;
  LengthForm form_;
  LengthUnit job_unit_;
  std::string job_key_;
  Takes takes_;
};

/// A name as the contract has it: text, not empty, no control or invisible characters, no leading `=`; the
/// spreadsheet apostrophe that neutralises is taken off. Nothing where it is bad (told).
std::optional<std::string_view> read_name(const Table& table, const Row& row, std::size_t column,
                                          Messages& messages);

/// A text cell without the apostrophe that neutralises formulas; holds no control or invisible character
/// (else told, and nothing). Empty cells are fine.
std::optional<std::string_view> read_text(const Table& table, const Row& row, std::size_t column,
                                          Messages& messages);
/// The first control or invisible character, as `U+200B`; nothing where there is none.
std::optional<std::string> hidden_character(std::string_view text);

/// Names compared without regard to the case of A-Z.
bool same_name(std::string_view a, std::string_view b);
std::uint64_t name_hash(std::string_view name);

/// Blanks (space, tab, non-breaking blanks) off both ends.
std::string_view trimmed(std::string_view text);
/// The first place where the text is not valid UTF-8 or is NUL, as `0xB0` or `U+0000`; nothing where it is
/// fine.
std::optional<std::string> bad_text(std::string_view text);
/// The same as an offset; npos where it is fine.
std::size_t bad_text_at(std::string_view text);

}  // namespace deckmark
