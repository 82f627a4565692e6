#pragma once
/// A fuzz target is one function of bytes. It is compiled twice: with an engine that makes up inputs
/// (engine.cpp), and with a main that replays the inputs kept in corpus/TARGET (replay.cpp).

#include <string>
#include <string_view>

namespace deckmark_test {

/// Does what the target does with one input; laws that do not hold end the program.
void fuzz_one(std::string_view bytes);

/// Ends the program where a law does not hold; `what` says which, `with` shows the values.
void must(bool holds, std::string_view what, const std::string& with = "");

}  // namespace deckmark_test
