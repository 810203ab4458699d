// SPDX-License-Identifier: Apache-2.0
// Seams: which stretches of two outlines face one another in the ideal lattice is worked
// out once for each way that two tiles can lie to one another (a lattice has few); every
// pair then only measures along its stretch.
#include "drift/seams.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <unordered_map>

namespace truepull {
namespace {

constexpr double kStepMm = 0.7;      // Between samples; a seam's wave is over 5 mm long.
constexpr double kSmoothMm = 0.3;    // Small, so that normals near corners stay true.
constexpr double kReachMm = 3.0;     // A wider gutter has no seam to look after.
constexpr double kShortestMm = 2.0;  // Less is a corner, not a shared edge.
constexpr double kSlideMm = 8.0;     // How far along its edge a tile is followed.
constexpr double kFacing = -0.8;     // Cosine between the two normals.

// The outline of one kind of tile: its samples and its edges, tile frame.
struct Kind {
  std::vector<EdgeSample> samples;
  Outline outline;
  std::vector<double> start;  // Where each edge begins along the outline; last = length.
  double side = 1;            // Outward of an edge (dx, dy) is side * (dy, -dx).
  double radius = 0;
  Point middle;               // Centre of area.
};

Kind MakeKind(Outline outline) {
  Kind k;
  k.samples = SampleOutline(outline, kStepMm, kSmoothMm);
  k.radius = Radius(outline);
  k.middle = Centroid(outline);
  k.side = SignedArea(outline) >= 0 ? 1 : -1;
  k.start.assign(outline.size() + 1, 0.0);
  for (std::size_t i = 0; i < outline.size(); ++i) {
    k.start[i + 1] = k.start[i] + Norm(outline[(i + 1) % outline.size()] - outline[i]);
  }
  k.outline = std::move(outline);
  return k;
}

// A sample of A's outline that faces B, and where on B it does.
struct Facing {
  std::size_t sample = 0;
  double along_b_mm = 0;
};
struct Stretch {
  std::vector<Facing> facing;
  double length_mm = 0;
};

// Crossing of the normal through `at` with the edges of B within `window` mm (along the
// outline) of `along`: the signed way along the normal, of smallest size.
struct Crossing {
  double gap = 0;
  Point at;
};
std::optional<Crossing> CrossingOf(const Kind& b, Point at, Point normal, double along, double window) {
  std::optional<Crossing> best;
  const double length = b.start.back();
  const std::size_t n = b.outline.size();
  const auto try_edge = [&](std::size_t i) {
    const Point p = b.outline[i], e = b.outline[(i + 1) % n] - p;
    const Point outward = b.side * Point{e.y, -e.x};
    if (Dot(outward, normal) >= 0) return;  // It does not face us.
    const double across = Cross(normal, e);
    if (across == 0) return;
    const double t = Cross(normal, at - p) / across;
    if (t < -1e-9 || t > 1 + 1e-9) return;
    const Point hit = p + t * e;
    const double gap = Dot(hit - at, normal);
    if (!best || std::abs(gap) < std::abs(best->gap)) best = Crossing{gap, hit};
  };
  if (2 * window >= length) {
    for (std::size_t i = 0; i < n; ++i) try_edge(i);
    return best;
  }
  double from = std::fmod(along - window + length, length);
  std::size_t i = static_cast<std::size_t>(
      std::upper_bound(b.start.begin(), b.start.end(), from) - b.start.begin());
  i = std::min(n - 1, i == 0 ? 0 : i - 1);
  double covered = b.start[i] - from;  // Not over zero.
  for (std::size_t k = 0; k < n && covered < 2 * window; ++k, i = (i + 1) % n) {
    try_edge(i);
    covered += b.start[i + 1] - b.start[i];
  }
  return best;
}

Stretch FaceUp(const Kind& a, const Kind& b, const Pose& b_in_a) {
  Stretch stretch;
  const std::size_t n = b.outline.size();
  const Rotation back(-b_in_a.turn_rad);
  for (std::size_t s = 0; s < a.samples.size(); ++s) {
    const EdgeSample& sample = a.samples[s];
    if (sample.corner > 0) continue;
    const Point at = ApplyInverse(b_in_a, sample.at);
    if (Norm(at) > b.radius + kReachMm) continue;
    const Point normal = back * sample.outward;
    double nearest = kReachMm, along = -1;
    for (std::size_t i = 0; i < n; ++i) {
      const Point p = b.outline[i], e = b.outline[(i + 1) % n] - p;
      const double size = Norm(e);
      if (size <= 0) continue;
      const Point outward = (b.side / size) * Point{e.y, -e.x};
      if (Dot(outward, normal) > kFacing) continue;
      const double t = Dot(at - p, e) / (size * size);
      if (t < -1e-9 || t > 1 + 1e-9) continue;
      const double distance = Norm(at - p - t * e);
      if (distance < nearest) nearest = distance, along = b.start[i] + t * size;
    }
    if (along >= 0) stretch.facing.push_back({s, along});
  }
  const double step = a.samples.empty()
      ? 0 : a.start.back() / static_cast<double>(a.samples.size());
  stretch.length_mm = step * static_cast<double>(stretch.facing.size());
  if (stretch.length_mm < kShortestMm) stretch.facing.clear();
  return stretch;
}

// What makes two pairs alike: kinds, and B's ideal pose as A sees it, in microns.
using PairKey = std::array<long long, 5>;

// A tile that lies a good part of a turn off (upside down) is faced up as it lies, over
// the same middle; the nearest twelfth of a turn serves squares, hexagons and triangles.
Pose FacedUp(const Pose& ideal, const Pose& found, Point middle_in_tile) {
  const double off = WrapTurn(found.turn_rad - ideal.turn_rad);
  constexpr double kTwelfth = std::numbers::pi / 6;
  if (std::abs(off) < RadFromDeg(25)) return ideal;
  const double turn = WrapTurn(ideal.turn_rad + std::round(off / kTwelfth) * kTwelfth);
  return {Apply(ideal, middle_in_tile) - Rotation(turn) * middle_in_tile, turn};
}

struct Placed {
  Site site;
  Pose ideal;      // As it is faced up (see FacedUp).
  Pose found;
  std::size_t kind = 0;
  std::size_t index = 0;
};

// The gradient of the mean gap by each pose gives its spread.
double SpreadOfGap(const std::array<double, 3>& g, const PoseCovariance& c) {
  double v = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) v += g[i] * c[3 * i + j] * g[j];
  }
  return v;
}

