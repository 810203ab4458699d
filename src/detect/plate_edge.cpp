// SPDX-License-Identifier: Apache-2.0
#include "detect/plate_edge.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr double kUnseen = 1e3;
constexpr int kLeastPulls = 4;          // Fewer cannot tell the plate from the hand.
constexpr double kGrowthMm = 0.05, kGrowthSdMm = 0.07;
constexpr double kGrowthWeight = 20;    // Beside the outline: a sample at 0.05 mm counts as much.
// A departure is told when a side of it is off by more than a ragged edge leaves in the
// mean of some pulls, and by many times its own scatter.
constexpr double kLeastLeftMm = 0.06;    // After a first round.
// Touching edges that flow together leave up to 0.5 mm over a fifth of an outline, with ten
// times its scatter; a side cut 0.8 mm short has forty.
constexpr double kLeastDepartureMm = 0.35, kSure = 12, kSureKnown = 4, kLeastLengthMm = 8, kLeastShare = 0.1;
// Bands that flow together make a side seem further out, never short.
constexpr double kLeastOutwardsMm = 0.8;
constexpr double kOfLargest = 0.75;
constexpr double kSmoothMm = 4;         // Either way along the edge.

double StepOf(const PlateShape& shape) {
  return shape.edge.size() > 1 ? shape.edge[1].along_mm - shape.edge[0].along_mm : 0.5;
}

}  // namespace

PooledEdge PoolEdges(const EdgeFit& fit, const std::vector<Pull>& pulls, const PlateShape* shape,
                     const EdgeFitOptions& options) {
  PooledEdge out;
  out.shape = shape;
  const std::size_t n = shape->edge.size();
  out.mm.assign(n, 0);
  out.sd.assign(n, kUnseen);
  std::vector<std::size_t> use;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (pulls[i].present && pulls[i].shape == shape) use.push_back(i);
  }
  // Two dozen pulls tell it; more only cost time.
  constexpr std::size_t kMost = 24;
  if (use.size() > kMost) {
    std::nth_element(use.begin(), use.begin() + kMost, use.end(), [&](std::size_t a, std::size_t b) {
      return pulls[a].evidence != pulls[b].evidence ? pulls[a].evidence > pulls[b].evidence : a < b;
    });
    use.resize(kMost);
    std::sort(use.begin(), use.end());
  }
  out.pulls = static_cast<int>(use.size());
  if (out.pulls < kLeastPulls) return out;
  std::vector<std::vector<EdgeOffset>> offsets(use.size());
  cv::parallel_for_(cv::Range(0, out.pulls), [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      const auto u = static_cast<std::size_t>(k);
      offsets[u] = fit.Offsets(pulls, use[u], options);
    }
  });
  for (std::size_t k = 0; k < n; ++k) {
    std::vector<double> d;
    for (std::size_t u = 0; u < use.size(); ++u) {
      if (offsets[u][k].variance < 1.0) d.push_back(offsets[u][k].mm + pulls[use[u]].growth_mm);
    }
    if (d.size() < static_cast<std::size_t>(kLeastPulls) || 3 * d.size() < use.size()) continue;
    const double middle = Median(d);
    std::vector<double> off;
    for (const double v : d) off.push_back(std::abs(v - middle));
    const double spread = std::max(0.05, 1.4826 * Median(off));
    double sum = 0, count = 0;
    for (const double v : d) {
      if (std::abs(v - middle) < 3 * spread) sum += v, count += 1;
    }
    out.mm[k] = sum / count;
    out.sd[k] = 1.25 * spread / std::sqrt(count);
    out.seen += 1.0 / static_cast<double>(n);
  }
  return out;
}

PlateSize FitPlateSize(const PooledEdge& edge) {
  PlateSize size;
  if (edge.seen < 0.3) return size;
  const PlateShape& shape = *edge.shape;
  const Point centre = Centroid(shape.outline);
  const double lever = std::max(1.0, shape.radius);
  const double repeat = 8 / StepOf(shape);   // Samples within 8 mm hang together.
  Eigen::Matrix<double, 5, 1> x = Eigen::Matrix<double, 5, 1>::Zero();
  Eigen::Matrix<double, 5, 5> normal;
  for (int round = 0; round < 10; ++round) {
    normal.setIdentity();
    normal *= 1e-6;
    Eigen::Matrix<double, 5, 1> b = Eigen::Matrix<double, 5, 1>::Zero();
    normal(4, 4) += 1 / (kGrowthSdMm * kGrowthSdMm);
    b(4) += kGrowthMm / (kGrowthSdMm * kGrowthSdMm);
    for (std::size_t k = 0; k < shape.edge.size(); ++k) {
      if (edge.sd[k] >= kUnseen || shape.edge[k].corner > 0) continue;
      const Point p = shape.edge[k].at - centre, m = shape.edge[k].outward;
      Eigen::Matrix<double, 5, 1> row;
      row << m.x, m.y, Cross(p, m) / lever, Dot(p, m) / lever, 1;
      const double r = edge.mm[k] - row.dot(x);
      const double s2 = edge.sd[k] * edge.sd[k] + 0.1 * 0.1;
      const double w = 1 / (s2 * (1 + r * r / (4 * s2))) / repeat;   // Cauchy.
      normal += w * row * row.transpose();
      b += w * edge.mm[k] * row;
    }
    x = normal.ldlt().solve(b);
  }
  size.ratio = 1 + x(3) / lever;
  size.sd = std::sqrt(normal.inverse()(3, 3)) / lever;
  return size;
}

