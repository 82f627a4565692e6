#pragma once
/// Private to the room: what the sheet for laser and tape says before its tables.

#include <span>
#include <string>

#include "report/offset_text.h"
#include "report/paper.h"

namespace deckmark {

/// What is written at a mark: `1004 R1>`, or its number alone.
std::string write_of(const SheetRow& row, const SheetBlock& block);
/// `B1-B3`
std::string string_name(const std::string& a, const std::string& b);

/// Where to stand, which strings to stretch, which marks to move first, and how the tables are read.
void put_intro(Pages& pages, const SheetHead& head, std::span<const SheetBlock> blocks);

}  // namespace deckmark
