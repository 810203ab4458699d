// SPDX-License-Identifier: Apache-2.0
#include "detect/edge_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <mutex>
#include <opencv2/core/utility.hpp>

#include "detect/blurred_step.h"
#include "geometry/median.h"

namespace truepull::detect {
namespace {

// ln(light + dark): mottling scatters light in proportion, so dark places are the more
// exact ones (where two inks overlap, above all); `dark` keeps the camera's own noise
// from ruling, and a large one makes the comparison nearly one of light itself.
class Tone {
 public:
  explicit Tone(double dark) : dark_(dark) {
    for (int i = 0; i < kCells; ++i) table_[static_cast<std::size_t>(i)] = static_cast<float>(std::log(i / kScale + dark));
  }
  float operator()(double light) const {
    const int i = static_cast<int>(light * kScale + 0.5);
    return table_[static_cast<std::size_t>(std::clamp(i, 0, kCells - 1))];
  }
  double Light(double tone) const { return std::exp(tone) - dark_; }

 private:
  static constexpr int kCells = 5500;
  static constexpr double kScale = 4096;
  double dark_;
  std::array<float, kCells> table_;
};

// Tables are few (one for each way of fitting) and cost more to make than a fit.
const Tone& ToneFor(double dark) {
  static std::mutex guard;
  static std::map<double, Tone> tables;
  const std::lock_guard<std::mutex> lock(guard);
  return tables.try_emplace(dark, dark).first->second;
}

struct Neighbour {
  const PlateShape* shape;
  Pose pose;
  double growth;
  Rotation back;   // Into its frame.
};

// All buffers of one tile's profiles; samples are [edge * count + j].
struct Profiles {
  int count = 0;                 // Samples along a normal.
  std::vector<double> t;         // Their places, mm, outwards positive.
  std::vector<float> light;      // Share of paper white; -1 where unknown.
  std::vector<float> cover;      // The neighbours' cover b.
};

struct EdgeShift {
  double shift = 0;              // Outwards, mm.
  double variance = 1e6;
};

}  // namespace

// The work on one tile in one sweep.
class TileFit {
 public:
  TileFit(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
          const EdgeFitOptions& options, const std::vector<Neighbour>& neighbours, const Tone& tone)
      : sampler_(sampler), camera_(camera), paper_(paper), options_(options), neighbours_(neighbours), tone_(tone) {}

  void Run(Pull& pull) {
    Sample(pull);
    Levels();
    if (options_.only_judge) {
      pull.misfit = Misfit();
      return;
    }
    Shifts();
    Solve(pull);
  }

  /// Only the edge's own shifts at the pull's pose.
  const std::vector<EdgeShift>& Look(const Pull& pull) {
    Sample(pull);
    Levels();
    Shifts();
    return shift_;
  }

 private:
  const std::vector<EdgeSample>& EdgeOf(const Pull& pull) const {
    return pull.shape->Edge(options_.spacing);
  }
  double EdgeStep() const { return SpacingMm(options_.spacing); }
  void Sample(const Pull& pull);
  void Levels();
  void Shifts();
  void Solve(Pull& pull);
  double Misfit() const;

