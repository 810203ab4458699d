// SPDX-License-Identifier: Apache-2.0
#include "render/table.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "render/random.h"
#include "truepull/marker_cards.h"

namespace truepull::render {
namespace {

constexpr double kCardWidthMm = 105, kCardHeightMm = 148.5;  // A quarter of A4.
constexpr double kCardOffMm = 12;                            // From the sheet.

Rgb Times(Rgb c, float s) { return {c[0] * s, c[1] * s, c[2] * s}; }
Rgb Between(const Rgb& a, const Rgb& b, float t) {
  return {a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])};
}

Rgb Wood(float x, float y, std::uint32_t seed, int tone) {
  constexpr float kPlankMm = 92;
  const auto plank = static_cast<float>(FloorInt(y / kPlankMm));
  const auto which = static_cast<std::uint32_t>(FloorInt(y / kPlankMm));
  const std::uint32_t own = seed + 977U * which;
  // Year rings cut lengthwise: contours of a slowly wandering height along the plank.
  const float wander = 9 * ValueNoise(x / 130, y / 34, own) + 2.4F * ValueNoise(x / 46, y / 15, own + 1);
  const float rings = 0.5F + 0.5F * std::sin(2 * std::numbers::pi_v<float> * (wander + y / 17));
  const float pores = Smooth(0.62F, 0.9F, ValueNoise(x / 7, y / 0.42F, own + 2));
  const float fine = ValueNoise(x / 30, y / 0.9F, own + 3);
  const float shade = 0.82F + 0.34F * (ValueNoise(plank * 7.7F, 0.5F, seed + 9) - 0.5F);
  static constexpr Rgb kTones[3][2] = {
      {{0.135F, 0.062F, 0.028F}, {0.052F, 0.022F, 0.011F}},   // Walnut.
      {{0.36F, 0.215F, 0.105F}, {0.22F, 0.118F, 0.052F}},     // Oak.
      {{0.21F, 0.10F, 0.045F}, {0.10F, 0.044F, 0.021F}}};     // Old pine.
  const Rgb light = kTones[tone % 3][0], dark = kTones[tone % 3][1];
  Rgb out = Between(light, dark, Clamp01(0.55F * rings * rings + 0.45F * fine));
  const float joint = std::abs(y - kPlankMm * std::floor(y / kPlankMm + 0.5F));
  const float gap = 0.35F + 0.65F * Smooth(0.3F, 1.4F, joint);
  return Times(out, shade * gap * (1 - 0.45F * pores));
}

Rgb Check(float x, float y, std::uint32_t seed, int tone) {
  constexpr float kCheckMm = 24;
  static constexpr Rgb kDyes[3] = {{0.030F, 0.080F, 0.24F}, {0.24F, 0.030F, 0.035F}, {0.03F, 0.15F, 0.07F}};
  // Warp and weft each coloured or white; the thread on top shows.
  const bool across = std::fmod(std::floor(x / kCheckMm), 2.0F) == 0;
  const bool down = std::fmod(std::floor(y / kCheckMm), 2.0F) == 0;
  constexpr float kThreadMm = 0.9F;
  const float u = x / kThreadMm, v = y / kThreadMm;
  const bool warp_up = (static_cast<int>(std::floor(u)) + static_cast<int>(std::floor(v))) % 2 == 0;
  const bool coloured = warp_up ? across : down;
  const float along = warp_up ? v : u, over = warp_up ? u : v;
  const float round = 0.72F + 0.28F * std::sin(std::numbers::pi_v<float> * (over - std::floor(over)));
  const float slub = 0.88F + 0.24F * ValueNoise(along / 9, std::floor(over) * 3.1F, seed);
  const Rgb white{0.55F, 0.54F, 0.50F};
  return Times(coloured ? kDyes[tone % 3] : white, round * slub);
}

