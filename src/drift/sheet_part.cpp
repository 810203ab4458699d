// SPDX-License-Identifier: Apache-2.0
#include "drift/sheet_part.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/median.h"

namespace truepull {
namespace {

// Tukey's biweight on the distance of two coordinates: 95 % as good as least squares on
// normal errors at this limit. The other two follow from it by integration over the
// chi-square distribution with 2 degrees of freedom (a test repeats the integrals):
constexpr double kTukey2 = 5.12;
constexpr double kConsistent2 = 1.6989590;   // E[w t] / E[w]: makes the scale unbiased.
constexpr double kSandwich2 = 0.9043772;     // E[w] E[w^2 t / 2] / E[w + w' t]^2.
// The same for single values.
constexpr double kTukey1 = 4.685;
constexpr double kConsistent1 = 0.8280730;

// 0.5 mm an axis: what a careful hand reaches by eye (common practice). It stands in
// where so few sites are left over that their own spread says little.
constexpr double kUsualHandSdMm = 0.5;
constexpr double kFewFree = 6;  // Degrees of freedom from which the sites speak alone.

// Up to six unknowns; the sizes are bounded so that nothing is allocated.
using Vector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, 6, 1>;
using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, 6, 6>;
using Row6 = Eigen::Matrix<double, 2, 6>;

double Biweight(double t, double limit) {  // t: distance squared.
  const double u = 1 - t / (limit * limit);
  return u > 0 ? u * u : 0;
}

// The six numbers in order: shift x, shift y, turn, E_xx, E_yy, E_xy.
using Numbers = std::array<double, 6>;

Point Model(const Numbers& p, Point centre, Point ideal) {
  const Point d = ideal - centre;
  const Point e{(1 + p[3]) * d.x + p[5] * d.y, p[5] * d.x + (1 + p[4]) * d.y};
  return centre + Point{p[0], p[1]} + Rotation(p[2]) * e;
}

Row6 ModelDerivative(const Numbers& p, Point centre, Point ideal) {
  const Point d = ideal - centre;
  const double c = std::cos(p[2]), s = std::sin(p[2]);
  const double ex = (1 + p[3]) * d.x + p[5] * d.y, ey = p[5] * d.x + (1 + p[4]) * d.y;
  Row6 j;
  j << 1, 0, -s * ex - c * ey, c * d.x, -s * d.y, c * d.y - s * d.x,
       0, 1, c * ex - s * ey, s * d.x, c * d.y, s * d.y + c * d.x;
  return j;
}

// Which of the six the sites can tell, by how they are spread.
void Observe(std::span<const FoundPlace> places, SheetPart& part, std::vector<int>& which) {
  const auto n = static_cast<double>(places.size());
  Point mean;
  for (const FoundPlace& f : places) mean = mean + (1 / n) * f.ideal;
  double xx = 0, xy = 0, yy = 0;
  for (const FoundPlace& f : places) {
    const Point d = f.ideal - mean;
    xx += d.x * d.x, xy += d.x * d.y, yy += d.y * d.y;
  }
  const double half = std::hypot((xx - yy) / 2, xy);
  const double major = std::sqrt((xx + yy) / 2 + half);
  const double minor = std::sqrt(std::max(0.0, (xx + yy) / 2 - half));
  which = {0, 1};
  if (places.size() < 2 || major < 1) return;  // 1 mm: all on one place.
  part.has_turn = true;
  which.push_back(2);
  // 2 %: a line of sites so thin that a hand's spread across it would pass for stretch.
  const bool line = minor < 0.02 * major;
  if (line && places.size() >= 3) {
    if (std::sqrt(yy) < 0.05 * major) part.has_stretch_x = true;
    if (std::sqrt(xx) < 0.05 * major) part.has_stretch_y = true;
  } else if (!line && places.size() >= 4) {
    part.has_stretch_x = part.has_stretch_y = part.has_shear = true;
  }
  if (part.has_stretch_x) which.push_back(3);
  if (part.has_stretch_y) which.push_back(4);
  if (part.has_shear) which.push_back(5);
}

struct Weighed {
  Eigen::Matrix2d inverse;  // Of the measuring's covariance plus the hand's.
  double t = 0;             // Mahalanobis distance squared.
};

Weighed Weigh(const FoundPlace& f, Point rest, double hand_variance) {
  Eigen::Matrix2d c;
  c << f.covariance[0] + hand_variance, f.covariance[1], f.covariance[2],
      f.covariance[3] + hand_variance;
  // 1e-8 mm^2 (a tenth of a micron): keeps exact readings from dividing by nothing.
  c += 1e-8 * Eigen::Matrix2d::Identity();
  const Eigen::Vector2d e(rest.x, rest.y);
  const Eigen::Matrix2d inverse = c.inverse();
  return {inverse, e.dot(inverse * e)};
}

// One Gauss-Newton step; `weight(i, rest)` gives each site's information. Returns the
// information matrix, so that the last one gives the covariance.
template <typename Information>
Matrix Step(std::span<const FoundPlace> places,
            Point centre,
            const std::vector<int>& which,
            Numbers& p,
            Information information) {
  const auto k = static_cast<Eigen::Index>(which.size());
  Matrix a = Matrix::Zero(k, k);
  Vector b = Vector::Zero(k);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Point rest = places[i].found - Model(p, centre, places[i].ideal);
    const Row6 all = ModelDerivative(p, centre, places[i].ideal);
    Eigen::Matrix<double, 2, Eigen::Dynamic, 0, 2, 6> j(2, k);
    for (Eigen::Index m = 0; m < k; ++m) j.col(m) = all.col(which[static_cast<std::size_t>(m)]);
    const Eigen::Matrix2d w = information(i, rest);
    a += j.transpose() * w * j;
    b += j.transpose() * (w * Eigen::Vector2d(rest.x, rest.y));
  }
  const Vector step = a.ldlt().solve(b);
  for (Eigen::Index m = 0; m < k; ++m) {
    p[static_cast<std::size_t>(which[static_cast<std::size_t>(m)])] += step(m);
  }
  return a;
}

// The hand's variance that makes the weighed distances what they should be. `weights`
// are held; the distances fall as the variance grows, so halving finds it.
double HandVariance(std::span<const FoundPlace> places,
                    const std::vector<Point>& rests,
                    const std::vector<double>& weights,
                    double free_share) {
  double sum_w = 0, largest = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    sum_w += weights[i];
    if (weights[i] > 0) largest = std::max(largest, Dot(rests[i], rests[i]));
  }
  const double target = kConsistent2 * sum_w * free_share;
  const auto excess = [&](double variance) {
    double s = 0;
    for (std::size_t i = 0; i < places.size(); ++i) {
      if (weights[i] > 0) s += weights[i] * Weigh(places[i], rests[i], variance).t;
    }
    return s - target;
  };
  if (target <= 0 || excess(0) <= 0) return 0;
  double low = 0, high = std::max(1e-12, largest / std::max(free_share, 1e-3));
  for (int i = 0; i < 60 && excess(high) > 0; ++i) high *= 2;
  for (int i = 0; i < 45; ++i) {
    const double middle = (low + high) / 2;
    (excess(middle) > 0 ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

SheetPartFit FitSheetPart(std::span<const FoundPlace> places, Point centre) {
  SheetPartFit fit;
  SheetPart& part = fit.part;
  part.centre = centre;
  part.sites_used = static_cast<int>(places.size());
  std::vector<int> which;
  Observe(places, part, which);
  const auto n = static_cast<double>(places.size());
  const double unknowns = static_cast<double>(which.size());
  const double free = 2 * n - unknowns;
  const double free_share = std::max(0.0, free) / (2 * n);

  // Start: least absolute distances, from the median shift.
  Numbers p{};
  std::vector<double> dx, dy;
  for (const FoundPlace& f : places) {
    dx.push_back(f.found.x - f.ideal.x);
    dy.push_back(f.found.y - f.ideal.y);
  }
  p[0] = Median(dx), p[1] = Median(dy);
  for (int i = 0; i < 25; ++i) {
    Step(places, centre, which, p, [](std::size_t, Point rest) -> Eigen::Matrix2d {
      return Eigen::Matrix2d::Identity() / std::max(Norm(rest), 1e-3);
    });
  }

  const auto rests_of = [&] {
    std::vector<Point> rests;
    for (const FoundPlace& f : places) rests.push_back(f.found - Model(p, centre, f.ideal));
    return rests;
  };
  // The first spread from the median distance: sqrt(2 ln 2) = 1.1774 sd in two axes.
  std::vector<double> distances;
  for (const Point& r : rests_of()) distances.push_back(Norm(r));
  double variance = free > 0 ? std::pow(Median(distances) / 1.1774, 2) / free_share : 0;
  const auto shrunk = [&](double v) {  // Towards the usual hand where few sites speak.
    const double own = std::clamp(free / kFewFree, 0.0, 1.0);
    return own * v + (1 - own) * kUsualHandSdMm * kUsualHandSdMm;
  };
  variance = shrunk(variance);

  Matrix information;
  for (int i = 0; i < 40; ++i) {
    const Numbers before = p;
    const double variance_before = variance;
    information = Step(places, centre, which, p, [&](std::size_t k, Point rest) -> Eigen::Matrix2d {
      const Weighed w = Weigh(places[k], rest, variance);
      return Biweight(w.t, kTukey2) * w.inverse;
    });
    const std::vector<Point> rests = rests_of();
    std::vector<double> weights;
    for (std::size_t k = 0; k < places.size(); ++k) {
      weights.push_back(Biweight(Weigh(places[k], rests[k], variance).t, kTukey2));
    }
    if (free > 0) variance = shrunk(HandVariance(places, rests, weights, free_share));
    double moved = std::abs(variance - variance_before);
    for (std::size_t m = 0; m < 2; ++m) moved += std::abs(p[m] - before[m]);
    for (std::size_t m = 2; m < 6; ++m) moved += 300 * std::abs(p[m] - before[m]);
    if (moved < 1e-9) break;
  }

  part.shift = {p[0], p[1]};
  part.turn_rad = WrapTurn(p[2]);
  part.stretch_x = p[3], part.stretch_y = p[4], part.shear = p[5];
  const Matrix covariance = kSandwich2 * information.ldlt().solve(
      Matrix::Identity(information.rows(), information.cols()));
  for (std::size_t i = 0; i < which.size(); ++i) {
    for (std::size_t j = 0; j < which.size(); ++j) {
      part.covariance[static_cast<std::size_t>(6 * which[i] + which[j])] =
          covariance(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
    }
  }
  const auto sd = [&](std::size_t i) { return std::sqrt(std::max(0.0, part.covariance[7 * i])); };
  part.sd_shift_x_mm = sd(0), part.sd_shift_y_mm = sd(1), part.sd_turn_rad = sd(2);
  part.sd_stretch_x = sd(3), part.sd_stretch_y = sd(4), part.sd_shear = sd(5);
  fit.has_hand_sd = free >= 2;
  fit.hand_sd_mm = fit.has_hand_sd ? std::sqrt(variance) : 0;
  return fit;
}

RobustSpread SpreadOf(std::span<const double> values, std::span<const double> variances) {
  RobustSpread spread;
  if (values.empty()) return spread;
  const auto n = static_cast<double>(values.size());
  spread.mean = Median({values.begin(), values.end()});
  std::vector<double> distances;
  for (const double v : values) distances.push_back(std::abs(v - spread.mean));
  // 0.6745: the median distance of a normal value, in sd.
  double variance = std::pow(Median(distances) / 0.6745, 2);
  for (int i = 0; i < 50; ++i) {
    double sum_w = 0, sum = 0;
    std::vector<double> weights(values.size());
    for (std::size_t k = 0; k < values.size(); ++k) {
      const double v = variance + variances[k] + 1e-14;
      weights[k] = Biweight(std::pow(values[k] - spread.mean, 2) / v, kTukey1);
      sum_w += weights[k] / v;
      sum += weights[k] / v * values[k];
    }
    if (sum_w <= 0) break;
    const double mean = sum / sum_w;
    double low = 0, high = 0, total = 0;
    for (std::size_t k = 0; k < values.size(); ++k) {
      total += weights[k];
      if (weights[k] > 0) high = std::max(high, std::pow(values[k] - mean, 2));
    }
    const double target = kConsistent1 * total * (n - 1) / n;
    const auto excess = [&](double extra) {
      double s = 0;
      for (std::size_t k = 0; k < values.size(); ++k) {
        s += weights[k] * std::pow(values[k] - mean, 2) / (extra + variances[k] + 1e-14);
      }
      return s - target;
    };
    double next = 0;
    if (target > 0 && excess(0) > 0) {
      for (int m = 0; m < 60 && excess(high) > 0; ++m) high = 2 * high + 1e-14;
      for (int m = 0; m < 45; ++m) {
        const double middle = (low + high) / 2;
        (excess(middle) > 0 ? low : high) = middle;
      }
      next = (low + high) / 2;
    }
    const bool settled = std::abs(mean - spread.mean) + std::abs(next - variance) < 1e-12;
    spread.mean = mean;
    variance = next;
    if (settled) break;
  }
  spread.sd = std::sqrt(variance);
  return spread;
}

Point ApplySheetPart(const SheetPart& part, Point ideal) {
  return Model({part.shift.x, part.shift.y, part.turn_rad, part.stretch_x, part.stretch_y,
                part.shear},
               part.centre, ideal);
}

}  // namespace truepull
