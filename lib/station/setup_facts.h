#pragma once
/// Inside the room: what a careful person would say of a setup's geometry.

#include "station/setup.h"

namespace deckmark {

void add_facts(SetupResult& result, const SetupInput& input, const SetupOptions& options);

}  // namespace deckmark
