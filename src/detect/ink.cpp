// SPDX-License-Identifier: Apache-2.0
#include "detect/ink.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

namespace truepull::detect {
namespace {

using Vector = std::array<double, 3>;  // By channel: blue, green, red.

double Length(const Vector& v) { return std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]); }

double Quantile(std::vector<float> v, double share) {
  if (v.empty()) return 0;
  const auto at = v.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(v.size() - 1));
  std::nth_element(v.begin(), at, v.end());
  return static_cast<double>(*at);
}

// Density by channel of a plan's "#rrggbb" on white paper; zeros where it cannot be read.
Vector DensityOf(const std::string& hex) {
  if (hex.size() != 7) return {};
  const auto channel = [&](std::size_t at) {
    const int code = std::stoi(hex.substr(at, 2), nullptr, 16);
    return -std::log(std::max(0.004, static_cast<double>(LinearOfCodes()[static_cast<std::size_t>(code)])));
  };
  return {channel(5), channel(3), channel(1)};
}

// Mean over the channels of their own densities: twice the ink, twice the density. (The density of
// their mean bends: what the palest channel lets through hides the others.) Near black the camera's
// noise decides, so that no channel counts beyond 4.4.
float DensityOf(const Light& l) {
  float sum = 0;
  for (const float c : l) sum -= std::log(std::max(0.012f, c));
  return sum / 3;
}

int SrgbCode(double linear) {
  return static_cast<int>(std::lround(255 * CodedOfLinear(std::clamp(linear, 0.0, 1.0))));
}

struct Reading {
  std::vector<float> density;   // Of each inside point, mean of the channels' own.
  std::vector<float> shade;     // Density of the channels' mean: shows thin ink best.
  std::vector<char> body;       // Deeper than the drawn edge.
  std::vector<char> alone;      // Covered by no other pull's outline.
  double solid = 0;             // Density where the body is well covered ...
  double solid_shade = 0;       // ... and shade.
  Vector hue{};                 // Unit density vector of the body's ink.
  Vector light{};               // Mean light of well covered body, shares of paper.
};

}  // namespace

