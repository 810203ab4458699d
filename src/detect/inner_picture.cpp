// SPDX-License-Identifier: Apache-2.0
#include "detect/inner_picture.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace truepull::detect {
namespace {

// One pull's density in its tile frame.
struct Patch {
  cv::Mat density;       // CV_32F, high-passed, zero mean over the mask.
  double norm = 0;       // Root of the sum of squares over the mask.
};

struct Grid {
  double left = 0, top = 0, cell = 0.4;
  int columns = 0, rows = 0;
  cv::Mat mask;          // CV_32F 0..1, deep enough inside.
  Point At(double i, double j) const { return {left + i * cell, top + j * cell}; }
};

Grid MakeGrid(const PlateShape& shape, const InnerOptions& options) {
  Grid grid;
  const Box box = BoundingBox(shape.outline);
  grid.cell = options.cell_mm;
  grid.left = box.left;
  grid.top = box.top;
  grid.columns = static_cast<int>(box.Width() / grid.cell) + 1;
  grid.rows = static_cast<int>(box.Height() / grid.cell) + 1;
  grid.mask = cv::Mat(grid.rows, grid.columns, CV_32F, cv::Scalar(0));
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      if (static_cast<double>(shape.distance.At(grid.At(i, j))) > options.clear_mm) grid.mask.at<float>(j, i) = 1;
    }
  }
  return grid;
}

Patch TakePatch(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
                const Grid& grid, const Pull& pull, const InnerOptions& options) {
  Patch patch;
  cv::Mat density(grid.rows, grid.columns, CV_32F, cv::Scalar(0));
  const Rotation turn(pull.pose.turn_rad);
  const Point step_x = turn * Point{grid.cell, 0};
  for (int j = 0; j < grid.rows; ++j) {
    // Along a row the camera is near linear over 8 cells: map the ends, interpolate.
    constexpr int kRun = 8;
    for (int i0 = 0; i0 < grid.columns; i0 += kRun) {
      const Point a = pull.pose.at + turn * grid.At(i0, j);
      const Point b = a + static_cast<double>(kRun) * step_x;
      const Point ua = camera.PhotoFromSheet(a), ub = camera.PhotoFromSheet(b);
      const Light white = paper.At(a + 0.5 * static_cast<double>(kRun) * step_x);
      const float scale = 3.0f / (white[0] + white[1] + white[2]);
      for (int i = i0; i < std::min(grid.columns, i0 + kRun); ++i) {
        const double f = static_cast<double>(i - i0) / kRun;
        const double u = ua.x + f * (ub.x - ua.x), v = ua.y + f * (ub.y - ua.y);
        if (!sampler.Inside(u, v)) continue;
        // Four readings to a cell, so that mottling finer than a cell averages out.
        const double du = 0.25 * (ub.x - ua.x) / kRun, dv = 0.25 * (ub.y - ua.y) / kRun;
        float light = 0;
        for (const auto& [su, sv] : {std::pair{du - dv, dv + du}, {du + dv, dv - du}, {-du - dv, -dv + du}, {-du + dv, -dv - du}}) {
          light += sampler.Inside(u + su, v + sv) ? sampler.MeanAt(u + su, v + sv) : 1.0f;
        }
        density.at<float>(j, i) = -std::log(std::clamp(0.25f * scale * light, 0.05f, 1.1f));
      }
    }
  }
  // High-pass within the mask: subtract the local mean over about 3 mm.
  cv::Mat masked, mean, weight, low;
  cv::multiply(density, grid.mask, masked);
  const double sigma = 2.5 / grid.cell;
  cv::GaussianBlur(masked, mean, cv::Size(), sigma);
  cv::GaussianBlur(grid.mask, weight, cv::Size(), sigma);
  cv::divide(mean, weight + 1e-3, mean);
  patch.density = density - mean;
  if (options.smooth_mm > 0) cv::GaussianBlur(patch.density, low, cv::Size(), options.smooth_mm / grid.cell);
  else low = patch.density;
  cv::multiply(low, grid.mask, patch.density);
  const double total = cv::sum(grid.mask)[0];
  if (total > 0) {
    const double average = cv::sum(patch.density)[0] / total;
    patch.density -= average * grid.mask;
  }
  patch.norm = cv::norm(patch.density);
  return patch;
}

// Reads a picture at a moved place: bilinear, zero outside.
float Read(const cv::Mat& m, double u, double v) {
  if (!(u >= 0 && v >= 0 && u < m.cols - 1 && v < m.rows - 1)) return 0;
  const int i = static_cast<int>(u), j = static_cast<int>(v);
  const auto a = static_cast<float>(u - i), b = static_cast<float>(v - j);
  const float* p = m.ptr<float>(j) + i;
  const float* q = m.ptr<float>(j + 1) + i;
  const float top = p[0] + a * (p[1] - p[0]), bottom = q[0] + a * (q[1] - q[0]);
  return top + b * (bottom - top);
}

