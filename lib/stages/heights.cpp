#include "stages/heights.h"

#include <fmt/format.h>

#include <algorithm>

#include "measure/decimal.h"
#include "measure/letters.h"
#include "report/words.h"
#include "stages/heights_doubts.h"
#include "stages/heights_words.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

/// Names of rows into targets.
class TargetNames {
 public:
  TargetNames(const HeightsStated& stated, const NamedMarks& marks, HeightsFound& out, Messages& told)
      : stated_(stated), marks_(marks), out_(out), told_(told) {
    if (marks.marks && marks.numbers) finder_.emplace(finder_of(*marks.marks, *marks.numbers));
    const std::vector<KeyedBenchmark>& all = stated.heights.benchmarks;
    for (std::size_t b = 0; b < all.size(); ++b) benchmarks_.emplace(small_letters(all[b].point), b);
  }

  /// A benchmark that a point of the drawing shares its name with is two things, unless the point is a
  /// reference: that is a mark of its own on the floor.
  void look_at_benchmarks() {
    const HeightsJob& job = stated_.heights;
    for (std::size_t b = 0; b < job.benchmarks.size(); ++b) {
      const MarkMeaning meaning = meaning_of(job.benchmarks[b].point);
      const auto mark = meaning.mark();
      if (!mark || (meaning.by_name && (*marks_.marks)->is_reference(*mark))) continue;
      told_.problem(
          cell_of(job.benchmarks_table, b, "point"), "point",
          Fault{fmt::format("{}, a benchmark and {}", in_quotes(job.benchmarks[b].point),
                            meaning.by_name ? "a point of the drawing"
                                            : "the number of " + in_quotes((*marks_.marks)->names[*mark])),
                "a name that means one thing", "another name for the benchmark"});
    }
  }

  /// The target of a row; nothing where its name has two meanings or its level is none (told).
  std::optional<std::size_t> target(const KeyedTarget& keyed, const ReadTable& table, std::size_t row) {
    const Where at = cell_of(table, row, "target");
    if (const auto b = benchmarks_.find(small_letters(keyed.name)); b != benchmarks_.end())
      return of_name(small_letters(keyed.name), keyed.name, at, b->second);
    const MarkMeaning meaning = meaning_of(keyed.name);
    if (meaning.is_double()) {
      told_.problem(at, "target", two_meanings(keyed.name, meaning, *marks_.marks, *marks_.numbers));
      return std::nullopt;
    }
    if (const auto mark = meaning.mark()) return of_mark(*mark, meaning, keyed, table, row);
    doubt_free(keyed, table, row);
    return of_name(small_letters(keyed.name), keyed.name, at, std::nullopt);
  }

 private:
  MarkMeaning meaning_of(std::string_view name) const {
    if (finder_) return finder_->find(name);
    MarkMeaning out;
    if (marks_.marks) out.by_name = marks_.marks->index->find(name);
    return out;
  }

  std::optional<std::size_t> of_mark(std::uint32_t mark, const MarkMeaning& meaning, const KeyedTarget& keyed,
                                     const ReadTable& table, std::size_t row) {
    const JobMarks& marks = *marks_.marks;
    const auto level =
        keyed.level.value_or(meaning.is_deck_number ? AsbuiltLevel::deck : AsbuiltLevel::floor);
    const auto refuse = [&](const Fault& fault) {
      const std::string_view field = keyed.level ? "level" : "target";
      told_.problem(cell_of(table, row, field), field, fault);
      return std::nullopt;
    };
    if (meaning.is_deck_number && level != AsbuiltLevel::deck)
      return refuse(no_such_level(level_word(level), keyed.name, marks_.numbers->of(mark)));
    if (level != AsbuiltLevel::floor && marks->is_reference(mark))
      return refuse(not_carried_up(level_word(level), marks->names[mark]));
    const auto [at, is_new] = out_.of_mark.emplace(std::pair(mark, level), out_.targets.size());
    if (is_new)
      out_.targets.push_back(
          {std::string(marks->names[mark]), mark, level, {}, {}, {}, cell_of(table, row, "target")});
    return at->second;
  }

  std::optional<std::size_t> of_name(const std::string& key, const std::string& name, const Where& at,
                                     std::optional<std::size_t> benchmark) {
    const auto [found, is_new] = names_.emplace(key, out_.targets.size());
    if (is_new) out_.targets.push_back({name, {}, {}, benchmark, {}, {}, at});
    return found->second;
  }

