#pragma once
/// Reads a page as strictly as markup can be read: every tag closes in its order, attributes are quoted,
/// every & is a known reference. The tests' own: it shares nothing with the program's writer.

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace deckmark_test {

struct PageNode {
  std::string name;                               ///< of the element; empty for text
  std::map<std::string, std::string> attributes;  ///< as decoded
  std::vector<PageNode> children;
  std::string words;  ///< of a text, as decoded
};

/// Throws std::runtime_error that says where the page is not well-formed.
PageNode read_page(std::string_view html);
/// Texts of the node and all below it, without those of style and title.
std::string text_of(const PageNode& node);
/// All elements of that name below the node, in their order; with `css_class`, only those that have it.
std::vector<const PageNode*> elements(const PageNode& node, std::string_view name,
                                      std::string_view css_class = "");
/// The section whose heading begins so. Throws where there is none.
const PageNode& section(const PageNode& page, std::string_view heading);
/// Cells of the first table with this head cell in the node, the head row first.
std::vector<std::vector<std::string>> table_with(const PageNode& node, std::string_view head);

}  // namespace deckmark_test
