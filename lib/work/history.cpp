#include "lists/history.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "work/book_history.h"
#include "work/chosen_issue.h"
#include "work/issues.h"
#include "work/job_texts.h"
#include "work/typed.h"

namespace deckmark {

namespace {

/// The last row of the number that is meant by a number, a deck number or a name; none where there is none.
/// A name that several numbers had is that of a live one, else of the newest (told).
std::uint32_t meant_row(const Job& job, const std::string& typed, Messages& messages) {
  const Ledger& ledger = job.ledger.ledger;
  const auto number = typed_number(trimmed(typed));
  std::vector<std::uint32_t> named;
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t last = ledger.latest(i);
    bool is_named = false;
    for (std::uint32_t r = last; r != kNone32; r = ledger.before(r)) {
      const LedgerRow row = ledger.row(r);
      if (number && (row.number == *number ||
                     (!row.deck.is_none() && row.number + row.deck_offset == std::int64_t{*number})))
        return last;
      is_named = is_named || same_name(row.point, trimmed(typed));
    }
    if (is_named) named.push_back(last);
  }
  if (named.empty()) {
    messages.problem(
        Where{}, "NUMBER",
        Fault{in_quotes(typed), "a floor number, a deck number or a name that the ledger has", ""});
    return kNone32;
  }
  std::stable_sort(named.begin(), named.end(), [&](std::uint32_t a, std::uint32_t b) {
    const bool live_a = ledger.columns().is_live(a), live_b = ledger.columns().is_live(b);
    return live_a != live_b ? live_a : a > b;
  });
  for (std::size_t i = 1; i < named.size(); ++i)
    messages.doubt(
        "a name that several numbers had", Where{}, "NUMBER",
        fmt::format("{} was the name of {} too", in_quotes(typed), ledger.columns().number(named[i])));
  return named.front();
}

/// `drawing.csv:4`.
std::string place_words(const Where& where) {
  if (!where.source) return where.file;
  return fmt::format("{}:{}", where.file, where.source->places({where.offset}).front().line);
}

class HistoryOf {
 public:
  HistoryOf(const Computation& c, std::uint32_t last)
      : c_(c), ledger_(c.job.ledger.ledger), last_(last), number_(ledger_.columns().number(last)) {
    const LaidOut* laid = c.laid.get();
    for (std::uint32_t m = 0; laid && m < laid->marks.size(); ++m)
      if (laid->numbers.of(m) == number_) mark_ = m;
  }

  std::uint32_t mark() const { return mark_; }
  std::vector<HistoryStep> steps(std::vector<HistoryStep> of_book) {
    drawing();
    issues();
    given();
    steps_.insert(steps_.end(), of_book.begin(), of_book.end());
    if (mark_ != kNone32) {
      deck_marks();
      shots();
      sights();
    }
    return std::move(steps_);
  }

 private:
  void drawing() {
    HistoryStep s;
    s.kind = HistoryKind::drawing;
    const LaidOut* laid = c_.laid.get();
    if (!laid) s.where = "not known: the job has problems, deckmark check tells them";
    if (mark_ != kNone32) {
      s.where = place_words(laid->marks.where(mark_));
      if (const IssueFound* issue = c_.issue.get()) s.row = issue->row(mark_);
    }
    steps_.push_back(std::move(s));
  }

  void issues() {
    std::vector<std::uint32_t> rows;
    for (std::uint32_t r = last_; r != kNone32; r = ledger_.before(r)) rows.insert(rows.begin(), r);
    for (const std::uint32_t r : rows) {
      HistoryStep s;
      s.row = ledger_.row(r);
      s.issue = s.row->issue;
      if (ledger_.before(r) != kNone32) s.before = ledger_.row(ledger_.before(r));
      steps_.push_back(std::move(s));
    }
  }

  /// What a crew was given is its lists: they may lack the number.
  bool is_of_other_crew(const std::string& to, std::string_view has) const {
    const auto& crews = c_.views.crews.crews;
    if (has.empty()) return false;  // of no crew, or from before there were any: in the common list
    if (std::ranges::none_of(crews, [&](const StatedCrew& crew) { return same_name(crew.name, to); }))
      return false;
    while (!has.empty()) {
      const std::size_t end = std::min(has.find(' '), has.size());
      if (same_name(has.substr(0, end), to)) return false;
      has.remove_prefix(std::min(end + 1, has.size()));
    }
    return true;
  }