  /// A free name that says what only a point can have, or that looks like a number of the list.
  void doubt_free(const KeyedTarget& keyed, const ReadTable& table, std::size_t row) {
    if (!marks_.marks || names_.contains(small_letters(keyed.name))) return;
    const bool is_number = static_cast<bool>(read_count(keyed.name, 1, kMostNumber));
    if (!keyed.level && !is_number) return;
    told_.doubt("a target that is no point", cell_of(table, row, "target"), "target",
                fmt::format("{}{} is neither a benchmark nor a point of the drawing{}: it has a height, and "
                            "nothing else uses it; is it misspelt?",
                            in_quotes(keyed.name),
                            keyed.level ? fmt::format(", level {},", level_word(*keyed.level)) : "",
                            is_number ? ", nor a number of the list" : ""));
  }

  const HeightsStated& stated_;
  const NamedMarks& marks_;
  HeightsFound& out_;
  Messages& told_;
  std::optional<MarkFinder> finder_;
  std::map<std::string, std::size_t> benchmarks_, names_;  // by small letters
};

/// The place of a name among those seen, in the order seen.
std::size_t numbered(const std::string& name, std::vector<std::string>& names,
                     std::map<std::string, std::size_t>& places) {
  const auto [at, is_new] = places.emplace(small_letters(name), names.size());
  if (is_new) names.push_back(name);
  return at->second;
}

void once(std::vector<std::size_t>& all, std::size_t one) {
  if (std::ranges::find(all, one) == all.end()) all.push_back(one);
}

/// The readings with their targets. False where one has none (told).
bool take_readings(const HeightsStated& stated, const NamedMarks& marks, HeightsFound& out, Messages& told) {
  const HeightsJob& job = stated.heights;
  TargetNames names(stated, marks, out, told);
  names.look_at_benchmarks();
  std::map<std::string, std::size_t> setups, lasers;
  for (std::size_t i = 0; i < job.level.size(); ++i) {
    const KeyedLevelReading& r = job.level[i];
    const std::size_t setup = numbered(r.setup, out.setups, setups);
    const auto target = names.target(r.target, job.level_table, i);
    if (!target) continue;
    once(out.targets[*target].setups, setup);
    out.readings.level.push_back({setup, *target, r.is_back, r.reading, r.distance});
  }
  for (std::size_t i = 0; i < job.laser.size(); ++i) {
    const KeyedLaserReading& r = job.laser[i];
    const std::size_t laser = numbered(r.laser, out.lasers, lasers);
    const auto target = names.target(r.target, job.laser_table, i);
    if (!target) continue;
    once(out.targets[*target].lasers, laser);
    out.readings.laser.push_back({laser, *target, r.reading, r.is_above, r.distance, r.housing});
  }
  if (told.has_problems()) return false;
  for (std::size_t t = 0; t < out.targets.size(); ++t)
    if (const auto b = out.targets[t].benchmark)
      out.readings.benchmarks.push_back({t, job.benchmarks[*b].elevation, job.benchmarks[*b].sd});
  out.readings.targets = out.targets.size();
  out.readings.setups = out.setups.size();
  out.readings.lasers = out.lasers.size();
  return true;
}

/// Targets whose height nothing tells; of all that hang together the first.
void refuse_untied(const HeightsFound& out, Messages& told) {
  std::vector<std::string_view> names;
  const HeightTarget* first = nullptr;
  for (std::size_t t = 0; t < out.targets.size(); ++t) {
    if (out.result.targets[t].elevation) continue;
    if (!first) first = &out.targets[t];
    names.push_back(out.targets[t].name);
  }
  if (!first) return;
  told.problem(
      first->at, "target",
      Fault{names.size() == 1
                ? fmt::format("{}, which no reading ties to a benchmark", in_quotes(first->name))
                : fmt::format("{} and {} more, which no reading ties to a benchmark", in_quotes(first->name),
                              names.size() - 1),
            "a reading of a benchmark, or of a target that is tied to one, from the same set-up", ""});
}

