// SPDX-License-Identifier: Apache-2.0
#include "detect/edge_evidence.h"

#include <algorithm>
#include <cmath>

#include "detect/blurred_step.h"

namespace truepull::detect {
namespace {

constexpr double kDark = 0.012;        // Camera noise, share of paper white.
constexpr double kInwards = 4.2;  // Along a normal, mm.
constexpr double kAlikeMm = 0.8;          // Readings along a normal this near count as one.
constexpr double kOutlier = 12;        // Squared whitened residual beyond which a reading counts less.

// Single precision is enough beside what mottling scatters, and twice as fast.
double FastExp(double x) { return static_cast<double>(std::exp(static_cast<float>(x))); }
double FastLog(double x) { return static_cast<double>(std::log(static_cast<float>(x))); }

// Readings of neighbouring normals together, over 1 mm of edge.
std::vector<Observation> Smoothed(const std::vector<Observation>& raw, int either_way) {
  const std::size_t n = raw.size();
  std::vector<Observation> out = raw;
  for (std::size_t k = 0; k < n; ++k) {
    Observation& o = out[k];
    o.info.setZero();
    o.score.setZero();
    for (int m = -either_way; m <= either_way; ++m) {
      const Observation& q = raw[(k + n + static_cast<std::size_t>(m + static_cast<int>(n))) % n];
      if (q.neighbour == o.neighbour) {
        o.info += q.info;
        o.score += q.score;
      } else {
        o.info(0, 0) += q.info(0, 0);
        o.score(0) += q.score(0);
      }
    }
    o.info /= 2 * either_way + 1;
    o.score /= 2 * either_way + 1;
  }
  return out;
}

}  // namespace

SheetInk::SheetInk() : scatter(0.0225 * Eigen::Matrix3d::Ones() + 0.0036 * Eigen::Matrix3d::Identity()) {}

PullEvidence Weigh(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
                   const std::vector<Pull>& pulls, std::size_t i, const SheetInk& ink, double rough,
                   const EvidenceOptions& options) {
  const double sigma = options.sigma_mm, bare = ink.bare;
  const double step_mm = options.coarse ? 0.3 : 0.2;
  EdgeReadings r = ReadEdges(sampler, camera, paper, pulls, i, kInwards, options.outwards_mm, step_mm, options.coarse);
  const double alike = kAlikeMm / step_mm;
  PullEvidence part;
  part.levels = TypicalLevels(r, sigma);
  FitLocalLevels(r, ink.share, sigma, part.levels,
                 ink.levels.empty() ? std::vector<PullLevels>(pulls.size(), part.levels) : ink.levels, options.level_prior);
  double cost = 0, readings = 0;
  const Eigen::Matrix3d precision = ink.scatter.inverse();
  const auto count = static_cast<std::size_t>(r.count);
  const std::size_t n = r.normals.size();
  std::vector<Observation> raw(n);
  for (std::size_t k = 0; k < n; ++k) {
    const Normal& m = r.normals[k];
    Observation& o = raw[k];
    o.own = m.own;
    o.other = m.other;
    o.neighbour = m.neighbour;
    if (!m.known) continue;
    for (std::size_t j = 0; j < count; ++j) {
      const std::size_t at = k * count + j;
      if (r.light[at][0] < 0) continue;
      const double depth = -r.t[j];
      const double depths[3] = {depth, static_cast<double>(r.depth1[at]), static_cast<double>(r.depth2[at])};
      double cover[3], line[3], s[3], slope[3];
      int inks = 1;                      // Neighbours out of reach come last.
      for (int q = 0; q < 3; ++q) {
        if (q > 0 && depths[q] < -4 * sigma) {
          cover[q] = line[q] = s[q] = slope[q] = 0;
          continue;
        }
        inks = q + 1;
        cover[q] = BlurredStep(depths[q] / sigma);
        line[q] = BlurredLine(depths[q] / sigma) / sigma;
        s[q] = ink.share.At(depths[q]);
        slope[q] = ink.share.Slope(depths[q]);
      }
      Tone3 residual, without = Tone3::Zero(), by_own, by_other, by_blur;
      for (int c = 0; c < 3; ++c) {
        double light = std::exp(m.paper(c));
        double ratio[3] = {1, 1, 1}, by_shift[3] = {0, 0, 0}, blur = 0;
        for (int q = 0; q < inks; ++q) {
          const double edge = q == 0 ? m.edge(c) : m.other_edge(c), body = q == 0 ? m.body(c) : m.other_body(c);
          const double full = FastExp(body + s[q] * (edge - body));   // Light through full cover.
          ratio[q] = 1 - cover[q] * (1 - full);
          by_shift[q] = (-line[q] * (1 - full) + cover[q] * full * slope[q] * (edge - body)) / ratio[q];
          blur += line[q] * depths[q] / sigma * (1 - full) / ratio[q];
          light *= ratio[q];
        }
        const double scale = light / (light + kDark);
        if (options.with_cost) without(c) = std::log((static_cast<double>(r.light[at][static_cast<std::size_t>(c)]) + kDark) / (light / ratio[0] + kDark));
        residual(c) = FastLog((static_cast<double>(r.light[at][static_cast<std::size_t>(c)]) + kDark) / (light + kDark));
        by_own(c) = scale * by_shift[0];
        by_other(c) = scale * by_shift[1];
        by_blur(c) = scale * blur;
      }
      // Ink scatters far more than bare paper: a speck of ink on what should be bare says
      // much, a bare speck in what should be ink little.
      const double open[3] = {1 - cover[0], 1 - cover[1], 1 - cover[2]};
      const double ink_part = 1 - open[0] * open[1] * open[2];
      const double v = bare + ink_part * (cover[0] * rough + open[0] - bare);
      const Tone3 white = precision * residual / v;
      const double size = residual.dot(white);
      if (options.with_cost) {
        // Beside the same light with this pull not there: so that places can be compared
        // although each looks at other readings. Stray specks and smudges are as likely
        // anywhere: a bound on the density itself.
        const double v0 = bare + (1 - open[1] * open[2]) * (1 - bare);
        const double size0 = without.dot(precision * without) / v0;
        cost += std::min(size + 3 * std::log(v), kOutlier) - std::min(size0 + 3 * std::log(v0), kOutlier);
        readings += 1;
      }
      const double w = (size > kOutlier ? kOutlier / size : 1.0) / alike;
      const Tone3 p_own = precision * by_own / v;
      o.info(0, 0) += w * by_own.dot(p_own);
      o.score(0) += w * by_own.dot(white);
      if (m.neighbour >= 0) {
        o.info(0, 1) += w * by_other.dot(p_own);
        o.info(1, 1) += w * by_other.dot(precision * by_other) / v;
        o.score(1) += w * by_other.dot(white);
      }
      part.blur_top += w * by_blur.dot(white);
      part.blur_bottom += w * by_blur.dot(precision * by_blur) / v;
      const double far = 2 * sigma;
      if (std::abs(depths[0]) > far && std::abs(depths[1]) > far && std::abs(depths[2]) > far && cover[0] + cover[1] > 0.5) {
        part.scatter += std::min(1.0, kOutlier / std::max(1e-9, size)) * residual * residual.transpose();
        part.scatter_n += 1;
        if (depths[0] > 0 && depths[1] < 0) part.own_size += std::min(size, kOutlier) * v, part.own_n += 1;
      }
      if (depths[0] < -far && depths[1] < -far && depths[2] < -far) part.bare_size += std::min(size, kOutlier) * v, part.bare_n += 1;
      if (depth > 0.1 && depths[1] < -far && depth < DepthShare::kBins * DepthShare::kBin) {
        // Least squares for the share at this depth: tone = paper + body + share (edge - body).
        const auto bin = static_cast<std::size_t>(depth / DepthShare::kBin);
        const Tone3 contrast = m.edge - m.body;
        const Tone3 beyond = residual + s[0] * contrast;
        part.share_top[bin] += contrast.dot(precision * beyond);
        part.share_bottom[bin] += contrast.dot(precision * contrast);
      }
    }
    o.info(1, 0) = o.info(0, 1);
    // How far the neighbour's edge is: near, the seam is read from both sides.
    const float here = std::abs(r.depth1[k * count + static_cast<std::size_t>(std::lround(kInwards / step_mm))]);
    o.share = m.along_weight * (m.neighbour < 0 ? 1.0 : std::clamp(0.5 + 0.5 * (static_cast<double>(here) - 0.8) / 0.6, 0.5, 1.0));
  }
  part.seen = Smoothed(raw, options.coarse ? 1 : 2);
  part.cost = readings > 0 ? cost / readings : 1e3;
  return part;
}

}  // namespace truepull::detect
