#include "issues/compare.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "measure/decimal.h"

namespace deckmark {

std::string_view axis_word(Axis axis) {
  constexpr std::array<std::string_view, kAxes> kWords{"northing", "easting", "elevation", "x", "y"};
  return kWords[static_cast<std::size_t>(axis)];
}

namespace {

using Values = std::array<std::optional<double>, kAxes>;  // metres

constexpr double kLedgerHalf = 0.5e-6 * 1.000001;  // metres: half of what the ledger keeps
constexpr double kHair = 1e-9;                     // of a last digit
constexpr std::size_t kMostPaired = 3000;          // rows that are tried in pairs

/// Half the last digit.
double half_step(int decimals) {
  constexpr std::array<double, 10> kHalf{0.5,    0.5e-1, 0.5e-2, 0.5e-3, 0.5e-4,
                                         0.5e-5, 0.5e-6, 0.5e-7, 0.5e-8, 0.5e-9};
  return kHalf[static_cast<std::size_t>(std::clamp(decimals, 0, 9))];
}

/// How the file's numbers are taken.
struct Way {
  LengthUnit unit;
  bool exchanged;
  double list_step;  ///< metres: one of the list's last digit
};

std::vector<Way> ways(const ReadList& list, const CompareOptions& options) {
  std::vector<LengthUnit> units;
  const auto add = [&units](LengthUnit u) {
    if (u == LengthUnit::feet_inches) u = LengthUnit::foot;
    if (std::ranges::find(units, u) == units.end()) units.push_back(u);
  };
  if (list.unit) add(*list.unit);
  add(options.unit);
  for (const LengthUnit u : {LengthUnit::metre, LengthUnit::millimetre, LengthUnit::centimetre,
                             LengthUnit::foot, LengthUnit::survey_foot, LengthUnit::inch})
    add(u);
  const double step = 2 * half_step(options.decimals) *
                      metres_in(options.unit == LengthUnit::feet_inches ? LengthUnit::foot : options.unit);
  std::vector<Way> out;
  for (const bool exchanged : {false, true})
    for (const LengthUnit u : units) out.push_back({u, exchanged, step});
  return out;
}

Axis exchanged(Axis a) {
  switch (a) {
    case Axis::northing:
      return Axis::easting;
    case Axis::easting:
      return Axis::northing;
    case Axis::x:
      return Axis::y;
    case Axis::y:
      return Axis::x;
    case Axis::elevation:
      break;
  }
  return a;
}

/// One file row against one row of a list, taken one way.
class RowLook {
 public:
  RowLook(const ReadRow& row, const Values& listed, const ReadList& list, Way way)
      : row_(row), listed_(listed), list_(list), way_(way), metres_(metres_in(way.unit)) {}

  bool agrees(Axis a) const { return agrees(a, way_.exchanged ? exchanged(a) : a); }
  /// The value of the file under one column against the list's under another.
  bool agrees(Axis file, Axis listed) const {
    const auto& read = row_.at[static_cast<std::size_t>(file)];
    const auto& want = listed_[static_cast<std::size_t>(listed)];
    if (!read || !want) return !read && !want;
    // Against the number that was handed out, which the ledger tells to half a micrometre.
    const double half = half_step(read->decimals) * metres_ * (1 + kHair) + way_.list_step * kHair;
    for (const double shift : {0.0, kLedgerHalf, -kLedgerHalf}) {
      const double listed_then = std::round((*want + shift) / way_.list_step) * way_.list_step;
      if (std::fabs(read->value * metres_ - listed_then) <= half) return true;
    }
    return false;
  }
  std::size_t differing_values() const {
    std::size_t out = 0;
    for (std::size_t a = 0; a < kAxes; ++a) out += list_.has[a] && !agrees(static_cast<Axis>(a)) ? 1U : 0U;
    return out;
  }
  std::vector<Axis> differing() const {
    std::vector<Axis> out;
    for (std::size_t a = 0; a < kAxes; ++a)
      if (list_.has[a] && !agrees(static_cast<Axis>(a))) out.push_back(static_cast<Axis>(a));
    return out;
  }
  bool agrees_wholly() const { return differing_values() == 0; }
  std::optional<double> listed(Axis a) const {
    const auto& want = listed_[static_cast<std::size_t>(way_.exchanged ? exchanged(a) : a)];
    return want ? std::optional(*want / metres_) : std::nullopt;
  }
  /// The file's text of a value and the list's are alike but for one digit.
  bool is_one_digit(Axis a) const {
    const auto& read = row_.at[static_cast<std::size_t>(a)];
    const auto want = listed(a);
    if (!read || !want) return false;
    const std::string found = fixed(read->value, read->decimals);
    for (const double shift : {0.0, kLedgerHalf / metres_, -kLedgerHalf / metres_}) {
      const std::string text = fixed(*want + shift, read->decimals);
      if (text.size() != found.size()) continue;
      std::size_t differ = 0;
      for (std::size_t i = 0; i < text.size(); ++i) differ += text[i] != found[i] ? 1U : 0U;
      if (differ == 1 && (text[0] == '-') == (found[0] == '-')) return true;
    }
    return false;
  }