  const PhotoSampler& sampler_;
  const SheetCamera& camera_;
  const PaperLight& paper_;
  const EdgeFitOptions& options_;
  const std::vector<Neighbour>& neighbours_;
  const Tone& tone_;
  Profiles profiles_;
  std::vector<double> own_, other_, bare_;   // Levels along the edge.
  std::vector<EdgeShift> shift_;

};

void TileFit::Sample(const Pull& pull) {
  const auto& edge = EdgeOf(pull);
  const int half = static_cast<int>(std::lround(options_.window_mm / options_.step_mm));
  profiles_.count = 2 * half + 1;
  const auto count = static_cast<std::size_t>(profiles_.count);
  profiles_.t.resize(count);
  for (int j = 0; j < profiles_.count; ++j) profiles_.t[static_cast<std::size_t>(j)] = (j - half) * options_.step_mm;
  profiles_.light.assign(edge.size() * count, -1.0f);
  profiles_.cover.assign(edge.size() * count, 0.0f);
  const Rotation turn(pull.pose.turn_rad);
  for (std::size_t k = 0; k < edge.size(); ++k) {
    const Point n = turn * edge[k].outward;
    const Point at = pull.pose.at + turn * edge[k].at + pull.growth_mm * n;
    const Point u = camera_.PhotoFromSheet(at);
    const MapDerivative d = camera_.Derivative(at);
    const Point dir{d[0] * n.x + d[1] * n.y, d[2] * n.x + d[3] * n.y};
    const Light white = paper_.At(at);
    const float scale = 3.0f / (white[0] + white[1] + white[2]);
    for (std::size_t j = 0; j < count; ++j) {
      const double t = profiles_.t[j];
      const double x = u.x + t * dir.x, y = u.y + t * dir.y;
      if (sampler_.Inside(x, y)) profiles_.light[k * count + j] = std::min(1.3f, scale * sampler_.MeanAt(x, y));
    }
    for (const Neighbour& other : neighbours_) {
      const Point p = other.back * (at - other.pose.at);
      const float here = other.shape->distance.At(p);
      if (here <= -(options_.window_mm + 0.7)) continue;
      const Point m = other.back * n;
      for (std::size_t j = 0; j < count; ++j) {
        const double t = profiles_.t[j];
        const double sd = static_cast<double>(other.shape->distance.At({p.x + t * m.x, p.y + t * m.y})) + other.growth;
        float& b = profiles_.cover[k * count + j];
        b = 1 - (1 - b) * static_cast<float>(1 - BlurredStep(sd / options_.sigma_mm));
      }
    }
  }
}

void TileFit::Levels() {
  const auto count = static_cast<std::size_t>(profiles_.count);
  const std::size_t n = profiles_.light.size() / count;
  // Sums per normal of the readings that show one thing only.
  std::vector<double> own_sum(n), own_n(n), other_sum(n), other_n(n), bare_sum(n), bare_n(n);
  const double clear = 1.6 * options_.sigma_mm;
  std::vector<double> own_all, other_all;
  const Tone& tone = tone_;
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t j = 0; j < count; ++j) {
      const double light = static_cast<double>(profiles_.light[k * count + j]);
      if (light < 0) continue;
      const double y = static_cast<double>(tone(light));
      const float b = profiles_.cover[k * count + j];
      const double t = profiles_.t[j];
      if (t < -clear && t > -1.6 && b < 0.1f) own_sum[k] += y, own_n[k] += 1;
      if (t > clear && t < 1.6 && b > 0.9f) other_sum[k] += y, other_n[k] += 1;
      if (t > clear && b < 0.1f) bare_sum[k] += y, bare_n[k] += 1;
    }
    if (own_n[k] > 0) own_all.push_back(own_sum[k] / own_n[k]);
    if (other_n[k] > 0) other_all.push_back(other_sum[k] / other_n[k]);
  }
  const double own_typical = own_all.empty() ? static_cast<double>(tone(0.3)) : Median(own_all);
  const double other_typical = other_all.empty() ? own_typical : Median(other_all);
  own_.resize(n);
  other_.resize(n);
  bare_.resize(n);
  const int reach = static_cast<int>(2.5 / EdgeStep());
  const double prior = 8;  // Readings that the tile's own typical level is worth.
  for (std::size_t k = 0; k < n; ++k) {
    double os = prior * own_typical, on = prior, qs = prior * other_typical, qn = prior, bs = 4 * prior * static_cast<double>(tone(1)), bn = 4 * prior;
    for (int m = -reach; m <= reach; ++m) {
      const std::size_t i = (k + n + static_cast<std::size_t>(m + static_cast<int>(n))) % n;
      os += own_sum[i], on += own_n[i];
      qs += other_sum[i], qn += other_n[i];
      bs += bare_sum[i], bn += bare_n[i];
    }
    bare_[k] = std::clamp(tone.Light(bs / bn), 0.75, 1.1);
    own_[k] = std::clamp(tone.Light(os / on) / bare_[k], 0.0, 0.98);
    other_[k] = std::clamp(tone.Light(qs / qn) / bare_[k], 0.0, 1.0);
  }
}

