// SPDX-License-Identifier: Apache-2.0
#include "render/ink.h"

#include <algorithm>
#include <cmath>

#include "render/random.h"

namespace truepull::render {
namespace {

float Noise(const Pull& pull, float x, float y, std::uint32_t which) {
  return ValueNoise(x, y, pull.seed + which * 0x9e3779b9U);
}

/// The drawn band round the tile: its own width here, wavering as a hand does.
float RingWidth(const Pull& pull, const InkFaults& faults, const PlaceInPull& p) {
  const float waver = Noise(pull, p.x / 7, p.y / 7, 11) - 0.5F;
  return static_cast<float>(faults.edge_ring_mm) * (1 + 0.9F * waver);
}

/// Deposit of wax that the tooth takes at this place, from strokes and pressure.
float Crayon(const Pull& pull, const InkFaults& faults, const PlaceInPull& p, float tooth,
             float press) {
  const auto amount = static_cast<float>(faults.mottle);
  // Along and across the strokes; strokes bend a little, as from the elbow.
  const float bend = 2.2F * (Noise(pull, p.x / 22, p.y / 22, 1) - 0.5F);
  const float u = pull.stroke_c * p.x + pull.stroke_s * p.y;
  const float v = -pull.stroke_s * p.x + pull.stroke_c * p.y + bend;
  const float strokes = Noise(pull, u / 11, v / 0.85F, 2) - 0.5F;
  const float hairs = Noise(pull, u / 3.5F, v / 0.26F, 3) - 0.5F;
  const float skips = Noise(pull, u / 16, v / 2.6F, 4);
  const float patch = Noise(pull, p.x / 13, p.y / 13, 5) - 0.5F;
  float reach = press + amount * (0.62F * strokes + 0.42F * hairs + 0.36F * patch);
  // Here and there a stroke runs out of wax.
  reach -= amount * 0.9F * Smooth(0.72F, 0.96F, skips);
  const float height = 0.5F + amount * 1.05F * (tooth - 0.5F);
  const float take = Smooth(-0.09F, 0.09F, reach - height);
  // Where it takes, the strokes still show as lighter and darker wax.
  return take <= 0 ? 0 : take * (1 + amount * (0.6F * strokes + 0.3F * hairs + 0.45F * patch));
}

/// Pressure left near an edge that fades: 1 inside, towards 0 at the faded side.
float FadeAt(const Pull& pull, const InkFaults& faults, const PlaceInPull& p, float inside) {
  if (faults.fade <= 0) return 1;
  float left = 1;
  if (pull.fade_reach_mm > inside) {
    const float angle = std::atan2(p.y, p.x) - pull.fade_from;
    const float facing = Smooth(0.45F, 1.0F, std::cos(angle));
    left = 1 - facing * (1 - Smooth(-0.5F, pull.fade_reach_mm, inside));
  }
  if (inside > 2.6F) return left;
  // Thin places that a hand leaves anywhere along an edge.
  const float thin = Smooth(0.62F, 0.9F, Noise(pull, p.x / 9, p.y / 9, 8));
  const float edge = 1 - Smooth(0.0F, 2.6F, inside);
  return left * (1 - static_cast<float>(faults.fade) * 0.75F * thin * edge);
}

Deposit Relief(const Pull& pull, const InkFaults& faults, const PlaceInPull& p, float inside,
               float press) {
  Deposit out;
  float film = pull.strength;
  const auto rim = static_cast<float>(faults.rim);
  if (rim > 0) {
    // Ink squeezed to the edge: a dark line, and a starved one just inside it.
    film *= 1 + rim * (0.55F * (1 - Smooth(0.12F, 0.5F, inside)) -
                       0.22F * Smooth(0.3F, 0.6F, inside) * (1 - Smooth(0.7F, 1.3F, inside)));
  }
  const auto speckle = static_cast<float>(faults.speckle);
  if (speckle > 0) {
    // Spots of two sizes, thicker in some places than in others; off the mesh's axes.
    const float a = 0.8F * p.x - 0.6F * p.y, b = 0.6F * p.x + 0.8F * p.y;
    const float salt = 0.6F * Noise(pull, a / 0.38F, b / 0.38F, 21) + 0.4F * Noise(pull, b / 0.21F, a / 0.21F, 26);
    const float where = Noise(pull, p.x / 5, p.y / 5, 22);
    const float least = 0.86F - 0.20F * speckle * where;
    const float bare = Smooth(least, least + 0.08F, salt);
    film *= 1 - bare;
    film *= 1 + 0.16F * speckle * (Noise(pull, p.x / 0.9F, p.y / 0.9F, 23) - 0.5F);
    film *= 1 + 0.22F * speckle * (Noise(pull, p.x / 14, p.y / 14, 24) - 0.5F);
  }
  film *= press < 1 ? Smooth(0.0F, 1.0F, press * (0.6F + 0.8F * Noise(pull, p.x / 0.6F, p.y / 0.6F, 25)))
                    : 1.0F;
  out.body = film;
  return out;
}

}  // namespace

PlaceInPull Locate(const Pull& pull, double sheet_x, double sheet_y) {
  const double dx = sheet_x - pull.at.x, dy = sheet_y - pull.at.y;
  const auto& m = pull.tile_from_sheet;
  PlaceInPull place;
  place.x = static_cast<float>(m[0] * dx + m[1] * dy);
  place.y = static_cast<float>(m[2] * dx + m[3] * dy);
  place.inside_mm = static_cast<float>(pull.mm_per_tile_mm) * pull.art->edge.At(place.x, place.y);
  return place;
}

float ReachOutside(const InkFaults& faults) {
  return static_cast<float>(0.3 + 3.2 * faults.ragged_mm + 3 * faults.bleed_mm);
}

float RaggedInside(const Pull& pull, const InkFaults& faults, const PlaceInPull& p) {
  const auto ragged = static_cast<float>(faults.ragged_mm);
  if (ragged <= 0 || p.inside_mm > 4 * ragged + 1 || p.inside_mm < -4 * ragged - 1) {
    return p.inside_mm;
  }
  // Three scales of tearing. Value noise has a standard deviation of about 0.19 here, so
  // the weights bring the sum's to about one.
  const float n = 2.6F * (Noise(pull, p.x / 2.8F, p.y / 2.8F, 31) - 0.5F) +
                  3.4F * (Noise(pull, p.x / 0.9F, p.y / 0.9F, 32) - 0.5F) +
                  3.0F * (Noise(pull, p.x / 0.33F, p.y / 0.33F, 33) - 0.5F);
  return p.inside_mm + ragged * n;
}

Deposit DepositInside(const Pull& pull, const InkFaults& faults, const PlaceInPull& p,
                      float inside, float tooth) {
  Deposit out;
  const float press = pull.pressure * FadeAt(pull, faults, p, inside);
  if (faults.look == InkLook::kRelief) {
    out = Relief(pull, faults, p, inside, press);
  } else {
    // With full pressure wax reaches most of the tooth; the deepest pits stay bare.
    out.body = pull.strength * (faults.mottle > 0
                                    ? Crayon(pull, faults, p, tooth, 0.10F + 0.80F * press)
                                    : std::min(1.0F, press));
  }
  if (faults.edge_ring_mm > 0) {
    const float width = RingWidth(pull, faults, p);
    const float soft = 0.12F + 0.25F * static_cast<float>(faults.mottle);
    float band = 1 - Smooth(width - soft, width + soft, inside);
    if (band > 0) {
      // The band was drawn on its own, round the tile: other strokes, the same tooth.
      float take = 1;
      if (faults.mottle > 0) {
        const auto amount = static_cast<float>(faults.mottle);
        const float blot = Noise(pull, p.x / 3.2F, p.y / 3.2F, 12) - 0.5F;
        const float hair = Noise(pull, p.x / 0.45F, p.y / 0.45F, 13) - 0.5F;
        const float reach = (pull.faint ? 0.44F : 0.90F) * std::min(1.0F, press + 0.1F) +
                            amount * (0.6F * blot + 0.35F * hair);
        take = Smooth(-0.12F, 0.12F, reach - (0.5F + amount * 0.9F * (tooth - 0.5F)));
      }
      out.ring = band * take * pull.strength * std::min(1.0F, press);
      out.body *= 1 - 0.45F * band;
    }
  }
  if (!pull.art->scratches.empty()) {
    const float d = pull.art->scratches.At(p.x, p.y);
    if (d < 1.2F) {
      const float width = 0.26F + 0.14F * (Noise(pull, p.x / 2.5F, p.y / 2.5F, 14) - 0.5F);
      const float on = (1 - Smooth(width - 0.07F, width + 0.07F, d)) * pull.line_depth;
      out.body *= 1 - on;
      out.ring *= 1 - on;
      if (pull.dark_lines) out.line = on * pull.strength;
    }
  }
  if (!pull.art->carving.empty()) {
    const float d = pull.art->carving.At(p.x, p.y);
    if (d < 1.2F) {
      const float bare = 1 - Smooth(0.30F, 0.36F, d);
      out.body *= 1 - bare;
      out.ring *= 1 - bare;
      out.line *= 1 - bare;
    }
  }
  return out;
}

void LayInk(const Pull& pull, const InkFaults& faults, const PlaceInPull& place, float tooth,
            float width_mm, Rgb& light) {
  if (place.inside_mm < -ReachOutside(faults)) return;
  const float inside = RaggedInside(pull, faults, place);
  const float share = Clamp01(inside / width_mm + 0.5F);
  Rgb through{1, 1, 1};
  float hidden = 0;
  if (share > 0) {
    const Deposit d = DepositInside(pull, faults, place, std::max(inside, 0.0F), tooth);
    for (std::size_t k = 0; k < 3; ++k) {
      through[k] = std::exp(-(d.body * pull.body[k] + d.ring * pull.ring[k] + d.line * pull.line[k]));
    }
    hidden = pull.hiding * std::min(1.0F, d.Total());
  }
  Rgb beside{1, 1, 1};
  if (share < 1 && faults.bleed_mm > 0) {
    // Wet colour creeps along the fibres and pales as it goes.
    const auto reach = static_cast<float>(faults.bleed_mm);
    const float creep = reach * (0.5F + Noise(pull, place.x / 1.6F, place.y / 1.6F, 41));
    const float halo = 0.5F * pull.strength * std::exp(std::min(0.0F, inside) / creep * 1.4F) *
                       Smooth(-3.0F * reach, -2.0F * reach, inside);
    for (std::size_t k = 0; k < 3; ++k) beside[k] = std::exp(-halo * pull.body[k]);
  }
  for (std::size_t k = 0; k < 3; ++k) {
    const float printed = through[k] * (light[k] + hidden * (1 - light[k]));
    light[k] = share * printed + (1 - share) * beside[k] * light[k];
  }
}

float PaperTooth(float x_mm, float y_mm, std::uint32_t paper_seed) {
  // Stretched towards 0 and 1, so that a threshold finds bare paper at both ends.
  const float n = 0.62F * ValueNoise(x_mm / 0.34F, y_mm / 0.30F, paper_seed) +
                  0.38F * ValueNoise(x_mm / 0.75F, y_mm / 0.62F, paper_seed + 7);
  return Clamp01(0.5F + 1.5F * (n - 0.5F));
}

Measured MeasurePull(const Pull& pull, const InkFaults& faults, std::uint32_t paper_seed) {
  constexpr double kMeshMm = 0.35;
  const Box box = BoundingBox(pull.art->outline);
  const auto& m = pull.tile_from_sheet;
  const double det = m[0] * m[3] - m[1] * m[2];
  long long inside = 0, covered = 0;
  double sum = 0;
  for (double y = box.top + kMeshMm / 2; y < box.bottom; y += kMeshMm) {
    for (double x = box.left + kMeshMm / 2; x < box.right; x += kMeshMm) {
      PlaceInPull p{static_cast<float>(x), static_cast<float>(y), 0};
      p.inside_mm = static_cast<float>(pull.mm_per_tile_mm) * pull.art->edge.At(p.x, p.y);
      if (p.inside_mm <= 0) continue;
      ++inside;
      const float printed = RaggedInside(pull, faults, p);
      if (printed <= 0) continue;
      const double sx = pull.at.x + (m[3] * x - m[1] * y) / det;
      const double sy = pull.at.y + (m[0] * y - m[2] * x) / det;
      const float tooth =
          faults.mottle > 0
              ? PaperTooth(static_cast<float>(sx), static_cast<float>(sy), paper_seed)
              : 0.5F;
      const float d = DepositInside(pull, faults, p, printed, tooth).Total();
      covered += d > 0.25F;
      sum += static_cast<double>(d);
    }
  }
  if (inside == 0) return {};
  return {static_cast<double>(covered) / static_cast<double>(inside),
          sum / static_cast<double>(inside)};
}

}  // namespace truepull::render