/// Whether a line's or a laser's closure is made of this reading, or of this benchmark.
bool holds(const HeightReadings& in, const HeightLine& line, WrongHeight::What what, std::size_t index) {
  if (what == WrongHeight::What::benchmark)
    return line.from != line.to &&
           (in.benchmarks[index].target == line.from || in.benchmarks[index].target == line.to);
  return what == WrongHeight::What::level &&
         std::ranges::any_of(line.legs, [index](const HeightLine::Leg& leg) {
           return leg.back == index || leg.fore == index;
         });
}
bool holds(const HeightReadings& in, const PlaneClosure& plane, WrongHeight::What what, std::size_t index) {
  const LaserReading &first = in.laser[plane.first], &second = in.laser[plane.second];
  if (what == WrongHeight::What::benchmark)
    return first.target != second.target &&
           (in.benchmarks[index].target == first.target || in.benchmarks[index].target == second.target);
  if (what != WrongHeight::What::laser) return false;
  // Two housings of one target stand for one reading.
  const LaserReading& r = in.laser[index];
  return r.laser == first.laser && (r.target == first.target || r.target == second.target);
}

/// Whether a laser's closure is of one target that was read twice: a laser that moved between cannot be told
/// from a reading that is wrong.
bool is_read_again(const HeightReadings& in, const PlaneClosure& plane) {
  return in.laser[plane.first].target == in.laser[plane.second].target;
}

/// Whether a wrong height is no more than what a line or a laser that does not close says already: others
/// would explain it as well, and such a closure is made of one of them.
bool is_of_closure(const HeightsFound& out, const WrongHeight& wrong) {
  const auto is_one_of_two = [&](const PlaneClosure& plane) {
    return !plane.is_within() && is_read_again(out.readings, plane) &&
           (plane.first == wrong.index || plane.second == wrong.index);
  };
  if (wrong.what == WrongHeight::What::laser && std::ranges::any_of(out.result.planes, is_one_of_two))
    return true;
  if (wrong.alike.empty()) return false;
  const auto is_made_of = [&](const auto& closure) {
    return !closure.is_within() && (holds(out.readings, closure, wrong.what, wrong.index) ||
                                    std::ranges::any_of(wrong.alike, [&](const auto& other) {
                                      return other.first != WrongHeight::What::benchmark &&
                                             holds(out.readings, closure, other.first, other.second);
                                    }));
  };
  return std::ranges::any_of(out.result.lines, is_made_of) ||
         std::ranges::any_of(out.result.planes, is_made_of);
}

/// What to do about a closure that no slip explains: two benchmarks may not be where their heights say.
std::string what_to_do(const std::string& slips, const HeightTarget& one, const HeightTarget& other) {
  const std::string first = slips.empty() ? "; read it again" : "; " + slips + " would explain it";
  if (!one.benchmark || !other.benchmark || one.benchmark == other.benchmark) return first;
  return fmt::format("{}, or {} or {} is not where its height says", first, one.name, other.name);
}

/// What would put a reading on the other side, of the wrong one or of one that would explain it as well: only
/// where twice the reading is the error.
std::string side_hint(const HeightsFound& out, const WrongHeight& w) {
  constexpr Length kAsGood = Length::millimetres(20);
  const auto is_twice = [&](Length reading) { return abs(abs(w.error) - 2.0 * abs(reading)) <= kAsGood; };
  const HeightReadings& in = out.readings;
  std::vector<std::pair<WrongHeight::What, std::size_t>> suspects{{w.what, w.index}};
  suspects.insert(suspects.end(), w.alike.begin(), w.alike.end());
  for (const auto& [what, index] : suspects) {
    if (what == WrongHeight::What::level && is_twice(in.level[index].reading)) {
      const LevelReading& r = in.level[index];
      return fmt::format("{} from {} {}", out.targets[r.target].name, out.setups[r.setup],
                         r.reading > Length::metres(0) ? "with a minus, if the staff was held upside down"
                                                       : "without its minus");
    }
    if (what == WrongHeight::What::laser && is_twice(in.laser[index].reading)) {
      const LaserReading& r = in.laser[index];
      return fmt::format("{} from {} with the other word under target_is", out.targets[r.target].name,
                         out.lasers[r.laser]);
    }
  }
  return "";
}

/// A height so wrong is no reading that can be laid out with, nor a mark that moved: it was keyed wrong.
void tell_wrong(const HeightsStated& stated, const HeightsFound& out, const WrongHeight& w, Messages& told) {
  constexpr Length kGross = Length::millimetres(300);  // common practice, no source
  const Where where = height_place(stated, out, w.what, w.index);
  const std::string_view field = height_field(out, w.what, w.index);
  const std::string words = wrong_height_words(stated, out, w);
  if (abs(w.error) <= kGross) return told.doubt("a height that the others contradict", where, field, words);
  told.problem(where, field, Fault{words, "readings of one height that agree", side_hint(out, w)});
}

