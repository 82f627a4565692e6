#pragma once
/// The job file as values with their places, each of which names the file that states it.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "table/message.h"

namespace deckmark {

/// One value of the job file.
struct JobValue {
  enum class Kind : std::uint8_t { text, whole, real, flag, list, section, other };
  Kind kind = Kind::other;
  std::string text;  ///< text; for numbers as written
  std::int64_t whole = 0;
  double real = 0;
  bool flag = false;
  Where place;                           ///< of the value; of the key for a section
  std::vector<JobValue> items;           ///< of a list; of a section the values of its members
  std::vector<std::string> member_keys;  ///< of a section, as many as items
  std::vector<Where> member_places;      ///< of the keys

  const JobValue* member(std::string_view key) const;
};

/// What a value is, as one would type it: `"5 mm"`, `["a", "b"]`, `{ file = "a.csv" }`.
std::string as_typed(const JobValue& value);
/// A path that is stated there, as the job file would state it: a relative one counts from the file that
/// states it.
std::string path_from_job(const Where& stated, const std::string& path);

/// The parsed file; nothing where it is not TOML (told).
std::optional<JobValue> parse_job_file(const std::shared_ptr<const Source>& source, Messages& messages);

}  // namespace deckmark
