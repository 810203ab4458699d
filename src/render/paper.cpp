// SPDX-License-Identifier: Apache-2.0
#include "render/paper.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "render/random.h"
#include "truepull/marker_cards.h"

namespace truepull::render {
namespace {

constexpr double kFoldNorm = 1.2806248474865697;  // |(1, 0.8)|, the fold's normal.
constexpr double kMarginStrokeMm = 0.3;   // As they are drawn.
constexpr Rgb kWhite{0.80F, 0.785F, 0.75F};  // A warm white rag paper.

}  // namespace

Cockle::Cockle(double sd_mm, std::uint64_t seed) {
  if (sd_mm <= 0) return;
  Random chance(Key(seed, Stream::kCockle));
  constexpr int kWaves = 5;
  for (int i = 0; i < kWaves; ++i) {
    // Damp paper buckles in waves of a hand's breadth.
    const double length = chance.Uniform(90, 220), way = chance.Uniform(0, std::numbers::pi);
    const double k = 2 * std::numbers::pi / length;
    waves_.push_back({{k * std::cos(way), k * std::sin(way)},
                      sd_mm * std::sqrt(2.0 / kWaves),
                      chance.Uniform(0, 2 * std::numbers::pi)});
  }
}

double Cockle::Height(Point p) const {
  double z = 0;
  for (const Wave& w : waves_) z += w.amplitude * std::sin(Dot(w.k, p) + w.phase);
  return z;
}

Point Cockle::Slope(Point p) const {
  Point slope;
  for (const Wave& w : waves_) {
    slope = slope + (w.amplitude * std::cos(Dot(w.k, p) + w.phase)) * w.k;
  }
  return slope;
}

Paper::Paper(const Sheet& sheet, const PaperFaults& faults, std::uint64_t seed)
    : width_(sheet.width_mm),
      height_(sheet.height_mm),
      faults_(faults),
      seed_(Key32(seed, Stream::kPaper)),
      cockle_(faults.cockle_mm, seed) {
  Random chance(Key(seed, Stream::kMarks));
  for (int i = 0; i < faults.finger_marks; ++i) {
    // Where a hand holds a sheet: near the sides.
    const double s = chance.Uniform(0.08, 0.92), in = chance.Uniform(8, 26);
    const int side = chance.Below(4);
    const Point at = side == 0   ? Point{s * width_, in}
                     : side == 1 ? Point{width_ - in, s * height_}
                     : side == 2 ? Point{s * width_, height_ - in}
                                 : Point{in, s * height_};
    const double turn = chance.Uniform(0, std::numbers::pi);
    fingers_.push_back({at, turn, static_cast<float>(chance.Uniform(0.25, 0.6))});
  }
  for (int i = 0; i < faults.pencil_lines; ++i) {
    // Construction lines: nearly parallel to a side, now and then a slip.
    const bool level = chance.Chance(0.5);
    const double at = chance.Uniform(0.06, 0.94), slip = chance.Normal() * 1.2;
    const double from = chance.Uniform(0.02, 0.3), to = chance.Uniform(0.6, 0.98);
    const auto strength = static_cast<float>(chance.Uniform(0.25, 0.6));
    if (level) {
      pencils_.push_back({{from * width_, at * height_}, {to * width_, at * height_ + slip}, strength});
    } else {
      pencils_.push_back({{at * width_, from * height_}, {at * width_ + slip, to * height_}, strength});
    }
  }
  Random tape(Key(seed, Stream::kTape));
  for (int i = 0; i < faults.tapes; ++i) {
    const double s = tape.Uniform(0.25, 0.75);
    const Point at = i % 4 == 0   ? Point{s * width_, 0}
                     : i % 4 == 1 ? Point{width_, s * height_}
                     : i % 4 == 2 ? Point{s * width_, height_}
                                  : Point{0, s * height_};
    const double along = i % 2 == 0 ? 0 : std::numbers::pi / 2;
    tapes_.push_back({at, along + 0.03 * tape.Normal(), tape.Uniform(25, 45), 9.5});
  }
  if (faults.margin_marks > 0) {
    Random place(Key(seed, Stream::kMargin));
    const auto marks = MarginMarks(width_, height_);
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const Point chance_mm{place.Normal(), place.Normal()};
      margin_.push_back(marks[i] + faults.margin_marks_shift[i] + faults.margin_marks_sd_mm * chance_mm);
    }
  }
}

bool Paper::NearMargin(Point p) const {
  return std::any_of(margin_.begin(), margin_.end(), [p](Point m) {
    return std::abs(p.x - m.x) < kMarginMarkArmMm + 1 && std::abs(p.y - m.y) < kMarginMarkArmMm + 1;
  });
}

float Paper::MarginMark(Point p) const {
  for (std::size_t i = 0; i < margin_.size(); ++i) {
    const Point d = p - margin_[i];
    const double far = std::max(std::abs(d.x), std::abs(d.y)), near = std::min(std::abs(d.x), std::abs(d.y));
    const bool on_arm = far <= kMarginMarkArmMm && near <= 0.5 * kMarginStrokeMm;
    const bool on_ring = i == 0 && faults_.margin_ring && std::abs(Norm(d) - kMarginMarkRingMm) <= 0.5 * kMarginStrokeMm;
    if (on_arm || on_ring) return 1;
  }
  return 0;
}

double Paper::FoldSide(double x, double y) const {
  // Signed distance to the fold, positive on the side that is left of the sheet.
  if (faults_.dog_ear_corner < 0) return 1e9;
  const bool right = faults_.dog_ear_corner == 1 || faults_.dog_ear_corner == 2;
  const bool low = faults_.dog_ear_corner >= 2;
  const double u = right ? width_ - x : x, v = low ? height_ - y : y;
  return (u + 0.8 * v - faults_.dog_ear_mm) / kFoldNorm;
}