 private:
  const ReadRow& row_;
  const Values& listed_;
  const ReadList& list_;
  Way way_;
  double metres_;
};

/// A mark of an issue.
struct Listed {
  std::uint32_t number = 0, deck_number = 0;  ///< 0: no deck point
  Values floor, deck;
  std::vector<std::uint32_t> groups;
};
/// Whose list: all that are listed, all, a run's, a crew's.
struct Group {
  std::string run, crew;
  bool of_run = false;
};

class IssueLists {
 public:
  IssueLists(const Ledger& ledger, std::uint32_t issue, const CompareOptions& options) : issue_(issue) {
    groups_.resize(2);
    for (std::size_t i = 0; i < ledger.numbers(); ++i) {
      const std::uint32_t r = ledger.as_of(ledger.latest(i), issue);
      if (r != kNone32 && ledger.columns().is_live(r)) add(ledger.row(r), options);
    }
  }
  std::uint32_t issue() const { return issue_; }
  const std::vector<Listed>& marks() const { return marks_; }
  const std::vector<Group>& groups() const { return groups_; }
  /// The mark of a floor or deck number, and whether it is the deck's.
  std::pair<const Listed*, bool> find(std::uint32_t number) const {
    const auto by_number = [](const Listed& l, std::uint32_t n) { return l.number < n; };
    const auto at = std::lower_bound(marks_.begin(), marks_.end(), number, by_number);
    if (at != marks_.end() && at->number == number) return {&*at, false};
    const auto deck = decks_.find(number);
    return deck == decks_.end() ? std::pair<const Listed*, bool>{nullptr, false}
                                : std::pair<const Listed*, bool>{&marks_[deck->second], true};
  }

 private:
  std::uint32_t group(bool of_run, std::string_view name) {
    const auto [at, fresh] =
        index_.emplace(std::pair(of_run, std::string(name)), static_cast<std::uint32_t>(groups_.size()));
    if (fresh) {
      Group g;
      (of_run ? g.run : g.crew) = std::string(name);
      g.of_run = of_run;
      groups_.push_back(std::move(g));
    }
    return at->second;
  }

  void add(const LedgerRow& row, const CompareOptions& options) {
    Listed l;
    l.number = row.number;
    const auto metres = [](Kept k) { return k.is_none() ? std::nullopt : std::optional(k.metres()); };
    const auto [northing, easting] = options.on_list(row.site);
    l.floor = {northing, easting, metres(row.floor), metres(row.drawing.x), metres(row.drawing.y)};
    l.deck = l.floor;
    l.deck[static_cast<std::size_t>(Axis::elevation)] = metres(row.deck);
    if (!row.deck.is_none()) {
      l.deck_number = row.number + static_cast<std::uint32_t>(row.deck_offset);
      decks_.emplace(l.deck_number, static_cast<std::uint32_t>(marks_.size()));
    }
    const bool is_listed = options.is_listed(row.run);
    if (is_listed) l.groups.push_back(0);
    l.groups.push_back(1);
    l.groups.push_back(group(true, row.run));
    const auto is_part = [](char c) {
      return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' ||
             c == '_';
    };
    for (auto at = row.crew.begin(); is_listed && at != row.crew.end();) {
      const auto from = std::find_if(at, row.crew.end(), is_part);
      at = std::find_if_not(from, row.crew.end(), is_part);
      if (from != at) l.groups.push_back(group(false, std::string(from, at)));
    }
    marks_.push_back(std::move(l));
  }

