// SPDX-License-Identifier: Apache-2.0
#include "support/tile_photos.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "truepull/units.h"

namespace truepull::testing {

Plan TilesOnSheet(double width_mm, double height_mm, const std::vector<LaidTile>& tiles, const TileLook& look) {
  Plan plan;
  plan.sheet.width_mm = width_mm;
  plan.sheet.height_mm = height_mm;
  plan.edge_colour = look.edge;
  plan.colours = {look.body};
  plan.lattice.rows = plan.lattice.columns = 1;
  plan.lattice.across = {width_mm, 0};
  plan.lattice.down = {0, height_mm};
  plan.lattice.cell.clear();
  plan.plates.clear();
  for (const LaidTile& t : tiles) {
    Plate plate;
    plate.name = std::to_string(plan.plates.size() + 1);
    plate.outline = t.outline;
    CellMember member;
    member.plate = static_cast<int>(plan.plates.size());
    member.at = t.pose.at;
    member.turn_rad = t.pose.turn_rad;
    plan.plates.push_back(plate);
    plan.lattice.cell.push_back(member);
  }
  return plan;
}

RenderOptions PhoneShot(std::uint64_t seed, int width_px, int height_px, const TileLook& look) {
  RenderOptions o;
  o.seed = seed;
  o.width_px = width_px;
  o.height_px = height_px;
  o.ink.edge_ring_mm = look.line_mm;
  o.ink.motif = Motif::kGull;
  o.paper.texture = 0.5;
  o.table.look = TableLook::kWood;
  o.light.uneven = 0.25;
  o.light.warmth = 0.3;
  o.light.sheet_shadow = 0.8;
  o.camera.tilt_rad = RadFromDeg(5);
  o.camera.tilt_towards_rad = static_cast<double>((1 + seed) % 6);
  o.camera.roll_rad = RadFromDeg(1.5);
  o.camera.k1 = 0.015;
  o.camera.vignetting = 0.1;
  o.camera.blur_px = 0.8;
  o.camera.noise = 0.01;
  return o;
}

std::string TilePhoto(const Plan& plan, const RenderOptions& options) {
  const auto sheet = RenderSheet(plan, options);
  if (!sheet) throw std::runtime_error(sheet.error().message);
  const auto jpeg = EncodePhotoJpeg(sheet->bgr, 92, 1);
  if (!jpeg) throw std::runtime_error(jpeg.error().message);
  return *jpeg;
}

std::vector<Outline> OnTheSheet(const std::vector<LaidTile>& tiles) {
  std::vector<Outline> out;
  for (const LaidTile& t : tiles) out.push_back(Apply(t.pose, t.outline));
  return out;
}

OutlineError ErrorOf(const Outline& found, const Outline& truth) {
  OutlineError e;
  const auto samples = SampleOutline(found, 0.5, 0.5);
  for (const EdgeSample& s : samples) {
    const double d = std::abs(SignedDistance(truth, s.at));
    e.rms_mm += d * d;
    e.worst_mm = std::max(e.worst_mm, d);
  }
  e.rms_mm = std::sqrt(e.rms_mm / static_cast<double>(samples.size()));
  return e;
}

}  // namespace truepull::testing
