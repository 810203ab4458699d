// SPDX-License-Identifier: Apache-2.0
#include "render/scene.h"

#include <algorithm>
#include <cmath>

#include "render/random.h"

namespace truepull::render {
namespace {

constexpr double kCellMm = 2;  // Of the index of pulls; a few dozen pixels.

InkFaults WithoutDrawing(InkFaults ink) {
  ink.motif = Motif::kNone;
  ink.carved = false;
  ink.edge_ring_mm = 0;
  return ink;
}

}  // namespace

Scene::Scene(const Plan& plan, const RenderOptions& options, std::vector<Pull> pulls,
             std::size_t first_pass_pulls)
    : options_(options),
      width_(plan.sheet.width_mm),
      height_(plan.sheet.height_mm),
      paper_(plan.sheet, options.paper, options.seed),
      table_(plan.sheet, options.table, options.seed),
      light_(plan.sheet, options.light, options.seed),
      later_faults_(WithoutDrawing(options.ink)),
      pulls_(std::move(pulls)),
      first_pass_pulls_(first_pass_pulls) {
  const InkFaults& ink = options_.ink;
  textured_ = ink.mottle > 0 || ink.fade > 0 || ink.edge_ring_mm > 0 || ink.carved ||
              ink.motif != Motif::kNone || ink.look == InkLook::kRelief || ink.bleed_mm > 0;
  plain_table_ = options_.table.look == TableLook::kPlain && options_.table.clutter == 0 && options_.table.card == 0 &&
                 !options_.table.second_sheet;
  SortPulls();
}

void Scene::SortPulls() {
  cells_across_ = static_cast<int>(std::ceil(width_ / kCellMm)) + 2;
  cells_down_ = static_cast<int>(std::ceil(height_ / kCellMm)) + 2;
  std::vector<std::vector<std::uint16_t>> cells(static_cast<std::size_t>(cells_across_) *
                                                static_cast<std::size_t>(cells_down_));
  const double reach = static_cast<double>(ReachOutside(options_.ink));
  for (std::size_t n = 0; n < pulls_.size(); ++n) {
    const Pull& pull = pulls_[n];
    const double radius = pull.mm_per_tile_mm * Radius(pull.art->outline) * 1.1 + reach + kCellMm;
    const auto cell = [](double mm) { return static_cast<int>(std::floor(mm / kCellMm)) + 1; };
    const int i0 = std::max(0, cell(pull.at.x - radius)), i1 = std::min(cells_across_ - 1, cell(pull.at.x + radius));
    const int j0 = std::max(0, cell(pull.at.y - radius)), j1 = std::min(cells_down_ - 1, cell(pull.at.y + radius));
    for (int j = j0; j <= j1; ++j) {
      for (int i = i0; i <= i1; ++i) {
        const PlaceInPull place = Locate(pull, (i - 0.5) * kCellMm, (j - 0.5) * kCellMm);
        if (static_cast<double>(place.inside_mm) < -(reach + 0.75 * kCellMm)) continue;
        cells[static_cast<std::size_t>(j * cells_across_ + i)].push_back(static_cast<std::uint16_t>(n));
      }
    }
  }
  cell_start_.push_back(0);
  for (const auto& cell : cells) {
    cell_pulls_.insert(cell_pulls_.end(), cell.begin(), cell.end());
    cell_start_.push_back(static_cast<std::uint32_t>(cell_pulls_.size()));
  }
}

std::span<const std::uint16_t> Scene::PullsNear(Point p) const {
  const int i = static_cast<int>(std::floor(p.x / kCellMm)) + 1;
  const int j = static_cast<int>(std::floor(p.y / kCellMm)) + 1;
  if (i < 0 || j < 0 || i >= cells_across_ || j >= cells_down_) return {};
  const auto cell = static_cast<std::size_t>(j * cells_across_ + i);
  return {cell_pulls_.data() + cell_start_[cell], cell_start_[cell + 1] - cell_start_[cell]};
}

Point Scene::OnSecondSheet(Point table) const {
  // Beside this one, a little askew.
  const Rotation back(-0.06);
  return back * (table - Point{1.07 * width_, 0.06 * height_});
}

int Scene::SamplesAt(Point sheet, Point table, double pixel_mm) const {
  const int many = options_.samples;
  const int few = std::min(many, 2);
  if (options_.table.no_sheet) return plain_table_ ? 1 : few;
  const float inside = paper_.Inside(sheet.x, sheet.y);
  const auto near = static_cast<float>(1.5 * pixel_mm);
  if (options_.paper.tapes > 0 && inside < 60) {
    Rgb unused{};
    if (paper_.Tape(table.x, table.y, unused) || std::abs(inside) < 12) return few;
  }
  if (inside < -near) return plain_table_ ? 1 : few;
  if (inside < near) return many;
  if (options_.paper.dog_ear_corner >= 0 && inside < options_.paper.dog_ear_mm) return many;
  const auto pulls = PullsNear(sheet);
  if (paper_.NearMargin(sheet)) return std::max(many, 4);   // Strokes are hardly wider than a pixel.
  if (pulls.empty()) return options_.paper.pencil_lines > 0 ? many : 1;
  if (textured_) return many;
  const float clear = near + static_cast<float>(3.2 * options_.ink.ragged_mm);
  for (const std::uint16_t n : pulls) {
    if (std::abs(Locate(pulls_[n], sheet.x, sheet.y).inside_mm) < clear) return many;
  }
  return 1;
}

Rgb Scene::SheetColour(Point p, float width_mm) const {
  if (paper_.UnderFold(p.x, p.y)) return paper_.FoldColour(p.x, p.y);
  const auto pulls = PullsNear(p);
  const bool tooth_counts = paper_.ShowsTooth() || (options_.ink.mottle > 0 && !pulls.empty());
  const float tooth = tooth_counts
                          ? PaperTooth(static_cast<float>(p.x), static_cast<float>(p.y),
                                       paper_.tooth_seed())
                          : 0.5F;
  Rgb light = paper_.Colour(p.x, p.y, tooth);
  for (const std::uint16_t n : pulls) {
    const Pull& pull = pulls_[n];
    const InkFaults& faults = n < first_pass_pulls_ ? options_.ink : later_faults_;
    LayInk(pull, faults, Locate(pull, p.x, p.y), tooth, width_mm, light);
  }
  return light;
}

Rgb Scene::TableColour(Point p, float width_mm) const {
  Rgb out = table_.Colour(p.x, p.y);
  const double strength = options_.light.sheet_shadow;
  if (strength > 0 && !options_.table.no_sheet) {
    // Darkest in the crack under the sheet, longer on the side away from the lamp.
    const Point away = -1.6 * light_.From();
    const float crack = paper_.Inside(p.x, p.y);
    const float cast = paper_.Inside(p.x - away.x, p.y - away.y);
    const auto s = static_cast<float>(strength);
    const float dark = (1 - 0.55F * s * Smooth(-1.6F, 0.4F, crack)) * (1 - 0.45F * s * Smooth(-3.2F, 0.8F, cast));
    for (float& c : out) c *= dark;
  }
  if (options_.table.second_sheet) {
    const Point q = OnSecondSheet(p);
    const float share = Clamp01(paper_.Inside(q.x, q.y) / width_mm + 0.5F);
    if (share > 0) {
      const Rgb sheet = SheetColour(q, width_mm);
      for (std::size_t k = 0; k < 3; ++k) out[k] += share * (sheet[k] - out[k]);
    }
  }
  return out;
}

Rgb Scene::Colour(Point sheet, Point table, float width_mm, float shade) const {
  Rgb out{};
  const float share = options_.table.no_sheet
                          ? 0.0F
                          : Clamp01(paper_.Inside(sheet.x, sheet.y) / width_mm + 0.5F);
  if (share > 0) {
    out = SheetColour(sheet, width_mm);
    for (float& c : out) c *= share * shade;
  }
  if (share < 1) {
    const Rgb under = TableColour(table, width_mm);
    for (std::size_t k = 0; k < 3; ++k) out[k] += (1 - share) * under[k];
  }
  if (options_.paper.tapes > 0) paper_.Tape(table.x, table.y, out);
  return out;
}

}  // namespace truepull::render
