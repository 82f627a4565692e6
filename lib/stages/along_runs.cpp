#include "stages/along_runs.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

#include "baseline/offsets.h"
#include "hanger/along.h"

namespace deckmark {

namespace {

/// Runs of the runs table by the word that marks know them by; null for words that are none.
std::vector<const RunFound*> found_by_word(const MarkTable& marks, const Overhead& overhead,
                                           const std::vector<StatedRun>& runs) {
  std::vector<const RunFound*> out(marks.runs.words().size(), nullptr);
  for (std::size_t r = 0; r < overhead.runs.size(); ++r)
    if (const auto word = marks.runs.words().find(runs[r].name)) out[*word] = &overhead.runs[r];
  return out;
}

/// Marks of runs whose line is known.
void follow_lines(const JobMarks& marks, const std::vector<const RunFound*>& lines,
                  std::vector<std::optional<Length>>& out) {
  std::vector<std::optional<Length>> zero(lines.size());  // the first hanger of each
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const RunFound* run = lines[marks->runs.number(m)];
    if (!run) continue;
    out[m] = along_of(run->path, marks->places[m]);
    std::optional<Length>& first = zero[marks->runs.number(m)];
    if (!marks.is_support(m) && (!first || *out[m] < *first)) first = out[m];
  }
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const std::uint32_t word = marks->runs.number(m);
    if (!lines[word] || !zero[word]) continue;
    *out[m] -= *zero[word];
    if (lines[word]->path.is_closed() && *out[m] < Length::metres(0)) *out[m] += lines[word]->path.length();
  }
}

/// Supports of hangers whose run is known by its points alone.
void follow_points(const JobMarks& marks, const std::vector<const RunFound*>& lines,
                   std::vector<std::optional<Length>>& out) {
  struct Chain {
    std::vector<Point<Drawing>> places;
    std::vector<Length> along;
  };
  std::unordered_map<std::uint32_t, Chain> chains;  // of runs that have supports
  for (std::size_t m = marks.supports; m < marks.size(); ++m)
    if (const std::uint32_t word = marks->runs.number(m); word != 0 && !lines[word]) chains[word];
  if (chains.empty()) return;
  std::vector<std::size_t> place(marks.supports, 0);  // in its chain
  for (std::size_t m = 0; m < marks.supports; ++m) {
    const auto at = chains.find(marks->runs.number(m));
    if (at == chains.end()) continue;
    place[m] = at->second.places.size();
    at->second.places.push_back(marks->places[m]);
    at->second.along.push_back(*out[m]);
  }
  for (std::size_t m = marks.supports; m < marks.size(); ++m)
    if (const auto at = chains.find(marks->runs.number(m));
        at != chains.end() && at->second.places.size() > 1)  // one point has no way along
      out[m] = along_of(at->second.places, at->second.along,
                        place[marks.from_run[m - marks.drawn] & ~kOfHanger], marks->places[m]);
}

}  // namespace

std::vector<std::optional<Length>> along_runs(const JobMarks& marks, const Overhead& overhead,
                                              const std::vector<StatedRun>& runs) {
  const std::size_t own = std::min(marks.supports, marks.size());
  std::vector<std::uint32_t> words(own);
  for (std::size_t m = 0; m < own; ++m) words[m] = marks->runs.number(m);
  std::vector<std::optional<Length>> out = running_distances({marks->places.data(), own}, words);
  out.resize(marks.size());
  const std::vector<const RunFound*> lines = found_by_word(*marks, overhead, runs);
  if (!overhead.runs.empty()) follow_lines(marks, lines, out);
  if (own < marks.size()) follow_points(marks, lines, out);
  return out;
}

void sort_along(std::vector<std::uint32_t>& marks, const std::vector<std::optional<Length>>& along) {
  // Feet of one place may differ by a hair: to a micrometre they are one, and the order of the marks stays.
  const auto key = [&](std::uint32_t m) {
    return along[m] ? std::llround(along[m]->metres() * 1e6) : std::numeric_limits<long long>::max();
  };
  const auto before = [&](std::uint32_t a, std::uint32_t b) { return key(a) < key(b); };
  if (!std::is_sorted(marks.begin(), marks.end(), before))
    std::stable_sort(marks.begin(), marks.end(), before);
}

const Path* line_of_run(const JobMarks& marks, const Overhead& overhead, const std::vector<StatedRun>& runs,
                        std::uint32_t word) {
  for (std::size_t r = 0; r < overhead.runs.size(); ++r)
    if (marks->runs.words().find(runs[r].name) == word) return &overhead.runs[r].path;
  return nullptr;
}

std::map<std::uint32_t, PairBeside> pairs_of_runs(const JobMarks& marks, const Overhead& overhead) {
  std::map<std::uint32_t, PairBeside> out;
  for (const Member& m : overhead.members.members) {
    const RunFound& run = overhead.runs[m.run];
    if (m.side == MemberSide::single || run.hangers.empty()) continue;
    const bool is_curved = m.side == MemberSide::inside || m.side == MemberSide::outside;
    PairBeside& pair =
        out.emplace(marks->runs.number(run.hangers.front().mark), PairBeside{abs(m.left), is_curved})
            .first->second;
    pair.is_all =
        pair.is_all && (run.path.is_closed() || std::ranges::all_of(run.hangers, [&](const HangerOnRun& h) {
                          return m.reaches(h.along);
                        }));
  }
  return out;
}

std::optional<Length> straight_drop(const LaidOut& laid, std::size_t mark) {
  return laid.marks.has_deck_point(mark) ? laid.heights.at(mark).drop : std::nullopt;
}

std::string_view in_place_of_drop(const JobMarks& marks, const Overhead& overhead, std::size_t mark) {
  if (marks->is_reference(mark) || marks.has_deck_point(mark)) return "";
  const auto& all = overhead.trapezes;  // by hanger
  const auto at = std::lower_bound(all.begin(), all.end(), mark,
                                   [](const TrapezeFound& t, std::size_t m) { return t.hanger < m; });
  return at->first ? "trapeze -a -b" : "no support";
}

}  // namespace deckmark
