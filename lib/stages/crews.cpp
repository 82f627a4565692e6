#include "stages/crews.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <map>
#include <set>
#include <span>
#include <utility>

#include "table/meant_word.h"

namespace deckmark {

BigVector<std::uint32_t> Crews::marks(std::size_t crew) const {
  BigVector<std::uint32_t> out;
  for (std::uint32_t m = 0; m < set_of_.size(); ++m)
    if (has(crew, m)) out.push_back(m);
  return out;
}

bool Crews::is_empty(std::size_t crew) const {
  return std::ranges::none_of(set_of_, [&](std::uint32_t set) { return sets_[set].has[crew]; });
}

/// Finds the crews of all marks, and what is wrong with what they were given.
class CrewsMaker {
 public:
  CrewsMaker(const CrewsStated& stated, const JobMarks& marks)
      : stated_(stated), marks_(marks), of_run_(marks->runs.words().size()), out_(stated.crews) {}

  Staged<Crews> make() {
    for (std::uint32_t c = 0; c < stated_.crews.size(); ++c) {
      for (const GivenToCrew& run : stated_.crews[c].runs) take_run(c, run);
      for (const GivenToCrew& point : stated_.crews[c].points) take_point(c, point);
    }
    number_sets();
    if (!told_.has_problems()) look();
    return Staged<Crews>::found(std::move(out_), std::move(told_));
  }

 private:
  using CrewList = std::vector<std::uint32_t>;  // ascending

  static void put(CrewList& crews, std::uint32_t crew) {
    if (std::ranges::count(crews, crew) == 0) crews.push_back(crew);
  }

  void take_run(std::uint32_t crew, const GivenToCrew& run) {
    const auto word = marks_->runs.words().find(run.name);
    if (word && *word != 0) return put(of_run_[*word], crew);
    std::vector<std::string> names;
    for (const StatedRun& r : stated_.runs) names.push_back(r.name);
    // A run of the runs table may have no hanger.
    if (std::ranges::any_of(names, [&](const std::string& n) { return same_name(n, run.name); })) return;
    const std::set<std::string, std::less<>> stated(names.begin(), names.end());
    for (std::uint32_t w = 1; w < marks_->runs.words().size(); ++w)
      if (const std::string_view text = marks_->runs.words()[w]; stated.count(text) == 0)
        names.emplace_back(text);
    const auto meant = meant_word(run.name, names);
    const std::size_t shown = std::min<std::size_t>(names.size(), 6);
    told_.problem(
        run.at, "crew.runs",
        Fault{
            in_quotes(run.name),
            names.empty()
                ? std::string("no runs: the drawing has none")
                : fmt::format("a run of the drawing ({}{})", fmt::join(std::span(names).first(shown), ", "),
                              names.size() > shown ? fmt::format(" and {} more", names.size() - shown) : ""),
            meant ? fmt::format("\"{}\"", *meant) : ""});
  }

  void take_point(std::uint32_t crew, const GivenToCrew& point) {
    const auto mark = marks_.index ? marks_.index->find(point.name) : std::nullopt;
    if (!mark)
      told_.problem(point.at, "crew.points", Fault{in_quotes(point.name), "a point of the drawing", ""});
    else if (marks_.is_support(*mark))
      told_.problem(point.at, "crew.points",
                    Fault{in_quotes(point.name) + ", a support of a trapeze",
                          "the hanger that it carries: its supports go with it",
                          fmt::format("\"{}\"", marks_->names[hanger_of(*mark)])});
    else
      put(of_point_[*mark], crew);
  }

  std::uint32_t hanger_of(std::size_t support) const {
    return marks_.from_run[support - marks_.drawn] & ~kOfHanger;
  }

  void number_sets() {
    std::vector<std::uint32_t> set_of_run;
    for (const CrewList& crews : of_run_) set_of_run.push_back(set_number(crews));
    out_.set_of_.resize(marks_.size());
    for (std::uint32_t m = 0; m < marks_.supports; ++m) out_.set_of_[m] = set_of_run[marks_->runs.number(m)];
    for (const auto& [mark, crews] : of_point_) {
      CrewList all = of_run_[marks_->runs.number(mark)];
      for (const std::uint32_t c : crews) put(all, c);
      out_.set_of_[mark] = set_number(std::move(all));
    }
    for (std::size_t m = marks_.supports; m < marks_.size(); ++m)
      out_.set_of_[m] = out_.set_of_[hanger_of(m)];
  }