void TileFit::Shifts() {
  const int count = profiles_.count;
  const auto c = static_cast<std::size_t>(count);
  const std::size_t n = own_.size();
  const int half = count / 2;
  const int range = half - 2;                       // Shifts tried, in steps.
  const auto tries = static_cast<std::size_t>(2 * range + 1);
  // Own cover depends on shift - t only.
  std::vector<double> step(static_cast<std::size_t>(4 * half + 3));
  for (int i = -2 * half - 1; i <= 2 * half + 1; ++i) {
    step[static_cast<std::size_t>(i + 2 * half + 1)] = BlurredStep(i * options_.step_mm / options_.sigma_mm);
  }
  std::vector<double> cost(n * tries, 0.0);
  std::vector<double> readings(n);
  const Tone& tone = tone_;
  for (std::size_t k = 0; k < n; ++k) {
    const double own_drop = 1 - own_[k];
    for (std::size_t j = 0; j < c; ++j) {
      const double y = static_cast<double>(profiles_.light[k * c + j]);
      if (y < 0) continue;
      const double seen = static_cast<double>(tone(y));
      const double other = bare_[k] * (1 - static_cast<double>(profiles_.cover[k * c + j]) * (1 - other_[k]));
      readings[k] += 1;
      const int tj = static_cast<int>(j) - half;
      for (int d = -range; d <= range; ++d) {
        const double model = other * (1 - own_drop * step[static_cast<std::size_t>(d - tj + 2 * half + 1)]);
        const double r = seen - static_cast<double>(tone(model));
        cost[k * tries + static_cast<std::size_t>(d + range)] += std::min(options_.cap, r * r);
      }
    }
  }
  shift_.assign(n, {});
  const int smooth = static_cast<int>(1.0 / EdgeStep());
  std::vector<double> sum(tries), best_cost;
  std::vector<double> curvature(n, 0);
  for (std::size_t k = 0; k < n; ++k) {
    std::fill(sum.begin(), sum.end(), 0.0);
    double used = 0;
    for (int m = -smooth; m <= smooth; ++m) {
      const std::size_t i = (k + n + static_cast<std::size_t>(m + static_cast<int>(n))) % n;
      used += readings[i];
      for (std::size_t d = 0; d < tries; ++d) sum[d] += cost[i * tries + d];
    }
    if (used < 0.8 * (2 * smooth + 1) * count) continue;  // Partly off the photo.
    std::size_t best = 0;
    for (std::size_t d = 1; d < tries; ++d) {
      if (sum[d] < sum[best]) best = d;
    }
    best_cost.push_back(sum[best] / used);
    if (best == 0 || best + 1 == tries) continue;  // No minimum inside the window.
    const double l = sum[best - 1], m = sum[best], r = sum[best + 1];
    const double curve = l - 2 * m + r;
    if (curve <= 0) continue;
    shift_[k].shift = (static_cast<double>(best) - range + 0.5 * (l - r) / curve) * options_.step_mm;
    // cost ~ curve / (2 step^2) shift^2; the sum counts each reading 2 smooth + 1 times.
    curvature[k] = curve / (options_.step_mm * options_.step_mm) / (2 * smooth + 1);
  }
  const double noise2 = std::max(1e-4, best_cost.empty() ? 1.0 : Median(best_cost));
  for (std::size_t k = 0; k < n; ++k) {
    if (curvature[k] > 0) shift_[k].variance = 2 * noise2 / curvature[k];
  }
}

