#include "work/answer_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

#include "lists/columns.h"

namespace deckmark {

namespace {

using Json = nlohmann::ordered_json;

/// ASCII alone: whatever acts on a terminal is written as an escape. What is not UTF-8 becomes U+FFFD.
std::string dumped(const Json& json) { return json.dump(-1, ' ', true, Json::error_handler_t::replace); }

/// Null for what is not known.
Json count_or_null(std::uint32_t n) { return n ? Json(n) : Json(); }
Json text_or_null(const std::string& text) { return text.empty() ? Json() : Json(text); }

Json messages_of(const Messages& messages, Grade grade) {
  Json out = Json::array();
  for (const Message& m : messages.sorted(grade))
    out.push_back({{"text", m.text},
                   {"file", text_or_null(m.file)},
                   {"line", count_or_null(m.place.line)},
                   {"column", count_or_null(m.place.column)},
                   {"field", text_or_null(m.field)}});
  return out;
}

/// Keys that a reason has nothing for are left out.
Json reason_of(const Reason& r) {
  Json out{{"text", r.text}, {"scope", scope_word(r.scope)}};
  if (!r.numbers.empty()) out["number"] = r.numbers.front();
  if (!r.point.empty()) out["point"] = r.point;
  if (r.numbers.size() > 1) out["numbers"] = r.numbers;
  if (!r.setup.empty()) out["setup"] = r.setup;
  if (r.where.file.empty()) return out;
  out["file"] = r.where.file;
  const std::uint32_t line =
      r.where.source ? r.where.source->places({r.where.offset}).front().line : r.where.known.line;
  if (line) out["line"] = line;
  return out;
}

/// Cells of a table that this program wrote: RFC 4180 with commas and line feeds.
class Cells {
 public:
  explicit Cells(std::string_view csv) : rest_(csv) {}
  bool is_at_end() const { return rest_.empty(); }
  /// The next cell, without its quotes; `is_last` of its row.
  std::string next(bool& is_last) {
    std::string cell;
    const bool quoted = rest_.starts_with('"');
    if (quoted) rest_.remove_prefix(1);
    while (!rest_.empty()) {
      const char c = rest_.front();
      if (quoted && c == '"') {
        rest_.remove_prefix(1);
        if (!rest_.starts_with('"')) break;
      } else if (!quoted && (c == ',' || c == '\n')) {
        break;
      }
      cell += c;
      rest_.remove_prefix(1);
    }
    is_last = !rest_.starts_with(',');
    if (!rest_.empty()) rest_.remove_prefix(1);
    return cell;
  }