class SeamMeasure {
 public:
  explicit SeamMeasure(const Plan& plan) : plan_(plan) {}

  std::size_t KindAt(Site site) {
    const CellMember& member = MemberAt(plan_.lattice, site);
    const auto key = std::pair(member.plate, member.mirrored);
    const auto it = kind_index_.find(key);
    if (it != kind_index_.end()) return it->second;
    kinds_.push_back(MakeKind(OutlineAt(plan_, site)));
    return kind_index_[key] = kinds_.size() - 1;
  }

  const std::vector<Kind>& kinds() const { return kinds_; }

  std::optional<Seam> Measure(const Placed& a, const Placed& b, const PoseCovariance* ca,
                              const PoseCovariance* cb) {
    const Pose b_in_a{ApplyInverse(a.ideal, b.ideal.at),
                      WrapTurn(b.ideal.turn_rad - a.ideal.turn_rad)};
    const PairKey key{static_cast<long long>(a.kind), static_cast<long long>(b.kind),
                      std::llround(b_in_a.at.x * 1e3), std::llround(b_in_a.at.y * 1e3),
                      std::llround(std::cos(b_in_a.turn_rad) * 1e4) * 40000 +
                          std::llround(std::sin(b_in_a.turn_rad) * 1e4)};
    auto it = stretches_.find(key);
    if (it == stretches_.end()) {
      it = stretches_.emplace(key, FaceUp(kinds_[a.kind], kinds_[b.kind], b_in_a)).first;
    }
    if (it->second.facing.empty()) return std::nullopt;
    return Along(it->second, a, b, ca, cb);
  }

