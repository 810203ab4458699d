// SPDX-License-Identifier: Apache-2.0
#include "detect/colour_classes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace truepull::detect {
namespace {

constexpr std::size_t kSamples = 700;
constexpr std::size_t kStarts = 8;
constexpr int kRounds = 6;
constexpr float kEdgeMm = 0.5F;          // Nearer to the outline light is mixed with the next.
constexpr float kRimMm = 1.25F;
constexpr double kBareShare = 0.25;      // Of a full pull's density; as coverage has it.
constexpr double kAlike = 9;             // CIEDE2000: side by side a change of tone, no colour.
constexpr double kNearHue = 0.96;        // Cosine between densities: further off it is no use to ask ...
constexpr double kThinned = 6;           // ... whether one is the other laid thinner: CIEDE2000.
constexpr double kThicker = 1.5;         // A stroke over a stroke.
constexpr double kLeastShare = 0.012;
constexpr double kMixtureShare = 0.065;  // A border's share of a tile of 40 mm or more.
constexpr float kOnTheWay = 6;           // Off the straight way, of 100 as CodeOf has it.

struct Cluster {
  cv::Vec3f code;    // Cube roots of light: distances as the eye has them, roughly.
  cv::Vec3f light;
  double count = 0;
};

cv::Vec3f CodeOf(const cv::Vec3f& light) {
  // A table: half a million cube roots would be a fifth of the whole time.
  static const std::vector<float> table = [] {
    std::vector<float> t(1101);
    for (std::size_t i = 0; i < t.size(); ++i) t[i] = static_cast<float>(100 * std::cbrt((static_cast<double>(i) + 0.5) / 1000));
    return t;
  }();
  cv::Vec3f out;
  for (int c = 0; c < 3; ++c) out[c] = table[static_cast<std::size_t>(std::clamp(1000 * light[c], 0.0F, 1100.0F))];
  return out;
}

float Distance2(const cv::Vec3f& a, const cv::Vec3f& b) {
  const cv::Vec3f d = a - b;
  return d.dot(d);
}

std::size_t Nearest(const std::vector<Cluster>& clusters, const cv::Vec3f& code) {
  std::size_t best = 0;
  float least = 1e30F;
  for (std::size_t k = 0; k < clusters.size(); ++k) {
    const float d = Distance2(clusters[k].code, code);
    if (d < least) least = d, best = k;
  }
  return best;
}

std::vector<Cluster> Clusters(const std::vector<cv::Vec3f>& light) {
  std::vector<cv::Vec3f> code;
  for (const cv::Vec3f& l : light) code.push_back(CodeOf(l));
  // Starts far from one another, from the middle on.
  std::vector<Cluster> clusters;
  cv::Vec3f mean(0, 0, 0);
  for (const cv::Vec3f& c : code) mean += c * (1.0F / static_cast<float>(code.size()));
  clusters.push_back({mean, {}, 0});
  std::vector<float> away(code.size(), 1e30F);
  while (clusters.size() < kStarts) {
    std::size_t far = 0;
    for (std::size_t i = 0; i < code.size(); ++i) {
      away[i] = std::min(away[i], Distance2(code[i], clusters.back().code));
      if (away[i] > away[far]) far = i;
    }
    if (away[far] < 9) break;
    clusters.push_back({code[far], {}, 0});
  }
  for (int round = 0; round < kRounds; ++round) {
    std::vector<Cluster> sums(clusters.size());
    for (std::size_t i = 0; i < code.size(); ++i) {
      Cluster& s = sums[Nearest(clusters, code[i])];
      s.code += code[i], s.light += light[i], s.count += 1;
    }
    std::vector<Cluster> next;
    for (Cluster& s : sums) {
      if (s.count < kLeastShare * static_cast<double>(code.size())) continue;
      s.code *= static_cast<float>(1 / s.count), s.light *= static_cast<float>(1 / s.count);
      next.push_back(s);
    }
    clusters = std::move(next);
  }
  return clusters;
}

LinearColour Linear(const cv::Vec3f& light) {
  return {static_cast<double>(light[2]), static_cast<double>(light[1]), static_cast<double>(light[0])};
}

std::array<double, 3> Density(const cv::Vec3f& light) {
  std::array<double, 3> d{};
  for (int c = 0; c < 3; ++c) d[static_cast<std::size_t>(c)] = -std::log(std::clamp(static_cast<double>(light[c]), 0.01, 1.0));
  return d;
}

// A few hundred squares from all over the pull.
std::vector<cv::Vec3f> Samples(const TileGrid& grid, const TileLight& pull) {
  std::vector<cv::Vec3f> all;
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      if (pull.use.at<uchar>(j, i) == 1 && grid.depth.at<float>(j, i) > kEdgeMm) all.push_back(pull.smooth.at<cv::Vec3f>(j, i));
    }
  }
  std::vector<cv::Vec3f> some;
  const std::size_t n = std::min(kSamples, all.size());
  for (std::size_t k = 0; k < n; ++k) some.push_back(all[k * all.size() / n]);
  return some;
}

