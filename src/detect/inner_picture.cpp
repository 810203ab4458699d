// SPDX-License-Identifier: Apache-2.0
#include "detect/inner_picture.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr double kStepMm = 0.4;        // Finer than the lines that hands cut.
constexpr float kRimMm = 3.5F;         // A drawn or rubbed band wavers from pull to pull; the edge is the edge fit's.
constexpr double kLocalMm = 3;         // Sigma of the local mean: rolled ink is uneven over more.
constexpr double kReachMm = 3.6;       // How far a stray is looked for: a drawn band and more.
constexpr std::size_t kFewest = 4;     // Pulls that a mean picture needs.
constexpr double kAlike = 0.55;        // Carved sheets: 0.8 to 0.95; crayon 0.1 to 0.4.
constexpr double kStray = 0.6, kGain = 0.25, kStrayMm = 0.6;
constexpr float kDarkest = 0.02F;
constexpr double kHuber = 2;
constexpr double kConflict = 16;       // Squared distance of the two places, in spreads, three degrees of freedom.

struct Grid {
  Point corner;                        // Centre of square (0, 0).
  cv::Mat mask;                        // CV_32F: 1 where the inside counts.
  Point At(int i, int j) const { return corner + Point{kStepMm * i, kStepMm * j}; }
};

Grid GridFor(const PlateShape& shape, double pad_mm) {
  Grid g;
  const Box box = BoundingBox(shape.outline);
  g.corner = {box.left - pad_mm, box.top - pad_mm};
  const int columns = static_cast<int>((box.Width() + 2 * pad_mm) / kStepMm) + 1, rows = static_cast<int>((box.Height() + 2 * pad_mm) / kStepMm) + 1;
  g.mask = cv::Mat(rows, columns, CV_32F, cv::Scalar(0));
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) g.mask.at<float>(j, i) = shape.distance.At(g.At(i, j)) > kRimMm ? 1.0F : 0.0F;
  }
  return g;
}

// Density less its local mean within the mask, over the pull's own usual density.
cv::Mat Detail(const cv::Mat& density, const cv::Mat& mask) {
  const double sigma = kLocalMm / kStepMm;
  cv::Mat sum, weight, out;
  cv::GaussianBlur(density.mul(mask), sum, {}, sigma);
  cv::GaussianBlur(mask, weight, {}, sigma);
  cv::divide(sum, cv::max(weight, 1e-3), out);
  out = (density - out).mul(mask);
  const double full = cv::sum(density.mul(mask))[0] / std::max(1.0, cv::sum(mask)[0]);
  return out / std::max(0.1, full);
}

