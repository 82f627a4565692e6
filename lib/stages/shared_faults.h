#pragma once
/// A statement that many points take over, a key or a row, is one fault where it is wrong.

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include "stages/job_marks.h"

namespace deckmark {

/// Where something is stated: a row of a table, or a key of the job file.
struct Statement {
  const Table* table = nullptr;  ///< null: a key
  std::uint32_t begin = 0;       ///< of the row
  std::size_t column = 0;
  std::string_view key{};  ///< `hangers.height`
  Where key_at{};          ///< its place

  Where where() const { return table ? table->where(begin, column) : key_at; }
  std::string_view field() const {
    return table ? std::string_view(table->spec().columns[column].name) : key;
  }
};

/// Where a mark as such is stated: its row, or that of its run.
Statement place_statement(const JobMarks& marks, std::size_t mark);
/// Where the height of its bracket is: there, or the key `hangers.height`, which stands at `key`; of a
/// support the key of the trapezes' level, where that is stated.
Statement height_statement(const JobMarks& marks, std::size_t mark, const Where& key);

/// Marks by the statement that they share, in the order of their first.
class SharedFaults {
 public:
  struct Fellows {
    Statement at;
    std::size_t first, count;
  };
  void take(const Statement& at, std::size_t mark) {
    const auto [place, fresh] = index_.emplace(std::tuple(at.table, at.begin, at.key), all_.size());
    if (fresh) all_.push_back({at, mark, 0});
    ++all_[place->second].count;
  }
  const std::vector<Fellows>& all() const { return all_; }

 private:
  std::map<std::tuple<const Table*, std::uint32_t, std::string_view>, std::size_t> index_;
  std::vector<Fellows> all_;
};

/// `P1`, or `12 hangers, P1 the first`.
std::string fellows_words(const MarkTable& marks, const SharedFaults::Fellows& fellows,
                          std::string_view many);

}  // namespace deckmark
