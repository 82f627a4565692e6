#pragma once
/// Private to the room: cells of written tables.

#include <optional>

#include "measure/frame.h"
#include "measure/length.h"

namespace deckmark {

/// Writes lengths in one unit with that unit's table decimals.
struct InUnit {
  explicit InUnit(LengthUnit unit) : per_metre(1.0 / metres_in(unit)), decimals(table_decimals(unit)) {}
  template <class Sink>
  void put(Sink& sink, Length value) const {
    sink.fixed(value.metres() * per_metre, decimals);
  }
  template <class Sink>
  void put(Sink& sink, const std::optional<Length>& value) const {
    if (value)
      put(sink, *value);
    else
      sink.empty();
  }
  template <class Sink>
  void put(Sink& sink, Elevation value) const {
    put(sink, value.above_datum());
  }
  template <class Sink>
  void put(Sink& sink, const std::optional<Elevation>& value) const {
    if (value)
      put(sink, *value);
    else
      sink.empty();
  }
  double per_metre;
  int decimals;
};

template <class Sink>
void put_number(Sink& sink, const std::optional<double>& value, int decimals) {
  if (value)
    sink.fixed(*value, decimals);
  else
    sink.empty();
}

}  // namespace deckmark
