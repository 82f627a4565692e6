#pragma once
/// The job file as values with their places, and readers of its sections that tell every problem and name
/// every unknown key.

#include <cstdint>
#include <functional>
#include <initializer_list>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "measure/angle_text.h"
#include "measure/length_text.h"
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
  LineColumn place;                       ///< of the value; of the key for a section
  std::vector<JobValue> items;            ///< of a list; of a section the values of its members
  std::vector<std::string> member_keys;   ///< of a section, as many as items
  std::vector<LineColumn> member_places;  ///< of the keys

  const JobValue* member(std::string_view key) const;
};

/// The parsed file; nothing where it is not TOML (told).
std::optional<JobValue> parse_job_file(const std::shared_ptr<const Source>& source, Messages& messages);

/// A table key: a path, and the columns of a file without a header.
struct TableKey {
  std::string path;
  std::vector<std::string> columns;
  std::string key;  ///< `drawing.points`
  LineColumn place;
  enum class Frame : std::uint8_t { unstated, ground, grid };
  Frame frame = Frame::unstated;  ///< of its northings and eastings
};

/// Reads one section. Keys not asked for are told as unknown by `finish`.
class SectionReader {
 public:
  /// `section` may be absent or no section: every key is then absent.
  SectionReader(const JobValue* section, std::string name, std::string file, Messages& messages);

  bool has(std::string_view key) const { return find(key) != nullptr; }
  /// Marks a key as one that is read elsewhere.
  void leave(std::string_view key) { asked_.emplace(key); }
  std::string full(std::string_view key) const;
  Where where(std::string_view key) const;

  std::optional<std::string> text(std::string_view key);
  /// A length with its unit; a bare number other than 0 is a problem. `unit` reads feet-inch marks that are
  /// left out. `takes`: what the caller takes, so that nothing else is suggested; empty: all.
  std::optional<Length> length(std::string_view key, LengthUnit unit,
                               const std::function<bool(Length)>& takes = {});
  /// The same, no further from zero than `most`; `what` names it: `an elevation`.
  std::optional<Length> within(std::string_view key, LengthUnit unit, Length most, std::string_view what);
  /// The same, above zero or not below zero.
  std::optional<Length> tolerance(std::string_view key, bool zero_allowed);
  /// A standard deviation of an instrument or a target: possible, and believed whatever it is.
  std::optional<Length> possible_sd(std::string_view key, bool zero_allowed);
  /// The same, doubted where practitioners would not believe it: a standard deviation, a permitted deviation.
  std::optional<Length> sd(std::string_view key, bool zero_allowed);
  std::optional<Length> permitted(std::string_view key);
  std::optional<LengthUnit> unit(std::string_view key, bool feet_inches_allowed);
  /// `bare`: how a number without a notation is read. `example`: what a problem says to write. `takes`: what
  /// the caller takes, as with lengths; null: all.
  std::optional<Angle> angle(std::string_view key, std::optional<AngleNotation> bare = std::nullopt,
                             std::string_view example = "40°", bool (*takes)(Angle) = nullptr);
  /// A number from `least` to `most`, without quotes; `what` names it with its unit.
  std::optional<double> number(std::string_view key, double least, double most, std::string_view what);
  /// n of `1:n`.
  std::optional<double> ratio(std::string_view key);
  std::optional<bool> flag(std::string_view key);
  /// `example`: what a problem says to write; DEFAULT the least.
  std::optional<std::int64_t> count(std::string_view key, std::int64_t least, std::int64_t most,
                                    std::optional<std::int64_t> example = std::nullopt);
  /// One of the words; its index.
  std::optional<std::size_t> choice(std::string_view key, std::initializer_list<std::string_view> words);
  /// A list of texts; with `allowed` each must be one of these.
  std::optional<std::vector<std::string>> texts(std::string_view key,
                                                const std::vector<std::string>& allowed);
  /// `framed`: the table may say that its northings and eastings are ground or grid ones.
  std::optional<TableKey> table(std::string_view key, bool framed = false);
  /// Tells keys that nobody asked for.
  void finish();
  /// A problem of a key.
  void problem(std::string_view key, const Fault& fault);
  void doubt(std::string_view kind, std::string_view key, std::string text) {
    messages_.doubt(kind, where(key), full(key), std::move(text));
  }

 private:
  const JobValue* find(std::string_view key) const;
  const JobValue* take(std::string_view key);
  const JobValue* take_text(std::string_view key, std::string_view expected, std::string_view example);

  const JobValue* section_;
  std::string name_, file_;
  Messages& messages_;
  std::set<std::string, std::less<>> asked_;
};

}  // namespace deckmark
