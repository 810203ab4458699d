// SPDX-License-Identifier: Apache-2.0
#include "detect/explain.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

namespace truepull::detect {
namespace {

constexpr double kInwards = 4.5, kOutwards = 2.1, kStep = 0.3;  // Along a normal, mm.
constexpr double kSoft = 0.25;        // Half width of a blurred step, mm.
constexpr double kCap = 0.12;         // Squared light; about a third of black to white.

double Cover(double depth_mm) { return std::clamp(0.5 + depth_mm / (2 * kSoft), 0.0, 1.0); }

double Middle(std::vector<float>& v) {
  const auto mid = v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2);
  std::nth_element(v.begin(), mid, v.end());
  return static_cast<double>(*mid);
}

}  // namespace

double TileLevels::At(const DepthProfile& profile, double depth_mm) const {
  const double u = std::clamp(depth_mm / DepthProfile::kStep - 0.5, 0.0, DepthProfile::kSteps - 1.001);
  const auto i = static_cast<std::size_t>(u);
  const double s = profile.share[i] + (u - static_cast<double>(i)) * (profile.share[i + 1] - profile.share[i]);
  return body + s * (edge - body);
}

std::vector<Explain::Sample> Explain::Look(const std::vector<Pull>& pulls, std::size_t i, const Pose& pose) const {
  const PhotoSampler sampler(photo_.bgr);
  const PlateShape& shape = *pulls[i].shape;
  const Rotation turn(pose.turn_rad);
  struct Other {
    const Pull* pull;
    Rotation back;
    std::size_t index;
  };
  std::vector<Other> others;
  for (std::size_t k = 0; k < pulls.size(); ++k) {
    if (k == i || !pulls[k].present) continue;
    if (Norm(pulls[k].pose.at - pose.at) < shape.radius + pulls[k].shape->radius + 3) {
      others.push_back({&pulls[k], Rotation(-pulls[k].pose.turn_rad), k});
    }
  }
  std::vector<Sample> samples;
  samples.reserve(shape.coarse.size() * 24);
  for (const EdgeSample& e : shape.coarse) {
    const Point n = turn * e.outward;
    const Point at = pose.at + turn * e.at;
    const Point u = camera_.PhotoFromSheet(at);
    const MapDerivative d = camera_.Derivative(at);
    const Point dir{d[0] * n.x + d[1] * n.y, d[2] * n.x + d[3] * n.y};
    const Light white = paper_.At(at);
    const float scale = 3.0f / (white[0] + white[1] + white[2]);
    for (double t = -kInwards; t <= kOutwards; t += kStep) {
      const double x = u.x + t * dir.x, y = u.y + t * dir.y;
      if (!sampler.Inside(x, y)) continue;
      Sample s;
      s.light = std::min(1.2f, scale * sampler.MeanAt(x, y));
      s.depth = shape.distance.At(e.at + t * e.outward);
      s.others = 1;
      s.clear = true;
      const Point p = at + t * n;
      for (const Other& o : others) {
        const float depth = o.pull->shape->distance.At(o.back * (p - o.pull->pose.at));
        if (depth > -kSoft) {
          s.clear = false;
          const TileLevels& l = o.index < levels_.size() ? levels_[o.index] : TileLevels{};
          s.others *= static_cast<float>(1 - Cover(static_cast<double>(depth)) * (1 - l.At(profile_, static_cast<double>(depth))));
        }
      }
      samples.push_back(s);
    }
  }
  return samples;
}

namespace {

// A tile's two levels from what only it covers (or, failing that, from everything).
template <typename Samples>
TileLevels LevelsOf(const Samples& samples) {
  TileLevels out;
  for (const bool clear_only : {true, false}) {
    std::vector<float> edge, body;
    for (const auto& s : samples) {
      if (clear_only && !s.clear) continue;
      if (s.depth > 0.3f && s.depth < 1.5f) edge.push_back(s.light);
      if (s.depth > 3.0f) body.push_back(s.light);
    }
    if (edge.size() < 30 || body.size() < 30) continue;
    out.edge = std::min(0.95, Middle(edge));
    out.body = std::min(0.95, Middle(body));
    out.known = true;
    return out;
  }
  return out;
}

}  // namespace

void Explain::Learn(const std::vector<Pull>& pulls) {
  // A first guess, so that neighbours count from the start: 2 mm of edge.
  for (int i = 0; i < DepthProfile::kSteps; ++i) {
    profile_.share[static_cast<std::size_t>(i)] = (i + 0.5) * DepthProfile::kStep < 2.0 ? 1 : 0;
  }
  levels_.assign(pulls.size(), {});
  std::vector<std::vector<Sample>> looks(pulls.size());
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto k = static_cast<std::size_t>(i);
      if (pulls[k].present) looks[k] = Look(pulls, k, pulls[k].pose);
    }
  });
  std::array<double, DepthProfile::kSteps> top{}, bottom{};
  for (std::size_t k = 0; k < pulls.size(); ++k) {
    if (!pulls[k].present) continue;
    levels_[k] = LevelsOf(looks[k]);
    const double contrast = levels_[k].edge - levels_[k].body;
    if (!levels_[k].known) continue;
    for (const Sample& s : looks[k]) {
      if (!s.clear || s.depth <= 0 || s.depth >= DepthProfile::kSteps * DepthProfile::kStep) continue;
      const auto step = static_cast<std::size_t>(static_cast<double>(s.depth) / DepthProfile::kStep);
      // Least squares for the share at this depth: light = body + share contrast.
      top[step] += contrast * (static_cast<double>(s.light) - levels_[k].body);
      bottom[step] += contrast * contrast;
    }
  }
  for (std::size_t i = 0; i < top.size(); ++i) {
    if (bottom[i] > 0.05) profile_.share[i] = std::clamp(top[i] / bottom[i], -0.5, 1.5);
  }
}

double Explain::Misfit(const std::vector<Pull>& pulls, std::size_t i, const Pose& pose) const {
  const std::vector<Sample> samples = Look(pulls, i, pose);
  const TileLevels levels = LevelsOf(samples);
  double sum = 0;
  for (const Sample& s : samples) {
    const double depth = static_cast<double>(s.depth);
    const double model = static_cast<double>(s.others) * (1 - Cover(depth) * (1 - levels.At(profile_, depth)));
    const double r = static_cast<double>(s.light) - model;
    sum += std::min(kCap, r * r);
  }
  return samples.empty() ? kCap : sum / static_cast<double>(samples.size());
}

}  // namespace truepull::detect
