// SPDX-License-Identifier: Apache-2.0
// What the sheet lies on, and what lies about beside it.
#ifndef TRUEPULL_RENDER_TABLE_H_
#define TRUEPULL_RENDER_TABLE_H_

#include <cstdint>
#include <vector>

#include "render/ink.h"
#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::render {

class Table {
 public:
  Table(const Sheet& sheet, const TableFaults& faults, std::uint64_t seed);
  /// Reflectance of the table or what lies on it; mm in the sheet's frame.
  Rgb Colour(double x, double y) const;

 private:
  enum class Kind { kDisc, kStrip, kCrayon };
  struct Thing {
    Kind kind = Kind::kDisc;
    Point at;
    double turn = 0;
    float half_length = 0, half_width = 0;
    Rgb colour{};
    std::uint32_t seed = 0;
  };
  Rgb Surface(float x, float y) const;
  /// Distance inside a thing, mm.
  static float Inside(const Thing& thing, Point local);

  TableLook look_;
  std::uint32_t seed_;
  float turn_c_ = 1, turn_s_ = 0;  // Planks and cloth lie askew to the sheet.
  int tone_ = 0;
  std::vector<Thing> things_;
  // A sheet card beside the sheet: its two markers on white paper; no figures, which nothing reads.
  Rgb CardColour(Point on_card) const;
  std::vector<bool> card_number_, card_pass_;
  Point card_at_;                  // Its top left corner.
};

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_TABLE_H_