 private:
  std::string_view rest_;
};

bool is_json_number(std::string_view text) {
  const auto digits = [&text] {
    const std::size_t end = std::min(text.find_first_not_of("0123456789"), text.size());
    text.remove_prefix(end);
    return end;
  };
  if (text.starts_with('-')) text.remove_prefix(1);
  const bool zero_first = text.starts_with('0');
  const std::size_t whole = digits();
  if (whole == 0 || (zero_first && whole > 1)) return false;
  if (text.empty()) return true;
  text.remove_prefix(1);
  return digits() > 0 && text.empty();
}

/// A cell as a value. A number keeps the digits that the table has.
std::string value_of(std::string_view cell, const OutColumn& column) {
  if (cell.empty()) return "null";
  if (column.kind != OutKind::text) return is_json_number(cell) ? std::string(cell) : dumped(cell);
  return dumped(without_formula_mark(cell));
}

/// A JSON library would write numbers with digits of its own, so rows are put together here.
std::string rows_of(const MainTable& table) {
  std::string out = "[";
  Cells cells(table.csv);
  bool is_last = cells.is_at_end();
  while (!is_last) (void)cells.next(is_last);  // the header
  while (!cells.is_at_end()) {
    out += out.size() > 1 ? ",\n{" : "\n{";
    is_last = false;
    for (std::size_t i = 0; !is_last; ++i) {
      const std::string cell = cells.next(is_last);
      const OutColumn& column = table.columns[i];
      out += (i ? "," : "") + dumped(column.name) + ":" + value_of(cell, column);
    }
    out += "}";
  }
  return out + "]";
}

constexpr OutColumn kMessageColumns[] = {
    {"file", OutKind::text, "as the job names it"},
    {"line", OutKind::number, "empty where the whole file is meant"},
    {"column", OutKind::number, "the character at which the cell begins"},
    {"grade", OutKind::text, "problem, doubt or notice"},
    {"field", OutKind::text, "the column or the key"},
    {"text", OutKind::text, "what there is to say"},
    {"job", OutKind::text, "as it was typed; of several jobs alone"}};
constexpr std::span kOneJob(kMessageColumns, std::size(kMessageColumns) - 1);

/// A message with the job that it is of.
struct JobMessage {
  std::string_view job;
  Message message;
};

void put(std::vector<JobMessage> all, std::span<const OutColumn> columns, MainTable& table) {
  const auto row = [&all, with_job = columns.size() > kOneJob.size()](auto& sink, std::size_t i) {
    const Message& m = all[i].message;
    sink.text(m.file);
    for (const std::uint32_t n : {m.place.line, m.place.column}) {
      if (n)
        sink.integer(n);
      else
        sink.empty();
    }
    sink.text(grade_word(m.grade));
    sink.text(m.field);
    sink.text(m.text);
    if (with_job) sink.text(all[i].job);
  };
  table.put(*declared_table(columns, LengthUnit::metre, all.size(), row), columns);
}

void add(const Messages& messages, std::string_view job, std::vector<JobMessage>& all) {
  for (const Grade grade : {Grade::problem, Grade::doubt, Grade::notice})
    for (Message& m : messages.sorted(grade)) all.push_back({job, std::move(m)});
}

}  // namespace

std::string answer_json(const JobOutcome& outcome, const Messages& messages) {
  Json head;
  head["verdict"] = outcome.verdict ? Json(job_verdict_word(*outcome.verdict)) : Json();
  head["status"] = static_cast<int>(outcome.exit);
  head["text"] = outcome.verdict ? outcome.line : outcome.no_verdict;
  head["reasons"] = Json::array();
  for (const Reason& r : outcome.reasons) head["reasons"].push_back(reason_of(r));
  head["doubts"] = messages_of(messages, Grade::doubt);
  head["notices"] = messages_of(messages, Grade::notice);
  head["unit"] = outcome.table.unit ? Json(unit_word(*outcome.table.unit)) : Json();
  if (!outcome.table.setup.empty()) head["setup"] = outcome.table.setup;
  if (!outcome.table.crew.empty()) head["crew"] = outcome.table.crew;
  std::string out = dumped(head);
  out.back() = ',';  // was }
  return out + "\"rows\":" + rows_of(outcome.table) + "}\n";
}

std::string problems_json(const Messages& messages) {
  Json out;
  out["verdict"] = Json();
  out["status"] = static_cast<int>(Exit::bad_input);
  out["problems"] = messages_of(messages, Grade::problem);
  out["doubts"] = messages_of(messages, Grade::doubt);
  out["notices"] = messages_of(messages, Grade::notice);
  return dumped(out) + "\n";
}

void put_messages(const Messages& messages, MainTable& table) {
  std::vector<JobMessage> all;
  add(messages, "", all);
  put(std::move(all), kOneJob, table);
}

void put_messages(std::span<const JobAnswer> jobs, MainTable& table) {
  std::vector<JobMessage> all;
  for (const JobAnswer& j : jobs) add(j.messages, j.job, all);
  put(std::move(all), kMessageColumns, table);
}

std::string answers_json(std::span<const JobAnswer> jobs) {
  std::string out = fmt::format("{{\"status\":{},\"ready\":{},\"jobs\":[", static_cast<int>(worst_of(jobs)),
                                ready_jobs(jobs));
  for (const JobAnswer& j : jobs) {
    std::string one =
        j.messages.has_problems() ? problems_json(j.messages) : answer_json(j.outcome, j.messages);
    one.pop_back();  // its line feed
    out += fmt::format("{}\n{{\"job\":{},{}", &j == jobs.data() ? "" : ",", dumped(j.job), one.substr(1));
  }
  return out + "]}\n";
}

std::size_t ready_jobs(std::span<const JobAnswer> jobs) {
  return static_cast<std::size_t>(std::ranges::count_if(jobs, [](const JobAnswer& j) {
    return !j.messages.has_problems() && j.outcome.verdict == JobVerdict::ready;
  }));
}

Exit worst_of(std::span<const JobAnswer> jobs) {
  Exit worst = Exit::done;
  for (const JobAnswer& j : jobs)
    worst = std::max(worst, j.messages.has_problems() ? Exit::bad_input : j.outcome.exit);
  return worst;
}

}  // namespace deckmark