double Correlation(const cv::Mat& a, const cv::Mat& b) {
  const double ab = a.dot(b), aa = a.dot(a), bb = b.dot(b);
  return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

// All pulls of one plate, on its grid.
struct Pictures {
  Grid grid;
  std::vector<std::size_t> which;
  std::vector<cv::Mat> detail;         // Of pulls whose lines print dark where others' are bare: turned about.
  std::vector<double> sign;            // -1 for those.
  cv::Mat sum;
  std::vector<double> alike;           // Of each with the mean of the others.
  double usual = 0;                    // Their median.
  cv::Mat MeanWithout(std::size_t k) const { return (sum - detail[k]) / static_cast<double>(which.size() - 1); }
};

class Maker {
 public:
  Maker(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper) : sampler_(sampler), camera_(camera), paper_(paper) {}

  cv::Mat Density(const Grid& grid, const Pose& pose) const {
    cv::Mat out(grid.mask.size(), CV_32F, cv::Scalar(0));
    const Rotation turn(pose.turn_rad);
    for (int j = 0; j < out.rows; ++j) {
      for (int i = 0; i < out.cols; ++i) {
        const Point at = pose.at + turn * grid.At(i, j), u = camera_.PhotoFromSheet(at);
        if (!sampler_.Inside(u.x, u.y)) continue;
        const Light light = sampler_.At(u.x, u.y), white = paper_.At(at);
        float sum = 0;
        for (std::size_t c = 0; c < 3; ++c) sum -= std::log(std::clamp(light[c] / white[c], kDarkest, 1.1F));
        out.at<float>(j, i) = sum / 3;
      }
    }
    return out;
  }

  cv::Mat DetailAt(const Grid& grid, const Pose& pose) const { return Detail(Density(grid, pose), grid.mask); }

  Pictures Make(const PlateShape& shape, const std::vector<Pull>& pulls) const {
    Pictures p;
    for (std::size_t i = 0; i < pulls.size(); ++i) {
      if (pulls[i].present && pulls[i].shape == &shape) p.which.push_back(i);
    }
    if (p.which.size() < kFewest) return p;
    p.grid = GridFor(shape, 0);
    p.detail.resize(p.which.size());
    cv::parallel_for_(cv::Range(0, static_cast<int>(p.which.size())), [&](const cv::Range& range) {
      for (auto k = static_cast<std::size_t>(range.start); k < static_cast<std::size_t>(range.end); ++k) {
        p.detail[k] = DetailAt(p.grid, pulls[p.which[k]].pose);
      }
    });
    Sign(p);
    Sum(p);
    return p;
  }

  // From a few pulls, whether the plate has a picture at all: crayon is told cheaply.
  bool HasPicture(const PlateShape& shape, const std::vector<Pull>& pulls) const {
    std::vector<Pull> few;
    for (const Pull& p : pulls) {
      if (p.present && p.shape == &shape && few.size() < 8) few.push_back(p);
    }
    if (few.size() < kFewest) return false;
    const Pictures p = Make(shape, few);
    return p.usual > kAlike;
  }

  // The same scratches print bare on one pull and dark on another; the clearest pull says which way is +.
  static void Sign(Pictures& p) {
    p.sign.assign(p.which.size(), 1.0);
    cv::Mat mean = *std::max_element(p.detail.begin(), p.detail.end(), [](const cv::Mat& a, const cv::Mat& b) { return a.dot(a) < b.dot(b); });
    for (int round = 0; round < 3; ++round) {
      cv::Mat next = cv::Mat::zeros(mean.size(), CV_32F);
      for (std::size_t k = 0; k < p.which.size(); ++k) {
        p.sign[k] = p.detail[k].dot(mean) < 0 ? -1 : 1;
        next += p.sign[k] * p.detail[k];
      }
      mean = next;
    }
    for (std::size_t k = 0; k < p.which.size(); ++k) p.detail[k] = p.sign[k] * p.detail[k];
  }

  static void Sum(Pictures& p) {
    p.sum = cv::Mat::zeros(p.grid.mask.size(), CV_32F);
    for (const cv::Mat& d : p.detail) p.sum += d;
    p.alike.clear();
    for (std::size_t k = 0; k < p.which.size(); ++k) p.alike.push_back(Correlation(p.detail[k], p.MeanWithout(k)));
    p.usual = Median(p.alike);
  }

 private:
  const PhotoSampler& sampler_;
  const SheetCamera& camera_;
  const PaperLight& paper_;
};

// How many neighbouring squares' rests count as one.
double Together(const cv::Mat& rest) {
  constexpr int kLags = 5;
  const double zero = rest.dot(rest);
  double sum = 1;
  for (int dy = 0; dy <= kLags && zero > 0; ++dy) {
    for (int dx = dy == 0 ? 1 : -kLags; dx <= kLags; ++dx) {
      const int w = rest.cols - std::abs(dx), h = rest.rows - dy;
      if (w < 2 || h < 2) continue;
      const cv::Rect a(std::max(0, dx), dy, w, h), b(std::max(0, -dx), 0, w, h);
      sum += 2 * cv::Mat(rest(a)).dot(rest(b)) / zero;
    }
  }
  return std::max(1.0, sum);
}

struct Fitted {
  Pose pose;
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();   // Tile frame's axes turned into the sheet's.
  double alike = 0;
  bool well = false;
};

Fitted FitInside(const Maker& maker, const Grid& grid, const cv::Mat& mean, double sign, const Pose& start) {
  Fitted f;
  f.pose = start;
  cv::Mat gx, gy;
  cv::Sobel(mean, gx, CV_32F, 1, 0, 3, 1.0 / (8 * kStepMm));
  cv::Sobel(mean, gy, CV_32F, 0, 1, 3, 1.0 / (8 * kStepMm));
  for (int round = 0; round < 4; ++round) {
    const cv::Mat detail = sign * maker.DetailAt(grid, f.pose);
    const double gain = detail.dot(mean) / std::max(1e-9, mean.dot(mean));
    if (!(gain > 0.2)) return f;
    cv::Mat rest = detail - gain * mean;
    std::vector<double> size;
    for (int j = 0; j < rest.rows; ++j) {
      for (int i = 0; i < rest.cols; ++i) {
        if (grid.mask.at<float>(j, i) > 0) size.push_back(std::abs(static_cast<double>(rest.at<float>(j, i))));
      }
    }
    if (size.size() < 200) return f;
    const double scale = 1.4826 * Median(size);
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    double squares = 0, weights = 0;
    for (int j = 0; j < rest.rows; ++j) {
      for (int i = 0; i < rest.cols; ++i) {
        if (grid.mask.at<float>(j, i) <= 0) continue;
        const Point at = grid.At(i, j);
        const double x = -gain * static_cast<double>(gx.at<float>(j, i)), y = -gain * static_cast<double>(gy.at<float>(j, i));
        const Eigen::Vector3d row(x, y, -at.y * x + at.x * y);
        const double e = static_cast<double>(rest.at<float>(j, i));
        const double w = std::min(1.0, kHuber * scale / std::max(1e-9, std::abs(e)));
        normal += w * row * row.transpose();
        right += w * e * row;
        squares += w * e * e, weights += w;
      }
    }
    const Eigen::LDLT<Eigen::Matrix3d> solver(normal);
    if (solver.info() != Eigen::Success || solver.vectorD().minCoeff() < 1e-6) return f;
    Eigen::Vector3d step = solver.solve(right);
    const double far = std::hypot(step(0), step(1));
    if (far > 0.4) step *= 0.4 / far;
    const Rotation turn(f.pose.turn_rad);
    f.pose.at = f.pose.at + turn * Point{step(0), step(1)};
    f.pose.turn_rad = WrapTurn(f.pose.turn_rad + step(2));
    f.alike = Correlation(detail, mean);
    const Eigen::Matrix3d inverse = solver.solve(Eigen::Matrix3d::Identity());
    Eigen::Matrix3d r = Eigen::Matrix3d::Identity();
    const double c = std::cos(f.pose.turn_rad), s = std::sin(f.pose.turn_rad);
    r(0, 0) = r(1, 1) = c, r(0, 1) = -s, r(1, 0) = s;
    f.covariance = Together(rest) * squares / std::max(1.0, weights) * (r * inverse * r.transpose());
    f.well = far < 0.4;
  }
  return f;
}

Eigen::Vector3d Difference(const Pose& a, const Pose& b) { return {a.at.x - b.at.x, a.at.y - b.at.y, WrapTurn(a.turn_rad - b.turn_rad)}; }

Eigen::Matrix3d CovarianceOf(const Pull& p) { return Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>>(p.covariance.data()); }

}  // namespace

