// SPDX-License-Identifier: Apache-2.0
#include "detect/edge_readings.h"

#include <algorithm>
#include <cmath>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr float kDarkest = 0.006f;   // Light below it is the camera's own noise.
constexpr float kNone = -9.0f;        // Depth below no edge at all.

// Direction in which the distance to an outline falls fastest: outwards. Tile frame.
Point OutwardAt(const DistanceGrid& grid, Point p) {
  constexpr double h = 0.25;
  const Point g{static_cast<double>(grid.At({p.x + h, p.y}) - grid.At({p.x - h, p.y})),
                static_cast<double>(grid.At({p.x, p.y + h}) - grid.At({p.x, p.y - h}))};
  const double length = Norm(g);
  return length > 1e-6 ? (-1 / length) * g : Point{0, 0};
}

}  // namespace

double DepthShare::At(double depth_mm) const {
  const double u = std::clamp(depth_mm / kBin - 0.5, 0.0, kBins - 1.001);
  const auto i = static_cast<std::size_t>(u);
  return share[i] + (u - static_cast<double>(i)) * (share[i + 1] - share[i]);
}

double DepthShare::Slope(double depth_mm) const {
  const double u = depth_mm / kBin - 0.5;
  if (u <= 0 || u >= kBins - 1.001) return 0;
  const auto i = static_cast<std::size_t>(u);
  return (share[i + 1] - share[i]) / kBin;
}

DepthShare DepthShare::Usual() {
  DepthShare s;
  for (int i = 0; i < kBins; ++i) {
    s.share[static_cast<std::size_t>(i)] = std::clamp(0.5 - ((i + 0.5) * kBin - 2.0) / 1.5, 0.0, 1.0);
  }
  return s;
}