Rgb Stone(float x, float y, std::uint32_t seed, int tone) {
  static constexpr Rgb kBases[3] = {{0.13F, 0.13F, 0.135F}, {0.24F, 0.21F, 0.18F}, {0.07F, 0.085F, 0.08F}};
  const float cloud = CloudNoise(x / 60, y / 60, seed);
  const float grain = ValueNoise(x / 1.5F, y / 1.5F, seed + 3);
  const float dark = Smooth(0.66F, 0.8F, ValueNoise(x / 1.9F, y / 1.9F, seed + 4));
  const float glint = Smooth(0.8F, 0.9F, ValueNoise(x / 1.1F, y / 1.1F, seed + 5));
  const float vein_at = ValueNoise(x / 85, y / 85, seed + 6) + 0.05F * ValueNoise(x / 19, y / 19, seed + 7);
  const float vein = 1 - Smooth(0, 0.012F, std::abs(vein_at - 0.56F));
  Rgb out = Times(kBases[tone % 3], 0.55F + 0.5F * cloud + 0.4F * grain);
  out = Times(out, 1 - 0.7F * dark);
  for (float& c : out) c += 0.20F * glint * (0.5F + cloud) + 0.03F * vein;
  return out;
}

}  // namespace

Table::Table(const Sheet& sheet, const TableFaults& faults, std::uint64_t seed)
    : look_(faults.look), seed_(Key32(seed, Stream::kTable)) {
  Random chance(Key(seed, Stream::kTable));
  const double turn = chance.Uniform(-0.12, 0.12);
  turn_c_ = static_cast<float>(std::cos(turn));
  turn_s_ = static_cast<float>(std::sin(turn));
  tone_ = chance.Below(3);
  static constexpr Rgb kPaints[6] = {{0.55F, 0.045F, 0.035F}, {0.045F, 0.10F, 0.46F}, {0.70F, 0.52F, 0.03F},
                                     {0.03F, 0.24F, 0.09F},   {0.62F, 0.61F, 0.58F},  {0.03F, 0.03F, 0.035F}};
  if (faults.card > 0) {
    card_number_ = MarkerPattern(kSheetNumberFirstId + faults.card - 1);
    card_pass_ = MarkerPattern(kPassFirstId + faults.card_pass - 1);
    card_at_ = {sheet.width_mm + kCardOffMm, (sheet.height_mm - kCardHeightMm) / 2};
  }
  Random clutter(Key(seed, Stream::kClutter));
  const double width = sheet.width_mm, height = sheet.height_mm;
  const double reach = 0.16 * std::max(width, height);  // What the photo still shows.
  for (int i = 0; i < faults.clutter; ++i) {
    Thing thing;
    const double size = std::max(width, height) / 420;
    thing.kind = static_cast<Kind>(clutter.Below(3));
    thing.turn = clutter.Uniform(0, std::numbers::pi);
    thing.colour = kPaints[clutter.Below(6)];
    const double grow = size * clutter.Uniform(0.7, 1.3);
    const double length = thing.kind == Kind::kDisc    ? 11 * grow
                          : thing.kind == Kind::kStrip ? 16 * grow
                                                       : 40 * grow;
    const double breadth = thing.kind == Kind::kDisc    ? length
                           : thing.kind == Kind::kStrip ? 6.5 * grow
                                                        : 5 * grow;
    thing.half_length = static_cast<float>(length);
    thing.half_width = static_cast<float>(breadth);
    // Beside one of the sides, wholly off the sheet.
    const double clear = length + clutter.Uniform(4, std::max(6.0, reach));
    const double s = clutter.Uniform(-0.05, 1.05);
    const int side = clutter.Below(4);
    thing.at = side == 0   ? Point{s * width, -clear}
               : side == 1 ? Point{width + clear, s * height}
               : side == 2 ? Point{s * width, height + clear}
                           : Point{-clear, s * height};
    thing.seed = seed_ + 131U * static_cast<std::uint32_t>(i);
    things_.push_back(thing);
  }
}

