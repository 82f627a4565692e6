#pragma once
/// Private to the room: the sections of the page.

#include <cmath>
#include <initializer_list>
#include <string>
#include <vector>

#include "report/page.h"
#include "report/page_markup.h"

namespace deckmark {

/// 1, 2 or 5 times a power of ten, the largest that is not above the value. REQUIRES a value above zero.
double round_step(double value);

/// Places labels where nothing stands yet.
class LabelPlaces {
 public:
  struct Box {
    double left, top, right, bottom;
  };
  explicit LabelPlaces(Box frame) : frame_(frame) {}
  void take(Box box) { taken_.push_back(box); }
  /// A line that a label crosses only where there is no other room.
  void spare(Box box) { spared_.push_back(box); }
  /// Writes the text beside a point, `away` from it (0: over it), where there is room, else not at all.
  bool put(Markup& m, double x, double y, std::string_view text, std::string_view style, double size = 12,
           double away = 8);
  /// The same over the first of several points that has room.
  struct Place {
    double x, y;
  };
  bool put_over(Markup& m, std::initializer_list<Place> at, std::string_view text, std::string_view style,
                double size);

 private:
  bool is_free(const Box& box, bool lines_too) const;
  bool put_at(Markup& m, const std::vector<Box>& boxes, std::string_view text, std::string_view style,
              double size);
  Box frame_;
  std::vector<Box> taken_, spared_;
};

/// Where the drawing lies on a figure. Figure units: x to the right, y down; +X of the drawing to the right,
/// and seen from above.
class PlanFrame {
 public:
  explicit PlanFrame(const PlanPage& plan);
  double x(Length drawing_x) const { return left_ + (drawing_x.metres() - low_x_) * scale_; }
  double y(Length drawing_y) const {
    return mirrored_ ? top_ + (drawing_y.metres() - low_y_) * scale_
                     : bottom() - (drawing_y.metres() - low_y_) * scale_;
  }
  double scale() const { return scale_; }  ///< figure units a metre
  double left() const { return left_; }
  double right() const { return left_ + span_x_ * scale_; }
  double top() const { return top_; }
  double bottom() const { return top_ + span_y_ * scale_; }
  double width() const { return right() + kSide; }
  double height() const { return bottom() + kFoot; }
  bool holds(const Point<Drawing>& p) const;
  double low_x() const { return low_x_; }
  double low_y() const { return low_y_; }
  double high_x() const { return low_x_ + span_x_; }
  double high_y() const { return low_y_ + span_y_; }
  static constexpr double kSide = 84, kHead = 40, kFoot = 92;

 private:
  double low_x_, low_y_, span_x_, span_y_, scale_;
  double left_ = kSide, top_ = kHead;
  bool mirrored_;
};

/// Opens a figure with frame, coordinates, baselines, scale bar and north arrow; the caller closes it.
void open_plan(Markup& m, const PlanFrame& frame, const PlanPage& plan, LengthUnit unit,
               std::string_view label);

/// Members of runs with their ends, and where one goes through another.
void draw_members(Markup& m, const PlanPage& plan, const PlanFrame& frame);
/// Keeps labels off them.
void spare_members(const PlanPage& plan, const PlanFrame& frame, LabelPlaces& places);
/// What their signs mean, those of this plan and no others: items of a list.
void members_key(Markup& m, const PlanPage& plan, const PlanFrame& frame);
/// How members are called, where there are pairs.
void members_note(Markup& m, const PlanPage& plan);

/// A heading and what follows, kept together in print.
void open_section(Markup& m, std::string_view heading);
/// A table with its head row; the caller writes rows and closes body and table. A head that begins with `#`
/// is one of numbers.
void open_table(Markup& m, std::initializer_list<std::string_view> heads);
void close_table(Markup& m);
void number_cell(Markup& m, std::string_view text);
/// A point's name, not broken at its hyphens unless it is long.
void name_cell(Markup& m, std::string_view name);
void text_cell(Markup& m, std::string_view user_text);
/// A sentence in a paragraph.
void paragraph(Markup& m, std::string_view text, std::string_view attributes = "");
/// `a deck mark`, with the first letter a capital and a full stop at the end.
std::string sentence(std::string_view text);
/// A small length with its sign.
std::string signed_length(Length value, LengthUnit unit);

void plan_section(Markup& m, const JobPage& page);
void plumb_section(Markup& m, const JobPage& page);
void baseline_section(Markup& m, const JobPage& page);
void numbers_section(Markup& m, const JobPage& page);
/// Members, where runs meet, and labels of pieces; nothing of a job without runs.
void members_sections(Markup& m, const JobPage& page);
/// Runs that cannot begin for want of parts, and what is short.
void bill_section(Markup& m, const JobPage& page);
/// What level and laser close to, and brackets against their design.
void heights_section(Markup& m, const JobPage& page);
void provenance_section(Markup& m, const JobPage& page);
void asbuilt_sections(Markup& m, const JobPage& page);

}  // namespace deckmark