EdgeReadings ReadEdges(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
                       const std::vector<Pull>& pulls, std::size_t i, double inwards_mm, double outwards_mm,
                       double step_mm, Spacing spacing) {
  const Pull& pull = pulls[i];
  const auto& edge = pull.shape->Edge(spacing);
  EdgeReadings r;
  r.spacing_mm = SpacingMm(spacing);
  const int before = static_cast<int>(std::lround(inwards_mm / step_mm)), after = static_cast<int>(std::lround(outwards_mm / step_mm));
  r.count = before + after + 1;
  const auto count = static_cast<std::size_t>(r.count);
  for (int j = -before; j <= after; ++j) r.t.push_back(j * step_mm);
  r.normals.resize(edge.size());
  r.tone.assign(edge.size() * count, Tone4::Zero());
  r.dark_tone.assign(edge.size() * count, Tone4::Zero());
  r.clear.assign(edge.size() * count, -1.0f);
  r.depth1.assign(edge.size() * count, kNone);
  r.depth2.assign(edge.size() * count, kNone);
  struct Near {
    int index;
    const Pull* pull;
    Rotation back, turn;
  };
  std::vector<Near> near;
  for (std::size_t k = 0; k < pulls.size(); ++k) {
    if (k == i || !pulls[k].present) continue;
    if (Norm(pulls[k].pose.at - pull.pose.at) < pulls[k].shape->radius + pull.shape->radius + outwards_mm + 1) {
      near.push_back({static_cast<int>(k), &pulls[k], Rotation(-pulls[k].pose.turn_rad), Rotation(pulls[k].pose.turn_rad)});
    }
  }
  const Rotation turn(pull.pose.turn_rad);
  for (std::size_t k = 0; k < edge.size(); ++k) {
    Normal& normal = r.normals[k];
    const Point n = turn * edge[k].outward;
    const Point rim = turn * edge[k].at;
    const Point at = pull.pose.at + rim + pull.growth_mm * n;
    normal.own << n.x, n.y, Cross(rim, n), 1;
    normal.along_weight = edge[k].corner > 0 ? 0.15 : 1.0;
    const Point u = camera.PhotoFromSheet(at);
    const MapDerivative d = camera.Derivative(at);
    const Point dir{d[0] * n.x + d[1] * n.y, d[2] * n.x + d[3] * n.y};
    const Light white = paper.At(at);
    const Tone4 share(1 / white[0], 1 / white[1], 1 / white[2], 1);
    int seen = 0;
    for (std::size_t j = 0; j < count; ++j) {
      const double x = u.x + r.t[j] * dir.x, y = u.y + r.t[j] * dir.y;
      if (!sampler.Inside(x, y)) continue;
      const Light l = sampler.At(x, y);
      const Tone4 light = (Tone4(l[0], l[1], l[2], 1) * share).min(1.3f);
      const float mean = (light[0] + light[1] + light[2]) / 3;
      const std::size_t place = k * count + j;
      r.tone[place] = light.max(kDarkest).log();
      r.dark_tone[place] = (light + kCameraDark).log();
      r.clear[place] = mean / (mean + kCameraDark);
      ++seen;
    }
    normal.known = seen > 0.8 * r.count;
    // The two neighbours whose edges come nearest to this place from outside.
    const Near* first = nullptr;
    const Near* second = nullptr;
    double depth_first = -(outwards_mm + 0.7), depth_second = depth_first;
    for (const Near& m : near) {
      const double depth = static_cast<double>(m.pull->shape->distance.At(m.back * (at - m.pull->pose.at))) + m.pull->growth_mm;
      if (depth > depth_first) {
        second = first, depth_second = depth_first;
        first = &m, depth_first = depth;
      } else if (depth > depth_second) {
        second = &m, depth_second = depth;
      }
    }
    const auto fill = [&](const Near* m, std::vector<float>& depth) {
      if (m == nullptr) return;
      const Point p = m->back * (at - m->pull->pose.at), q = m->back * n;
      for (std::size_t j = 0; j < count; ++j) {
        depth[k * count + j] = m->pull->shape->distance.At({p.x + r.t[j] * q.x, p.y + r.t[j] * q.y}) +
                               static_cast<float>(m->pull->growth_mm);
      }
    };
    fill(first, r.depth1);
    fill(second, r.depth2);
    if (first == nullptr) continue;
    // Where along this normal the neighbour's edge is crossed.
    std::size_t cross = 0;
    float least = 1e9f;
    for (std::size_t j = 0; j < count; ++j) {
      const float a = std::abs(r.depth1[k * count + j]);
      if (a < least) least = a, cross = j;
    }
    if (least > 1.0f) continue;
    const Point place = at + r.t[cross] * n;
    const Point m = first->turn *
                    OutwardAt(first->pull->shape->distance, first->back * (place - first->pull->pose.at));
    if (m.x == 0 && m.y == 0) continue;
    normal.neighbour = first->index;
    normal.other << m.x, m.y, Cross(place - first->pull->pose.at, m), 1;
  }
  return r;
}

PullLevels TypicalLevels(const EdgeReadings& r, double sigma_mm) {
  PullLevels out;
  std::array<std::vector<double>, 3> edge, body;
  const auto count = static_cast<std::size_t>(r.count);
  for (const bool alone : {true, false}) {
    for (std::size_t k = 0; k < r.normals.size(); ++k) {
      if (!r.normals[k].known) continue;
      for (std::size_t j = 0; j < count; ++j) {
        const double t = r.t[j];
        if (t > -2 * sigma_mm || (t < -1.4 && t > -2.6)) continue;
        const std::size_t at = k * count + j;
        if (r.clear[at] < 0 || (alone && r.depth1[at] > -2 * static_cast<float>(sigma_mm))) continue;
        for (int c = 0; c < 3; ++c) (t > -2 ? edge : body)[static_cast<std::size_t>(c)].push_back(static_cast<double>(r.tone[at](c)));
      }
    }
    if (edge[0].size() >= 60 && body[0].size() >= 60) {
      for (int c = 0; c < 3; ++c) {
        out.edge(c) = std::min(-0.03, Median(edge[static_cast<std::size_t>(c)]));
        out.body(c) = std::min(-0.03, Median(body[static_cast<std::size_t>(c)]));
      }
      out.known = true;
      return out;
    }
  }
  return out;
}

