#include "work/output_names.h"

#include <fmt/format.h>

#include <map>
#include <set>
#include <utility>

#include "measure/letters.h"

namespace deckmark {

namespace {

std::string renamed_words(const NamedAfter& first, const NamedAfter& later) {
  if (first.rename.empty() || later.rename.empty()) return first.rename + later.rename;
  return first.rename == later.rename ? first.rename : fmt::format("{} or {}", first.rename, later.rename);
}

}  // namespace

void tell_names_that_meet(std::span<const OutputName> names, Messages& messages) {
  std::map<std::string, const OutputName*> first_of;
  std::set<std::pair<std::string_view, std::string_view>> told;
  for (const OutputName& later : names) {
    const auto [at, fresh] = first_of.emplace(small_letters(later.name), &later);
    const OutputName& first = *at->second;
    if (fresh || !told.emplace(first.after.words, later.after.words).second) continue;
    messages.problem(
        later.after.at, later.after.field,
        Fault{
            fmt::format("{} and {} with one file name, {}", first.after.words, later.after.words, later.name),
            fmt::format("names that differ in letters (A and a are one), digits, - or _; rename {}",
                        renamed_words(first.after, later.after)),
            ""});
  }
}

}  // namespace deckmark