bool InnerPictures::MoveStrays(std::vector<Pull>& pulls) const {
  const Maker maker(sampler_, camera_, paper_);
  bool moved = false;
  for (const PlateShape& shape : shapes_) {
    if (!maker.HasPicture(shape, pulls)) continue;
    const Pictures p = maker.Make(shape, pulls);
    if (p.usual < kAlike) continue;   // A few alike are no rule.
    const Grid wide = GridFor(shape, kReachMm);
    for (std::size_t k = 0; k < p.which.size(); ++k) {
      if (p.alike[k] > kStray * p.usual) continue;
      Pull& pull = pulls[p.which[k]];
      cv::Mat there, density = maker.Density(wide, pull.pose), found;
      // Without a mask: beyond the outline there is other ink or paper, and T is nothing there.
      there = Detail(density, cv::Mat::ones(density.size(), CV_32F));
      cv::matchTemplate(there, p.MeanWithout(k), found, cv::TM_CCORR_NORMED, p.grid.mask);
      found = cv::abs(found);             // Dark lines or bare ones.
      found.setTo(0, found != found);     // Where nothing is printed there is nothing to divide by.
      found.setTo(0, found > 1.001);
      double best = 0;
      cv::Point at;
      cv::minMaxLoc(found, nullptr, &best, nullptr, &at);
      const Point shift = wide.At(at.x, at.y) - p.grid.corner;
      if (best < kAlike * p.usual || best < p.alike[k] + kGain || Norm(shift) < kStrayMm) continue;
      pull.pose.at = pull.pose.at + Rotation(pull.pose.turn_rad) * shift;
      pull.doubt = {};
      moved = true;
    }
  }
  return moved;
}

