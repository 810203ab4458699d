// SPDX-License-Identifier: Apache-2.0
// The sheet of paper: its sides, how it cockles, its surface and the marks on it.
#ifndef TRUEPULL_RENDER_PAPER_H_
#define TRUEPULL_RENDER_PAPER_H_

#include <array>
#include <cstdint>
#include <vector>

#include "render/ink.h"
#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::render {

/// Height of a cockled sheet: a few long smooth waves.
class Cockle {
 public:
  Cockle(double sd_mm, std::uint64_t seed);
  bool flat() const { return waves_.empty(); }
  double Height(Point p) const;
  Point Slope(Point p) const;

 private:
  struct Wave {
    Point k;  // rad / mm
    double amplitude = 0, phase = 0;
  };
  std::vector<Wave> waves_;
};

class Paper {
 public:
  Paper(const Sheet& sheet, const PaperFaults& faults, std::uint64_t seed);

  const Cockle& cockle() const { return cockle_; }
  std::uint32_t tooth_seed() const { return seed_; }
  /// Distance inside the sheet's sides, mm; negative outside.
  float Inside(double x, double y) const;
  /// The blank paper's reflectance, marks included. tooth: as PaperTooth gives it there.
  Rgb Colour(double x, double y, float tooth) const;
  /// Whether anything shows the tooth by itself.
  bool ShowsTooth() const { return faults_.texture > 0 || !pencils_.empty() || faults_.margin_marks > 0; }
  /// Whether one of the margin's marks is near.
  bool NearMargin(Point p) const;
  /// Whether a folded corner's back hides what is printed here.
  bool UnderFold(double x, double y) const;
  Rgb FoldColour(double x, double y) const;
  /// Tape that lies over the sides: true, and its colour laid over `light`.
  bool Tape(double x, double y, Rgb& light) const;

 private:
  struct Finger {
    Point at;
    double turn = 0;
    float strength = 0;
  };
  struct Pencil {
    Point from, to;
    float strength = 0;
  };
  struct TapeStrip {
    Point at;
    double turn = 0;
    double half_length = 0, half_width = 0;
  };
  double FoldSide(double x, double y) const;
  /// 0..1: how much of a place a margin mark covers.
  float MarginMark(Point p) const;

  double width_, height_;
  PaperFaults faults_;
  std::uint32_t seed_;
  Cockle cockle_;
  std::vector<Finger> fingers_;
  std::vector<Pencil> pencils_;
  std::vector<TapeStrip> tapes_;
  std::vector<Point> margin_;
};

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_PAPER_H_