bool IsBare(const Cluster& c, double full_density) { return static_cast<double>(DensityOf(c.light)) < kBareShare * full_density; }

// Where two colours meet, a square has the light of both. A small cluster on the straight way
// between two others is no colour of its own: for each, the one that it goes to, or -1.
struct Mixture {
  int to = -1;
  bool of_inks = false;    // Of two inks: a border, and not paper that shows through.
};
std::vector<Mixture> MixturesOf(const std::vector<Cluster>& clusters, double total, double full_density) {
  std::vector<Mixture> out(clusters.size());
  const auto bare = [&](std::size_t k) { return IsBare(clusters[k], full_density); };
  std::vector<std::size_t> order(clusters.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return clusters[a].count < clusters[b].count; });
  std::vector<cv::Vec3f> ends;
  for (const Cluster& c : clusters) ends.push_back(c.light);
  ends.emplace_back(1.0F, 1.0F, 1.0F);   // Paper beyond the outline.
  for (const std::size_t k : order) {
    if (clusters[k].count > kMixtureShare * total) break;
    if (bare(k)) continue;
    float least = kOnTheWay * kOnTheWay;
    for (std::size_t a = 0; a < clusters.size(); ++a) {
      if (a == k || out[a].to >= 0) continue;
      for (std::size_t b = a + 1; b < ends.size(); ++b) {
        if (b == k || (b < clusters.size() && out[b].to >= 0)) continue;
        const cv::Vec3f way = ends[b] - ends[a], at = clusters[k].light - ends[a];
        const float t = at.dot(way) / std::max(1e-6F, way.dot(way));
        if (t < 0.03F || t > 0.97F) continue;
        const float off = Distance2(CodeOf(ends[a] + way * t), clusters[k].code);
        if (off >= least) continue;
        least = off;
        const bool to_paper = b == clusters.size() || bare(b);
        out[k].to = static_cast<int>(bare(a) || (t > 0.5F && !to_paper) ? b : a);
        if (bare(a) && to_paper) out[k].to = -1;   // Between paper and paper: as it is.
        out[k].of_inks = !bare(a) && !to_paper;
      }
    }
  }
  return out;
}

bool OneInk(const Cluster& a, const Cluster& b) {
  if (ColourDifference(LabOfLight(a.light), LabOfLight(b.light)) < kAlike) return true;
  const auto p = Density(a.light), q = Density(b.light);
  double pq = 0, pp = 0, qq = 0;
  for (std::size_t c = 0; c < 3; ++c) pq += p[c] * q[c], pp += p[c] * p[c], qq += q[c] * q[c];
  if (pq < kNearHue * std::sqrt(pp * qq)) return false;
  // The larger may be thinned to nothing; it is not thickened beyond a stroke or two.
  const double larger = a.count > b.count ? pp : qq, smaller = a.count > b.count ? qq : pp;
  if (smaller > kThicker * kThicker * larger) return false;
  const cv::Vec3f &thick = pp > qq ? a.light : b.light, &thin = pp > qq ? b.light : a.light;
  return DifferenceAsInk(Linear(thin), Linear(thick)) < kThinned;
}

}  // namespace

