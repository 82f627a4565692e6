#pragma once
/// Private to the room: the topics in prose, as their files stand in `topics`.

#include <string_view>

namespace deckmark {

/// The text of a topic in prose; empty: there is none of that name.
std::string_view topic_prose(std::string_view word);

}  // namespace deckmark