void TileFit::Solve(Pull& pull) {
  const auto& edge = EdgeOf(pull);
  const std::size_t n = edge.size();
  const Rotation turn(pull.pose.turn_rad);
  const double lever = std::max(1.0, pull.shape->radius);  // Turn in mm at the rim.
  Eigen::Vector4d x = Eigen::Vector4d::Zero();
  double scale = 0.6;
  Eigen::Matrix4d normal = Eigen::Matrix4d::Identity();
  std::vector<double> weight(n, 0), residual(n, 0);
  std::vector<Eigen::Vector4d> row(n);
  for (std::size_t k = 0; k < n; ++k) {
    const Point m = turn * edge[k].outward, p = turn * edge[k].at;
    row[k] = {m.x, m.y, Cross(p, m) / lever, 1.0};
  }
  const double growth_prior = 1 / (options_.growth_sd_mm * options_.growth_sd_mm);
  const double growth_off = options_.growth_mean_mm - pull.growth_mm;
  // Priors count in full, samples only as far as they are independent.
  const double repeat = pull.repeat;
  for (int round = 0; round < 12; ++round) {
    Eigen::Matrix4d a = Eigen::Matrix4d::Zero();
    Eigen::Vector4d b = Eigen::Vector4d::Zero();
    a(3, 3) = growth_prior * repeat;
    b(3) = growth_prior * growth_off * repeat;
    a(0, 0) += 1e-3, a(1, 1) += 1e-3, a(2, 2) += 1e-3;
    for (std::size_t k = 0; k < n; ++k) {
      weight[k] = 0;
      if (shift_[k].variance > 4.0) continue;
      residual[k] = shift_[k].shift - row[k].dot(x);
      const double s2 = shift_[k].variance + scale * scale;
      const double z = residual[k] / (4.685 * std::sqrt(s2));
      if (std::abs(z) >= 1) continue;
      const double tukey = (1 - z * z) * (1 - z * z);
      weight[k] = tukey / s2 * (edge[k].corner > 0 ? 0.15 : 1.0);
      a += weight[k] * row[k] * row[k].transpose();
      b += weight[k] * shift_[k].shift * row[k];
    }
    x = a.ldlt().solve(b);
    normal = a;
    // Robust spread beyond what each sample's own variance explains.
    std::vector<double> size;
    for (std::size_t k = 0; k < n; ++k) {
      if (shift_[k].variance > 0.05) continue;
      size.push_back(std::abs(shift_[k].shift - row[k].dot(x)));
    }
    const double mad = size.size() > 20 ? 1.4826 * Median(size) : 0.3;
    scale = std::clamp(mad, 0.04, round < 3 ? 0.6 : 0.4);
  }
  // Neighbouring samples share raggedness: find how many count as one.
  double zero = 0;
  std::vector<double> lagged(40, 0.0);
  double used = 0, possible = 0;
  for (std::size_t k = 0; k < n; ++k) {
    possible += 1;
    if (weight[k] <= 0) continue;
    used += std::min(1.0, weight[k] * 0.02);
    zero += weight[k] * residual[k] * weight[k] * residual[k];
    for (std::size_t m = 1; m < lagged.size() && m < n; ++m) {
      const std::size_t i = (k + m) % n;
      lagged[m] += weight[k] * residual[k] * weight[i] * residual[i];
    }
  }
  double inflate = 1;
  for (std::size_t m = 1; m < lagged.size() && zero > 0; ++m) {
    const double rho = lagged[m] / zero;
    if (rho < 0.05) break;
    inflate += 2 * rho;
  }
  if (options_.spacing == Spacing::kFine) {
    pull.edge_out_mm.assign(n, std::numeric_limits<float>::quiet_NaN());
    for (std::size_t k = 0; k < n; ++k) {
      // 0.05 mm^2: an edge that is seen at all.
      if (shift_[k].variance < 0.05 && edge[k].corner <= 0) {
        pull.edge_out_mm[k] = static_cast<float>(shift_[k].shift - row[k].dot(x));
      }
    }
  }
  pull.repeat = inflate;
  const Eigen::Matrix4d cov = normal.inverse() * inflate;
  pull.pose.at = pull.pose.at + Point{x(0), x(1)};
  pull.pose.turn_rad = WrapTurn(pull.pose.turn_rad + x(2) / lever);
  pull.growth_mm += x(3);
  pull.spread_mm = scale;
  pull.evidence = possible > 0 ? used / possible : 0;
  pull.moved_mm = std::sqrt(x(0) * x(0) + x(1) * x(1)) + std::abs(x(2));
  const double s[3] = {1, 1, 1 / lever};
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      pull.covariance[static_cast<std::size_t>(3 * i + j)] = cov(i, j) * s[i] * s[j];
    }
  }
}

