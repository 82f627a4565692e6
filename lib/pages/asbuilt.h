#pragma once
/// What as-built shots showed, for people.

#include <string>

#include "report/asbuilt_text.h"
#include "stages/asbuilt.h"

namespace deckmark {

AsbuiltPage asbuilt_page(const AsbuiltStated& stated, const LaidOut& laid, const AsbuiltFound& found);
std::string asbuilt_part(const AsbuiltStated& stated, const LaidOut& laid, const AsbuiltFound& found);

}  // namespace deckmark