  std::uint32_t set_number(CrewList crews) {
    std::ranges::sort(crews);
    const auto [at, fresh] = set_numbers_.emplace(crews, static_cast<std::uint32_t>(out_.sets_.size()));
    if (!fresh) return at->second;
    Crews::Set set{"", std::vector<bool>(stated_.crews.size(), false)};
    for (const std::uint32_t c : crews) {
      set.text += (set.text.empty() ? "" : " ") + stated_.crews[c].name;
      set.has[c] = true;
    }
    out_.sets_.push_back(std::move(set));
    return at->second;
  }

  bool does(std::uint32_t crew, CrewWork work) const {
    return std::ranges::count(stated_.crews[crew].does, work) > 0;
  }

  /// What several of the crews do: `floor and deck (north and south)`; empty: nothing.
  std::string same_work(const CrewList& crews) const {
    std::vector<std::pair<CrewList, std::vector<std::string_view>>> groups;  // crews, and what all of them do
    for (std::size_t w = 0; w < kCrewWorks; ++w) {
      const auto work = static_cast<CrewWork>(w);
      CrewList doing;
      for (const std::uint32_t c : crews)
        if (does(c, work)) doing.push_back(c);
      if (doing.size() < 2) continue;
      if (groups.empty() || groups.back().first != doing) groups.push_back({std::move(doing), {}});
      groups.back().second.push_back(crew_work_word(work));
    }
    std::string text;
    for (const auto& [doing, works] : groups) {
      std::vector<std::string_view> names;
      for (const std::uint32_t c : doing) names.push_back(stated_.crews[c].name);
      text += fmt::format("{}{} ({})", text.empty() ? "" : ", ", fmt::join(works, " and "),
                          fmt::join(names, " and "));
    }
    return text;
  }

  void look() {
    std::vector<std::string> same(out_.sets_.size());
    for (const auto& [crews, set] : set_numbers_) same[set] = same_work(crews);
    std::size_t shared = 0, left = 0;
    for (std::uint32_t m = 0; m < marks_.supports; ++m) {
      const std::uint32_t set = out_.set_of_[m];
      if (!same[set].empty())
        tell(kShared, m, shared++, [&] {
          return fmt::format("{} is in more than one crew for {}: leave it in one", marks_->names[m],
                             same[set]);
        });
      if (out_.sets_[set].text.empty())
        tell(kLeft, m, left++,
             [&] { return fmt::format("{} is in no crew: no crew's list has it", marks_->names[m]); });
    }
    for (const auto& [kind, count] : {std::pair{kShared, shared}, {kLeft, left}})
      if (count > Messages::kDoubtsKept) told_.more_doubts(kind, count - Messages::kDoubtsKept);
    for (std::size_t c = 0; c < out_.size(); ++c)
      if (out_.is_empty(c))
        told_.doubt("crews without points", out_[c].where, "crew",
                    fmt::format("crew {} has no point: no list is written for it", in_quotes(out_[c].name)));
  }

  /// The first of a kind in words, of the others only how many there are.
  template <class Text>
  void tell(std::string_view kind, std::uint32_t mark, std::size_t before, Text text) {
    if (before < Messages::kDoubtsKept) told_.doubt(kind, marks_.where(mark), marks_.field(mark), text());
  }

  static constexpr std::string_view kShared = "points that two crews do the same work at",
                                    kLeft = "points in no crew";

  const CrewsStated& stated_;
  const JobMarks& marks_;
  std::vector<CrewList> of_run_;  // by the number of the run's word
  std::map<std::uint32_t, CrewList> of_point_;
  std::map<CrewList, std::uint32_t> set_numbers_;
  Crews out_;
  Messages told_;
};

Staged<Crews> find_crews(const CrewsStated& stated, const JobMarks& marks) {
  return CrewsMaker(stated, marks).make();
}

bool CrewShare::does(CrewWork work) const { return !crews_ || std::ranges::count(crew().does, work) > 0; }

bool CrewShare::works_from(std::size_t setup) const {
  return !crews_ || std::ranges::count(crew().setups, setup) > 0;
}

std::vector<CrewShare> crew_shares(const Crews* crews) {
  std::vector<CrewShare> out(1);
  for (std::size_t c = 0; crews && c < crews->size(); ++c) out.emplace_back(*crews, c);
  return out;
}

}  // namespace deckmark
