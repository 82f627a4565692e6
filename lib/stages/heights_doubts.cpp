#include "stages/heights_doubts.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "measure/letters.h"
#include "report/words.h"
#include "stages/heights_words.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

/// Doubts: a set-up whose back nobody read before and whose fore another one read: its columns look
/// exchanged; and one that reads back on what it read fore: it was moved. A fore on its own back at the end
/// is a check.
void doubt_exchanged(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  const std::vector<LevelReading>& level = out.readings.level;
  std::vector<bool> seen(out.targets.size());
  std::size_t begin = 0;
  while (begin < level.size()) {
    std::size_t end = begin;
    while (end < level.size() && level[end].setup == level[begin].setup) ++end;
    const std::string& name = out.setups[level[begin].setup];
    std::optional<std::size_t> back, fore;
    std::size_t backs = 0, fores = 0;
    for (std::size_t i = begin; i < end; ++i) {
      const LevelReading& r = level[i];
      (r.is_back ? back : fore) = i;
      ++(r.is_back ? backs : fores);
      for (std::size_t k = begin; k < i; ++k)
        if (level[k].target == r.target && !level[k].is_back && r.is_back)
          told.doubt("a target read back and fore from one set-up",
                     cell_of(stated.heights.level_table, i, "setup"), "setup",
                     fmt::format("{} reads back on {}, which it read fore: set up again it has another name",
                                 name, out.targets[r.target].name));
    }
    const auto is_known = [&](std::size_t i) {
      return seen[level[i].target] || out.targets[level[i].target].benchmark.has_value();
    };
    if (backs == 1 && fores == 1 && !is_known(*back) && is_known(*fore) &&
        !out.targets[level[*fore].target].benchmark)
      told.doubt("back and fore that look exchanged", cell_of(stated.heights.level_table, begin, "setup"),
                 "setup",
                 fmt::format(
                     "{} reads back on {}, which nobody read before, and fore on {}, which was: are back and "
                     "fore exchanged?",
                     name, out.targets[level[*back].target].name, out.targets[level[*fore].target].name));
    for (std::size_t i = begin; i < end; ++i) seen[level[i].target] = true;
    begin = end;
  }
}

/// Doubts: set-ups with several readings and no back, or no fore: no line goes through them. Backs on
/// benchmarks alone check these.
void doubt_setups(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  struct Read {
    std::size_t backs = 0, fores = 0, first = 0;
    bool on_benchmarks = true;
  };
  std::vector<Read> setups(out.setups.size());
  for (std::size_t i = 0; i < out.readings.level.size(); ++i) {
    const LevelReading& r = out.readings.level[i];
    Read& s = setups[r.setup];
    if (s.backs + s.fores == 0) s.first = i;
    ++(r.is_back ? s.backs : s.fores);
    s.on_benchmarks = s.on_benchmarks && out.targets[r.target].benchmark.has_value();
  }
  const auto tell = [&](std::size_t s, std::string_view lacks, std::string_view has) {
    told.doubt("a set-up without back or fore", cell_of(stated.heights.level_table, setups[s].first, "setup"),
               "setup",
               fmt::format("{0} has no {1}, so no line goes through it: is one of its {2}s a {1}?",
                           out.setups[s], lacks, has));
  };
  for (std::size_t s = 0; s < setups.size(); ++s) {
    if (setups[s].backs == 0 && setups[s].fores > 1) tell(s, "back", "fore");
    if (setups[s].fores == 0 && setups[s].backs > 1 && !setups[s].on_benchmarks) tell(s, "fore", "back");
  }
  doubt_exchanged(stated, out, told);
}

/// Doubts: a set-up whose rows stand apart, with another one's between them, and rows that stand twice.
template <class Reading, class Name, class Same>
void doubt_rows(const std::vector<Reading>& rows, const ReadTable& table, std::string_view column,
                const Name& name, const Same& same, Messages& told) {
  std::map<std::string, std::size_t> last;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto [at, is_new] = last.emplace(small_letters(name(rows[i])), i);
    if (!is_new && at->second + 1 != i)
      told.doubt("a set-up that stands in two places", cell_of(table, i, column), column,
                 fmt::format("{} stood further up, and another one between: set up again it has another name",
                             name(rows[i])));
    at->second = i;
    if (i > 0 && same(rows[i - 1], rows[i]))
      told.doubt(
          "a reading that stands twice", cell_of(table, i, "target"), "target",
          fmt::format("{} from {} stands twice, alike in all: if it was read once, take one row out; it "
                      "checks nothing",
                      rows[i].target.name, name(rows[i])));
  }
}

