#pragma once
/// Private to the room: sections and keys of the job file that no declaration knows.

#include <span>
#include <string>
#include <string_view>

#include "job/job_file.h"
#include "job/parts.h"

namespace deckmark {

/// Tells each with what it can have meant: a word spelled nearly so in its section, else the section to which
/// it belongs, else a word spelled nearly so elsewhere. Keys of a section that is not known are not told one
/// by one. A known section that is none is told too. `file` as messages name it.
void tell_unknown(const JobValue& root, const std::string& file, PartMessages& told);

/// The same for what stands in a key, such as a table's; `known`: all that may.
void tell_unknown_keys(const JobValue& value, std::string_view name, std::span<const std::string_view> known,
                       const std::string& file, Messages& messages);

}  // namespace deckmark