float Paper::Inside(double x, double y) const {
  const double dx = std::min(x, width_ - x), dy = std::min(y, height_ - y);
  double inside = dx < 0 && dy < 0 ? -std::sqrt(dx * dx + dy * dy) : std::min(dx, dy);
  if (faults_.deckle_mm > 0 && std::abs(inside) < 6 * faults_.deckle_mm + 1) {
    const auto fx = static_cast<float>(x), fy = static_cast<float>(y);
    const float wave = 2.6F * (ValueNoise(fx / 14, fy / 14, seed_ + 91) - 0.5F) +
                       2.2F * (ValueNoise(fx / 3.1F, fy / 3.1F, seed_ + 92) - 0.5F) +
                       1.2F * (ValueNoise(fx / 0.8F, fy / 0.8F, seed_ + 93) - 0.5F);
    inside += faults_.deckle_mm * static_cast<double>(wave);
  }
  return static_cast<float>(std::min(inside, FoldSide(x, y)));
}

bool Paper::UnderFold(double x, double y) const {
  if (faults_.dog_ear_corner < 0) return false;
  // The corner turned over along the fold: the mirror image of a place that lies beyond
  // the fold but within the sheet.
  const double side = FoldSide(x, y);
  if (side < 0 || side > faults_.dog_ear_mm) return false;
  const bool right = faults_.dog_ear_corner == 1 || faults_.dog_ear_corner == 2;
  const bool low = faults_.dog_ear_corner >= 2;
  double u = right ? width_ - x : x, v = low ? height_ - y : y;
  u -= 2 * side / kFoldNorm;
  v -= 2 * side * 0.8 / kFoldNorm;
  return u > 0 && v > 0;
}

Rgb Paper::FoldColour(double x, double y) const {
  const auto side = static_cast<float>(FoldSide(x, y));
  const float shade = 0.86F + 0.06F * Smooth(0, 4, side);
  return {kWhite[0] * shade, kWhite[1] * shade, kWhite[2] * shade};
}

Rgb Paper::Colour(double x, double y, float tooth) const {
  Rgb out = kWhite;
  const auto fx = static_cast<float>(x), fy = static_cast<float>(y);
  float shade = 1;
  if (faults_.texture > 0) {
    const auto amount = static_cast<float>(faults_.texture);
    const float cloud = CloudNoise(fx / 28, fy / 28, seed_ + 51) - 0.5F;
    const float fibre = ValueNoise(fx / 2.4F, fy / 0.5F, seed_ + 52) - 0.5F;
    shade += amount * (0.045F * (tooth - 0.5F) + 0.035F * cloud + 0.02F * fibre);
  }
  for (const Finger& f : fingers_) {
    const Point d{x - f.at.x, y - f.at.y};
    if (Dot(d, d) > 15 * 15) continue;
    const Rotation r(-f.turn);
    const Point q = r * d;
    const auto u = static_cast<float>(q.x / 8.5), v = static_cast<float>(q.y / 6.2);
    const float radius = std::sqrt(u * u + v * v);
    if (radius > 1) continue;
    const float ridge = 0.55F + 0.45F * std::sin(9.5F * radius * 6.2F + 2.0F * ValueNoise(u * 3, v * 3, seed_ + 61));
    const float patch = Smooth(0.25F, 0.75F, ValueNoise(fx / 1.7F, fy / 1.7F, seed_ + 62));
    const float mark = f.strength * (1 - Smooth(0.6F, 1, radius)) * ridge * patch;
    out[0] *= 1 - 0.42F * mark;
    out[1] *= 1 - 0.44F * mark;
    out[2] *= 1 - 0.46F * mark;
  }
  for (const Pencil& p : pencils_) {
    const Point along = p.to - p.from, from{x - p.from.x, y - p.from.y};
    const double length = Norm(along);
    const double t = Dot(from, along) / length, off = std::abs(Cross(from, along)) / length;
    if (t < 0 || t > length || off > 0.5) continue;
    const float grit = Smooth(0.2F, 0.6F, tooth);
    const float mark = p.strength * (1 - Smooth(0.12F, 0.34F, static_cast<float>(off))) *
                       (0.4F + 0.6F * grit);
    for (float& c : out) c *= 1 - 0.75F * mark;
  }
  if (NearMargin({x, y})) {
    // Print lies evenly; the softer the stroke, the more the paper's tooth shows in it.
    const auto dark = static_cast<float>(faults_.margin_marks);
    const float grit = dark + (1 - dark) * Smooth(0.2F, 0.6F, tooth);
    for (float& c : out) c *= 1 - 0.95F * dark * grit * MarginMark({x, y});
  }
  for (float& c : out) c *= shade;
  return out;
}

bool Paper::Tape(double x, double y, Rgb& light) const {
  for (const TapeStrip& t : tapes_) {
    const Rotation r(-t.turn);
    const Point q = r * Point{x - t.at.x, y - t.at.y};
    // Torn ends.
    const auto v = static_cast<float>(q.y);
    const double ragged = 1.6 * static_cast<double>(ValueNoise(v / 1.3F, 0.5F, seed_ + 71) - 0.5F);
    if (std::abs(q.x) > t.half_length + ragged || std::abs(q.y) > t.half_width) continue;
    const float crepe = 0.94F + 0.12F * ValueNoise(static_cast<float>(q.x) / 0.7F, v / 6, seed_ + 72);
    const Rgb tape{0.62F * crepe, 0.50F * crepe, 0.30F * crepe};
    for (std::size_t k = 0; k < 3; ++k) light[k] = 0.12F * light[k] + 0.88F * tape[k];
    return true;
  }
  return false;
}

}  // namespace truepull::render
