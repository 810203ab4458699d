// SPDX-License-Identifier: Apache-2.0
#include "photo/side_search.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstdint>

#include "photo/side_pattern.h"

namespace truepull {
namespace {

constexpr double kLeastStep = 7;    // 8-bit Lab levels; paper's own mottle stays under 4.
// Beyond what was expected a lens bows a side by up to some 2 % of its length.
constexpr double kMostBow = 0.03;

struct Step {
  double along = 0, across = 0, strength = 0;
  std::array<double, 2> chroma{};  // a, b on the sheet's side.
};

// Every step of the right sign at one place of a side: at most the two strongest.
void StepsAcross(const SmallPicture& small,
                 Point place,
                 Point outward,
                 double along,
                 double reach,
                 bool dark_sheet,
                 std::vector<Step>* steps) {
  constexpr int kPad = 4;
  const int half = static_cast<int>(std::ceil(reach)) + kPad;
  std::vector<Colour> colours(static_cast<std::size_t>(2 * half + 1));
  std::vector<bool> seen(colours.size());
  for (int j = -half; j <= half; ++j) {
    const auto i = static_cast<std::size_t>(j + half);
    seen[i] = ColourAt(small, place + double(j) * outward, &colours[i]);
  }
  std::vector<Step> found;
  std::vector<double> strength(colours.size(), 0.0);
  std::vector<std::array<double, 2>> chroma(colours.size());
  for (std::size_t i = kPad; i + kPad < colours.size(); ++i) {
    if (!seen[i - kPad] || !seen[i + kPad]) continue;
    Colour in, out;
    for (std::size_t k = 1; k <= 3; ++k) {
      const Colour &p = colours[i - k], &q = colours[i + k];
      in.l += p.l / 3, in.a += p.a / 3, in.b += p.b / 3, in.white += p.white / 3;
      out.l += q.l / 3, out.a += q.a / 3, out.b += q.b / 3, out.white += q.white / 3;
    }
    const double lighter = (in.white - out.white) * (dark_sheet ? -1 : 1);
    if (lighter <= 0) continue;
    strength[i] = std::sqrt((in.l - out.l) * (in.l - out.l) + (in.a - out.a) * (in.a - out.a) +
                            (in.b - out.b) * (in.b - out.b));
    chroma[i] = {in.a, in.b};
  }
  for (std::size_t i = kPad; i + kPad < colours.size(); ++i) {
    if (strength[i] < kLeastStep || strength[i] < strength[i - 1] || strength[i] <= strength[i + 1]) continue;
    const double l = strength[i - 1], c = strength[i], r = strength[i + 1];
    const double bend = l - 2 * c + r;
    const double shift = bend < 0 ? std::clamp(0.5 * (l - r) / bend, -0.5, 0.5) : 0;
    found.push_back({along, double(i) - half + shift, c, chroma[i]});
  }
  std::sort(found.begin(), found.end(), [](const Step& a, const Step& b) { return a.strength > b.strength; });
  if (found.size() > 2) found.resize(2);
  steps->insert(steps->end(), found.begin(), found.end());
}

using Curve = std::array<double, 3>;  // across = c0 + c1 t + c2 t^2, t along in [0, 1].

double Across(const Curve& c, double t) { return c[0] + t * (c[1] + t * c[2]); }

bool CurveThrough(const std::vector<Step>& steps, const std::vector<double>& weights, Curve* curve) {
  Eigen::Matrix3d a = Eigen::Matrix3d::Zero();
  Eigen::Vector3d b = Eigen::Vector3d::Zero();
  for (std::size_t i = 0; i < steps.size(); ++i) {
    if (weights[i] <= 0) continue;
    const Eigen::Vector3d row(1, steps[i].along, steps[i].along * steps[i].along);
    a += weights[i] * row * row.transpose();
    b += weights[i] * steps[i].across * row;
  }
  const Eigen::FullPivLU<Eigen::Matrix3d> lu(a);
  if (!lu.isInvertible()) return false;
  const Eigen::Vector3d x = lu.solve(b);
  *curve = {x[0], x[1], x[2]};
  return true;
}

// The gently bowed curve that most steps lie on: random triples, one from each third,
// then least squares on its own. The generator is seeded alike every time.
bool BestCurve(const std::vector<Step>& steps, double length_px, int trials, double on_curve_px, Curve* best) {
  std::array<std::vector<std::size_t>, 3> thirds;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    thirds[std::min<std::size_t>(2, static_cast<std::size_t>(3 * steps[i].along))].push_back(i);
  }
  for (const auto& third : thirds) {
    if (third.empty()) return false;
  }
  std::uint32_t state = 12345;
  const auto draw = [&](std::size_t n) {
    state = state * 1664525U + 1013904223U;
    return static_cast<std::size_t>(state >> 8) % n;
  };
  std::vector<double> weights(steps.size());
  double most = 0;
  for (int trial = 0; trial < trials; ++trial) {
    std::fill(weights.begin(), weights.end(), 0.0);
    for (const auto& third : thirds) weights[third[draw(third.size())]] = 1;
    Curve curve;
    if (!CurveThrough(steps, weights, &curve)) continue;
    if (std::abs(curve[2]) / 4 > kMostBow * length_px) continue;
    double sum = 0;
    for (const Step& step : steps) {
      const double off = std::abs(step.across - Across(curve, step.along)) / on_curve_px;
      if (off < 1) sum += std::min(step.strength, 40.0) * (1 - off * off);
    }
    if (sum > most) {
      most = sum;
      *best = curve;
    }
  }
  for (int round = 0; round < 3 && most > 0; ++round) {
    for (std::size_t i = 0; i < steps.size(); ++i) {
      const double off = std::abs(steps[i].across - Across(*best, steps[i].along)) / (1.5 * on_curve_px);
      weights[i] = off < 1 ? (1 - off * off) * std::min(steps[i].strength, 40.0) : 0;
    }
    Curve curve;
    if (CurveThrough(steps, weights, &curve)) *best = curve;
  }
  return most > 0;
}

double Median(std::vector<double> values) { return MedianOf(values); }

// Whether something lighter than the sheet lies just beyond its edge: so it is with a
// printed block on a sheet, but not with a sheet on a table.
bool IsOutshone(const SmallPicture& small, Point edge, Point outward, bool dark_sheet) {
  Colour c;
  double in = 0, out = -1e9;
  const double sign = dark_sheet ? -1 : 1;
  for (const double t : {-3.0, -4.0, -5.0}) {
    if (!ColourAt(small, edge + t * outward, &c)) return false;
    in += sign * c.white / 3;
  }
  // Two samples in a row, so that a grain of noise does not count.
  double before = -1e9;
  for (double t = 4; t <= 18; t += 2) {
    if (!ColourAt(small, edge + t * outward, &c)) break;
    out = std::max(out, std::min(before, sign * c.white));
    before = sign * c.white;
  }
  return out > in + 6;
}

}  // namespace

