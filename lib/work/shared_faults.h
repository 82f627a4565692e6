#pragma once
/// Private to the room: a statement that many points take over, a key or a row, is one fault where it is
/// wrong.

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include "work/stages.h"

namespace deckmark {

/// Where something is stated: a row of a table, or a key of the job file.
struct Statement {
  const Table* table = nullptr;  ///< null: a key
  std::uint32_t begin = 0;       ///< of the row
  std::size_t column = 0;
  std::string_view key{};  ///< `hangers.height`; one that `Job::keys` holds

  Where where(const Job& job) const {
    return table ? table->where(begin, column) : job.keys.find(key)->second;
  }
  std::string_view field() const {
    return table ? std::string_view(table->spec().columns[column].name) : key;
  }
};

/// Where a mark as such is stated: its row, or that of its run.
Statement place_statement(const Job& job, const OverheadFound& overhead, std::size_t mark);
/// Where the height of its bracket is: there, or under [hangers].
Statement height_statement(const Job& job, const OverheadFound& overhead, std::size_t mark);

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
std::string fellows_words(const Job& job, const SharedFaults::Fellows& fellows, std::string_view many);

}  // namespace deckmark
