#pragma once
/// Private to the room: rows of numbered lists, and their cells in the layout of [list].

#include <algorithm>
#include <optional>
#include <span>
#include <string_view>

#include "exporter/list_layout.h"
#include "exporter/list_options.h"
#include "job/ground_job.h"
#include "measure/decimal.h"
#include "measure/frame.h"

namespace deckmark {

/// One row of a list: what its columns hold.
struct ListRow {
  std::string_view name;  ///< for the number column, where there is no number
  std::int64_t number = 0;
  std::string_view point, kind, run;
  std::optional<Point<Drawing>> drawing;
  Point<Site> site;
  std::optional<Elevation> elevation;
  std::optional<Length> drop;
  std::string_view description{};  ///< in place of what [list] makes it of; empty: that
};

/// Puts rows into a list.
class ListCells {
 public:
  /// REQUIRES options with a unit that outlive it.
  ListCells(const ListOptions& options, const GroundJob& ground)
      : options_(options),
        unit_(1.0 / metres_in(*options.unit)),
        describes_drop_(std::ranges::count(options.description, DescriptionPart::drop) > 0),
        grid_(options.frame == ListFrame::grid ? &*ground.ground : nullptr) {}

  bool describes_drop() const { return describes_drop_; }

  Description description(const ListRow& r) const {
    char drop[kFixedMax];
    return list_description({r.point, r.kind, r.run, drop_text(r, drop)}, options_);
  }

  template <class Sink>
  void put(Sink& sink, const ListRow& row) const {
    for (const ListColumn c : options_.columns) cell(sink, row, c);
  }

 private:
  template <class Sink>
  void put(Sink& sink, Length value) const {
    sink.fixed(value.metres() * unit_, options_.decimals);
  }

  /// The drop as the list writes it; only where a description holds it.
  std::string_view drop_text(const ListRow& r, char* room) const {
    if (!r.drop || !describes_drop_) return {};
    char* const end = write_fixed(room, r.drop->metres() * unit_, options_.decimals);
    if (options_.decimal_mark != '.') std::replace(room, end, '.', options_.decimal_mark);
    return {room, static_cast<std::size_t>(end - room)};
  }

  template <class Sink>
  void put_description(Sink& sink, const ListRow& r) const {
    char drop[kFixedMax], room[256];
    if (!r.description.empty()) return sink.text(r.description);
    const DescriptionTexts texts{r.point, r.kind, r.run, drop_text(r, drop)};
    if (const auto plain = plain_description(texts, options_, room))
      sink.text(*plain);
    else
      sink.text(list_description(texts, options_).text);
  }

  template <class Sink>
  void cell(Sink& sink, const ListRow& r, ListColumn c) const {
    switch (c) {
      case ListColumn::number:
        if (r.number)
          sink.integer(r.number);
        else
          sink.text(r.name);
        return;
      case ListColumn::point:
        return sink.text(r.point);
      case ListColumn::kind:
        return sink.text(r.kind);
      case ListColumn::run:
        return sink.text(r.run);
      case ListColumn::x:
        return r.drawing ? put(sink, r.drawing->at.x) : sink.empty();
      case ListColumn::y:
        return r.drawing ? put(sink, r.drawing->at.y) : sink.empty();
      case ListColumn::northing:
        return put(sink, grid_ ? grid_->to_grid(r.site).at.northing : r.site.at.northing);
      case ListColumn::easting:
        return put(sink, grid_ ? grid_->to_grid(r.site).at.easting : r.site.at.easting);
      case ListColumn::elevation:
        return r.elevation ? put(sink, r.elevation->above_datum()) : sink.empty();
      case ListColumn::description:
        return put_description(sink, r);
    }
  }

  const ListOptions& options_;
  double unit_;
  bool describes_drop_;
  const GroundFromGrid* grid_;  // for lists in grid coordinates
};

}  // namespace deckmark