struct Alignment {
  Eigen::Vector3d move = Eigen::Vector3d::Zero();   // Tile frame: mm, mm, rad x lever.
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Identity();
  double correlation = 0;
};

// Correlation of a pull's patch with the picture moved by (x, y, turn).
double Correlation(const Grid& grid, const cv::Mat& picture, const Patch& patch, Point move, double turn_rad, int stride) {
  const Rotation r(-turn_rad);
  double xy = 0, xx = 0, yy = 0;
  for (int j = 0; j < grid.rows; j += stride) {
    for (int i = 0; i < grid.columns; i += stride) {
      if (grid.mask.at<float>(j, i) < 0.5f) continue;
      const Point p = r * (grid.At(i, j) - move);
      const double t = static_cast<double>(Read(picture, (p.x - grid.left) / grid.cell, (p.y - grid.top) / grid.cell));
      const double d = static_cast<double>(patch.density.at<float>(j, i));
      xy += t * d, xx += t * t, yy += d * d;
    }
  }
  return xx > 0 && yy > 0 ? xy / std::sqrt(xx * yy) : 0;
}

// Gauss-Newton on the picture's own gradient; the covariance is a sandwich over 5 mm
// blocks, because mottling hangs together over millimetres.
Alignment Align(const Grid& grid, const cv::Mat& picture, const Patch& patch, double lever, Eigen::Vector3d start) {
  Alignment out;
  out.move = start;
  const int block = std::max(1, static_cast<int>(5.0 / grid.cell));
  const int blocks = (grid.columns / block + 1) * (grid.rows / block + 1);
  std::vector<Eigen::Vector4d> block_score(static_cast<std::size_t>(blocks));
  for (int round = 0; round < 6; ++round) {
    Eigen::Matrix4d h = Eigen::Matrix4d::Identity() * 1e-9;
    double amplitude = 0, tt = 0, td = 0, dd = 0;
    const double turn = out.move(2) / lever;
    const Rotation r(-turn);
    struct Row { Eigen::Vector4d j; double d; std::size_t block; };
    static thread_local std::vector<Row> rows;
    rows.clear();
    for (int j = 0; j < grid.rows; ++j) {
      for (int i = 0; i < grid.columns; ++i) {
        if (grid.mask.at<float>(j, i) < 0.5f) continue;
        const Point at = grid.At(i, j);
        const Point p = r * (at - Point{out.move(0), out.move(1)});
        const double u = (p.x - grid.left) / grid.cell, v = (p.y - grid.top) / grid.cell;
        const double t = static_cast<double>(Read(picture, u, v));
        const double gx = static_cast<double>(Read(picture, u + 0.5, v) - Read(picture, u - 0.5, v)) / grid.cell;
        const double gy = static_cast<double>(Read(picture, u, v + 0.5) - Read(picture, u, v - 0.5)) / grid.cell;
        const double d = static_cast<double>(patch.density.at<float>(j, i));
        // d t / d move = -R gradient; d t / d turn = -cross(p, gradient).
        const Point g = Rotation(turn) * Point{gx, gy};
        rows.push_back({{-g.x, -g.y, -(p.x * gy - p.y * gx) / lever, t}, d,
                        static_cast<std::size_t>((j / block) * (grid.columns / block + 1) + i / block)});
        tt += t * t, td += t * d, dd += d * d;
      }
    }
    if (tt <= 0 || dd <= 0) return out;
    amplitude = td / tt;
    out.correlation = td / std::sqrt(tt * dd);
    Eigen::Vector4d b = Eigen::Vector4d::Zero();
    std::fill(block_score.begin(), block_score.end(), Eigen::Vector4d::Zero());
    for (Row& row : rows) {
      row.j.head<3>() *= amplitude;
      const double e = row.d - amplitude * row.j(3);
      h += row.j * row.j.transpose();
      b += e * row.j;
      block_score[row.block] += e * row.j;
    }
    const Eigen::Matrix4d inverse = h.inverse();
    const Eigen::Vector4d step = inverse * b;
    if (!step.allFinite()) return out;
    const double size = step.head<3>().norm();
    out.move += step.head<3>() * std::min(1.0, 0.5 / std::max(1e-9, size));
    Eigen::Matrix4d meat = Eigen::Matrix4d::Zero();
    for (const Eigen::Vector4d& s : block_score) meat += s * s.transpose();
    out.covariance = (inverse * meat * inverse).topLeftCorner<3, 3>();
    if (size < 1e-3) break;
  }
  return out;
}

}  // namespace

