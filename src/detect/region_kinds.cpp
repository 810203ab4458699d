// SPDX-License-Identifier: Apache-2.0
#include "detect/region_kinds.h"

#include <algorithm>
#include <cmath>

namespace truepull::detect {
namespace {

constexpr float kRimFromMm = 0.5F, kRimToMm = 1.5F;
constexpr double kRimShare = 0.33, kBandDeepMm = 3.5;
constexpr double kNoColour = 8;          // CIEDE2000: beyond it is none of the plan's.
constexpr double kShows = 0.15;          // Of the density beside it; strokes even out over a drawing to 0.05.
constexpr float kBareShare = 0.25F;      // As coverage has it.
constexpr int kCells = 8;                // Of the cover's map, along the longer side.

class Sum {
 public:
  void Add(const cv::Vec3f& light) {
    light_ += cv::Vec3d(light);
    const Lab lab = LabOfLight(light);
    const double v[] = {lab.L, lab.a, lab.b};
    for (int c = 0; c < 3; ++c) one_[c] += v[c], two_[c] += v[c] * v[c];
    n_ += 1;
  }
  double count() const { return n_; }
  void Tell(ColourRegion& r) const {
    if (n_ == 0) return;
    r.lab = LabOfLight(cv::Vec3f(light_ * (1 / n_)));
    const auto sd = [&](int c) { return std::sqrt(std::max(0.0, two_[c] / n_ - one_[c] * one_[c] / n_ / n_)); };
    r.sd = {sd(0), sd(1), sd(2)};
  }

 private:
  cv::Vec3d light_{0, 0, 0};
  double one_[3] = {0, 0, 0}, two_[3] = {0, 0, 0}, n_ = 0;
};

}  // namespace

std::vector<RegionKind> KindsOf(const TileGrid& grid, const cv::Mat& labels, const ColourClasses& colours) {
  struct Lie {
    double squares = 0, depth = 0, rim = 0;
  };
  std::vector<Lie> lies(colours.classes.size());
  double rim = 0;
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      const uchar l = labels.at<uchar>(j, i);
      if (l >= lies.size()) continue;
      const float depth = grid.depth.at<float>(j, i);
      const bool at_rim = depth > kRimFromMm && depth < kRimToMm;
      lies[l].squares += 1, lies[l].depth += static_cast<double>(depth), lies[l].rim += at_rim;
      rim += at_rim;
    }
  }
  std::vector<RegionKind> kinds(lies.size(), RegionKind::kOther);
  int body = -1;
  for (std::size_t k = 0; k < lies.size(); ++k) {
    const Lie& l = lies[k];
    if (colours.classes[k].bare) kinds[k] = RegionKind::kBare;
    else if (lies.size() > 1 && l.squares > 0 && l.rim > kRimShare * rim && l.depth < kBandDeepMm * l.squares) kinds[k] = RegionKind::kEdge;
    else if (body < 0 || l.squares > lies[static_cast<std::size_t>(body)].squares) body = static_cast<int>(k);
  }
  if (body < 0) {   // A tile so narrow that it is all band: its largest colour is the body.
    for (std::size_t k = 0; k < lies.size(); ++k) {
      if (kinds[k] == RegionKind::kEdge && (body < 0 || lies[k].squares > lies[static_cast<std::size_t>(body)].squares)) body = static_cast<int>(k);
    }
  }
  if (body >= 0) kinds[static_cast<std::size_t>(body)] = RegionKind::kBody;
  return kinds;
}

ColourRegion RegionOf(const TileGrid& grid, const TileLight& pull, const cv::Mat& labels, const cv::Mat& mixed, int label,
                      const cv::Mat* drawn) {
  ColourRegion r;
  Sum well_inside, all;
  const auto own = static_cast<uchar>(label);
  double squares = 0;
  for (int j = 1; j + 1 < grid.rows; ++j) {
    for (int i = 1; i + 1 < grid.columns; ++i) {
      if (labels.at<uchar>(j, i) != own || (drawn && drawn->at<float>(j, i) > 0)) continue;
      squares += 1;
      if (grid.depth.at<float>(j, i) < kRimFromMm) continue;
      const bool inner = !mixed.at<uchar>(j, i) && labels.at<uchar>(j - 1, i) == own && labels.at<uchar>(j + 1, i) == own && labels.at<uchar>(j, i - 1) == own &&
                         labels.at<uchar>(j, i + 1) == own;
      (inner ? well_inside : all).Add(pull.light.at<cv::Vec3f>(j, i));
    }
  }
  r.area_mm2 = squares * grid.step_mm * grid.step_mm;
  (well_inside.count() > 20 ? well_inside : all).Tell(r);
  return r;
}