void doubt_keyed(const HeightsJob& job, Messages& told) {
  doubt_rows(
      job.level, job.level_table, "setup",
      [](const KeyedLevelReading& r) -> const std::string& { return r.setup; },
      [](const KeyedLevelReading& a, const KeyedLevelReading& b) {
        return same_name(a.setup, b.setup) && same_name(a.target.name, b.target.name) &&
               a.target.level == b.target.level && a.is_back == b.is_back && a.reading == b.reading &&
               a.distance == b.distance;
      },
      told);
  doubt_rows(
      job.laser, job.laser_table, "laser",
      [](const KeyedLaserReading& r) -> const std::string& { return r.laser; },
      [](const KeyedLaserReading& a, const KeyedLaserReading& b) {
        return same_name(a.laser, b.laser) && same_name(a.target.name, b.target.name) &&
               a.target.level == b.target.level && a.is_above == b.is_above && a.reading == b.reading &&
               a.distance == b.distance && a.housing == b.housing;
      },
      told);
}

/// Doubt: floor marks that lie where no floor is: soffits and brackets whose level was left out, or a floor
/// in another datum than the benchmarks.
void doubt_floors(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  constexpr Length kFarOff = Length::millimetres(300);  // no slab is so far off (common practice, no source)
  if (!stated.floor) return;
  const std::vector<MeasuredHeight> floors = out.of(AsbuiltLevel::floor);
  std::vector<std::pair<Length, std::size_t>> far;
  for (const MeasuredHeight& h : floors)
    if (abs(h.elevation - *stated.floor) > kFarOff) far.emplace_back(h.elevation - *stated.floor, h.target);
  if (far.empty()) return;
  const auto words = [&](Length up) {
    return fmt::format("{} {} the floor of the drawing", length_words(abs(up), stated.words_unit()),
                       up > Length::metres(0) ? "above" : "below");
  };
  const auto [least, most] = std::ranges::minmax_element(far);
  if (far.size() > 1 && far.size() == floors.size() && most->first - least->first <= kFarOff) {
    told.doubt(
        "a floor in another datum", out.targets[far.front().second].at, "target",
        fmt::format("all {} floor marks lie about {}: are [floor] elevation and the benchmarks in one datum?",
                    far.size(), words(far.front().first)));
    return;
  }
  for (const auto& [up, target] : far)
    told.doubt("a floor mark far from the floor", out.targets[target].at, "target",
               fmt::format(
                   "{}, read as a floor mark, lies {}: for a soffit or a bracket write deck or bracket under "
                   "level",
                   out.targets[target].name, words(up)));
}

/// Doubts: benchmarks that nobody read, or by a name that is spelled nearly so.
void doubt_unread(const HeightsJob& job, const HeightsFound& out, Messages& told) {
  std::vector<std::string> free;
  for (const HeightTarget& t : out.targets)
    if (!t.mark && !t.benchmark) free.push_back(t.name);
  for (std::size_t b = 0; b < job.benchmarks.size(); ++b) {
    if (std::ranges::any_of(out.targets, [b](const HeightTarget& t) { return t.benchmark == b; })) continue;
    const auto near = nearest_word(job.benchmarks[b].point, free);
    told.doubt(
        "a benchmark that was not read", cell_of(job.benchmarks_table, b, "point"), "point",
        near ? fmt::format("nobody read {0}, but {1} was read: is {0} meant?", job.benchmarks[b].point, *near)
             : fmt::format("nobody read {}: read it, it checks the others", job.benchmarks[b].point));
  }
}

/// A target whose height is known beside what this set-up or standing read of it.
bool is_known_elsewhere(const HeightTarget& t) {
  return t.benchmark || t.setups.size() + t.lasers.size() > 1;
}

