#include "report/page_markup.h"

#include <fmt/format.h>

#include <cstdint>

#include "measure/decimal.h"
#include "measure/utf8.h"
#include "measure/visible_lines.h"

namespace deckmark {

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  std::string spaced(text);
  for (char& c : spaced)
    if (c == '\n' || c == '\t') c = ' ';
  for (const char c : visible_lines(std::move(spaced))) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string style_string(std::string_view outside) {
  const std::string text = visible_lines(std::string(outside));
  std::string out;
  for (std::string_view rest = text; !rest.empty();) {
    const auto [code, size] = first_character(rest);
    rest.remove_prefix(std::max<std::size_t>(1, size));
    const bool plain = (code >= '0' && code <= '9') || (code >= 'a' && code <= 'z') ||
                       (code >= 'A' && code <= 'Z') || code == ' ';
    if (plain)
      out += static_cast<char>(code);
    else if (code >= 0x20)
      out += fmt::format("\\{:06x} ", static_cast<std::uint32_t>(code));  // the blank ends the code
  }
  return out;
}

Markup& Markup::open(std::string_view tag, std::string_view attributes) {
  out_ += '<';
  out_ += tag;
  if (!attributes.empty()) {
    out_ += ' ';
    out_ += attributes;
  }
  out_ += '>';
  open_.emplace_back(tag);
  return *this;
}

Markup& Markup::close() {
  out_ += "</";
  out_ += open_.back();
  out_ += '>';
  open_.pop_back();
  return *this;
}

Markup& Markup::text(std::string_view user_text) { return raw(escaped(user_text)); }

Markup& Markup::element(std::string_view tag, std::string_view user_text, std::string_view attributes) {
  return open(tag, attributes).text(user_text).close();
}

Markup& Markup::empty(std::string_view tag, std::string_view attributes) {
  out_ += '<';
  out_ += tag;
  if (!attributes.empty()) {
    out_ += ' ';
    out_ += attributes;
  }
  out_ += "/>";
  return *this;
}

Markup& Markup::name(std::string_view user_text) { return element("bdi", user_text); }

Markup& Markup::raw(std::string_view markup) {
  out_ += markup;
  return *this;
}

std::string Markup::finish() {
  while (!open_.empty()) close();
  return std::move(out_);
}

std::string px(double value) { return fixed(value, 1); }

void draw(Markup& m, Shape shape, double x, double y, double size) {
  const auto r = [&](double v) { return px(v * size); };
  switch (shape) {
    case Shape::within:
      m.raw("<circle class=\"ok\" cx=\"")
          .raw(px(x))
          .raw("\" cy=\"")
          .raw(px(y))
          .raw("\" r=\"")
          .raw(r(4.6))
          .raw("\"/>");
      return;
    case Shape::dot:
      m.raw("<circle class=\"dot\" cx=\"")
          .raw(px(x))
          .raw("\" cy=\"")
          .raw(px(y))
          .raw("\" r=\"")
          .raw(r(2))
          .raw("\"/>");
      return;
    case Shape::outside:
      m.empty("rect", fmt::format("class=\"bad\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
                                  px(x - 5.5 * size), px(y - 5.5 * size), r(11), r(11)));
      return;
    case Shape::unsure:
      m.empty("path", fmt::format("class=\"open\" d=\"M{} {}l{s} {s}l-{s} {s}l-{s} -{s}z\"", px(x),
                                  px(y - 6.5 * size), fmt::arg("s", r(6.5))));
      return;
    case Shape::cross:
      m.empty("path", fmt::format("class=\"fine\" d=\"M{} {}v{d}M{} {}h{d}\"", px(x), px(y - 5 * size),
                                  px(x - 5 * size), px(y), fmt::arg("d", r(10))));
      return;
    case Shape::tie:
      m.empty("path",
              fmt::format("class=\"fine\" d=\"M{} {}l{d} {d}M{} {}l{d} -{d}\"", px(x - 4.5 * size),
                          px(y - 4.5 * size), px(x - 4.5 * size), px(y + 4.5 * size), fmt::arg("d", r(9))));
      return;
    case Shape::control:
      m.empty("path", fmt::format("class=\"open\" d=\"M{} {}l{} {}h-{}z\"", px(x), px(y - 7 * size), r(6),
                                  r(10.5), r(12)));
      return;
  }
}

Shape shape_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::within:
      return Shape::within;
    case Verdict::outside:
      return Shape::outside;
    case Verdict::unsure:
    case Verdict::own:
      break;
  }
  return Shape::unsure;
}

void inline_symbol(Markup& m, Shape shape) {
  m.open("svg", "class=\"sign\" viewBox=\"0 0 16 16\" aria-hidden=\"true\"");
  draw(m, shape, 8, 8);
  m.close();
}

void verdict_cell(Markup& m, Verdict verdict, std::string_view words) {
  m.open("td", verdict == Verdict::within ? "class=\"v\"" : "class=\"v strong\"");
  inline_symbol(m, shape_of(verdict));
  m.text(words).close();
}

}  // namespace deckmark
