#include "stages/storeys.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "asbuilt/other_floor.h"
#include "report/words.h"

namespace deckmark {

namespace {

/// Numbers of this job that another storey holds.
struct Shared {
  std::size_t count = 0;
  std::uint32_t first = 0;  ///< the lowest
  std::string point;        ///< whose it is
  bool issued = false;      ///< one of them was given out before
};

/// Looks at every number of an issue: floor and deck, of marks and of rows that no mark has now.
class OwnNumbers {
 public:
  OwnNumbers(const NumbersStated& stated, const JobMarks& marks, const LedgerJoin& join)
      : stated_(stated), marks_(marks), join_(join) {}

  Shared in(const SiblingStorey& storey, std::span<const std::uint32_t> numbers,
            std::int64_t deck_offset) const {
    Shared out;
    const auto look = [&](std::int64_t number, std::string_view point, bool is_issued) {
      if (!std::ranges::binary_search(storey.numbers, number, {},
                                      [](std::uint32_t n) -> std::int64_t { return n; }))
        return;
      if (out.count++ == 0 || number < out.first)
        out.first = static_cast<std::uint32_t>(number), out.point = point;
      out.issued = out.issued || is_issued;
    };
    const LedgerRows& rows = stated_.ledger.columns();
    for (std::size_t m = 0; m < numbers.size(); ++m) {
      const std::uint32_t e = join_.entries[m];
      look(numbers[m], marks_->names[m], e != kNone32);
      if (stated_.has_deck && !marks_->is_reference(m))
        look(numbers[m] + deck_offset, marks_->names[m], e != kNone32 && rows.has_deck(e));
    }
    for (const std::uint32_t e : join_.unmatched) {
      look(rows.number(e), rows.points()[e], true);
      if (stated_.has_deck) look(rows.number(e) + deck_offset, rows.points()[e], rows.has_deck(e));
    }
    return out;
  }

 private:
  const NumbersStated& stated_;
  const JobMarks& marks_;
  const LedgerJoin& join_;
};

/// What to write under [numbers] so that no number is another storey's.
class Remedy {
 public:
  Remedy(const NumbersStated& stated, const JobMarks& marks, const LedgerJoin& join, const Ledger& ledger)
      : stated_(stated), marks_(marks), join_(join), ledger_(ledger) {}

  /// `start = 2001`; nothing where numbers that were given out stand in the way.
  std::optional<std::string> found() const {
    const NumberOptions& now = stated_.options;
    const std::vector<std::int64_t> starts = round_starts();
    if (auto text = tried(now.start, now.deck_offset)) return text;
    for (const std::int64_t start : starts)
      if (auto text = tried(start, now.deck_offset)) return text;
    for (const std::int64_t offset : kOffsets)
      if (auto text = tried(now.start, offset)) return text;
    for (const std::int64_t offset : kOffsets)
      for (const std::int64_t start : starts)
        if (auto text = tried(start, offset)) return text;
    return std::nullopt;
  }

 private:
  static constexpr std::int64_t kOffsets[] = {5000, 10000, 20000, 50000, 100000, 1000000, 10000000};

  /// Round ones that a person would choose, the lowest first, and one above all that is in use.
  std::vector<std::int64_t> round_starts() const {
    constexpr int kTried = 30;
    std::int64_t round = 1000, highest = 0;
    const auto fresh = std::ranges::count(join_.entries, kNone32);
    while (round < fresh * stated_.options.step) round *= 10;
    for (const SiblingStorey& s : *stated_.storeys)
      if (!s.numbers.empty()) highest = std::max<std::int64_t>(highest, s.numbers.back());
    highest = std::max<std::int64_t>(highest, ledger_.highest());
    std::vector<std::int64_t> out;
    for (int k = 1; k <= kTried; ++k) out.push_back(k * round + 1);
    out.push_back((highest / round + 1) * round + 1);
    return out;
  }