DrawnLines LinesOf(const TileGrid& grid, const TileLight& pull, const CommonDrawing& drawing) {
  DrawnLines out;
  if (drawing.field.empty()) return out;
  double on_line = 0, next_to_it = 0, squares_beside = 0;
  std::vector<std::pair<float, cv::Vec3f>> light;
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      const bool line = drawing.field.at<float>(j, i) > 0;
      if ((!line && drawing.beside.at<uchar>(j, i) == 0) || pull.use.at<uchar>(j, i) != 1) continue;
      const cv::Vec3f l = pull.light.at<cv::Vec3f>(j, i);
      const float density = DensityOf(l);
      if (line) light.emplace_back(density, l), on_line += static_cast<double>(density);
      else next_to_it += static_cast<double>(density), squares_beside += 1;
    }
  }
  if (light.empty() || squares_beside == 0) return out;
  const auto squares = static_cast<double>(light.size());
  const double ratio = on_line / squares / std::max(1e-6, next_to_it / squares_beside);
  out.there = std::abs(ratio - 1) > kShows;
  if (!out.there) return out;
  // A line is about as wide as a square: the third that departs most is least mixed.
  std::sort(light.begin(), light.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  if (ratio > 1) std::reverse(light.begin(), light.end());
  Sum sum;
  for (std::size_t k = 0; k < std::max<std::size_t>(1, light.size() / 3); ++k) sum.Add(light[k].second);
  out.region.kind = RegionKind::kDrawing;
  out.region.area_mm2 = squares * grid.step_mm * grid.step_mm;
  sum.Tell(out.region);
  return out;
}

int PlanColourOf(const Lab& lab, const std::vector<std::string>& colours) {
  int best = -1;
  double least = kNoColour;
  for (std::size_t k = 0; k < colours.size(); ++k) {
    const auto ink = ColourOfHex(colours[k]);
    if (!ink) continue;
    const double d = DifferenceAsInk(ColourOfLab(lab), *ink);
    if (d < least) least = d, best = static_cast<int>(k);
  }
  return best;
}

Charge ChargeOf(const Ink& ink) {
  const double thin = ink.solid / std::max(1e-6, ink.full);
  if (thin < 0.7 && ink.coverage > 0.6) return Charge::kGhost;
  return ink.strength < 0.55 || ink.coverage < 0.6 ? Charge::kWeak : Charge::kFull;
}

void CoverOf(const TileGrid& grid, const TileLight& pull, double full_density, PullColours& out) {
  const double longer = grid.step_mm * (std::max(grid.columns, grid.rows) - 3);
  out.cell_mm = std::ceil(10 * longer / kCells) / 10;
  const int columns = static_cast<int>(std::ceil(grid.step_mm * (grid.columns - 4) / out.cell_mm));
  const int rows = static_cast<int>(std::ceil(grid.step_mm * (grid.rows - 4) / out.cell_mm));
  const auto at = [&](int r, int c) { return static_cast<std::size_t>(r * columns + c); };
  std::vector<int> inside(at(rows, 0), 0), covered(at(rows, 0), 0);
  const auto threshold = kBareShare * static_cast<float>(full_density);
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      if (pull.use.at<uchar>(j, i) == 0) continue;
      const int c = std::clamp(static_cast<int>((i - 1.5) * grid.step_mm / out.cell_mm), 0, columns - 1);
      const int r = std::clamp(static_cast<int>((j - 1.5) * grid.step_mm / out.cell_mm), 0, rows - 1);
      ++inside[at(r, c)];
      covered[at(r, c)] += DensityOf(pull.light.at<cv::Vec3f>(j, i)) > threshold;
    }
  }
  const double whole = out.cell_mm * out.cell_mm / (grid.step_mm * grid.step_mm);
  for (int r = 0; r < rows; ++r) {
    std::string row;
    for (int c = 0; c < columns; ++c) {
      const int n = inside[at(r, c)];
      row += n < 0.15 * whole ? '.' : static_cast<char>('0' + std::min(9, 10 * covered[at(r, c)] / n));
    }
    out.cover.push_back(row);
  }
}

}  // namespace truepull::detect