int InnerPictures::Join(std::vector<Pull>& pulls) const {
  const Maker maker(sampler_, camera_, paper_);
  int joined = 0;
  for (const PlateShape& shape : shapes_) {
    if (!maker.HasPicture(shape, pulls)) continue;
    Pictures p = maker.Make(shape, pulls);
    if (p.usual < kAlike) continue;
    const std::size_t n = p.which.size();
    std::vector<Fitted> fits(n);
    std::vector<Pull> work;
    for (const std::size_t i : p.which) work.push_back(pulls[i]);
    for (int round = 0; round < 2; ++round) {
      cv::parallel_for_(cv::Range(0, static_cast<int>(n)), [&](const cv::Range& range) {
        for (auto k = static_cast<std::size_t>(range.start); k < static_cast<std::size_t>(range.end); ++k) {
          fits[k] = FitInside(maker, p.grid, p.MeanWithout(k), p.sign[k], work[k].pose);
          fits[k].well = fits[k].well && fits[k].alike > kAlike * p.usual;
        }
      });
      // Where the picture as a whole lies about the outline is the edges' to say.
      Point mean;
      double turn = 0, weights = 0;
      for (std::size_t k = 0; k < n; ++k) {
        if (!fits[k].well) continue;
        const Pose& edge = pulls[p.which[k]].pose;
        mean = mean + Rotation(-edge.turn_rad) * (fits[k].pose.at - edge.at);
        turn += WrapTurn(fits[k].pose.turn_rad - edge.turn_rad), weights += 1;
      }
      if (weights < kFewest) break;
      for (std::size_t k = 0; k < n; ++k) {
        if (!fits[k].well) continue;
        fits[k].pose.at = fits[k].pose.at - Rotation(fits[k].pose.turn_rad) * ((1 / weights) * mean);
        fits[k].pose.turn_rad = WrapTurn(fits[k].pose.turn_rad - turn / weights);
        work[k].pose = fits[k].pose;
      }
      if (round == 0) {
        p.detail.clear();
        for (std::size_t k = 0; k < n; ++k) p.detail.push_back(p.sign[k] * maker.DetailAt(p.grid, work[k].pose));
        Maker::Sum(p);
      }
    }
    // What the two places differ by over what they should: the insides' own share of the blame.
    std::vector<double> ratio;
    Eigen::Matrix3d common = Eigen::Matrix3d::Zero();
    double well = 0;
    for (std::size_t k = 0; k < n; ++k) {
      if (!fits[k].well) continue;
      const Eigen::Matrix3d both = CovarianceOf(pulls[p.which[k]]) + fits[k].covariance;
      const Eigen::Vector3d d = Difference(fits[k].pose, pulls[p.which[k]].pose);
      ratio.push_back(d.dot(both.ldlt().solve(d)));
      common += CovarianceOf(pulls[p.which[k]]), well += 1;
    }
    if (ratio.size() < kFewest) continue;
    common /= well * well;
    // The median of chi squared with three degrees of freedom is 2.366.
    const double short_of = std::max(1.0, Median(ratio) / 2.366);
    for (std::size_t k = 0; k < n; ++k) {
      if (!fits[k].well) continue;
      Pull& pull = pulls[p.which[k]];
      const Eigen::Matrix3d edge = CovarianceOf(pull), inside = short_of * fits[k].covariance;
      const Eigen::Vector3d d = Difference(fits[k].pose, pull.pose);
      const double apart = d.dot((edge + inside).ldlt().solve(d));
      // An edge that contradicts its own inside has locked onto something else.
      const Eigen::Matrix3d trusted = apart > kConflict ? Eigen::Matrix3d((apart / 3) * edge) : edge;
      const Eigen::Matrix3d gain = trusted * (trusted + inside).inverse();
      const Eigen::Vector3d move = gain * d;
      const Eigen::Matrix3d after = (Eigen::Matrix3d::Identity() - gain) * trusted + common;
      pull.pose.at = pull.pose.at + Point{move(0), move(1)};
      pull.pose.turn_rad = WrapTurn(pull.pose.turn_rad + move(2));
      for (int a = 0; a < 3; ++a) {
        for (int b = 0; b < 3; ++b) pull.covariance[static_cast<std::size_t>(3 * a + b)] = 0.5 * (after(a, b) + after(b, a));
      }
      pull.doubt = {};   // The inside has chosen between the edge's places.
      ++joined;
    }
  }
  return joined;
}

}  // namespace truepull::detect
