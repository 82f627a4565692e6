#include "job/toml_depth.h"

#include <algorithm>
#include <vector>

namespace deckmark {

namespace {

/// Follows a text as far as its nesting goes. Whatever is no TOML may be followed wrongly: the parser stops
/// at the first such place.
class DepthScan {
 public:
  explicit DepthScan(std::string_view text) : text_(text) {}

  std::optional<std::size_t> run() {
    std::size_t section = 0;
    while (at_ < text_.size() && !found_) {
      const char c = text_[at_];
      if (c == '#') {
        skip_line();
      } else if (c == ' ' || c == '\t' || c == '\r' || c == '\n') {
        ++at_;
      } else if (c == '[') {
        at_ += text_.substr(at_).starts_with("[[") ? 2U : 1U;
        section = key(0, ']');
        skip_line();
      } else {
        const std::size_t here = section + key(section, '=');
        value(here);
      }
    }
    return found_;
  }

 private:
  struct Level {
    bool is_table;
    std::size_t key;  ///< levels of the key that is being read in it
  };

  void look(std::size_t depth) {
    if (depth > kDeepestToml && !found_) found_ = at_;
  }
  void skip_line() { at_ = std::min(text_.find('\n', at_), text_.size()); }

  /// Past a string, whose quote stands here.
  void skip_string(bool may_be_long) {
    const char quote = text_[at_];
    const std::string_view rest = text_.substr(at_);
    const bool is_long = may_be_long && rest.size() >= 3 && rest[1] == quote && rest[2] == quote;
    at_ += is_long ? 3 : 1;
    for (; at_ < text_.size(); ++at_) {
      const char c = text_[at_];
      if (c == '\\' && quote == '"') {
        if (at_ + 1 < text_.size() && (is_long || text_[at_ + 1] != '\n')) ++at_;
        continue;
      }
      if (!is_long && c == '\n') return;  // not closed
      if (c != quote) continue;
      if (!is_long) break;
      std::size_t quotes = 1;
      while (at_ + quotes < text_.size() && text_[at_ + quotes] == quote) ++quotes;
      if (quotes >= 3) {
        at_ += std::min<std::size_t>(quotes, 5);  // two of them may belong to the text
        return;
      }
      at_ += quotes - 1;
    }
    at_ = std::min(at_ + 1, text_.size());
  }

  /// Past a dotted key and what ends it; its levels, which are added to those above it.
  std::size_t key(std::size_t above, char end) {
    std::size_t levels = 1;
    look(above + levels);
    while (at_ < text_.size() && text_[at_] != '\n' && !found_) {
      const char c = text_[at_];
      if (c == '"' || c == '\'') {
        skip_string(false);
        continue;
      }
      if (c == '.') look(above + ++levels);
      ++at_;
      if (c == end) break;
    }
    return levels;
  }

  /// Past a value, to the end of its line.
  void value(std::size_t above) {
    std::vector<Level> inside;
    std::size_t depth = above;
    bool wants_key = false;
    while (at_ < text_.size() && !found_) {
      const char c = text_[at_];
      if (c == '\n' && inside.empty()) return;
      if (c == '#') {
        skip_line();
      } else if (wants_key && c != ' ' && c != '\t' && c != '\r' && c != '\n' && c != '}') {
        inside.back().key = key(depth, '=');
        depth += inside.back().key;
        wants_key = false;
      } else if (c == '"' || c == '\'') {
        skip_string(true);
      } else if (c == '[' || c == '{') {
        inside.push_back({c == '{', 0});
        look(++depth);
        wants_key = c == '{';
        ++at_;
      } else if ((c == ']' || c == '}') && !inside.empty()) {
        depth -= 1 + inside.back().key;
        inside.pop_back();
        wants_key = false;
        ++at_;
      } else if (c == ',' && !inside.empty() && inside.back().is_table) {
        depth -= inside.back().key;
        inside.back().key = 0;
        wants_key = true;
        ++at_;
      } else {
        ++at_;
      }
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  std::optional<std::size_t> found_;
};

}  // namespace

std::optional<std::size_t> too_deep_at(std::string_view text) { return DepthScan(text).run(); }

}  // namespace deckmark