  void given() {
    for (const GivenRow& g : c_.job.ledger.given) {
      const std::uint32_t row = ledger_.as_of(last_, g.issue);
      if (row == kNone32 || is_of_other_crew(g.to, ledger_.row(row).crew)) continue;
      HistoryStep s;
      s.kind = HistoryKind::given;
      s.issue = g.issue;
      s.who = g.to;
      s.on = g.on;
      s.row = ledger_.row(row);
      s.is_last = ledger_.row(last_).hands_out_as(*s.row);
      steps_.push_back(std::move(s));
    }
  }

  void deck_marks() {
    const Plumbed* plumb = c_.plumb.get();
    for (std::size_t i = 0; plumb && i < plumb->rows.size(); ++i) {
      if (plumb->marks[i] != mark_) continue;
      HistoryStep s;
      s.kind = HistoryKind::mark;
      s.level = "deck";
      s.where = place_words(cell_of(c_.job.deck_marks_table, plumb->table_row(i), "point"));
      s.off = plumb->rows[i].off;
      s.offset = plumb->rows[i].offset;
      s.verdict = plumb->rows[i].verdict;
      steps_.push_back(std::move(s));
    }
  }

  void shots() {
    const AsbuiltFound* found = c_.asbuilt.get();
    for (std::size_t i = 0; found && i < found->rows.size(); ++i) {
      const AsbuiltRow& r = found->rows[i];
      if (r.mark != mark_) continue;
      HistoryStep s;
      s.kind = HistoryKind::shot;
      s.level = std::string(level_word(r.level));
      s.where = place_words(c_.job.asbuilt.table->where(c_.views.asbuilt.asbuilt.shots.begins[r.shot], 0));
      s.off = r.off;
      s.offset = r.offset;
      s.up = r.up;
      s.verdict = r.plan == Verdict::within && r.height ? *r.height : r.plan;
      steps_.push_back(std::move(s));
    }
  }

  void sights() {
    const Setups* setups = c_.setups.get();
    for (std::size_t i = 0; setups && i < setups->setups.size(); ++i) {
      const auto& found = setups->setups[i];
      for (std::size_t n = 0; found && n < found->checks.size(); ++n) {
        const SightCheck& check = found->checks[n];
        const TargetMeaning& target = found->targets[found->reduction.sights[check.sight].target];
        const bool deck = target.role == TargetRole::deck;
        if (target.index != mark_ || (!deck && target.role != TargetRole::floor)) continue;
        HistoryStep s;
        s.kind = HistoryKind::sight;
        s.level = deck ? "deck" : "floor";
        s.where = "setup " + c_.job.instrument.setups[i].name;
        s.offset = check.miss;
        s.verdict = check.verdict;
        steps_.push_back(std::move(s));
      }
    }
  }

  const Computation& c_;
  const Ledger& ledger_;
  std::uint32_t last_, number_;
  std::uint32_t mark_ = kNone32;
  std::vector<HistoryStep> steps_;
};

}  // namespace

JobOutcome tell_history(const JobRequest& request, const std::string& typed, Messages& messages) {
  const auto c = computed(request, Need::measured);
  messages.merge(c->take_told({{Stage::numbers}}));
  const Job& job = c->job;
  if (!messages.has_problems()) has_issues(*c, messages);
  const std::uint32_t last = messages.has_problems() ? kNone32 : meant_row(job, typed, messages);
  if (messages.has_problems()) return ended_with_problems();

  const LedgerRow row = job.ledger.ledger.row(last);
  const bool by_drawing = c->is_from_strings();
  HistoryHead head{.number = row.number,
                   .point = row.point,
                   .unit = by_drawing ? job.drawing_unit : job.site_unit,
                   .by_drawing = by_drawing};
  if (!row.deck.is_none()) head.deck_number = row.number + static_cast<std::uint32_t>(row.deck_offset);
  HistoryOf way(*c, last);
  BookHistory book = book_history(*c, last, way.mark(), messages);
  if (messages.has_problems()) return ended_with_problems();
  head.blame = std::move(book.blame);
  std::vector<HistoryStep> steps = way.steps(std::move(book.steps));
  JobOutcome out;
  out.no_verdict = "a history judges nothing";
  out.text = history_text(head, steps);
  out.table.unit = c->views.head.list_unit;
  if (request.with_rows) out.table.put(*history_table(std::move(steps), *out.table.unit), kHistoryColumns);
  return out;
}

}  // namespace deckmark
