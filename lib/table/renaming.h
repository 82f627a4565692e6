#pragma once
/// Columns that a file calls by words of its own: what the job file says of them, and what it could say.

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "table/message.h"

namespace deckmark {

struct ColumnSpec;
struct TableSpec;

/// A word of a file's header, and the program's word for that column.
struct Rename {
  std::string word, column;
};
struct StatedRename {
  Rename rename;
  Where where;  ///< in the job file
};

/// The value of the job file that names a table. What is offered to be pasted keeps all that it states.
struct TableLine {
  std::string key;                  ///< `control`; empty: no job file names the table, and nothing is offered
  std::string section;              ///< `site`
  std::string file;                 ///< the path
  std::vector<std::string> beside;  ///< what else it states, as TOML: `frame = "grid"`
  std::vector<StatedRename> renames;

  bool stands() const { return !key.empty(); }
  /// `control = { file = "a.csv", rename = { pt = "point" } }`: the renames that stand and more.
  std::string with(const std::vector<Rename>& more) const;
  /// `control = { file = "a.csv", columns = ["point", "x"] }`.
  std::string with_columns(const std::vector<std::string>& columns) const;
};

/// What the words of a header that no column has could be renames of. Nothing is read by it.
struct Offer {
  std::vector<Rename> renames;
  std::vector<std::string> others;  ///< `name could be point too`
  bool has(std::string_view column) const;
};
/// `unknown`: those words, in small letters; `stands`: whether the file has a column already. One word for
/// one column; where a header has two words for one, the likelier is offered.
Offer offer_of(const TableSpec& spec, const std::vector<std::string>& unknown,
               const std::function<bool(std::size_t)>& stands);

/// True where the word is one that lists made elsewhere have for the column.
bool is_found_as(const ColumnSpec& column, std::string_view word);
/// True where a unit ends the word, as in `x [m]`, `x_ft`: a rename would lose it.
bool ends_in_a_unit(std::string_view word);

}  // namespace deckmark