std::vector<InnerFit> FitInnerPicture(const Photo& photo, const SheetCamera& camera,
                                      const PaperLight& paper, const PlateShape& shape,
                                      const std::vector<Pull>& pulls,
                                      const std::vector<char>& trusted,
                                      const InnerOptions& options) {
  std::vector<InnerFit> fits(pulls.size());
  const Grid grid = MakeGrid(shape, options);
  if (cv::countNonZero(grid.mask > 0.5) < 200) return fits;
  const PhotoSampler sampler(photo.bgr);
  std::vector<Patch> patches(pulls.size());
  const auto mine = [&](std::size_t i) { return pulls[i].present && pulls[i].shape == &shape; };
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto k = static_cast<std::size_t>(i);
      if (mine(k)) patches[k] = TakePatch(sampler, camera, paper, grid, pulls[k], options);
    }
  });
  std::vector<std::size_t> makers;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (mine(i) && trusted[i] && patches[i].norm > 0) makers.push_back(i);
  }
  if (makers.size() < 4) return fits;
  // First principal component by the small Gram matrix.
  const auto n = static_cast<Eigen::Index>(makers.size());
  Eigen::MatrixXd gram(n, n);
  for (Eigen::Index a = 0; a < n; ++a) {
    for (Eigen::Index b = a; b < n; ++b) {
      const auto& p = patches[makers[static_cast<std::size_t>(a)]];
      const auto& q = patches[makers[static_cast<std::size_t>(b)]];
      gram(a, b) = gram(b, a) = p.density.dot(q.density) / (p.norm * q.norm);
    }
  }
  // The diagonal is each patch with itself, mottling and all: it says nothing of what
  // they share.
  gram.diagonal().setZero();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(gram);
  const Eigen::VectorXd weight = eigen.eigenvectors().col(n - 1);
  cv::Mat picture(grid.rows, grid.columns, CV_32F, cv::Scalar(0));
  std::vector<double> share(pulls.size(), 0);
  for (Eigen::Index a = 0; a < n; ++a) {
    const std::size_t i = makers[static_cast<std::size_t>(a)];
    share[i] = weight(a) / patches[i].norm;
    picture += share[i] * patches[i].density;
  }
  const double lever = std::max(1.0, 0.6 * shape.radius);
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto k = static_cast<std::size_t>(i);
      if (!mine(k) || patches[k].norm <= 0) continue;
      // One's own mottling in the picture would hold the pull where it is.
      const cv::Mat others = share[k] != 0 ? cv::Mat(picture - share[k] * patches[k].density) : picture;
      Eigen::Vector3d start = Eigen::Vector3d::Zero();
      if (options.search_mm > 0) {
        double best = -1;
        const double turn_step = std::max(0.01, 0.6 / lever);
        const int turns = static_cast<int>(options.search_turn_rad / turn_step);
        const double step = 0.6;
        const int reach = static_cast<int>(options.search_mm / step);
        for (int t = -turns; t <= turns; ++t) {
          for (int y = -reach; y <= reach; ++y) {
            for (int x = -reach; x <= reach; ++x) {
              const double c = std::abs(Correlation(grid, others, patches[k], {x * step, y * step}, t * turn_step, 2));
              if (c > best) {
                best = c;
                start = {x * step, y * step, t * turn_step * lever};
              }
            }
          }
        }
      }
      const Alignment a = Align(grid, others, patches[k], lever, start);
      InnerFit& fit = fits[k];
      fit.agreement = std::abs(a.correlation);
      fit.used = true;
      // The picture must move by `move` in the tile frame to meet the pull: so must the pull's pose.
      const Rotation turn(pulls[k].pose.turn_rad);
      fit.pose.at = pulls[k].pose.at + turn * Point{a.move(0), a.move(1)};
      fit.pose.turn_rad = WrapTurn(pulls[k].pose.turn_rad + a.move(2) / lever);
      // Covariance into the sheet frame.
      Eigen::Matrix3d s;
      s << turn.c, -turn.s, 0, turn.s, turn.c, 0, 0, 0, 1 / lever;
      const Eigen::Matrix3d c = s * a.covariance * s.transpose();
      for (int r = 0; r < 3; ++r) {
        for (int q = 0; q < 3; ++q) fit.covariance[static_cast<std::size_t>(3 * r + q)] = c(r, q);
      }
    }
  });
  return fits;
}

}  // namespace truepull::detect
