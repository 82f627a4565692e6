#include "declared_keys.h"

#include <filesystem>
#include <type_traits>
#include <typeinfo>
#include <utility>

#include "job/job.h"
#include "job/keys/all_keys.h"
#include "support/temp_folder.h"

namespace deckmark_test {

using namespace deckmark;

namespace {

template <class Kind, class Path, class Place>
const char* path_of(const Key<Kind, Path, Place>&) {
  return typeid(Path).name();
}

std::string head(const DeclaredKey& key) {
  if (key.section.empty()) return "";
  return key.repeats ? "[[" + key.section + "]]" : "[" + key.section + "]";
}

}  // namespace

std::string DeclaredKey::in_words() const { return section.empty() ? name : head(*this) + " " + name; }

std::string DeclaredKey::stated(const std::string& value) const {
  const std::string line = name + " = " + value + "\n";
  return section.empty() ? line : head(*this) + "\n" + line;
}

std::vector<DeclaredKey> declared_keys() {
  std::vector<DeclaredKey> out;
  for_each_section([&](const auto& section, Part) {
    section.each([&](const auto& key) {
      out.push_back({std::string(section.name), section.repeats, std::string(key.name),
                     std::string(key.meaning), std::string(key.example),
                     std::is_same_v<std::remove_cvref_t<decltype(key.kind)>, TableKind>, path_of(key)});
    });
  });
  return out;
}

std::vector<Message> problems_of(const std::string& toml, const std::vector<NamedFile>& files) {
  const TempFolder folder;
  const std::filesystem::path home = folder / "job";  // a site file may lie above it, other storeys beside it
  std::filesystem::create_directory(home);
  write_bytes(home / "job.toml", toml);
  for (const NamedFile& f : files) {
    std::filesystem::create_directories((home / f.name).parent_path());
    write_bytes(home / f.name, f.bytes);
  }
  Job job;
  PartMessages told;
  read_job(home, job, told);
  return std::move(told).merged().sorted(Grade::problem);
}

}  // namespace deckmark_test