std::vector<Ink> MeasureInk(const Photo& photo, const SheetCamera& camera, const PaperLight& paper,
                            const std::vector<Pull>& pulls, const std::vector<std::string>& plan_colours,
                            double sheet_width_mm, double sheet_height_mm) {
  const PhotoSampler sampler(photo.bgr);
  std::vector<Reading> readings(pulls.size());
  std::vector<Ink> inks(pulls.size());
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto k = static_cast<std::size_t>(i);
      const Pull& pull = pulls[k];
      if (!pull.present) continue;
      Reading& r = readings[k];
      const Rotation turn(pull.pose.turn_rad);
      std::vector<Light> light;
      std::vector<std::pair<std::size_t, Rotation>> near;   // And the way into their frames.
      for (std::size_t m = 0; m < pulls.size(); ++m) {
        if (m != k && pulls[m].present && Norm(pulls[m].pose.at - pull.pose.at) < pull.shape->radius + pulls[m].shape->radius) {
          near.emplace_back(m, Rotation(-pulls[m].pose.turn_rad));
        }
      }
      for (std::size_t p = 0; p < pull.shape->inside.size(); ++p) {
        const Point at = pull.pose.at + turn * pull.shape->inside[p];
        if (at.x < 0 || at.y < 0 || at.x > sheet_width_mm || at.y > sheet_height_mm) continue;
        const Point u = camera.PhotoFromSheet(at);
        if (!sampler.Inside(u.x, u.y)) continue;
        Light l = sampler.At(u.x, u.y);
        const Light white = paper.At(at);
        for (std::size_t c = 0; c < 3; ++c) l[c] = std::clamp(l[c] / white[c], 0.004f, 1.2f);
        light.push_back(l);
        r.density.push_back(DensityOf(l));
        r.shade.push_back(-std::log((l[0] + l[1] + l[2]) / 3));
        r.body.push_back(pull.shape->inside_depth[p] > 3.0f);
        r.alone.push_back(std::none_of(near.begin(), near.end(), [&](const auto& other) {
          const auto& [m, back] = other;
          return pulls[m].shape->distance.At(back * (at - pulls[m].pose.at)) > 0;
        }));
      }
      if (r.density.size() < pull.shape->inside.size() / 10) {
        inks[k].on_sheet = false;
        continue;
      }
      std::vector<float> body;
      for (std::size_t p = 0; p < light.size(); ++p) {
        if (r.body[p]) body.push_back(r.density[p]);
      }
      if (body.size() < 20) {  // A tile so small that it is all edge.
        body = r.density;
        std::fill(r.body.begin(), r.body.end(), 1);
      }
      // Scratched dark lines are denser than the body: stay below the top tenth.
      r.solid = Quantile(body, 0.75);
      std::vector<float> shades;
      for (std::size_t p = 0; p < light.size(); ++p) {
        if (r.body[p]) shades.push_back(r.shade[p]);
      }
      r.solid_shade = Quantile(shades, 0.75);
      const auto low = static_cast<float>(0.6 * r.solid), high = static_cast<float>(Quantile(body, 0.9));
      double n = 0;
      for (std::size_t p = 0; p < light.size(); ++p) {
        if (!r.body[p] || r.density[p] < low || r.density[p] > high) continue;
        for (std::size_t c = 0; c < 3; ++c) {
          r.light[c] += static_cast<double>(light[p][c]);
          r.hue[c] += -std::log(static_cast<double>(light[p][c]));
        }
        n += 1;
      }
      if (n > 0) {
        for (double& l : r.light) l /= n;
        const double length = Length(r.hue);
        for (double& h : r.hue) h = length > 0 ? h / length : 0;
      }
    }
  });
  // Nearest of the plan's colours, by the angle between densities.
  for (std::size_t k = 0; k < pulls.size(); ++k) {
    if (!pulls[k].present || readings[k].density.empty()) continue;
    double best = 0.90;  // Cosine; further off it is none of the plan's.
    for (std::size_t c = 0; c < plan_colours.size(); ++c) {
      const Vector d = DensityOf(plan_colours[c]);
      const double length = Length(d);
      if (length <= 0) continue;
      const Vector& h = readings[k].hue;
      const double cosine = (d[0] * h[0] + d[1] * h[1] + d[2] * h[2]) / length;
      if (cosine > best) {
        best = cosine;
        inks[k].colour = static_cast<int>(c);
      }
    }
    inks[k].body_colour = fmt::format("#{:02x}{:02x}{:02x}", SrgbCode(readings[k].light[2]),
                                      SrgbCode(readings[k].light[1]), SrgbCode(readings[k].light[0]));
  }
  // A full pull of each colour: the upper quarter of the sheet's own.
  enum class Of { kSolid, kShade, kMean };
  const auto full = [&](std::size_t k, Of what) {
    std::vector<float> alike, any;
    for (std::size_t m = 0; m < pulls.size(); ++m) {
      if (!pulls[m].present || readings[m].density.empty()) continue;
      float value = static_cast<float>(what == Of::kShade ? readings[m].solid_shade : readings[m].solid);
      if (what == Of::kMean) {
        double sum = 0;
        for (const float d : readings[m].density) sum += static_cast<double>(d);
        value = static_cast<float>(sum / static_cast<double>(readings[m].density.size()));
      }
      any.push_back(value);
      if (inks[m].colour == inks[k].colour) alike.push_back(value);
    }
    // One or two pulls cannot show by themselves that they are pale.
    const double own = Quantile(alike, 0.8);
    return alike.size() >= 3 ? own : std::max(own, 0.6 * Quantile(any, 0.5));
  };
  for (std::size_t k = 0; k < pulls.size(); ++k) {
    if (!pulls[k].present || readings[k].density.empty()) continue;
    const Reading& r = readings[k];
    const auto threshold = static_cast<float>(0.25 * full(k, Of::kSolid)), faint = static_cast<float>(0.25 * full(k, Of::kShade));
    double covered = 0, sum = 0, alone = 0, alone_covered = 0;
    for (std::size_t p = 0; p < r.density.size(); ++p) {
      const double inked = r.density[p] > threshold ? 1 : 0;
      covered += inked;
      sum += static_cast<double>(r.density[p]);
      alone += r.alone[p] ? 1 : 0;
      // Whether anything was pulled is asked of the faintest ink, a ghost's.
      alone_covered += r.alone[p] && r.shade[p] > faint ? 1 : 0;
    }
    const auto n = static_cast<double>(r.density.size());
    inks[k].alone = alone / n;
    inks[k].alone_coverage = alone > 0 ? alone_covered / alone : 0;
    inks[k].coverage = covered / n;
    inks[k].solid = r.solid;
    inks[k].full = full(k, Of::kSolid);
    inks[k].strength = sum / n / std::max(1e-6, full(k, Of::kMean));
  }
  return inks;
}

}  // namespace truepull::detect