  std::uint32_t issue_;
  std::vector<Listed> marks_;
  std::vector<Group> groups_;
  std::map<std::pair<bool, std::string>, std::uint32_t> index_;
  std::map<std::uint32_t, std::uint32_t> decks_;
};

/// Where a row of the file is in an issue.
struct Match {
  const Listed* mark = nullptr;
  bool deck = false;
  bool again = false;  ///< its number came before
  const Values& values() const { return deck ? mark->deck : mark->floor; }
};

/// How near a list is, taken one way: rows that differ, are gone or too many; the fewer the better.
struct Nearness {
  std::size_t wrong = static_cast<std::size_t>(-1);
  Way way{LengthUnit::metre, false, 1};
  std::uint32_t issue = 0;
  std::uint32_t group = 0;
  ListLevel level = ListLevel::floor;
  std::size_t agreeing = 0;
  bool any_near = false;
};

class Comparing {
 public:
  Comparing(const Ledger& ledger, const ReadList& list, const CompareOptions& options)
      : ledger_(ledger), list_(list), options_(options), ways_(ways(list, options)) {
    for (const ReadRow& r : list.rows) numbers_ += r.number ? 1U : 0U;
  }

  CompareResult find() {
    for (std::uint32_t issue = ledger_.last_issue(); issue >= 1 && best_.wrong > 0; --issue)
      look_at(IssueLists(ledger_, issue, options_));
    CompareResult out;
    const IssueLists lists(ledger_, best_.issue, options_);
    const Group& group = lists.groups()[best_.group];
    out.agrees = best_.wrong == 0 && !best_.way.exchanged;
    out.issue = best_.issue;
    out.level = best_.level;
    out.run = group.run;
    out.crew = group.crew;
    out.of_no_run = group.of_run && group.run.empty();
    out.unit = best_.way.unit;
    out.axes_exchanged = best_.way.exchanged;
    out.has = list_.has;
    out.numbers = numbers_;
    out.control = list_.rows.size() - numbers_;
    out.agreeing = best_.agreeing;
    out.is_known = best_.any_near;
    if (out.agrees) return out;
    tell_rows(lists, out);
    return out;
  }

 private:
  std::vector<Match> matches(const IssueLists& lists) const {
    std::vector<Match> out;
    std::set<std::uint32_t> seen;
    for (const ReadRow& r : list_.rows) {
      Match m;
      if (r.number) {
        std::tie(m.mark, m.deck) = lists.find(*r.number);
        m.again = !seen.insert(*r.number).second;
      }
      out.push_back(m);
    }
    return out;
  }

  void look_at(const IssueLists& lists) {
    const std::vector<Match> found = matches(lists);
    // Rows that a list of each group and level has.
    std::vector<std::array<std::size_t, 2>> size(lists.groups().size());
    for (const Listed& l : lists.marks())
      for (const std::uint32_t g : l.groups) {
        ++size[g][0];
        size[g][1] += l.deck_number ? 1U : 0U;
      }
    std::vector<std::array<std::size_t, 2>> there(size.size());
    for (const Match& m : found)
      if (m.mark && !m.again)
        for (const std::uint32_t g : m.mark->groups) ++there[g][m.deck ? 1 : 0];
    for (const Way way : ways_) {
      std::vector<std::array<std::size_t, 2>> agreeing(size.size());
      bool near = false;
      for (std::size_t i = 0; i < found.size(); ++i) {
        if (!found[i].mark || found[i].again) continue;
        const std::size_t differing =
            RowLook(list_.rows[i], found[i].values(), list_, way).differing_values();
        near = near || differing <= 1;
        if (differing > 0) continue;
        for (const std::uint32_t g : found[i].mark->groups) ++agreeing[g][found[i].deck ? 1 : 0];
      }
      for (std::uint32_t g = 0; g < size.size(); ++g)
        for (const ListLevel level : {ListLevel::floor, ListLevel::deck, ListLevel::together}) {
          const auto of_level = [&](const std::array<std::size_t, 2>& n) {
            return (level != ListLevel::deck ? n[0] : 0) + (level != ListLevel::floor ? n[1] : 0);
          };
          if (of_level(size[g]) == 0 || (level != ListLevel::floor && size[g][1] == 0 && !has_control()))
            continue;
          take({.wrong = of_level(size[g]) + numbers_ - of_level(there[g]) - of_level(agreeing[g]),
                .way = way,
                .issue = lists.issue(),
                .group = g,
                .level = level,
                .agreeing = of_level(agreeing[g]),
                .any_near = near},
               size[g][1] > 0);
        }
    }
  }

  bool has_control() const { return list_.rows.size() > numbers_; }

  /// Keeps the nearest; of equal ones the first, but a list with control is the one that is written together.
  void take(const Nearness& next, bool has_deck) {
    const bool is_together = has_control() && !has_deck && next.wrong == best_.wrong &&
                             next.issue == best_.issue && next.group == best_.group &&
                             next.level == ListLevel::together && best_.level == ListLevel::floor;
    if (next.wrong < best_.wrong || is_together) best_ = next;
  }

