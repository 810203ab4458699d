// SPDX-License-Identifier: Apache-2.0
#include "detect/way_up.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core/utility.hpp>

#include "detect/coarse_search.h"
#include "detect/other_ways.h"

namespace truepull::detect {
namespace {

constexpr std::size_t kMostSites = 9;       // Spread over the lattice: enough to tell.
constexpr double kReachMm = 12;             // A whole lattice is hardly ever further off.
constexpr double kNearSquare = 0.04;        // ln of the sides' ratio, as the frame's search has it.
// The planned way explains the edge by a score of 0.3 to 0.6; a wrong one, if the outline
// can tell, by half of it.
constexpr double kClearly = 1.3, kAlike = 0.93;
constexpr double kFarMm = 8, kNearMm = 4;   // Off as a whole: the margins tell.
constexpr double kHeartDensity = 0.15;

// Carries the sheet's own frame, when its top lies `quarters` sides on, to the frame in
// which it was photographed: an affine map of corners onto corners.
struct Laying {
  double a = 1, b = 0, c = 0, d = 1;
  Point move;
  double turn_rad = 0;
  Point operator()(Point p) const { return {a * p.x + b * p.y + move.x, c * p.x + d * p.y + move.y}; }
  Pose operator()(const Pose& p) const { return {(*this)(p.at), WrapTurn(p.turn_rad + turn_rad)}; }
};

Laying LayingOf(const Sheet& sheet, int quarters) {
  const double w = sheet.width_mm, h = sheet.height_mm;
  Laying l;
  l.turn_rad = WrapTurn(quarters * std::numbers::pi / 2);
  switch (quarters & 3) {
    case 1: return {0, -w / h, h / w, 0, {w, 0}, l.turn_rad};
    case 2: return {-1, 0, 0, -1, {w, h}, l.turn_rad};
    case 3: return {0, w / h, -h / w, 0, {0, h}, l.turn_rad};
    default: return l;
  }
}

struct Look {
  double score = 0;        // Mean over the sites.
  double off_mm = 0;       // Of the whole lattice.
  bool told_by_outline = false;  // The tiles look otherwise when the sheet is turned.
  int right = 0, told = 0; // Sites of the planned colour, of those where the ways differ.
};

// Index of the plan's colour whose density is most like the ink's at a place, or -1.
int ColourAt(const LitSheet& lit, const Plan& plan, Point at) {
  const double px = lit.map.px_per_mm;
  const int reach = static_cast<int>(4 * px);
  const int u = static_cast<int>(at.x * px), v = static_cast<int>(at.y * px);
  std::array<double, 3> sum{};
  double n = 0;
  for (int j = std::max(0, v - reach); j <= std::min(lit.map.light.rows - 1, v + reach); ++j) {
    for (int i = std::max(0, u - reach); i <= std::min(lit.map.light.cols - 1, u + reach); ++i) {
      if (static_cast<double>(lit.map.density.at<float>(j, i)) < kHeartDensity) continue;
      const auto& l = lit.map.light.at<cv::Vec3f>(j, i);
      for (int c = 0; c < 3; ++c) sum[static_cast<std::size_t>(c)] -= std::log(std::clamp(static_cast<double>(l[c]), 0.004, 1.2));
      n += 1;
    }
  }
  if (n < 5) return -1;
  int best = -1;
  double most = 0.85;
  for (std::size_t k = 0; k < plan.colours.size(); ++k) {
    if (plan.colours[k].size() != 7) continue;
    double dot = 0, own = 0, ink = 0;
    for (std::size_t c = 0; c < 3; ++c) {  // Blue, green, red.
      const int code = std::stoi(plan.colours[k].substr(5 - 2 * c, 2), nullptr, 16);
      const double d = -std::log(std::max(0.004, static_cast<double>(LinearOfCodes()[static_cast<std::size_t>(code)])));
      dot += d * sum[c], own += d * d, ink += sum[c] * sum[c];
    }
    const double cosine = dot / std::sqrt(std::max(1e-12, own * ink));
    if (cosine > most) most = cosine, best = static_cast<int>(k);
  }
  return best;
}

// The planned colour at the place where a way lays a site: compared site by site.
void CompareColours(const LitSheet& lit, const Plan& plan, const std::vector<PlateShape>& shapes,
                    const std::vector<Laying>& layings, std::vector<Look>& looks) {
  if (plan.colour_map.empty() || plan.colours.size() < 2) return;
  const std::vector<Site> sites = AllSites(plan.lattice);
  const auto middle = [&](Site site) {
    const PlateShape& shape = shapes[static_cast<std::size_t>(site.column) % shapes.size()];
    return Apply(IdealPose(plan.lattice, site), Centroid(shape.outline));
  };
  for (std::size_t way = 1; way < layings.size(); ++way) {
    for (const Site site : sites) {
      const Point at = layings[way](middle(site));
      // The site that the photographed frame has there.
      const Site* there = nullptr;
      double nearest = 1e9;
      for (const Site& s : sites) {
        const double d = Norm(middle(s) - at);
        if (d < nearest) nearest = d, there = &s;
      }
      if (there == nullptr || nearest > 0.3 * shapes[0].radius) continue;
      const int as_is = PlannedColour(plan, *there), turned = PlannedColour(plan, site);
      if (as_is == turned) continue;
      const int seen = ColourAt(lit, plan, at);
      if (seen < 0) continue;
      looks[way].told += 1;
      looks[way].right += seen == turned;
      looks[0].told += way == 1;
      looks[0].right += way == 1 && seen == as_is;
    }
  }
}

// Whether any tile, laid on the sheet turned, differs from the one that the plan has there.
bool OutlineTells(const Plan& plan, const std::vector<PlateShape>& shapes, const Laying& laying) {
  constexpr double kToldApart = 0.8;  // mm, as for tiles put down the wrong way.
  const std::vector<Site> sites = AllSites(plan.lattice);
  const auto shape_of = [&](Site site) -> const PlateShape& {
    return shapes[static_cast<std::size_t>(site.column) % shapes.size()];
  };
  for (const Site& site : sites) {
    const Pose laid = laying(IdealPose(plan.lattice, site));
    const Point at = Apply(laid, Centroid(shape_of(site).outline));
    const Site* there = nullptr;
    double least = 0.5 * shapes[0].radius;
    for (const Site& s : sites) {
      const double d = Norm(Apply(IdealPose(plan.lattice, s), Centroid(shape_of(s).outline)) - at);
      if (d < least) least = d, there = &s;
    }
    // No tile there at all: the lattice itself tells.
    if (there == nullptr) return true;
    const double turn = laid.turn_rad - IdealPose(plan.lattice, *there).turn_rad;
    if (ApartWhenLaidOn(shape_of(site), shape_of(*there), turn) > kToldApart) return true;
  }
  return false;
}

}  // namespace

WayUp FindWayUp(const LitSheet& lit, const Plan& plan, const std::vector<PlateShape>& shapes) {
  WayUp out;
  const std::vector<Site> sites = AllSites(plan.lattice);
  const OutlineScore score(lit.map, 0.7);
  const bool square = std::abs(std::log(plan.sheet.width_mm / plan.sheet.height_mm)) < kNearSquare;
  std::vector<int> quarters{0, 2};
  if (square) quarters = {0, 1, 2, 3};
  std::vector<Laying> layings;
  for (const int q : quarters) layings.push_back(LayingOf(plan.sheet, q));

  const auto shape_of = [&](Site site) -> const PlateShape& {
    return shapes[static_cast<std::size_t>(site.column) % shapes.size()];
  };
  // Sites that carry ink, so that a sheet with few pulls is judged by those.
  std::vector<Site> inked;
  for (const Site site : sites) {
    if (score.HeartCoverage(shape_of(site), IdealPose(plan.lattice, site), kHeartDensity) > 0.3) inked.push_back(site);
  }
  if (inked.size() < 2) return out;
  const double step = sites.size() > 1 ? std::min(Norm(plan.lattice.across), Norm(plan.lattice.down)) : 2 * shapes[0].radius;
  const SearchWindow window{std::min(0.45 * step, kReachMm), 0.1};
  std::vector<Point> places;
  const std::size_t stride = std::max<std::size_t>(1, inked.size() / kMostSites);
  for (std::size_t i = stride / 2; i < inked.size() && places.size() < kMostSites; i += stride) {
    places.push_back(Apply(IdealPose(plan.lattice, inked[i]), Centroid(shape_of(inked[i]).outline)));
  }
  std::vector<Look> looks(layings.size());
  for (std::size_t way = 0; way < layings.size(); ++way) {
    // Every way is judged at the same places, by the sites that it lays there.
    std::vector<Site> use;
    for (const Point& at : places) {
      const Site* nearest = nullptr;
      double least = 0.5 * shapes[0].radius;
      for (const Site& site : sites) {
        const double d = Norm(Apply(layings[way](IdealPose(plan.lattice, site)), Centroid(shape_of(site).outline)) - at);
        if (d < least) least = d, nearest = &site;
      }
      if (nearest != nullptr) use.push_back(*nearest);
    }
    if (way > 0) looks[way].told_by_outline = OutlineTells(plan, shapes, layings[way]);
    std::vector<SiteScan> scans(2 * use.size() < places.size() ? 0 : use.size());
    cv::parallel_for_(cv::Range(0, static_cast<int>(scans.size())), [&](const cv::Range& range) {
      for (int k = range.start; k < range.end; ++k) {
        const Site site = use[static_cast<std::size_t>(k)];
        scans[static_cast<std::size_t>(k)] = score.Scan(shape_of(site), layings[way](IdealPose(plan.lattice, site)), window);
      }
    });
    if (scans.empty()) continue;
    const CommonMove move = FindCommonMove(scans, window);
    // Without the mild pull towards no move: it is judged apart.
    looks[way].score = move.score + 0.05 * Dot(move.shift, move.shift) / (window.reach_mm * window.reach_mm);
    looks[way].off_mm = Norm(move.shift);
  }
  CompareColours(lit, plan, shapes, layings, looks);
  bool open = false;
  for (std::size_t way = 1; way < layings.size(); ++way) {
    const Look &other = looks[way], &as_is = looks[0];
    const auto take = [&](WayUp::By by) {
      if (out.quarters == 0) out.quarters = quarters[way], out.by = by;
    };
    if (other.told_by_outline && other.score > kClearly * as_is.score && other.score > 0.1) {
      take(WayUp::By::kOutline);
    } else if (!other.told_by_outline && other.score > kAlike * as_is.score && as_is.score > kAlike * other.score) {
      const bool told = other.told >= 4;
      if (as_is.off_mm > kFarMm && other.off_mm < kNearMm) take(WayUp::By::kMargins);
      else if (told && 5 * other.right >= 4 * other.told) take(WayUp::By::kColours);
      else if (!(other.off_mm > as_is.off_mm + kNearMm) && !(told && 5 * other.right <= 2 * other.told)) open = true;
    }
  }
  out.assumed = open && out.quarters == 0;
  return out;
}

SheetFrame TurnFrame(const SheetFrame& frame, const Sheet& sheet, int quarters) {
  const Laying l = LayingOf(sheet, quarters);
  const auto carry = [&](const std::array<double, 9>& h) {
    std::array<double, 9> out{};
    for (std::size_t r = 0; r < 3; ++r) {
      out[3 * r] = h[3 * r] * l.a + h[3 * r + 1] * l.c;
      out[3 * r + 1] = h[3 * r] * l.b + h[3 * r + 1] * l.d;
      out[3 * r + 2] = h[3 * r] * l.move.x + h[3 * r + 1] * l.move.y + h[3 * r + 2];
    }
    for (std::size_t k = 0; k < 9; ++k) out[k] /= out[8];
    return out;
  };
  SheetFrame turned = frame;
  turned.camera.h = carry(frame.camera.h);
  for (std::size_t i = 0; i < 4; ++i) turned.corners_px[i] = frame.corners_px[(i + static_cast<std::size_t>(quarters)) % 4];
  // Derivative of the new eight numbers by the old ones, central; k1 stays.
  Eigen::Matrix<double, 9, 9> j = Eigen::Matrix<double, 9, 9>::Zero();
  for (std::size_t k = 0; k < 8; ++k) {
    const double nudge = 1e-6 * std::max(1e-3, std::abs(frame.camera.h[k]));
    auto plus = frame.camera.h, minus = frame.camera.h;
    plus[k] += nudge, minus[k] -= nudge;
    const auto up = carry(plus), down = carry(minus);
    for (std::size_t r = 0; r < 8; ++r) j(Eigen::Index(r), Eigen::Index(k)) = (up[r] - down[r]) / (2 * nudge);
  }
  j(8, 8) = 1;
  const Eigen::Map<const Eigen::Matrix<double, 9, 9, Eigen::RowMajor>> c(frame.covariance.data());
  Eigen::Map<Eigen::Matrix<double, 9, 9, Eigen::RowMajor>>(turned.covariance.data()) = j * c * j.transpose();
  return turned;
}

}  // namespace truepull::detect
