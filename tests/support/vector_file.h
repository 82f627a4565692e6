#pragma once
/// Reads the check tables in tests/vectors and tests/cases: `#` comment lines, a header, comma-separated rows
/// with RFC 4180 quotes. Deliberately not the program's own reader: a test must not share its fault.

#include <map>
#include <string>
#include <vector>

namespace deckmark_test {

using VectorRow = std::map<std::string, std::string>;

/// Rows of tests/RELATIVE_PATH by column name. Throws std::runtime_error naming the path where it cannot be
/// read.
std::vector<VectorRow> read_vectors(const std::string& relative_path);
/// `key=value;key=value` of the inputs column.
std::map<std::string, std::string> split_inputs(const std::string& inputs);
/// `a|b|c` as numbers.
std::vector<double> split_numbers(const std::string& list);
/// The text with `\uXXXX` replaced by that character in UTF-8.
std::string unescape(const std::string& text);

}  // namespace deckmark_test
