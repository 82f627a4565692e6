#include "table/message.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>
#include <utility>

#include "measure/letters.h"
#include "table/meant_word.h"

namespace deckmark {

std::string_view grade_word(Grade g) {
  switch (g) {
    case Grade::problem:
      return "problem";
    case Grade::doubt:
      return "doubt";
    case Grade::notice:
      return "notice";
  }
  return "";
}

std::string fault_text(const Fault& fault) {
  std::string text = "found " + fault.found;
  if (!fault.expected.empty()) text += ", expected " + fault.expected;
  // What would be shown by its code cannot be typed from the screen.
  if (!fault.suggestion.empty() && visible(fault.suggestion) == fault.suggestion)
    text += "; try " + fault.suggestion;
  return text;
}

std::string message_line(const Message& m) {
  std::string line = m.file;
  if (m.place.line > 0) line += fmt::format(":{}:{}", m.place.line, m.place.column);
  if (!line.empty()) line += ": ";
  if (!m.field.empty()) line += m.field + ": ";
  return line + m.text;
}

namespace {

/// ` (column elev in the file)` where the file calls the column so.
std::string own_word(const Where& where, std::string_view field) {
  if (!where.renamed || where.renamed->column != field) return "";
  return fmt::format(" (column {} in the file)", where.renamed->word);
}

}  // namespace

void Messages::problem(Where where, std::string_view field, const Fault& fault) {
  Fault told = fault;
  told.found += own_word(where, field);
  std::string text = fault_text(told);
  add_problem({std::move(where), std::string(field), std::move(text), std::move(told.found),
               std::move(told.expected)});
}

void Messages::problem(Where where, std::string_view field, std::string text) {
  text += own_word(where, field);
  add_problem({std::move(where), std::string(field), std::move(text), {}, {}});
}

namespace {

/// What is expected of two cells is alike where it names other numbers.
std::string without_digits(std::string_view text) {
  std::string out;
  for (const char c : text)
    if (c < '0' || c > '9') out += c;
  return out;
}

}  // namespace

void Messages::add_problem(Entry entry) {
  constexpr std::size_t kMostKinds = 1000;
  ++problems_;
  entry.expected = without_digits(entry.expected);
  if (!entry.expected.empty() && alike_.size() < kMostKinds) ++alike_[{entry.field, entry.expected}];
  const std::string key = "problem/" + entry.where.file;
  add(Grade::problem, key, kProblemsKept, std::move(entry));
}

void Messages::doubt(std::string_view kind, Where where, std::string_view field, std::string text) {
  ++doubts_;
  text += own_word(where, field);
  add(Grade::doubt, fmt::format("doubt/{}", kind), kDoubtsKept,
      {std::move(where), std::string(field), std::move(text), {}, {}});
}

void Messages::more_doubts(std::string_view kind, std::size_t count) {
  doubts_ += count;
  buckets_[bucket_of_.find(fmt::format("doubt/{}", kind))->second].second.count += count;
}

void Messages::notice(std::string_view kind, Where where, std::string_view field, std::string text) {
  text += own_word(where, field);
  add(Grade::notice, fmt::format("notice/{}", kind), kDoubtsKept,
      {std::move(where), std::string(field), std::move(text), {}, {}});
}

std::size_t Messages::file_rank(const std::string& file) {
  return rank_of_.emplace(file, rank_of_.size()).first->second;
}

namespace {

/// Order within a file: whole-file messages first, then by place, then as they came.
template <class Entry>
auto place_key(const Entry& e) {
  return std::tuple(e.where.source           ? 1
                    : e.where.known.line > 0 ? 1
                                             : 0,
                    e.where.source ? std::uint64_t{e.where.offset}
                                   : (std::uint64_t{e.where.known.line} << 32) | e.where.known.column,
                    e.order);
}

/// `; and 39 more like it: d.csv:2:7, d.csv:3:3, ...`. REQUIRES two or more.
template <class Entries>
std::string like_it(const Entries& kept, std::size_t count) {
  constexpr std::size_t kPlaces = 3;
  std::string places;
  for (std::size_t i = 1; i < std::min(kept.size(), kPlaces + 1); ++i) {
    const Where& where = kept[i].where;
    const LineColumn at = where.source ? where.source->places({where.offset}).front() : where.known;
    std::string place = visible(where.file);
    if (at.line) place += fmt::format(":{}:{}", at.line, at.column);
    if (places.find(place) == std::string::npos) places += (places.empty() ? "" : ", ") + place;
  }
  return fmt::format("; and {} more like it: {}{}", count - 1, places, count - 1 > kPlaces ? ", ..." : "");
}

}  // namespace

void Messages::add(Grade grade, const std::string& key, std::size_t most, Entry entry) {
  const std::size_t rank = file_rank(entry.where.file);
  const auto [at, fresh] = bucket_of_.emplace(key, buckets_.size());
  if (fresh) buckets_.emplace_back(key, Bucket{grade, {}, 0, most});
  Bucket& bucket = buckets_[at->second].second;
  ++bucket.count;
  entry.order = next_order_++;
  const auto before = [this](const Entry& a, const Entry& b) {
    return std::tuple_cat(std::tuple(rank_of_.find(a.where.file)->second), place_key(a)) <
           std::tuple_cat(std::tuple(rank_of_.find(b.where.file)->second), place_key(b));
  };
  (void)rank;
  if (bucket.kept.size() == most && !before(entry, bucket.kept.back())) return;
  bucket.kept.insert(std::upper_bound(bucket.kept.begin(), bucket.kept.end(), entry, before),
                     std::move(entry));
  if (bucket.kept.size() > most) bucket.kept.pop_back();
}

void Messages::keep_problems() {
  Messages kept;
  for (auto& [key, bucket] : buckets_)
    if (bucket.grade == Grade::problem) {
      const std::size_t left_out = bucket.count - bucket.kept.size();
      for (Entry& e : bucket.kept) kept.add(bucket.grade, key, bucket.most, std::move(e));
      if (!bucket.kept.empty()) kept.buckets_[kept.bucket_of_.find(key)->second].second.count += left_out;
    }
  kept.problems_ = problems_;
  *this = std::move(kept);
}

void Messages::merge(Messages&& other) {
  for (auto& [key, bucket] : other.buckets_) {
    const std::size_t left_out = bucket.count - bucket.kept.size();
    for (Entry& e : bucket.kept) add(bucket.grade, key, bucket.most, std::move(e));
    if (!bucket.kept.empty()) buckets_[bucket_of_.find(key)->second].second.count += left_out;
  }
  problems_ += other.problems_;
  doubts_ += other.doubts_;
  for (const auto& [kind, count] : other.alike_) alike_[kind] += count;
  other = Messages{};
}

void Messages::fold_alike(std::size_t rows, const std::function<Where(std::string_view field)>& header) {
  constexpr std::size_t kFew = 10;  // fewer rows are told one by one
  const auto is_most = [rows](std::size_t count) { return count >= kFew && 2 * count > rows; };
  for (const auto& alike : std::exchange(alike_, {})) {
    const auto& kind = alike.first;
    const std::size_t count = alike.second;
    if (!is_most(count)) continue;
    for (auto& [key, bucket] : buckets_) {
      const auto is_alike = [&kind](const Entry& e) {
        return e.field == kind.first && e.expected == kind.second;
      };
      const auto first = std::ranges::find_if(bucket.kept, is_alike);
      if (bucket.grade != Grade::problem || first == bucket.kept.end()) continue;
      Entry one = *first;
      std::erase_if(bucket.kept, is_alike);
      bucket.count -= count;
      problems_ -= count;
      // In the words of the first: `found A, expected B; try C`.
      std::string text = one.text.substr(0, one.text.find("; try "));
      text.insert(std::string_view("found ").size() + one.found.size(),
                  fmt::format(", in the first of {} rows that are alike", count));
      one.text = text + "; look at the header, and at the unit";
      one.where = header(one.field);
      ++problems_;
      add(Grade::problem, key, bucket.most, std::move(one));
      break;
    }
  }
}

std::vector<Message> Messages::sorted(Grade grade) const { return told(grade, false); }
std::vector<Message> Messages::folded(Grade grade) const { return told(grade, true); }

std::vector<Message> Messages::told(Grade grade, bool by_kind) const {
  struct Shown {
    std::size_t rank, last;
    const Entry* entry;
    Message message;
  };
  std::vector<Shown> shown;
  for (const auto& [key, bucket] : buckets_) {
    if (bucket.grade != grade) continue;
    if (by_kind && bucket.count > 1) {
      const Entry& first = bucket.kept.front();
      shown.push_back({rank_of_.find(first.where.file)->second,
                       0,
                       &first,
                       {grade, visible(first.where.file), first.where.known, visible(first.field),
                        visible(first.text) + like_it(bucket.kept, bucket.count)}});
      continue;
    }
    for (const Entry& e : bucket.kept)
      shown.push_back({rank_of_.find(e.where.file)->second,
                       0,
                       &e,
                       {grade, visible(e.where.file), e.where.known, visible(e.field), visible(e.text)}});
    if (bucket.count > bucket.kept.size()) {
      const std::size_t rest = bucket.count - bucket.kept.size();
      const std::string what = key.substr(key.find('/') + 1);
      const Entry& last = bucket.kept.back();
      const std::string text = grade == Grade::problem ? fmt::format("and {} more", rest)
                                                       : fmt::format("and {} more: {}", rest, what);
      shown.push_back({rank_of_.find(last.where.file)->second,
                       1,
                       &last,
                       {grade, visible(last.where.file), {}, "", text}});
    }
  }
  std::stable_sort(shown.begin(), shown.end(), [](const Shown& a, const Shown& b) {
    return std::tuple_cat(std::tuple(a.rank, a.last), place_key(*a.entry)) <
           std::tuple_cat(std::tuple(b.rank, b.last), place_key(*b.entry));
  });
  // Lines and columns of one source are computed in one sweep.
  std::map<const Source*, std::vector<Shown*>> by_source;
  for (Shown& s : shown)
    if (s.last == 0 && s.entry->where.source) by_source[s.entry->where.source.get()].push_back(&s);
  for (auto& [source, entries] : by_source) {
    std::vector<std::uint32_t> offsets;
    for (const Shown* s : entries) offsets.push_back(s->entry->where.offset);
    const auto places = source->places(offsets);
    for (std::size_t i = 0; i < entries.size(); ++i) entries[i]->message.place = places[i];
  }
  std::vector<Message> out;
  out.reserve(shown.size());
  for (Shown& s : shown) out.push_back(std::move(s.message));
  return out;
}

namespace {

/// Edit distance with exchanged neighbours (optimal string alignment).
std::size_t edits_between(std::string_view word, std::string_view k) {
  std::vector<std::vector<std::size_t>> d(word.size() + 1, std::vector<std::size_t>(k.size() + 1));
  for (std::size_t i = 0; i <= word.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= k.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= word.size(); ++i)
    for (std::size_t j = 1; j <= k.size(); ++j) {
      d[i][j] =
          std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (word[i - 1] == k[j - 1] ? 0U : 1U)});
      if (i > 1 && j > 1 && word[i - 1] == k[j - 2] && word[i - 2] == k[j - 1])
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  return d[word.size()][k.size()];
}

/// The nearest of the known words; `alone`: nothing where two are as near.
std::optional<std::string> nearest(std::string_view word, const std::vector<std::string>& known, bool alone) {
  constexpr std::size_t kLongest = 100;  // a bound on the work that a word can cause
  if (word.size() > kLongest) return std::nullopt;
  std::optional<std::string> best;
  // A third of the letters may be off; of a short word one, or it is another word.
  std::size_t best_distance = word.size() < 2 ? 0 : word.size() < 4 ? 1 : word.size() / 3 + 1;
  bool again = false;
  for (const std::string& k : known) {
    if (k.size() > word.size() + best_distance) continue;
    const std::size_t distance = edits_between(word, k);
    if (distance > best_distance) continue;
    // Who mistypes several letters still begins with the right one.
    if (distance > 1 && !k.empty() && small_letters(word.substr(0, 1)) != small_letters(k.substr(0, 1)))
      continue;
    again = best && distance == best_distance && k != *best;
    if (best && distance == best_distance) continue;
    best = k;
    best_distance = distance;
  }
  return alone && again ? std::nullopt : best;
}

std::string digits_of(std::string_view text) {
  std::string out;
  for (const char c : text)
    if (c >= '0' && c <= '9') out += c;
  return out;
}

}  // namespace

std::optional<std::string> nearest_word(std::string_view word, const std::vector<std::string>& known) {
  return nearest(word, known, false);
}

std::optional<std::string> meant_word(std::string_view word, const std::vector<std::string>& known) {
  auto best = nearest(word, known, true);
  // A name with another digit is another name.
  if (best && digits_of(*best) != digits_of(word)) return std::nullopt;
  return best;
}

Fault unreadable_fault(std::string found, const Unreadable& why, std::string expected,
                       std::string suggestion) {
  if (why.reason != kBeingWritten) return {std::move(found), std::move(expected), std::move(suggestion)};
  return {std::move(found), "a file that is saved whole", "again when it is saved"};
}

}  // namespace deckmark