/// Doubts: standings and set-ups of which no reading is checked, and benchmarks read once for all.
void doubt_single_readings(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  const HeightReadings& in = out.readings;
  std::size_t on_benchmarks = 0, checked = 0;
  std::optional<std::size_t> benchmark;
  const auto look = [&](const auto& readings, const auto& is_checked, std::size_t sources, const auto& source,
                        const auto& name, const ReadTable& table, std::string_view column) {
    std::vector<std::size_t> count(sources), first(sources, readings.size());
    std::vector<bool> some(sources);
    std::vector<std::optional<std::size_t>> tie(sources);
    for (std::size_t i = 0; i < readings.size(); ++i) {
      const std::size_t s = source(readings[i]);
      const HeightTarget& t = out.targets[readings[i].target];
      if (count[s]++ == 0) first[s] = i;
      some[s] = some[s] || is_checked(i);
      if (is_known_elsewhere(t) && !tie[s]) tie[s] = readings[i].target;
      if (t.benchmark) {
        ++on_benchmarks;
        checked += is_checked(i) ? 1U : 0U;
        benchmark = readings[i].target;
      }
    }
    for (std::size_t s = 0; s < sources; ++s)
      if (count[s] > 1 && !some[s] && tie[s])
        told.doubt(
            "heights that hang on one reading", cell_of(table, first[s], column), column,
            fmt::format("nothing checks what {} read: it hangs on one reading of {}; read that again, or "
                        "another known height",
                        name(s), out.targets[*tie[s]].name));
  };
  look(
      in.level, [&](std::size_t i) { return out.result.is_level_checked(i); }, out.setups.size(),
      [](const LevelReading& r) { return r.setup; }, [&](std::size_t s) { return out.setups[s]; },
      stated.heights.level_table, "setup");
  look(
      in.laser, [&](std::size_t i) { return out.result.is_laser_checked(i); }, out.lasers.size(),
      [](const LaserReading& r) { return r.laser; }, [&](std::size_t s) { return "laser " + out.lasers[s]; },
      stated.heights.laser_table, "laser");
  if (on_benchmarks == 1 && checked == 0)
    told.doubt("heights that hang on one reading", out.targets[*benchmark].at, "target",
               fmt::format("all heights hang on one reading of {}: read it again, or a second benchmark",
                           out.targets[*benchmark].name));
}

/// Doubts: lasers that read much behind their last known height: one that was bumped would not show.
void doubt_unclosed(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  constexpr std::size_t kMany = 3;  // common practice, no source: close on a known height
  const std::vector<LaserReading>& laser = out.readings.laser;
  struct Behind {
    std::optional<std::size_t> known;
    std::size_t rows = 0, last = 0;
  };
  std::vector<Behind> of(out.lasers.size());
  std::set<std::pair<std::size_t, std::size_t>> seen;  // laser, target
  for (std::size_t i = 0; i < laser.size(); ++i) {
    Behind& b = of[laser[i].laser];
    b.last = i;
    const bool is_new = seen.emplace(laser[i].laser, laser[i].target).second;
    if (is_known_elsewhere(out.targets[laser[i].target]) || !is_new)
      b.known = laser[i].target, b.rows = 0;
    else
      ++b.rows;
  }
  for (std::size_t l = 0; l < of.size(); ++l)
    if (of[l].known && of[l].rows >= kMany)
      told.doubt(
          "a laser that closes on nothing", cell_of(stated.heights.laser_table, of[l].last, "laser"), "laser",
          fmt::format(
              "laser {} read {} targets behind {} and no known height after them: read {} again at the "
              "end, or a bump between them stays hidden",
              out.lasers[l], of[l].rows, out.targets[*of[l].known].name, out.targets[*of[l].known].name));
}

}  // namespace

void doubt_heights(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  const HeightsJob& job = stated.heights;
  doubt_keyed(job, told);
  doubt_setups(stated, out, told);
  doubt_floors(stated, out, told);
  doubt_unread(job, out, told);
  if (out.is_checked())
    doubt_single_readings(stated, out, told);
  else
    told.doubt(
        "heights that nothing checks", job.benchmarks_table.table->whole(), "point",
        "every height hangs on single readings: read a second benchmark, or the first one again at the end");
  doubt_unclosed(stated, out, told);
}

}  // namespace deckmark