std::string Departure::Side() const {
  return std::abs(outward.x) > std::abs(outward.y) ? (outward.x > 0 ? "right" : "left")
                                             : (outward.y > 0 ? "bottom" : "top");
}

std::string Departure::Words() const {
  return fmt::format("{} side is {:.2f} mm {} (+- {:.2f} mm, over {:.0f} mm of edge)", Side(), std::abs(mm),
                     mm < 0 ? "short" : "too far out", sd, length_mm);
}

namespace {

// Every edge of a polygon moved outwards by its own amount; corners slide along.
Outline MoveEdges(const Outline& outline, const std::vector<double>& by_mm) {
  const std::size_t n = outline.size();
  const double sense = SignedArea(outline) > 0 ? 1 : -1;
  std::vector<Point> normal(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Point e = outline[(i + 1) % n] - outline[i];
    normal[i] = (sense / std::max(1e-9, Norm(e))) * Point{e.y, -e.x};
  }
  Outline out(n);
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t before = (i + n - 1) % n;
    const Point a = normal[before], b = normal[i];
    const double det = Cross(a, b);
    if (std::abs(det) > 0.3) {
      // a . move = d_before and b . move = d_here.
      const Point move{(by_mm[before] * b.y - by_mm[i] * a.y) / det, (a.x * by_mm[i] - b.x * by_mm[before]) / det};
      out[i] = outline[i] + move;
    } else {
      const Point mean = a + b;
      out[i] = outline[i] + (0.5 * (by_mm[before] + by_mm[i]) / std::max(1e-9, Norm(mean))) * mean;
    }
  }
  return out;
}

Outline Divided(const Outline& outline, double most_mm) {
  Outline out;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = outline[i], b = outline[(i + 1) % outline.size()];
    const int parts = std::max(1, static_cast<int>(std::ceil(Norm(b - a) / most_mm)));
    for (int k = 0; k < parts; ++k) out.push_back(a + (static_cast<double>(k) / parts) * (b - a));
  }
  return out;
}

// Points that lie on the line between their neighbours are left out.
Outline WithoutIdlePoints(const Outline& outline) {
  Outline out;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = out.empty() ? outline.back() : out.back(), p = outline[i], b = outline[(i + 1) % outline.size()];
    const Point ab = b - a;
    if (std::abs(Cross(ab, p - a)) > 0.005 * std::max(1e-9, Norm(ab)) || Dot(p - a, ab) < 0) out.push_back(p);
  }
  return out.size() >= 3 ? out : outline;
}

}  // namespace

