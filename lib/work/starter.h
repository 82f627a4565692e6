#pragma once
/// The starter job that `new` writes.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

enum class StarterUnits { feet_inches, metres };
/// `ft-in` or `m`; empty: ft-in.
std::optional<StarterUnits> starter_units(std::string_view word);

/// Writes the starter job into a new or empty folder. The reason where the folder cannot be used; throws
/// SystemFailure where it cannot be written.
std::optional<std::string> make_starter(const std::filesystem::path& folder, StarterUnits units);

}  // namespace deckmark
