#include "support/vector_file.h"

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace deckmark_test {

namespace {

std::vector<std::vector<std::string>> parse(const std::string& bytes) {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> row;
  std::string cell;
  bool quoted = false;
  bool fresh = true;  // at the start of a cell
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    const char c = bytes[i];
    if (quoted) {
      if (c == '"' && i + 1 < bytes.size() && bytes[i + 1] == '"') {
        cell += '"';
        ++i;
      } else if (c == '"') {
        quoted = false;
      } else {
        cell += c;
      }
    } else if (row.empty() && fresh && c == '#') {
      while (i < bytes.size() && bytes[i] != '\n') ++i;
    } else if (c == '"' && fresh) {
      quoted = true;
      fresh = false;
    } else if (c == ',') {
      row.push_back(cell);
      cell.clear();
      fresh = true;
    } else if (c == '\n') {
      if (!row.empty() || !cell.empty()) {
        row.push_back(cell);
        rows.push_back(row);
      }
      row.clear();
      cell.clear();
      fresh = true;
    } else if (c != '\r') {
      cell += c;
      fresh = false;
    }
  }
  if (!row.empty() || !cell.empty()) {
    row.push_back(cell);
    rows.push_back(row);
  }
  return rows;
}

}  // namespace

std::vector<VectorRow> read_vectors(const std::string& relative_path) {
  const std::string path = std::string(DECKMARK_TESTS_DIR) + "/" + relative_path;
  std::ifstream in(path, std::ios::binary);
  if (!in) throw std::runtime_error("cannot read " + path);
  std::ostringstream text;
  text << in.rdbuf();
  const auto rows = parse(text.str());
  if (rows.empty()) throw std::runtime_error("no header in " + path);
  std::vector<VectorRow> out;
  for (std::size_t r = 1; r < rows.size(); ++r) {
    VectorRow row;
    for (std::size_t c = 0; c < rows[0].size(); ++c) row[rows[0][c]] = c < rows[r].size() ? rows[r][c] : "";
    out.push_back(row);
  }
  return out;
}

std::map<std::string, std::string> split_inputs(const std::string& inputs) {
  std::map<std::string, std::string> out;
  std::istringstream in(inputs);
  for (std::string part; std::getline(in, part, ';');) {
    const auto eq = part.find('=');
    if (eq != std::string::npos) out[part.substr(0, eq)] = part.substr(eq + 1);
  }
  return out;
}

std::vector<double> split_numbers(const std::string& list) {
  std::vector<double> out;
  std::istringstream in(list);
  for (std::string part; std::getline(in, part, '|');) out.push_back(std::strtod(part.c_str(), nullptr));
  return out;
}

std::string unescape(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text.compare(i, 2, "\\u") != 0 || i + 6 > text.size()) {
      out += text[i];
      continue;
    }
    const auto u = static_cast<unsigned>(std::strtoul(text.substr(i + 2, 4).c_str(), nullptr, 16));
    if (u < 0x80)
      out += static_cast<char>(u);
    else if (u < 0x800) {
      out += static_cast<char>(0xC0 | (u >> 6));
      out += static_cast<char>(0x80 | (u & 0x3F));
    } else {
      out += static_cast<char>(0xE0 | (u >> 12));
      out += static_cast<char>(0x80 | ((u >> 6) & 0x3F));
      out += static_cast<char>(0x80 | (u & 0x3F));
    }
    i += 5;
  }
  return out;
}

}  // namespace deckmark_test