PlateOutline FitPlateOutline(const PooledEdge& edge, const std::vector<Departure>& known) {
  const double least = known.empty() ? kLeastDepartureMm : kLeastLeftMm;
  const PlateShape& shape = *edge.shape;
  PlateOutline out;
  out.outline = shape.outline;
  if (edge.seen < 0.5) return out;
  const std::size_t n = shape.edge.size();
  const double lever = std::max(1.0, shape.radius), step = StepOf(shape);
  const auto row_of = [&](std::size_t k) {
    const Point p = shape.edge[k].at, m = shape.edge[k].outward;
    return Eigen::Vector4d(m.x, m.y, Cross(p, m) / lever, 1);
  };
  // Least absolute deviations by reweighting; growth near what dot gain makes.
  Eigen::Vector4d x = Eigen::Vector4d::Zero();
  x(3) = kGrowthMm;
  for (int round = 0; round < 60; ++round) {
    const double soft = std::max(0.03, 0.3 * std::pow(0.85, round));
    Eigen::Matrix4d a = Eigen::Vector4d(0.02, 0.02, 0.02, 0).asDiagonal();
    a *= static_cast<double>(n) * 0.05;
    a(3, 3) += kGrowthWeight * static_cast<double>(n);
    Eigen::Vector4d b = Eigen::Vector4d::Zero();
    b(3) += kGrowthWeight * static_cast<double>(n) * kGrowthMm;
    for (std::size_t k = 0; k < n; ++k) {
      if (edge.sd[k] >= kUnseen || shape.edge[k].corner > 0) continue;
      const Eigen::Vector4d row = row_of(k);
      const double r = edge.mm[k] - row.dot(x);
      const double w = 1 / std::max(soft, std::abs(r)) / (1 + edge.sd[k] / 0.2);
      a += w * row * row.transpose();
      b += w * edge.mm[k] * row;
    }
    x = a.ldlt().solve(b);
  }
  // What is left, smoothed along stretches that face the same way.
  std::vector<double> left(n, 0), sd(n, kUnseen);
  const int reach = static_cast<int>(kSmoothMm / step);
  double squares = 0, counted = 0, on = 0;
  for (std::size_t k = 0; k < n; ++k) {
    double sum = 0, weight = 0, own = 0;
    for (int d = -reach; d <= reach; ++d) {
      const std::size_t i = (k + n + static_cast<std::size_t>(d + static_cast<int>(n))) % n;
      if (edge.sd[i] >= kUnseen || shape.edge[i].corner > 0 || Dot(shape.edge[i].outward, shape.edge[k].outward) < 0.85) continue;
      const double w = 1 / (edge.sd[i] * edge.sd[i]);
      sum += w * (edge.mm[i] - row_of(i).dot(x));
      weight += w;
      own += 1;
    }
    if (own < 4) continue;
    left[k] = sum / weight;
    // Samples within two millimetres share the light they are read from.
    sd[k] = std::sqrt(std::max(1.0, 2 / step) / weight);
    on += std::abs(left[k]) < 0.7;
    squares += left[k] * left[k];
    counted += 1;
  }
  out.off_share = 1 - on / static_cast<double>(n);
  out.rms_mm = counted > 0 ? std::sqrt(squares / counted) : 0;
  std::vector<char> off(n, 0);
  for (std::size_t k = 0; k < n; ++k) {
    off[k] = sd[k] < kUnseen && std::abs(left[k]) > std::max(0.6 * least, 3 * sd[k]);
  }
  // Runs of one sign that face one way; begun behind a place that is no part of any.
  std::vector<double> move(n, 0);
  std::vector<std::pair<Departure, std::vector<std::pair<std::size_t, double>>>> runs;
  std::size_t start = 0;
  while (start < n && off[start]) ++start;
  if (start == n) start = 0;
  for (std::size_t c = 0; c < n;) {
    const std::size_t k = (start + c) % n;
    if (!off[k]) {
      ++c;
      continue;
    }
    std::size_t length = 0;
    double sum = 0, weight = 0;
    Point facing;
    while (c + length < n) {
      const std::size_t i = (k + length) % n;
      if (!off[i] || (left[i] > 0) != (left[k] > 0) || (length > 0 && Dot(facing, shape.edge[i].outward) < 0.7 * Norm(facing))) break;
      const double w = 1 / (sd[i] * sd[i]);
      sum += w * left[i], weight += w;
      facing = facing + shape.edge[i].outward;
      ++length;
    }
    c += length;
    const double mm = sum / weight, along = static_cast<double>(length) * step;
    const double error = std::sqrt(std::max(1.0, 8 / step) / weight);  // Ragged edges hang together.
    if (along < kLeastLengthMm || std::abs(mm) < std::max(least, kSureKnown * error)) continue;
    Departure d{(1 / std::max(1e-9, Norm(facing))) * facing, mm, error, along};
    const bool same = std::any_of(known.begin(), known.end(), [&](const Departure& was) { return Dot(was.outward, d.outward) > 0.7; });
    const bool much = along > kLeastShare * static_cast<double>(n) * step && std::abs(mm) > std::max(mm > 0 ? kLeastOutwardsMm : kLeastDepartureMm, kSure * error);
    if (!same && !much) continue;
    std::vector<std::pair<std::size_t, double>> samples;
    for (std::size_t i = 0; i < length; ++i) samples.emplace_back((k + i) % n, left[(k + i) % n]);
    runs.push_back({d, std::move(samples)});
  }
  // The largest first: a side that is far off shifts the others a little until it is put
  // right; what is truly off stays for the next round.
  double largest = 0;
  for (const auto& [d, samples] : runs) largest = std::max(largest, std::abs(d.mm));
  for (const auto& [d, samples] : runs) {
    if (std::abs(d.mm) < kOfLargest * largest) continue;
    out.departures.push_back(d);
    for (const auto& [i, mm] : samples) move[i] = mm;
  }
  if (out.departures.empty()) return out;
  // Corner samples and the softened ends of a run move with the run beside them.
  const Outline divided = Divided(shape.outline, 4.0);
  std::vector<double> by(divided.size(), 0);
  for (std::size_t e = 0; e < divided.size(); ++e) {
    const Point a = divided[e], b = divided[(e + 1) % divided.size()];
    const Point middle = 0.5 * (a + b);
    const double sense = SignedArea(divided) > 0 ? 1 : -1;
    const Point facing = (sense / std::max(1e-9, Norm(b - a))) * Point{(b - a).y, -(b - a).x};
    double best = 1e9;
    for (std::size_t k = 0; k < n; ++k) {
      if (shape.edge[k].corner > 0 || Dot(shape.edge[k].outward, facing) < 0.7) continue;
      const double d = Norm(shape.edge[k].at - middle);
      if (d < best) best = d, by[e] = move[k];
    }
  }
  out.outline = WithoutIdlePoints(MoveEdges(divided, by));
  return out;
}

}  // namespace truepull::detect