Rgb Table::CardColour(Point p) const {
  constexpr double kMarginMm = 13, kTopMm = 22;   // As cards are printed.
  constexpr Rgb kPaper{0.80F, 0.80F, 0.78F}, kBlack{0.03F, 0.03F, 0.03F};
  const double cell = kSheetCardMarkerMm / kMarkerCells;
  const auto black = [&](const std::vector<bool>& cells, Point at) {
    const int x = FloorInt(static_cast<float>((p.x - at.x) / cell)), y = FloorInt(static_cast<float>((p.y - at.y) / cell));
    return x >= 0 && y >= 0 && x < kMarkerCells && y < kMarkerCells && cells[static_cast<std::size_t>(y * kMarkerCells + x)];
  };
  const Point pass{kCardWidthMm - kMarginMm - kSheetCardMarkerMm, kTopMm};
  return black(card_number_, {kMarginMm, kTopMm}) || black(card_pass_, pass) ? kBlack : kPaper;
}

float Table::Inside(const Thing& thing, Point q) {
  const auto x = static_cast<float>(std::abs(q.x)), y = static_cast<float>(std::abs(q.y));
  switch (thing.kind) {
    case Kind::kDisc: return thing.half_length - std::sqrt(x * x + y * y);
    case Kind::kStrip: return std::min(thing.half_length - x, thing.half_width - y);
    default: {  // A crayon: a rod with one pointed end.
      const bool tip = q.x > 0;
      const float taper = tip ? Clamp01((thing.half_length - x) / (1.6F * thing.half_width)) : 1.0F;
      return std::min(thing.half_length - x, thing.half_width * (tip ? taper : 1.0F) - y);
    }
  }
}

Rgb Table::Surface(float x, float y) const {
  const float u = turn_c_ * x + turn_s_ * y, v = -turn_s_ * x + turn_c_ * y;
  switch (look_) {
    case TableLook::kWood: return Wood(u, v, seed_, tone_);
    case TableLook::kCheck: return Check(u, v, seed_, tone_);
    case TableLook::kStone: return Stone(u, v, seed_, tone_);
    default: return {0.09F, 0.095F, 0.10F};  // A dark painted bench, quite even.
  }
}

Rgb Table::Colour(double x, double y) const {
  const Point on_card = Point{x, y} - card_at_;
  if (!card_number_.empty() && on_card.x >= 0 && on_card.y >= 0 && on_card.x < kCardWidthMm && on_card.y < kCardHeightMm) return CardColour(on_card);
  Rgb out = Surface(static_cast<float>(x), static_cast<float>(y));
  for (const Thing& thing : things_) {
    const Point d{x - thing.at.x, y - thing.at.y};
    const double reach = 1.5 * static_cast<double>(thing.half_length) + 12;
    if (Dot(d, d) > reach * reach) continue;
    const Rotation r(-thing.turn);
    const float inside = Inside(thing, r * d);
    // Its shadow falls to the lower right.
    const float cast = Inside(thing, r * (d - Point{1.6, 2.2}));
    if (inside < 0) {
      out = Times(out, 1 - 0.45F * Smooth(-4.0F, 1.0F, cast));
      continue;
    }
    Rgb own = thing.colour;
    const Point q = r * d;
    const auto u = static_cast<float>(q.x), v = static_cast<float>(q.y);
    if (thing.kind == Kind::kCrayon) {
      const float round = 1 - 0.55F * (v / thing.half_width) * (v / thing.half_width);
      // A paper sleeve with two dark bands, the bare wax at the tip.
      const float body = thing.half_length - 3.4F * thing.half_width;
      if (u < body) own = Between(own, {0.5F, 0.48F, 0.42F}, 0.35F);
      const bool band = u < body && (std::abs(u - body + 4) < 1 || std::abs(u + thing.half_length - 5) < 1);
      own = Times(own, (band ? 0.3F : 1.0F) * round);
      for (float& c : own) c += 0.05F * Smooth(0.5F, 0.1F, std::abs(v / thing.half_width + 0.35F));
    } else {
      const float grain = ValueNoise(u / 2.1F, v / 2.1F, thing.seed);
      own = Times(own, 0.9F + 0.2F * grain);
      if (thing.kind == Kind::kDisc) own = Times(own, 1 - 0.3F * (1 - Smooth(0, 1.4F, inside)));
    }
    out = Between(out, own, Smooth(0, 0.15F, inside));
  }
  return out;
}

}  // namespace truepull::render
