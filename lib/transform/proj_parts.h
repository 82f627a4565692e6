#pragma once
/// Private to the room: handles of the projection library.

#include <memory>
#include <string>

#include "transform/ground.h"

struct pj_ctx;
struct PJconsts;

namespace deckmark {

struct ContextEnd {
  void operator()(pj_ctx* c) const;
};
struct HandleEnd {
  void operator()(PJconsts* p) const;
};
using ProjContext = std::unique_ptr<pj_ctx, ContextEnd>;
using ProjHandle = std::unique_ptr<PJconsts, HandleEnd>;

/// The geographic system under a projection.
PJconsts* base_of(const GridSystem::Parts& parts);

/// A context that asks no network and prints nothing.
ProjContext quiet_context();
/// A definition, by code or text; a fault that says what is missing: the code, or the database of codes.
Outcome<std::shared_ptr<PJconsts>> open_definition(pj_ctx* context, const std::string& text);

}  // namespace deckmark