 private:
  std::optional<Seam> Along(const Stretch& stretch, const Placed& a, const Placed& b,
                            const PoseCovariance* ca, const PoseCovariance* cb) const {
    const Kind& kind_a = kinds_[a.kind];
    const Kind& kind_b = kinds_[b.kind];
    const Rotation turn_a(a.found.turn_rad), back_b(-b.found.turn_rad);
    const Rotation ideal_a(a.ideal.turn_rad), ideal_back_b(-b.ideal.turn_rad);
    const Rotation turn_b(b.found.turn_rad);
    Seam seam;
    seam.a = a.site, seam.b = b.site;
    std::array<double, 3> by_a{}, by_b{};
    int count = 0;
    for (const Facing& f : stretch.facing) {
      const EdgeSample& s = kind_a.samples[f.sample];
      const Point arm_a = turn_a * s.at, normal = turn_a * s.outward;
      const auto hit = CrossingOf(kind_b, back_b * (a.found.at + arm_a - b.found.at),
                                  back_b * normal, f.along_b_mm, kSlideMm);
      const auto ideal_hit = CrossingOf(
          kind_b, ideal_back_b * (a.ideal.at + ideal_a * s.at - b.ideal.at),
          ideal_back_b * (ideal_a * s.outward), f.along_b_mm, kReachMm + 1);
      if (!hit || !ideal_hit) continue;
      ++count;
      seam.mean_gap_mm += hit->gap;
      seam.ideal_gap_mm += ideal_hit->gap;
      if (std::abs(hit->gap) > std::abs(seam.worst_gap_mm)) seam.worst_gap_mm = hit->gap;
      const Point arm_b = turn_b * hit->at;
      seam.middle = seam.middle + a.found.at + arm_a + (0.5 * hit->gap) * normal;
      by_a[0] -= normal.x, by_a[1] -= normal.y, by_a[2] -= Cross(arm_a, normal);
      by_b[0] += normal.x, by_b[1] += normal.y, by_b[2] += Cross(arm_b, normal);
    }
    const double step = kind_a.start.back() / static_cast<double>(kind_a.samples.size());
    seam.length_mm = step * count;
    if (seam.length_mm < kShortestMm) return std::nullopt;
    const double share = 1.0 / count;
    seam.mean_gap_mm *= share;
    seam.ideal_gap_mm *= share;
    seam.middle = share * seam.middle;
    for (double& g : by_a) g *= share;
    for (double& g : by_b) g *= share;
    if (ca && cb) seam.sd_mean_gap_mm = std::sqrt(SpreadOfGap(by_a, *ca) + SpreadOfGap(by_b, *cb));
    return seam;
  }

  const Plan& plan_;
  std::vector<Kind> kinds_;
  std::map<std::pair<int, bool>, std::size_t> kind_index_;
  std::map<PairKey, Stretch> stretches_;
};

}  // namespace

std::vector<Seam> MeasureSeamsWithSpread(const Plan& plan,
                                         std::span<const std::optional<Pose>> poses,
                                         std::span<const PoseCovariance> covariances) {
  const std::vector<Site> sites = AllSites(plan.lattice);
  SeamMeasure measure(plan);
  std::vector<Placed> placed;
  double radius = 0;
  for (std::size_t i = 0; i < sites.size() && i < poses.size(); ++i) {
    if (!poses[i]) continue;
    Placed p{sites[i], IdealPose(plan.lattice, sites[i]), *poses[i], measure.KindAt(sites[i]), i};
    p.ideal = FacedUp(p.ideal, p.found, measure.kinds()[p.kind].middle);
    radius = std::max(radius, measure.kinds()[p.kind].radius);
    placed.push_back(p);
  }
  // Tiles are sorted into squares of one reach, so that only near ones are paired.
  const double square = 2 * radius + kReachMm;
  const auto square_of = [&](double v) { return static_cast<long long>(std::floor(v / square)); };
  std::unordered_map<long long, std::vector<std::size_t>> squares;
  const auto key_of = [](long long x, long long y) { return x * 2000003LL + y; };
  for (std::size_t i = 0; i < placed.size(); ++i) {
    squares[key_of(square_of(placed[i].ideal.at.x), square_of(placed[i].ideal.at.y))].push_back(i);
  }
  std::vector<Seam> seams;
  std::vector<std::size_t> near;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const Placed& a = placed[i];
    near.clear();
    for (long long dx = -1; dx <= 1; ++dx) {
      for (long long dy = -1; dy <= 1; ++dy) {
        const auto it = squares.find(
            key_of(square_of(a.ideal.at.x) + dx, square_of(a.ideal.at.y) + dy));
        if (it == squares.end()) continue;
        for (const std::size_t j : it->second) {
          if (j > i) near.push_back(j);
        }
      }
    }
    std::sort(near.begin(), near.end());
    for (const std::size_t j : near) {
      const Placed& b = placed[j];
      const double reach = measure.kinds()[a.kind].radius + measure.kinds()[b.kind].radius + kReachMm;
      if (Norm(b.ideal.at - a.ideal.at) > reach) continue;
      const bool spread = !covariances.empty();
      if (auto seam = measure.Measure(a, b, spread ? &covariances[a.index] : nullptr,
                                      spread ? &covariances[b.index] : nullptr)) {
        seams.push_back(*seam);
      }
    }
  }
  return seams;
}

std::vector<Seam> MeasureSeams(const Plan& plan, const std::vector<std::optional<Pose>>& poses) {
  return MeasureSeamsWithSpread(plan, poses, {});
}

}  // namespace truepull
