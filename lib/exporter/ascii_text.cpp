#include <algorithm>
#include <cstdint>

#include "exporter/list_layout.h"
#include "measure/utf8.h"

namespace deckmark {

namespace {

// U+00C0 to U+024F: what is left of the compatibility decomposition (Unicode 14, NFKD) when combining marks
// are taken off; letters with a stroke or a ligature, which do not decompose, by their usual spelling.
constexpr std::array<const char*, 400> kLatin = {
    "A",  "A",  "A",  "A",  "A", "A", "AE", "C",  "E",  "E",  "E",  "E",  "I",  "I",  "I",  "I",  "D",  "N",
    "O",  "O",  "O",  "O",  "O", "x", "O",  "U",  "U",  "U",  "U",  "Y",  "Th", "ss", "a",  "a",  "a",  "a",
    "a",  "a",  "ae", "c",  "e", "e", "e",  "e",  "i",  "i",  "i",  "i",  "d",  "n",  "o",  "o",  "o",  "o",
    "o",  "/",  "o",  "u",  "u", "u", "u",  "y",  "th", "y",  "A",  "a",  "A",  "a",  "A",  "a",  "C",  "c",
    "C",  "c",  "C",  "c",  "C", "c", "D",  "d",  "D",  "d",  "E",  "e",  "E",  "e",  "E",  "e",  "E",  "e",
    "E",  "e",  "G",  "g",  "G", "g", "G",  "g",  "G",  "g",  "H",  "h",  "H",  "h",  "I",  "i",  "I",  "i",
    "I",  "i",  "I",  "i",  "I", "i", "IJ", "ij", "J",  "j",  "K",  "k",  "k",  "L",  "l",  "L",  "l",  "L",
    "l",  "L",  "l",  "L",  "l", "N", "n",  "N",  "n",  "N",  "n",  "'n", "N",  "n",  "O",  "o",  "O",  "o",
    "O",  "o",  "OE", "oe", "R", "r", "R",  "r",  "R",  "r",  "S",  "s",  "S",  "s",  "S",  "s",  "S",  "s",
    "T",  "t",  "T",  "t",  "T", "t", "U",  "u",  "U",  "u",  "U",  "u",  "U",  "u",  "U",  "u",  "U",  "u",
    "W",  "w",  "Y",  "y",  "Y", "Z", "z",  "Z",  "z",  "Z",  "z",  "s",  "b",  "?",  "?",  "?",  "?",  "?",
    "?",  "?",  "?",  "?",  "?", "?", "?",  "?",  "?",  "E",  "?",  "?",  "f",  "?",  "?",  "?",  "?",  "I",
    "?",  "?",  "l",  "?",  "?", "?", "?",  "?",  "O",  "o",  "?",  "?",  "?",  "?",  "?",  "?",  "?",  "?",
    "?",  "?",  "?",  "?",  "?", "U", "u",  "?",  "?",  "?",  "?",  "Z",  "z",  "?",  "?",  "?",  "?",  "?",
    "?",  "?",  "?",  "?",  "?", "?", "?",  "?",  "DZ", "Dz", "dz", "LJ", "Lj", "lj", "NJ", "Nj", "nj", "A",
    "a",  "I",  "i",  "O",  "o", "U", "u",  "U",  "u",  "U",  "u",  "U",  "u",  "U",  "u",  "?",  "A",  "a",
    "A",  "a",  "?",  "?",  "?", "?", "G",  "g",  "K",  "k",  "O",  "o",  "O",  "o",  "?",  "?",  "j",  "DZ",
    "Dz", "dz", "G",  "g",  "?", "?", "N",  "n",  "A",  "a",  "?",  "?",  "?",  "?",  "A",  "a",  "A",  "a",
    "E",  "e",  "E",  "e",  "I", "i", "I",  "i",  "O",  "o",  "O",  "o",  "R",  "r",  "R",  "r",  "U",  "u",
    "U",  "u",  "S",  "s",  "T", "t", "?",  "?",  "H",  "h",  "?",  "?",  "?",  "?",  "?",  "?",  "A",  "a",
    "E",  "e",  "O",  "o",  "O", "o", "O",  "o",  "O",  "o",  "Y",  "y",  "?",  "?",  "?",  "?",  "?",  "?",
    "?",  "?",  "?",  "?",  "?", "?", "?",  "?",  "?",  "?",  "?",  "?",  "?",  "?",  "?",  "?",  "?",  "?",
    "?",  "?",  "?",  "?",
};

// U+1E00 to U+1EFF, by the same rule.
constexpr std::array<const char*, 256> kLatinMore = {
    "A", "a", "B", "b", "B", "b", "B", "b", "C", "c", "D", "d", "D", "d", "D", "d", "D", "d", "D",  "d",
    "E", "e", "E", "e", "E", "e", "E", "e", "E", "e", "F", "f", "G", "g", "H", "h", "H", "h", "H",  "h",
    "H", "h", "H", "h", "I", "i", "I", "i", "K", "k", "K", "k", "K", "k", "L", "l", "L", "l", "L",  "l",
    "L", "l", "M", "m", "M", "m", "M", "m", "N", "n", "N", "n", "N", "n", "N", "n", "O", "o", "O",  "o",
    "O", "o", "O", "o", "P", "p", "P", "p", "R", "r", "R", "r", "R", "r", "R", "r", "S", "s", "S",  "s",
    "S", "s", "S", "s", "S", "s", "T", "t", "T", "t", "T", "t", "T", "t", "U", "u", "U", "u", "U",  "u",
    "U", "u", "U", "u", "V", "v", "V", "v", "W", "w", "W", "w", "W", "w", "W", "w", "W", "w", "X",  "x",
    "X", "x", "Y", "y", "Z", "z", "Z", "z", "Z", "z", "h", "t", "w", "y", "?", "s", "?", "?", "SS", "?",
    "A", "a", "A", "a", "A", "a", "A", "a", "A", "a", "A", "a", "A", "a", "A", "a", "A", "a", "A",  "a",
    "A", "a", "A", "a", "E", "e", "E", "e", "E", "e", "E", "e", "E", "e", "E", "e", "E", "e", "E",  "e",
    "I", "i", "I", "i", "O", "o", "O", "o", "O", "o", "O", "o", "O", "o", "O", "o", "O", "o", "O",  "o",
    "O", "o", "O", "o", "O", "o", "O", "o", "U", "u", "U", "u", "U", "u", "U", "u", "U", "u", "U",  "u",
    "U", "u", "Y", "y", "Y", "y", "Y", "y", "Y", "y", "?", "?", "?", "?", "?", "?",
};

/// One character beyond those tables.
struct Spelling {
  std::uint32_t character;
  const char* ascii;
};

constexpr std::array kSpellings = {
    Spelling{0x00A0, " "},   Spelling{0x00A1, "!"},    Spelling{0x00AA, "a"},    Spelling{0x00AB, "\""},
    Spelling{0x00AD, ""},    Spelling{0x00AE, "(R)"},  Spelling{0x00B0, "deg"},  Spelling{0x00B1, "+-"},
    Spelling{0x00B2, "2"},   Spelling{0x00B3, "3"},    Spelling{0x00B4, "'"},    Spelling{0x00B5, "u"},
    Spelling{0x00B7, "."},   Spelling{0x00B9, "1"},    Spelling{0x00BA, "o"},    Spelling{0x00BB, "\""},
    Spelling{0x00BC, "1/4"}, Spelling{0x00BD, "1/2"},  Spelling{0x00BE, "3/4"},  Spelling{0x02B9, "'"},
    Spelling{0x02BA, "\""},  Spelling{0x02BC, "'"},    Spelling{0x02C6, "^"},    Spelling{0x02DC, "~"},
    Spelling{0x2010, "-"},   Spelling{0x2011, "-"},    Spelling{0x2012, "-"},    Spelling{0x2013, "-"},
    Spelling{0x2014, "-"},   Spelling{0x2015, "-"},    Spelling{0x2018, "'"},    Spelling{0x2019, "'"},
    Spelling{0x201A, "'"},   Spelling{0x201B, "'"},    Spelling{0x201C, "\""},   Spelling{0x201D, "\""},
    Spelling{0x201E, "\""},  Spelling{0x201F, "\""},   Spelling{0x2022, "*"},    Spelling{0x2026, "..."},
    Spelling{0x2032, "'"},   Spelling{0x2033, "\""},   Spelling{0x2034, "'''"},  Spelling{0x2035, "'"},
    Spelling{0x2036, "\""},  Spelling{0x2039, "'"},    Spelling{0x203A, "'"},    Spelling{0x2044, "/"},
    Spelling{0x2070, "0"},   Spelling{0x20AC, "EUR"},  Spelling{0x2122, "(TM)"}, Spelling{0x2150, "1/7"},
    Spelling{0x2151, "1/9"}, Spelling{0x2152, "1/10"}, Spelling{0x2153, "1/3"},  Spelling{0x2154, "2/3"},
    Spelling{0x2155, "1/5"}, Spelling{0x2156, "2/5"},  Spelling{0x2157, "3/5"},  Spelling{0x2158, "4/5"},
    Spelling{0x2159, "1/6"}, Spelling{0x215A, "5/6"},  Spelling{0x215B, "1/8"},  Spelling{0x215C, "3/8"},
    Spelling{0x215D, "5/8"}, Spelling{0x215E, "7/8"},  Spelling{0x2190, "<-"},   Spelling{0x2192, "->"},
    Spelling{0x2205, "O"},   Spelling{0x2212, "-"},    Spelling{0x2215, "/"},    Spelling{0x2300, "O"},
    Spelling{0x3000, " "},   Spelling{0xFB00, "ff"},   Spelling{0xFB01, "fi"},   Spelling{0xFB02, "fl"},
    Spelling{0xFB03, "ffi"}, Spelling{0xFB04, "ffl"},  Spelling{0xFEFF, ""},
};

constexpr char32_t kNoCharacter = 0xFFFFFFFF;

/// One character and the bytes it takes; kNoCharacter and one byte where the text is not UTF-8.
Character decode(std::string_view text) {
  const Character c = first_character(text);
  return c.size > 0 ? c : Character{kNoCharacter, 1};
}

/// Marks that stand on, under or through the letter before them, and variation selectors.
bool is_combining(std::uint32_t c) {
  return (c >= 0x0300 && c <= 0x036F) || (c >= 0x1AB0 && c <= 0x1AFF) || (c >= 0x1DC0 && c <= 0x1DFF) ||
         (c >= 0x20D0 && c <= 0x20FF) || (c >= 0xFE00 && c <= 0xFE0F) || (c >= 0xFE20 && c <= 0xFE2F);
}

bool is_invisible(std::uint32_t c) {
  return (c >= 0x200B && c <= 0x200F) || (c >= 0x202A && c <= 0x202E) || (c >= 0x2060 && c <= 0x2064);
}

std::string_view ascii_of(std::uint32_t c) {
  if (is_combining(c) || is_invisible(c)) return "";
  if (c >= 0xC0 && c < 0xC0 + kLatin.size()) return kLatin[c - 0xC0];
  if (c >= 0x1E00 && c < 0x1E00 + kLatinMore.size()) return kLatinMore[c - 0x1E00];
  if ((c >= 0x2000 && c <= 0x200A) || c == 0x202F || c == 0x205F) return " ";
  const auto at =
      std::lower_bound(kSpellings.begin(), kSpellings.end(), c,
                       [](const Spelling& s, std::uint32_t wanted) { return s.character < wanted; });
  return at != kSpellings.end() && at->character == c ? at->ascii : "?";
}

}  // namespace

std::string to_ascii(std::string_view utf8) {
  std::string out;
  out.reserve(utf8.size());
  while (!utf8.empty()) {
    const Character next = decode(utf8);
    if (next.code < 0x80) {
      out += static_cast<char>(next.code);
    } else {
      out += ascii_of(next.code);
    }
    utf8.remove_prefix(next.size);
  }
  return out;
}

std::string_view first_characters(std::string_view utf8, std::size_t most) {
  std::size_t at = 0, count = 0;
  while (at < utf8.size()) {
    const Character next = decode(utf8.substr(at));
    const bool joins = at > 0 && is_combining(next.code);
    if (!joins && ++count > most) break;
    at += next.size;
  }
  return utf8.substr(0, at);
}

std::string safe_file_part(std::string_view utf8) {
  std::string out;
  while (!utf8.empty()) {
    const Character next = decode(utf8);
    const char32_t c = next.code;
    const bool stays =
        (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '-' || c == '_';
    out += stays ? static_cast<char>(c) : '_';
    utf8.remove_prefix(next.size);
  }
  return out;
}

}  // namespace deckmark
