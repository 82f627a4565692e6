#include "job/read_crews.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <utility>

#include "job/keys/crew_keys.h"
#include "job/keys/setup_keys.h"
#include "job/named_after.h"
#include "measure/letters.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

/// Reads one `[[crew]]`.
class OneCrew {
 public:
  OneCrew(const JobReading& in, const JobValue& item)
      : in_(in),
        job_(in.job),
        told_(in.told.of(Part::crews)),
        reader_(&item, std::string(kCrew.name), job_.file, told_),
        number_(in.job.crews.size() + 1) {
    out_.where = item.place;
  }

  void read() {
    CrewKeys keys;
    reader_.read(keys);
    out_.does = keys.does;
    name(keys.name);
    given("runs", out_.runs);
    given("points", out_.points);
    if (reader_.lacks("runs") && reader_.lacks("points"))
      told_.problem(out_.where, "crew.runs",
                    Fault{fmt::format("{} without runs or points", crew_words()),
                          "the runs or the points that the crew lays out", "runs = [\"R1\"]"});
    setups(keys);
    job_.crews.push_back(std::move(out_));
  }

 private:
  std::string crew_words() const {
    return out_.name.empty() ? std::string("a crew") : fmt::format("crew {}", in_quotes(out_.name));
  }

  void name(const Stated<std::string>& text) {
    out_.name_at = text.at;
    const std::string example = fmt::format("crew{}", number_);
    if (!text) {
      if (reader_.lacks("name"))
        told_.problem(out_.where, "crew.name",
                      Fault{"a crew without a name", "a name of letters, digits, - and _",
                            fmt::format("name = \"{}\"", example)});
      return;
    }
    out_.name = *text;
    if (text->size() > kLongestFilePart)
      reader_.problem("name",
                      Fault{in_quotes(*text) + ", which is longer",
                            fmt::format("a name of up to {} letters, digits, - and _", kLongestFilePart),
                            fmt::format("\"{}\"", example)});
    else if (!is_file_part(*text))
      reader_.problem("name", Fault{in_quotes(*text),
                                    "a name of letters, digits, - and _, since files are named after it",
                                    fmt::format("\"{}\"", as_file_part(*text, example))});
    else if (const std::string small = small_letters(*text); small == "grid" || small.starts_with("grid-"))
      reader_.problem(
          "name", Fault{in_quotes(*text), "another name: floor-list-grid.csv is a list in grid coordinates",
                        fmt::format("\"crew-{}\"", *text)});
    for (const StatedCrew& other : job_.crews)
      if (same_name(other.name, *text))
        reader_.problem("name", Fault{fmt::format("name {} again", in_quotes(*text)),
                                      "each crew's name once, without regard to letter case", ""});
  }

  void given(KeyName<kCrew> key, std::vector<GivenToCrew>& into) {
    if (!reader_.has(key) || reader_.is_refused(key)) return;
    for (auto& [text, at] : reader_.listed(key)) into.push_back({text, at});
  }

  void setups(const CrewKeys& keys) {
    const auto& all = job_.instrument.setups;
    if (!reader_.has("setups")) {
      for (std::size_t i = 0; i < all.size(); ++i) out_.setups.push_back(i);
      return;
    }
    if (!keys.setups) return;
    std::vector<std::string> names;
    for (const StatedSetup& s : all) names.push_back(s.name);
    // A setup whose name could not be read may be the one that is meant.
    const bool knows_all = !in_.told.is_spoiled(Part::setups) && std::ranges::count(names, "") == 0;
    for (const auto& [text, at] : reader_.listed("setups")) {
      const auto found =
          std::ranges::find_if(names, [&t = text](const std::string& n) { return same_name(n, t); });
      if (found != names.end()) {
        out_.setups.push_back(static_cast<std::size_t>(found - names.begin()));
        continue;
      }
      if (!knows_all) continue;
      const auto meant = meant_word(text, names);
      told_.problem(at, "crew.setups",
                    Fault{in_quotes(text),
                          names.empty() ? std::string("no setup: the job has none")
                                        : fmt::format("a setup of the job ({})", fmt::join(names, ", ")),
                          meant ? fmt::format("\"{}\"", *meant) : ""});
    }
    std::ranges::sort(out_.setups);
    out_.setups.erase(std::unique(out_.setups.begin(), out_.setups.end()), out_.setups.end());
  }

  const JobReading& in_;
  Job& job_;
  Messages& told_;
  SectionReader<kCrew> reader_;
  std::size_t number_;
  StatedCrew out_;
};

}  // namespace

void read_crews(const JobReading& in) {
  const JobValue* crews = in.root.member(kCrew.name);
  if (!crews) return;
  in.job.states_crews = true;
  const bool is_list =
      crews->kind == JobValue::Kind::list && std::ranges::all_of(crews->items, [](const JobValue& item) {
        return item.kind == JobValue::Kind::section;
      });
  if (!is_list) {
    in.told.of(Part::crews)
        .problem(crews->place, "crew",
                 Fault{crews->text, "a section in double brackets for every crew", "[[crew]]"});
    return;
  }
  for (const JobValue& item : crews->items) OneCrew(in, item).read();
}

}  // namespace deckmark