double SeenSheet::MostUnrest() const {
  double most = 0;
  for (const SeenSide& side : sides) most = std::max(most, side.unrest);
  return most;
}

double SeenSheet::MeanSupport() const {
  double sum = 0;
  for (const SeenSide& side : sides) sum += side.support / 4;
  return sum;
}

double SeenSheet::Outshone() const {
  double sum = 0;
  for (const SeenSide& side : sides) sum += side.outshone / 4;
  return sum;
}

double SeenSheet::LeastSupport() const {
  double least = 1;
  for (const SeenSide& side : sides) least = std::min(least, side.support);
  return least;
}

SeenSheet SearchSides(const SmallPicture& small, const Quad& quad, const SideSearchOptions& options) {
  const int places = options.places;
  SeenSheet seen;
  seen.quad = quad;
  std::array<std::array<Point, 2>, 4> chords;
  std::vector<double> a, b;
  for (std::size_t s = 0; s < 4; ++s) {
    const Point from = quad[s], to = quad[Next(s)];
    const double length = Norm(to - from);
    chords[s] = {from, to};
    if (length < 8) continue;
    const Point along = (1 / length) * (to - from), outward{along.y, -along.x};
    const auto on_side = [&](double t, double across) {
      const double base = options.bow_px[s] * (4 * t * (1 - t) - options.touching);
      return from + (t * length) * along + (base + across) * outward;
    };
    std::vector<Step> steps;
    int outside = 0;
    for (int i = 0; i < places; ++i) {
      const double t = 0.02 + 0.96 * (i + 0.5) / places;
      const Point place = on_side(t, 0);
      Colour unused;
      if (!ColourAt(small, place + 3.0 * outward, &unused)) ++outside;
      StepsAcross(small, place, outward, t, options.reach_px, options.dark_sheet, &steps);
    }
    seen.sides[s].outside = double(outside) / places;
    Curve curve{};
    if (!BestCurve(steps, length, options.trials, options.on_curve_px, &curve)) continue;
    std::vector<bool> hit(static_cast<std::size_t>(places), false);
    std::vector<double> strengths;
    int outshone = 0;
    for (const Step& step : steps) {
      if (std::abs(step.across - Across(curve, step.along)) > options.on_curve_px) continue;
      const auto place = static_cast<std::size_t>(std::clamp((step.along - 0.02) / 0.96 * places, 0.0, places - 1.0));
      if (hit[place]) continue;
      hit[place] = true;
      strengths.push_back(step.strength);
      const Point edge = on_side(step.along, step.across);
      if (IsOutshone(small, edge, outward, options.dark_sheet)) ++outshone;
      a.push_back(step.chroma[0]);
      b.push_back(step.chroma[1]);
      seen.points.push_back({s, step.along, edge, 0.4});
    }
    seen.sides[s].support = double(strengths.size()) / places;
    seen.sides[s].contrast = Median(strengths);
    seen.sides[s].outshone = strengths.empty() ? 0 : double(outshone) / double(strengths.size());
    std::vector<Colour> rim, beyond;
    for (int i = 0; i < places; ++i) {
      const double t = 0.02 + 0.96 * (i + 0.5) / places;
      const Point edge = on_side(t, Across(curve, t));
      Colour c, in, out;
      bool in_picture = true;
      for (const double off : {2.0, 3.0, 4.0}) {
        in_picture = in_picture && ColourAt(small, edge - off * outward, &c);
        in.l += c.l / 3, in.a += c.a / 3, in.b += c.b / 3, in.white += c.white / 3;
        in_picture = in_picture && ColourAt(small, edge + off * outward, &c);
        out.l += c.l / 3, out.a += c.a / 3, out.b += c.b / 3;
      }
      if (!in_picture) continue;
      rim.push_back(in);
      beyond.push_back(out);
    }
    seen.sides[s].unrest = Unrest(rim, beyond);
    if (seen.sides[s].support > 0.25) {
      chords[s] = {on_side(0, Across(curve, 0)), on_side(1, Across(curve, 1))};
      seen.sides[s].bow = options.bow_px[s] - curve[2] / 4;
    }
  }
  const double middle_a = Median(a), middle_b = Median(b);
  seen.chroma = std::hypot(middle_a - 128, middle_b - 128);
  std::array<double, 4> papery{}, all{};
  for (std::size_t i = 0; i < a.size(); ++i) {
    // 12 levels: paper in lamp and window light differs by less, the palest ink by more.
    if (std::hypot(a[i] - middle_a, b[i] - middle_b) < 12) papery[seen.points[i].side] += 1;
    all[seen.points[i].side] += 1;
  }
  for (std::size_t s = 0; s < 4; ++s) seen.sides[s].papery = all[s] > 0 ? papery[s] / all[s] : 0;
  for (double& v : a) v = std::abs(v - middle_a);
  for (double& v : b) v = std::abs(v - middle_b);
  seen.chroma_spread = std::hypot(Median(a), Median(b));
  for (std::size_t s = 0; s < 4; ++s) {
    seen.sides[s].chord = chords[s];
    const auto &before = chords[Before(s)], &after = chords[s];
    Point at;
    if (MeetingPoint(before[0], before[1], after[0], after[1], &at)) seen.quad[s] = at;
  }
  return seen;
}

}  // namespace truepull
