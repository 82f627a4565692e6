#pragma once
/// A small program with the real files of a run, and the rows of its CSV.

#include <string>
#include <string_view>
#include <vector>

#include "manual/manual.h"

namespace deckmark_test {

const deckmark::Manual& sample_manual();

/// Rows of a text as CSV, the header first; quotes as RFC 4180, lines ended by LF.
std::vector<std::vector<std::string>> csv_rows(std::string_view csv);

/// Rows of `help TOPIC --csv`; fails the test where there are none.
std::vector<std::vector<std::string>> manual_rows(std::string_view topic, std::string_view name = {});

}  // namespace deckmark_test