  /// The last number gives way where it must.
  std::optional<std::string> tried(std::int64_t start, std::int64_t deck_offset) const {
    NumberOptions options = stated_.options;
    options.start = start;
    options.deck_offset = deck_offset;
    options.last.reset();
    if (start > kMostNumber) return std::nullopt;
    const IssueResult issue = issue_numbers(*marks_, ledger_, join_, options, stated_.has_deck);
    if (issue.status != IssueStatus::issued) return std::nullopt;
    const OwnNumbers own(stated_, marks_, join_);
    for (const SiblingStorey& s : *stated_.storeys)
      if (own.in(s, issue.numbers, deck_offset).count > 0) return std::nullopt;
    std::string text;
    const auto add = [&text](std::string_view key, std::int64_t value) {
      text += fmt::format("{}{} = {}", text.empty() ? "" : " and ", key, value);
    };
    if (start != stated_.options.start) add("start", start);
    if (deck_offset != stated_.options.deck_offset) add("deck_offset", deck_offset);
    const std::int64_t highest = *std::ranges::max_element(issue.numbers);
    if (stated_.options.last && highest > *stated_.options.last) add("last", highest);
    return text;
  }

  const NumbersStated& stated_;
  const JobMarks& marks_;
  const LedgerJoin& join_;
  const Ledger& ledger_;
};

/// Where nothing but new numbers for the whole storey helps: they begin above all that any storey has.
std::string begun_anew(const NumbersStated& stated) {
  std::int64_t highest = stated.ledger.highest() + stated.options.deck_offset;
  for (const SiblingStorey& s : *stated.storeys)
    if (!s.numbers.empty()) highest = std::max<std::int64_t>(highest, s.numbers.back());
  return stated.begin_anew ? stated.begin_anew(highest) : "";
}

}  // namespace

Messages refuse_shared_numbers(const NumbersStated& stated, const JobMarks& marks, const Numbers& numbers) {
  Messages told;
  if (!stated.storeys || stated.storeys->empty() || marks.size() == 0) return told;
  const OwnNumbers own(stated, marks, numbers.join);
  std::optional<std::string> remedy;
  for (const SiblingStorey& storey : *stated.storeys) {
    const Shared shared = own.in(storey, numbers.issue.numbers, stated.options.deck_offset);
    if (shared.count == 0) continue;
    if (!remedy) {
      remedy = Remedy(stated, marks, numbers.join, stated.ledger).found().value_or("");
      *remedy = remedy->empty() ? begun_anew(stated) : *remedy + " under [numbers]";
    }
    const std::string which =
        fmt::format("{} for {}{}", shared.first, in_quotes(shared.point),
                    shared.count > 1 ? fmt::format(" and {} more", shared.count - 1) : "");
    const std::string ledger = storey.with_ledger();
    told.problem(stated.start, "numbers.start",
                 Fault{shared.issued ? fmt::format("{}, given out both here and on {}", which, ledger)
                                     : fmt::format("{}, given out on {} before", which, ledger),
                       "numbers that no other storey has", *remedy});
  }
  return told;
}

std::string whose_number(const std::vector<SiblingStorey>* storeys, std::string_view text) {
  std::uint32_t number = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), number);
  if (!storeys || read.ec != std::errc() || read.ptr != text.data() + text.size()) return "";
  for (const SiblingStorey& s : *storeys)
    if (std::ranges::binary_search(s.numbers, number)) return ", a number of " + s.name;
  return "";
}

StoreyHeights::StoreyHeights(const std::vector<SiblingStorey>& storeys, const LaidOut& laid,
                             LengthUnit site_unit)
    : storeys_(storeys), site_unit_(site_unit) {
  if (storeys.empty()) return;
  own_.push_back(laid.heights.floor());
  for (std::size_t m = 0; m < laid.marks.size(); ++m)
    if (const auto deck = laid.heights.at(m).deck) own_.push_back(*deck);
  std::ranges::sort(own_);
}

std::optional<Fault> StoreyHeights::refused(std::string_view what, Elevation at,
                                            std::optional<Elevation> also) const {
  if (storeys_.empty() || height_near(at, own_)) return std::nullopt;
  if (also && height_near(at, std::span(&*also, 1))) return std::nullopt;
  for (const SiblingStorey& s : storeys_)
    if (const auto height = height_near(at, s.heights))
      return Fault{fmt::format("{}, within {} of {}, the height of {}, and of none of this storey",
                               length_words(at - Elevation::metres(0), site_unit_),
                               length_words(kStoreyNear, site_unit_),
                               length_words(*height - Elevation::metres(0), site_unit_), s.name),
                   fmt::format("{} of this storey", what),
                   fmt::format("the job of {} ({})", s.name, s.job_file)};
  return std::nullopt;
}

}  // namespace deckmark
