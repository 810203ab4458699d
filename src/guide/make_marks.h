// SPDX-License-Identifier: Apache-2.0
// Short ways to make marks.
#ifndef TRUEPULL_SRC_GUIDE_MAKE_MARKS_H_
#define TRUEPULL_SRC_GUIDE_MAKE_MARKS_H_

#include <string>
#include <vector>

#include "guide/clearance.h"
#include "truepull/guide.h"

namespace truepull {

struct Stroke {
  Ink ink = Ink::kBlack;
  double width_mm = 0.3;
  Dash dash = Dash::kFull;
};

Mark Line(MarkRole role, std::vector<Point> points, Stroke stroke);
Mark Closed(MarkRole role, std::vector<Point> points, Stroke stroke);
Mark Filled(MarkRole role, std::vector<Point> points, Ink ink);
std::vector<Point> Circle(Point middle, double radius_mm);
std::vector<Point> Rectangle(const Box& box);

/// A line of words.
Mark Words(std::string text, Point at, double cap_mm, Anchor anchor = Anchor::kStart,
           bool bold = false);

/// Words as large as fit a width: at most `most_mm`, at least `least_mm` high.
double FittingCap(std::string_view text, double width_mm, double most_mm, double least_mm,
                  bool bold);

/// Words broken into lines that fit a width.
std::vector<std::string> Wrap(std::string_view text, double width_mm, double cap_mm,
                              bool bold = false);

/// The lines of marks, and the boxes of words, for keeping clear of.
std::vector<Segment> SegmentsOf(const std::vector<Mark>& marks);

/// A mark moved by an offset.
Mark Moved(Mark mark, Point by);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_MAKE_MARKS_H_
