#include "support/page_reader.h"

#include <algorithm>
#include <stdexcept>

namespace deckmark_test {

namespace {

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_blank(char c) { return c == ' ' || c == '\n' || c == '\t'; }

class Reader {
 public:
  explicit Reader(std::string_view text) : text_(text) {}

  PageNode read() {
    constexpr std::string_view kType = "<!DOCTYPE html>";
    if (!text_.starts_with(kType)) fail("no document type");
    at_ = kType.size();
    PageNode root;
    root.name = "#page";
    content(root);
    if (at_ != text_.size()) fail("a closing tag too many");
    return root;
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw std::runtime_error(what + " at byte " + std::to_string(at_) + ": " +
                             std::string(text_.substr(at_, 60)));
  }
  char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }
  bool take(std::string_view word) {
    if (!text_.substr(at_).starts_with(word)) return false;
    at_ += word.size();
    return true;
  }
  void blanks() {
    while (is_blank(peek())) ++at_;
  }
  std::string name() {
    const std::size_t begin = at_;
    if (!is_letter(peek())) fail("no name");
    while (is_letter(peek()) || (peek() >= '0' && peek() <= '9') || peek() == '-' || peek() == ':') ++at_;
    return std::string(text_.substr(begin, at_ - begin));
  }
  /// Up to a byte of `ends`.
  std::string decoded(std::string_view ends) {
    std::string out;
    while (at_ < text_.size() && ends.find(peek()) == std::string_view::npos) {
      if (static_cast<unsigned char>(peek()) < 0x20 && !is_blank(peek())) fail("a control character");
      if (peek() == '>') fail("a bare >");
      if (peek() != '&')
        out += text_[at_++];
      else
        out += reference();
    }
    return out;
  }
  char reference() {
    for (const auto& [word, c] : {std::pair<std::string_view, char>{"&amp;", '&'},
                                  {"&lt;", '<'},
                                  {"&gt;", '>'},
                                  {"&quot;", '"'},
                                  {"&#39;", '\''}})
      if (take(word)) return c;
    fail("an unknown reference");
  }

  void content(PageNode& parent) {
    while (at_ < text_.size() && !text_.substr(at_).starts_with("</")) {
      if (peek() != '<') {
        PageNode text;
        text.words = decoded("<");
        parent.children.push_back(std::move(text));
        continue;
      }
      parent.children.push_back(element());
    }
  }

  PageNode element() {
    ++at_;
    PageNode node;
    node.name = name();
    for (blanks(); is_letter(peek()); blanks()) {
      const std::string key = name();
      if (!take("=\"")) fail("an attribute without quotes");
      if (!node.attributes.emplace(key, decoded("\"<")).second) fail("an attribute twice");
      if (!take("\"")) fail("an attribute that does not end");
    }
    if (take("/>")) return node;
    if (!take(">")) fail("a tag that does not end");
    if (node.name == "style") {  // raw text
      const std::size_t end = text_.find("</", at_);
      if (end == std::string_view::npos) fail("a style that does not end");
      node.words = std::string(text_.substr(at_, end - at_));
      at_ = end;
    } else {
      content(node);
    }
    if (!take("</" + node.name + ">")) fail("expected the end of " + node.name);
    return node;
  }

  std::string_view text_;
  std::size_t at_ = 0;
};

bool has_class(const PageNode& node, std::string_view css_class) {
  const auto found = node.attributes.find("class");
  if (found == node.attributes.end()) return false;
  const std::string padded = " " + found->second + " ";
  return padded.find(" " + std::string(css_class) + " ") != std::string::npos;
}

void gather(const PageNode& node, std::string_view name, std::string_view css_class,
            std::vector<const PageNode*>& out) {
  for (const PageNode& child : node.children) {
    if (child.name == name && (css_class.empty() || has_class(child, css_class))) out.push_back(&child);
    gather(child, name, css_class, out);
  }
}

}  // namespace

PageNode read_page(std::string_view html) {
  while (!html.empty() && html.back() == '\n') html.remove_suffix(1);
  return Reader(html).read();
}

std::string text_of(const PageNode& node) {
  if (node.name == "style" || node.name == "title") return "";
  std::string out = node.words;
  for (const PageNode& child : node.children) out += text_of(child);
  return out;
}

std::vector<const PageNode*> elements(const PageNode& node, std::string_view name,
                                      std::string_view css_class) {
  std::vector<const PageNode*> out;
  gather(node, name, css_class, out);
  return out;
}

const PageNode& section(const PageNode& page, std::string_view heading) {
  for (const PageNode* s : elements(page, "section"))
    for (const PageNode* h : elements(*s, "h2"))
      if (text_of(*h).starts_with(heading)) return *s;
  throw std::runtime_error("no section " + std::string(heading));
}

std::vector<std::vector<std::string>> table_with(const PageNode& node, std::string_view head) {
  for (const PageNode* table : elements(node, "table")) {
    const auto heads = elements(*table, "th");
    if (std::ranges::none_of(heads, [&](const PageNode* h) { return text_of(*h) == head; })) continue;
    std::vector<std::vector<std::string>> rows(1);
    for (const PageNode* h : heads) rows[0].push_back(text_of(*h));
    for (const PageNode* body : elements(*table, "tbody"))
      for (const PageNode* row : elements(*body, "tr")) {
        rows.emplace_back();
        for (const PageNode* cell : elements(*row, "td")) rows.back().push_back(text_of(*cell));
      }
    return rows;
  }
  throw std::runtime_error("no table with " + std::string(head));
}

}  // namespace deckmark_test
