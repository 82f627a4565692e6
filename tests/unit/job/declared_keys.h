#pragma once
/// The declared keys of the job file as plain values, and jobs that state them.

#include <string>
#include <vector>

#include "table/message.h"

namespace deckmark_test {

struct DeclaredKey {
  std::string section;  ///< empty above all sections
  bool repeats = false;
  std::string name, meaning, example;
  bool names_file = false;  ///< a table, or a signed fit
  std::string path;         ///< a word for the member that it fills, different for every member

  /// `deck.shots`, as messages name it.
  std::string full() const { return section.empty() ? name : section + "." + name; }
  /// `[deck] shots`, as the README names it.
  std::string in_words() const;
  /// The lines of a job file that state it.
  std::string stated(const std::string& value) const;
};

std::vector<DeclaredKey> declared_keys();

/// The problems of a job file with that text, and with files of these names beside it.
struct NamedFile {
  std::string name, bytes;
};
std::vector<deckmark::Message> problems_of(const std::string& toml, const std::vector<NamedFile>& files = {});

}  // namespace deckmark_test
