#include "job/read_bill.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <map>
#include <set>
#include <string>

#include "job/columns.h"
#include "job/keys/drawing_keys.h"
#include "job/one_of.h"
#include "measure/decimal.h"
#include "measure/letters.h"

namespace deckmark {

namespace {

constexpr std::int64_t kMostParts = 1'000'000'000;  // nobody orders more of one part
constexpr double kMostPer = 1'000'000;              // nor hangs more at one place

/// A number of zero or more.
std::optional<double> read_amount(const DecimalColumn& column, const Row& row, Messages& told) {
  const std::string_view text = column.text(row);
  if (text.empty()) {
    tell_empty(column, row, "how many for one of these, such as 2 or 0.5", "", told);
    return std::nullopt;
  }
  const auto number = read_number(text, column.table().decimal_comma());
  if (!number) {
    column.problem(row, number.fault(), told);
    return std::nullopt;
  }
  if (number->value >= 0 && number->value <= kMostPer) return number->value;
  column.problem(row,
                 Fault{in_quotes(text), "how many for one of these, such as 2 or 0.5, from 0 to 1000000", ""},
                 told);
  return std::nullopt;
}

/// How many of a part, all told.
std::optional<std::int64_t> read_count_of(const NumberColumn& column, const Row& row, Messages& told) {
  if (column.has(row)) return read_whole(column, row, 0, kMostParts, told);
  tell_empty(column, row, "how many, 0 too", "", told);
  return std::nullopt;
}

std::optional<PartPer> read_per(const WordsColumn& column, const Row& row, Messages& told) {
  std::optional<PartPer> out;
  if (read_word(column, row, kPartPerWords, out, told) && !out)
    tell_empty(column, row, one_of(WordList(kPartPerWords)), "", told);
  return out;
}

/// The name of a part; nothing, and told, where it already means something else.
std::optional<std::string_view> read_part(const NameColumn& column, const std::set<std::string>& pieces,
                                          const Row& row, Messages& told) {
  const auto name = read_name(column, row, told);
  if (!name) return std::nullopt;
  const bool is_word = is_part_word(*name);
  if (!is_word && !pieces.contains(small_letters(*name))) return name;
  column.problem(row,
                 Fault{fmt::format("{} as a part", in_quotes(*name)),
                       is_word ? "a name of its own: the program counts by this word itself"
                               : "a name of its own: a piece has this one",
                       ""},
                 told);
  return std::nullopt;
}

/// A part that is needed twice for one thing: counted twice, as rows of a part add up.
void doubt_needed_twice(const NameColumn& column, const Rows<PartNeed>& rows, Messages& told) {
  std::map<std::pair<std::string, PartPer>, std::size_t> seen;
  for (std::size_t i = 0; i < rows.records.size(); ++i) {
    const PartNeed& need = rows.records[i];
    const auto [at, is_new] = seen.emplace(std::pair(small_letters(need.part), need.per), i);
    if (!is_new)
      told.doubt("parts needed twice for one thing", column.where(rows.begins[i]), column.name(),
                 fmt::format("{} stands twice for every {}: both rows count; is it keyed twice?", need.part,
                             kPartPerWords[index_of(need.per)]));
  }
}

void read_needs(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::needs;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  std::set<std::string> pieces;
  for (const StatedPiece& p : job.overhead.pieces) pieces.insert(small_letters(p.name));
  const auto part = table.at<c::part>();
  auto rows = read_records<Rows<PartNeed>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
    const auto name = read_part(part, pieces, row, told);
    const auto per = read_per(table.at<c::per>(), row, told);
    const auto count = read_amount(table.at<c::count>(), row, told);
    if (name && per && count) out.add({std::string(*name), *per, *count}, *name, row.begin());
  });
  doubt_needed_twice(part, rows, messages);
  job.bill.needs_table = {table.shared(), std::move(rows.begins)};
  job.bill.needs = std::move(rows.records);
}

void read_bill_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::bill;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const auto length = table.at<c::length>();
  const LengthColumn read_length =
      lengths_of(length, job.drawing_unit, kDrawingUnit, messages, is_above_zero);
  struct Billed {
    BilledPart part;
    std::optional<BilledLength> length;
  };
  auto rows = read_records<Rows<Billed>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
    const auto name = read_name(table.at<c::part>(), row, told);
    const auto count = read_count_of(table.at<c::count>(), row, told);
    const auto long_ = above_zero(length, row, read_length.read(row, told), told);
    if (length.has(row) && !long_) return;
    std::optional<BilledLength> stated;
    if (long_) stated = {*long_, static_cast<bool>(read_number(length.text(row), table->decimal_comma()))};
    if (name && count) out.add({{std::string(*name), *count}, stated}, *name, row.begin());
  });
  job.bill.bill_table = {table.shared(), std::move(rows.begins)};
  for (Billed& b : rows.records) {
    job.bill.bill.push_back(std::move(b.part));
    job.bill.lengths.push_back(b.length);
  }
}

void read_arrived(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::arrived;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const auto damaged = table.at<c::damaged>();
  auto rows =
      read_records<Rows<ArrivedPart>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::part>(), row, told);
        const auto count = read_count_of(table.at<c::count>(), row, told);
        std::optional<std::int64_t> bad = 0;
        if (damaged.has(row)) bad = read_count_of(damaged, row, told);
        if (count && bad && *bad > *count) {
          damaged.problem(row,
                          Fault{fmt::format("{} damaged of {}", *bad, *count),
                                "how many of the count are damaged, which holds them too", ""},
                          told);
          return;
        }
        if (name && count && bad) out.add({std::string(*name), *count, *bad}, *name, row.begin());
      });
  job.bill.arrived_table = {table.shared(), std::move(rows.begins)};
  job.bill.arrived = std::move(rows.records);
}

/// Without runs nothing but hangers can need a part.
void look_at_places(SectionReader<kDrawing>& drawing, const BillJob& bill) {
  if (!drawing.lacks("runs")) return;
  for (const PartNeed& need : bill.needs)
    if (need.per != PartPer::hanger) {
      const std::string_view per = kPartPerWords[index_of(need.per)];
      return drawing.problem("needs",
                             Fault{fmt::format("{} for every {} in a job without runs", need.part, per),
                                   "the runs on which these are", "runs = \"runs.csv\""});
    }
}

}  // namespace

void read_bill(const JobReading& in) {
  Job& job = in.job;
  Messages& told = in.told.of(Part::bill);
  TableLoader tables = in.tables(Part::bill);
  auto drawing = in.section<kDrawing>(Part::bill);
  drawing.read<kBillKeys>(job);
  if (job.named.needs) read_needs(*job.named.needs, job, tables, told);
  if (job.named.bill) read_bill_table(*job.named.bill, job, tables, told);
  if (job.named.arrived) read_arrived(*job.named.arrived, job, tables, told);
  look_at_places(drawing, job.bill);
}

}  // namespace deckmark
