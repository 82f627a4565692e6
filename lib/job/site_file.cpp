#include "job/site_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <variant>

#include "job/keys/all_keys.h"
#include "job/section_reader.h"
#include "table/reader.h"

namespace deckmark {

namespace {

namespace fs = std::filesystem;

/// A section that storeys may share.
struct SharedSection {
  std::string_view name;
  bool repeats = false;
  Part part = Part::file;
  std::vector<std::string_view> paths;  ///< its keys that name a file

  std::string in_brackets() const {
    return repeats ? fmt::format("[[{}]]", name) : fmt::format("[{}]", name);
  }
};

const std::vector<SharedSection>& shared_sections() {
  static const std::vector<SharedSection> all = [] {
    std::vector<SharedSection> out;
    for_each_section([&](const auto& section, Part part) {
      if (!section.is_shared) return;
      out.push_back({section.name, section.repeats, part, {}});
      section.each([&](const auto& key) {
        if constexpr (std::is_same_v<std::remove_cvref_t<decltype(key.kind)>, TableKind>)
          out.back().paths.push_back(key.name);
      });
    });
    return out;
  }();
  return all;
}

/// `[site], [list] and [[setup]] alone`.
std::string may_hold() {
  const std::vector<SharedSection>& all = shared_sections();
  std::string out;
  for (std::size_t i = 0; i < all.size(); ++i)
    out += (i == 0 ? "" : i + 1 == all.size() ? " and " : ", ") + all[i].in_brackets();
  return out + " alone";
}

bool is_section(const JobValue& value) {
  return value.kind == JobValue::Kind::section ||
         (value.kind == JobValue::Kind::list && !value.items.empty() &&
          value.items.front().kind == JobValue::Kind::section);
}

bool is_same(const JobValue& a, const JobValue& b) {
  return a.kind == b.kind && a.text == b.text && a.member_keys == b.member_keys &&
         std::ranges::equal(a.items, b.items, is_same);
}

JobValue* member_of(JobValue& section, std::string_view key) {
  const auto at = std::ranges::find(section.member_keys, key);
  return at == section.member_keys.end()
             ? nullptr
             : &section.items[static_cast<std::size_t>(at - section.member_keys.begin())];
}

void append(JobValue& section, const JobValue& from, std::size_t i) {
  section.member_keys.push_back(from.member_keys[i]);
  section.items.push_back(from.items[i]);
  section.member_places.push_back(from.member_places[i]);
}

class SiteFile {
 public:
  SiteFile(JobValue& root, PartMessages& told) : root_(root), told_(told) {}

  void take(const JobValue& site) {
    for (std::size_t i = 0; i < site.items.size(); ++i) {
      const std::string& word = site.member_keys[i];
      const auto section = std::ranges::find(shared_sections(), word, &SharedSection::name);
      if (section == shared_sections().end())
        refuse(site, i);
      else if (JobValue* own = member_of(root_, word); !own)
        append(root_, site, i);
      else
        join(*section, *own, site.items[i]);
    }
  }

 private:
  void refuse(const JobValue& site, std::size_t i) {
    const std::string& word = site.member_keys[i];
    Fault fault{"site_file in a site file", "one site file: it names no other", "taking the key out"};
    if (!kSiteFileKey.declares(word))
      fault = {
          is_section(site.items[i]) ? fmt::format("section [{}]", word) : fmt::format("key \"{}\"", word),
          may_hold() + ", which storeys share", "moving it to the job file"};
    told_.of(Part::file).problem(site.member_places[i], word, fault);
  }

  void join(const SharedSection& section, JobValue& own, const JobValue& site) {
    const bool both = own.kind == site.kind && is_section(own) && is_section(site);
    if (!both && is_section(site)) return;  // what the job file says is no section: told where it is read
    if (!both)
      return told_.of(Part::file)
          .problem(site.place, section.name, Fault{as_typed(site), "a section " + section.in_brackets(), ""});
    if (section.repeats)
      return doubt(section, std::string(section.name), section.in_brackets(), own, section.in_brackets(),
                   site);
    for (std::size_t i = 0; i < site.items.size(); ++i) {
      const std::string& key = site.member_keys[i];
      const JobValue* stated = member_of(own, key);
      if (!stated)
        append(own, site, i);
      else if (differ(section, key, *stated, site.items[i]))
        doubt(section, fmt::format("{}.{}", section.name, key), as_typed(*stated), *stated,
              as_typed(site.items[i]), site.items[i]);
    }
  }

  static bool differ(const SharedSection& section, std::string_view key, const JobValue& a,
                     const JobValue& b) {
    if (!is_same(a, b)) return true;
    return std::ranges::count(section.paths, key) > 0 &&
           path_from_job(a.place, a.text) != path_from_job(b.place, b.text);
  }

  void doubt(const SharedSection& section, const std::string& field, const std::string& own,
             const JobValue& own_value, const std::string& site, const JobValue& site_value) {
    told_.of(section.part)
        .doubt("a key stated twice", own_value.place, field,
               fmt::format("{} here, {} in {} line {}: what this file says counts; take one of them out", own,
                           site, site_value.place.file, site_value.place.known.line));
  }

  JobValue& root_;
  PartMessages& told_;
};

/// Why a path is none of a site file, before it is tried.
std::optional<Fault> wrong_path(const std::string& text, const fs::path& path, const Job& job) {
  constexpr std::string_view kWanted =
      "the path of the file that the storeys share, relative to the job file";
  std::error_code none;
  if (text.empty() || text == "-") return Fault{in_quotes(text), std::string(kWanted), "\"../site.toml\""};
  if (fs::equivalent(path, job.path, none))
    return Fault{in_quotes(text) + ", the job file itself", std::string(kWanted), "taking the key out"};
  return std::nullopt;
}

}  // namespace

void take_site_file(JobValue& root, Job& job, PartMessages& told) {
  Messages& messages = told.of(Part::file);
  SectionReader<kSiteFileKey> key(root, job.file, messages);
  key.read(job);
  if (!job.site_file) return;
  const std::string name = path_from_job(job.site_file.at, *job.site_file);
  const fs::path path = job.folder / fs::path(*job.site_file);
  if (const auto wrong = wrong_path(*job.site_file, path, job)) return key.problem("site_file", *wrong);
  auto read = read_source(path, name);
  if (const auto* bad = std::get_if<Unreadable>(&read))
    return key.problem(
        "site_file", unreadable_fault(fmt::format("{}: {} (tried {})", in_quotes(*job.site_file), bad->reason,
                                                  path.lexically_normal().string()),
                                      *bad, "the path of the site file, relative to the job file"));
  const auto source = std::get<0>(std::move(read));
  job.inputs.push_back(source);
  job.input_paths.push_back(path);
  if (const auto site = parse_job_file(source, messages)) SiteFile(root, told).take(*site);
}

}  // namespace deckmark