void FitLocalLevels(EdgeReadings& r, const DepthShare& share, double sigma_mm, const PullLevels& own,
                    const std::vector<PullLevels>& all, double prior) {
  // Unknowns of a normal, by channel: ln p, own edge and body, neighbours' edge and body.
  using Matrix = Eigen::Matrix<double, 5, 5>;
  using Right = Eigen::Matrix<double, 5, 3>;
  const auto count = static_cast<std::size_t>(r.count);
  const std::size_t n = r.normals.size();
  std::vector<Matrix> a(n, Matrix::Zero());
  std::vector<Right> b(n, Right::Zero());
  const double clear = 1.7 * sigma_mm;
  for (std::size_t k = 0; k < n; ++k) {
    if (!r.normals[k].known) continue;
    for (std::size_t j = 0; j < count; ++j) {
      const std::size_t at = k * count + j;
      const double depth = -r.t[j], d1 = static_cast<double>(r.depth1[at]), d2 = static_cast<double>(r.depth2[at]);
      if (r.clear[at] < 0 || std::abs(depth) < clear || std::abs(d1) < clear || std::abs(d2) < clear) continue;
      Eigen::Matrix<double, 5, 1> x = Eigen::Matrix<double, 5, 1>::Zero();
      x(0) = 1;
      if (depth > 0) {
        const double s = share.At(depth);
        x(1) = s;
        x(2) = 1 - s;
      }
      for (const double d : {d1, d2}) {
        if (d <= 0) continue;
        const double s = share.At(d);
        x(3) += s;
        x(4) += 1 - s;
      }
      // Dark readings carry the camera's noise.
      const double w = static_cast<double>(r.clear[at] * r.clear[at]);
      a[k] += w * x * x.transpose();
      b[k] += w * x * r.tone[at].head<3>().cast<double>().matrix().transpose();
    }
  }
  const int reach = static_cast<int>(2.5 / r.spacing_mm);   // Normals either way.
  const double paper_prior = 32;
  Matrix sum_a = Matrix::Zero();
  Right sum_b = Right::Zero();
  const auto wrap = [n](std::ptrdiff_t k) {
    const auto m = static_cast<std::ptrdiff_t>(n);
    return static_cast<std::size_t>(((k % m) + m) % m);
  };
  for (int m = -reach; m <= reach; ++m) sum_a += a[wrap(m)], sum_b += b[wrap(m)];
  for (std::size_t k = 0; k < n; ++k) {
    Normal& normal = r.normals[k];
    const PullLevels& other = normal.neighbour >= 0 ? all[static_cast<std::size_t>(normal.neighbour)] : own;
    Matrix m = sum_a;
    Right v = sum_b;
    const double weight[5] = {paper_prior, prior, prior, prior, prior};
    const Tone3 expected[5] = {Tone3::Zero(), own.edge, own.body, other.edge, other.body};
    for (int i = 0; i < 5; ++i) {
      m(i, i) += weight[i];
      v.row(i) += weight[i] * expected[i].transpose();
    }
    const Right x = m.llt().solve(v);
    normal.paper = x.row(0).transpose().cwiseMax(-0.3).cwiseMin(0.1);
    normal.edge = x.row(1).transpose().cwiseMin(-0.02);
    normal.body = x.row(2).transpose().cwiseMin(-0.02);
    normal.other_edge = x.row(3).transpose().cwiseMin(-0.02);
    normal.other_body = x.row(4).transpose().cwiseMin(-0.02);
    const auto here = static_cast<std::ptrdiff_t>(k);
    sum_a += a[wrap(here + reach + 1)] - a[wrap(here - reach)];
    sum_b += b[wrap(here + reach + 1)] - b[wrap(here - reach)];
  }
}

}  // namespace truepull::detect