Lab LabOfLight(const cv::Vec3f& light) { return LabOf(Linear(light)); }

ColourClasses FindColours(const TileGrid& grid, const TileLight& pull, double full_density) {
  ColourClasses out;
  out.label = cv::Mat(grid.rows, grid.columns, CV_8U, cv::Scalar(255));
  out.mixed = cv::Mat(grid.rows, grid.columns, CV_8U, cv::Scalar(0));
  const std::vector<cv::Vec3f> some = Samples(grid, pull);
  if (some.size() < 20) return out;
  const std::vector<Cluster> fine = Clusters(some);

  // Merge what is one ink, nearest first, means made anew; paper apart.
  std::vector<Cluster> merged;
  std::vector<int> to(fine.size());
  Cluster paper;
  const std::vector<Mixture> mixture = MixturesOf(fine, static_cast<double>(some.size()), full_density);
  for (std::size_t k = 0; k < fine.size(); ++k) {
    if (mixture[k].to >= 0) continue;
    if (IsBare(fine[k], full_density)) {
      paper.light += fine[k].light * static_cast<float>(fine[k].count), paper.count += fine[k].count;
      to[k] = -1;
    } else {
      to[k] = static_cast<int>(merged.size());
      merged.push_back(fine[k]);
    }
  }
  for (;;) {
    std::size_t a = 0, b = 0;
    float least = 1e30F;
    for (std::size_t i = 0; i < merged.size(); ++i) {
      for (std::size_t j = i + 1; j < merged.size(); ++j) {
        if (merged[i].count == 0 || merged[j].count == 0) continue;
        const float d = Distance2(merged[i].code, merged[j].code);
        if (d < least && OneInk(merged[i], merged[j])) least = d, a = i, b = j;
      }
    }
    if (a == b) break;
    Cluster& into = merged[a];
    const double n = into.count + merged[b].count;
    const auto wa = static_cast<float>(into.count / n), wb = static_cast<float>(merged[b].count / n);
    into.code = into.code * wa + merged[b].code * wb;
    into.light = into.light * wa + merged[b].light * wb;
    into.count = n;
    merged[b].count = 0;
    for (int& t : to) t = t == static_cast<int>(b) ? static_cast<int>(a) : t;
  }
  for (std::size_t k = 0; k < fine.size(); ++k) {
    std::size_t end = k;
    while (mixture[end].to >= 0) end = static_cast<std::size_t>(mixture[end].to);
    to[k] = to[end];
  }
  std::vector<int> order;
  for (std::size_t k = 0; k < merged.size(); ++k) {
    if (merged[k].count > 0) order.push_back(static_cast<int>(k));
  }
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return merged[static_cast<std::size_t>(a)].count > merged[static_cast<std::size_t>(b)].count;
  });
  const auto total = static_cast<double>(some.size());
  std::vector<uchar> index(fine.size());
  for (const int k : order) {
    const Cluster& m = merged[static_cast<std::size_t>(k)];
    out.classes.push_back({m.light, m.count / total, false});
  }
  if (paper.count > 0) out.classes.push_back({paper.light * static_cast<float>(1 / paper.count), paper.count / total, true});
  for (std::size_t k = 0; k < fine.size(); ++k) {
    index[k] = to[k] < 0 ? static_cast<uchar>(out.classes.size() - 1)
                         : static_cast<uchar>(std::find(order.begin(), order.end(), to[k]) - order.begin());
  }
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      if (pull.use.at<uchar>(j, i) != 1) continue;
      const std::size_t k = Nearest(fine, CodeOf(pull.smooth.at<cv::Vec3f>(j, i)));
      out.label.at<uchar>(j, i) = index[k];
      // Near the outline paper beyond it shines in; deeper it shows through, and counts.
      out.mixed.at<uchar>(j, i) = mixture[k].of_inks || (mixture[k].to >= 0 && grid.depth.at<float>(j, i) < kRimMm);
    }
  }
  return out;
}

}  // namespace truepull::detect