  bool is_in_list(const Listed& l, bool deck) const {
    const bool level = best_.level == ListLevel::together || deck == (best_.level == ListLevel::deck);
    return level && std::ranges::find(l.groups, best_.group) != l.groups.end() && !(deck && !l.deck_number);
  }

  void tell_rows(const IssueLists& lists, CompareResult& out) const {
    const std::vector<Match> found = matches(lists);
    std::set<std::uint32_t> there;
    std::vector<std::size_t> differing;
    for (std::size_t i = 0; i < found.size(); ++i) {
      const ReadRow& row = list_.rows[i];
      if (!row.number) continue;
      RowSlip slip;
      slip.number = *row.number;
      slip.row = static_cast<std::uint32_t>(i);
      if (found[i].again) {
        slip.slip = Slip::twice;
      } else if (!found[i].mark || !is_in_list(*found[i].mark, found[i].deck)) {
        slip.slip = Slip::extra;
      } else {
        there.insert(*row.number);
        if (!look(i, found[i]).agrees_wholly()) differing.push_back(i);
        continue;
      }
      out.slips.push_back(slip);
    }
    for (const Listed& l : lists.marks())
      for (const bool deck : {false, true}) {
        const std::uint32_t number = deck ? l.deck_number : l.number;
        if (!is_in_list(l, deck) || there.count(number) > 0) continue;
        RowSlip slip;
        slip.slip = Slip::gone;
        slip.number = number;
        out.slips.push_back(slip);
      }
    tell_differing(found, differing, out);
    std::stable_sort(out.slips.begin(), out.slips.end(),
                     [](const RowSlip& a, const RowSlip& b) { return a.number < b.number; });
    for (const RowSlip& s : out.slips)
      out.is_known = out.is_known || s.slip == Slip::digit || s.slip == Slip::rows || s.slip == Slip::axes;
  }

  RowLook look(std::size_t row, const Match& match) const {
    return RowLook(list_.rows[row], match.values(), list_, best_.way);
  }

  void tell_differing(const std::vector<Match>& found, const std::vector<std::size_t>& differing,
                      CompareResult& out) const {
    std::set<std::size_t> told;
    for (std::size_t n = 0; n < differing.size(); ++n) {
      const std::size_t i = differing[n];
      if (told.count(i) > 0) continue;
      RowSlip slip = alone(i, found[i]);
      for (std::size_t m = n + 1; m < differing.size() && m < kMostPaired; ++m) {
        const std::size_t j = differing[m];
        if (told.count(j) > 0 || !look(i, found[j]).agrees_wholly() || !look(j, found[i]).agrees_wholly())
          continue;
        slip.slip = Slip::rows;
        slip.other = *list_.rows[j].number;
        told.insert(j);
        break;
      }
      out.slips.push_back(slip);
    }
  }

  /// What explains one row by itself.
  RowSlip alone(std::size_t i, const Match& match) const {
    const RowLook at = look(i, match);
    const std::vector<Axis> axes = at.differing();
    RowSlip slip;
    slip.number = *list_.rows[i].number;
    slip.row = static_cast<std::uint32_t>(i);
    slip.axis = axes.front();
    const auto& read = list_.rows[i].at[static_cast<std::size_t>(slip.axis)];
    slip.found = read ? read->value : std::nan("");
    slip.decimals = read ? read->decimals : 0;
    slip.listed = at.listed(slip.axis).value_or(std::nan(""));
    const bool is_plan = std::ranges::find(axes, Axis::elevation) == axes.end();
    if (axes.size() == 1 && at.is_one_digit(slip.axis))
      slip.slip = Slip::digit;
    else if (axes.size() == 1 && !is_plan)
      slip.slip = Slip::elevation;
    else if (is_plan && std::ranges::all_of(axes, [&](Axis a) {
               return at.agrees(a, best_.way.exchanged ? a : exchanged(a));
             }))
      slip.slip = Slip::axes;
    return slip;
  }

  const Ledger& ledger_;
  const ReadList& list_;
  const CompareOptions& options_;
  std::vector<Way> ways_;
  std::size_t numbers_ = 0;
  Nearness best_;
};

}  // namespace

CompareResult compare_list(const Ledger& ledger, const ReadList& list, const CompareOptions& options) {
  return Comparing(ledger, list, options).find();
}

}  // namespace deckmark