// In light itself, not its logarithm: judges between places are fooled least by what is
// bright and should not be.
double TileFit::Misfit() const {
  const auto c = static_cast<std::size_t>(profiles_.count);
  double sum = 0, n = 0;
  for (std::size_t k = 0; k < own_.size(); ++k) {
    for (std::size_t j = 0; j < c; ++j) {
      const double y = static_cast<double>(profiles_.light[k * c + j]);
      if (y < 0) continue;
      const double b = static_cast<double>(profiles_.cover[k * c + j]);
      const double a = BlurredStep(-profiles_.t[j] / options_.sigma_mm);
      const double r = y - bare_[k] * (1 - b * (1 - other_[k])) * (1 - a * (1 - own_[k]));
      sum += r * r;
      n += 1;
    }
  }
  return n > 0 ? sum / n : 1;
}

namespace {

std::vector<Neighbour> NeighboursOf(const std::vector<Pull>& pulls, std::size_t i, const Pose& pose, double reach_mm) {
  std::vector<Neighbour> neighbours;
  for (std::size_t k = 0; k < pulls.size(); ++k) {
    const Pull& other = pulls[k];
    if (k == i || !other.present) continue;
    if (Norm(other.pose.at - pose.at) < other.shape->radius + pulls[i].shape->radius + reach_mm) {
      neighbours.push_back({other.shape, other.pose, other.growth_mm, Rotation(-other.pose.turn_rad)});
    }
  }
  return neighbours;
}

}  // namespace

void EdgeFit::Sweep(std::vector<Pull>& pulls, const EdgeFitOptions& options) const {
  const std::vector<Pull> before = pulls;
  const PhotoSampler sampler(photo_.bgr);
  const Tone& tone = ToneFor(options.dark);
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto k = static_cast<std::size_t>(i);
      if (!pulls[k].present) continue;
      const auto neighbours = NeighboursOf(before, k, pulls[k].pose, options.window_mm + 1);
      TileFit(sampler, camera_, paper_, options, neighbours, tone).Run(pulls[k]);
    }
  });
}

Pull EdgeFit::Try(const std::vector<Pull>& pulls, std::size_t i, const Pose& start,
                  std::span<const EdgeFitOptions> rounds) const {
  const PhotoSampler sampler(photo_.bgr);
  Pull pull = pulls[i];
  pull.pose = start;
  pull.growth_mm = rounds.empty() ? 0 : rounds[0].growth_mean_mm;
  pull.repeat = 8;
  pull.present = true;
  for (const EdgeFitOptions& options : rounds) {
    const auto neighbours = NeighboursOf(pulls, i, pull.pose, options.window_mm + 1);
    TileFit(sampler, camera_, paper_, options, neighbours, ToneFor(options.dark)).Run(pull);
  }
  return pull;
}

std::vector<EdgeOffset> EdgeFit::Offsets(const std::vector<Pull>& pulls, std::size_t i,
                                         const EdgeFitOptions& options) const {
  const PhotoSampler sampler(photo_.bgr);
  const auto neighbours = NeighboursOf(pulls, i, pulls[i].pose, options.window_mm + 1);
  TileFit tile(sampler, camera_, paper_, options, neighbours, ToneFor(options.dark));
  std::vector<EdgeOffset> offsets;
  for (const EdgeShift& s : tile.Look(pulls[i])) offsets.push_back({s.shift, s.variance});
  return offsets;
}

}  // namespace truepull::detect
