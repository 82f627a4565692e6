#pragma once
/// Private to the room: sections and keys of the job file that no declaration knows.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "job/job_file.h"
#include "job/parts.h"

namespace deckmark {

/// The one of `known`, the keys of a section, that a word can only be a slip of, however its letters are
/// capitals or small; nothing where it is a key of another section.
std::optional<std::string> meant_key(std::string_view word, const std::vector<std::string>& known);

/// Tells each with what it can have meant: the section to which it belongs, else a word spelled nearly so in
/// its section, else one elsewhere. Keys of a section that is not known are not told one by one. A known
/// section that is none is told too.
void tell_unknown(const JobValue& root, PartMessages& told);

/// The same for what stands in a key, such as a table's; `known`: all that may.
void tell_unknown_keys(const JobValue& value, std::string_view name, std::span<const std::string_view> known,
                       Messages& messages);

}  // namespace deckmark