/// Doubts: what closes outside and what contradicts the rest.
void tell_result(const HeightsStated& stated, const HeightsFound& out, Messages& told) {
  const LengthUnit unit = stated.words_unit();
  const HeightsResult& r = out.result;
  const HeightReadings& in = out.readings;
  for (std::size_t l = 0; l < r.lines.size(); ++l) {
    const HeightLine& line = r.lines[l];
    if (line.is_within()) continue;
    told.doubt(
        "a line of levels that does not close",
        height_place(stated, out, WrongHeight::What::level, line.legs.back().fore),
        height_field(out, WrongHeight::What::level, line.legs.back().fore),
        fmt::format(
            "{}, {}{}", line_closure_words(out, line, unit), permitted_words(*line.closure, line.limit, unit),
            what_to_do(slip_words(out, l, std::nullopt), out.targets[line.from], out.targets[line.to])));
  }
  for (std::size_t p = 0; p < r.planes.size(); ++p) {
    const PlaneClosure& plane = r.planes[p];
    if (plane.is_within()) continue;
    const std::string slips = slip_words(out, std::nullopt, p);
    told.doubt("a laser that does not close",
               height_place(stated, out, WrongHeight::What::laser, plane.second), "reading",
               fmt::format("{}, {}{}", plane_closure_words(out, plane, unit),
                           permitted_words(plane.closure, plane.limit, unit),
                           slips.empty() && is_read_again(in, plane)
                               ? "; it or the mark moved between, or one is misread: read both again"
                               : what_to_do(slips, out.targets[in.laser[plane.first].target],
                                            out.targets[in.laser[plane.second].target])));
  }
  for (const HousingTilt& t : r.tilts)
    if (!t.is_within())
      told.doubt("two housings that differ",
                 height_place(stated, out, WrongHeight::What::laser, std::max(t.straight, t.turned)),
                 "reading", housing_words(out, t, unit));
  for (const WrongHeight& w : out.wrong_to_tell()) tell_wrong(stated, out, w, told);
}

}  // namespace

LengthUnit HeightsStated::words_unit() const { return small_unit(site_unit, drawing_unit); }

std::optional<MeasuredHeight> HeightsFound::at(std::uint32_t mark, AsbuiltLevel level) const {
  const auto found = of_mark.find({mark, level});
  if (found == of_mark.end()) return std::nullopt;
  const TargetHeight& height = result.targets[found->second];
  if (!height.elevation) return std::nullopt;
  return MeasuredHeight{mark, found->second, *height.elevation, height.sd};
}

std::vector<MeasuredHeight> HeightsFound::of(AsbuiltLevel level) const {
  std::vector<MeasuredHeight> out;
  for (std::size_t t = 0; t < targets.size(); ++t)
    if (targets[t].mark && targets[t].level == level && result.targets[t].elevation)
      out.push_back({*targets[t].mark, t, *result.targets[t].elevation, result.targets[t].sd});
  return out;
}

std::vector<WrongHeight> HeightsFound::wrong_to_tell() const {
  std::vector<WrongHeight> out;
  for (const WrongHeight& w : result.wrong)
    if (!is_of_closure(*this, w)) out.push_back(w);
  return out;
}

bool HeightsFound::is_outside() const {
  return !result.wrong.empty() ||
         std::ranges::any_of(result.lines, [](const HeightLine& l) { return !l.is_within(); }) ||
         std::ranges::any_of(result.planes, [](const PlaneClosure& p) { return !p.is_within(); });
}

Staged<HeightsFound> find_heights(const HeightsStated& stated, const NamedMarks& marks) {
  if (!stated.heights.wanted) return Staged<HeightsFound>::absent();
  Messages told;
  HeightsFound out;
  if (!take_readings(stated, marks, out, told)) return Staged<HeightsFound>::spoiled(std::move(told));
  out.result = adjust_heights(out.readings, stated.heights.options);
  refuse_untied(out, told);
  if (told.has_problems()) return Staged<HeightsFound>::spoiled(std::move(told));
  tell_result(stated, out, told);
  doubt_heights(stated, out, told);
  return Staged<HeightsFound>::found(std::move(out), std::move(told));
}

}  // namespace deckmark
