// SPDX-License-Identifier: Apache-2.0
#include "detect/pose_system.h"

#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>
#include <algorithm>
#include <cmath>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr double kTukey = 5.0;         // In standard deviations.
constexpr int kPasses = 8;

// Neighbouring normals share raggedness: how many count as one.
double Repeat(const std::vector<Observation>& seen) {
  const std::size_t n = seen.size();
  double zero = 0;
  std::vector<double> lagged(40, 0.0);
  for (std::size_t k = 0; k < n; ++k) {
    if (seen[k].weight <= 0) continue;
    const double v = seen[k].weight * seen[k].residual;
    zero += v * v;
    for (std::size_t m = 1; m < lagged.size() && m < n; ++m) {
      const Observation& q = seen[(k + m) % n];
      lagged[m] += v * q.weight * q.residual;
    }
  }
  double repeat = 1;
  for (std::size_t m = 1; m < lagged.size() && zero > 0; ++m) {
    const double rho = lagged[m] / zero;
    if (rho < 0.05) break;
    repeat += 2 * rho;
  }
  return repeat;
}

// Where the unknowns of a pull stand in the system.
constexpr int kStays = -1;

class System {
 public:
  System(const std::vector<Pull>& pulls, std::vector<PullEvidence>& evidence, const std::vector<std::size_t>& use,
         const PoseSystemOptions& options)
      : pulls_(pulls), evidence_(evidence), use_(use), options_(options), slot_(pulls.size(), kStays), ragged_(pulls.size(), 0.2) {
    int next = 0;
    for (const std::size_t i : use_) {
      slot_[i] = next;
      next += 4;
      ragged_[i] = std::clamp(pulls_[i].spread_mm, 0.03, 0.3);
    }
    x_ = Eigen::VectorXd::Zero(next);
  }

  bool Pass() {
    entries_.clear();
    right_ = Eigen::VectorXd::Zero(x_.size());
    for (const std::size_t i : use_) Collect(i);
    Eigen::SparseMatrix<double> normal(x_.size(), x_.size());
    normal.setFromTriplets(entries_.begin(), entries_.end());
    solver_.compute(normal);
    if (solver_.info() != Eigen::Success) return false;
    x_ = solver_.solve(right_);
    std::vector<double> off;
    for (const std::size_t i : use_) {
      off.clear();
      for (const Observation& o : evidence_[i].seen) {
        if (o.info(0, 0) > 20) off.push_back(std::abs(o.residual));
      }
      ragged_[i] = std::clamp(off.size() > 20 ? 1.4826 * Median(off) : 0.3, 0.03, 0.4);
    }
    return true;
  }

  Eigen::Vector4d Move(std::size_t i) const { return x_.segment<4>(slot_[i]); }
  double Ragged(std::size_t i) const { return ragged_[i]; }
  Eigen::Matrix3d Covariance(std::size_t i) {
    Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(x_.size(), 3);
    for (int c = 0; c < 3; ++c) unit(slot_[i] + c, c) = 1;
    return solver_.solve(unit).middleRows<3>(slot_[i]);
  }

 private:
  void Add(int r, int c, const Eigen::Matrix4d& block) {
    for (int a = 0; a < 4; ++a) {
      for (int b = 0; b < 4; ++b) entries_.emplace_back(r + a, c + b, block(a, b));
    }
  }

  void Collect(std::size_t i) {
    const int me = slot_[i];
    const double s2 = ragged_[i] * ragged_[i];
    Eigen::Matrix4d mine = Eigen::Vector4d(1e-3, 1e-3, 1e-1, 0).asDiagonal();
    // A prior counts in full, normals only as far as they are independent.
    const double prior = pulls_[i].repeat / (options_.growth_sd_mm * options_.growth_sd_mm);
    mine(3, 3) += prior;
    right_(me + 3) += prior * (options_.growth_mm - pulls_[i].growth_mm);
    std::vector<std::pair<int, Eigen::Matrix4d>> cross;
    for (Observation& o : evidence_[i].seen) {
      o.weight = 0;
      if (o.info(0, 0) < 1e-9) continue;
      const int you = o.neighbour >= 0 ? slot_[static_cast<std::size_t>(o.neighbour)] : kStays;
      const double yours = you >= 0 ? o.other.dot(x_.segment<4>(you)) : 0.0;
      // Own edge as seen, the neighbour's where the poses have it.
      o.residual = (o.score(0) - o.info(0, 1) * yours) / o.info(0, 0) - o.own.dot(x_.segment<4>(me));
      const double z = o.residual / (kTukey * std::sqrt(1 / o.info(0, 0) + s2));
      if (std::abs(z) >= 1) continue;
      const double w = (1 - z * z) * (1 - z * z) * o.share;
      const Eigen::Matrix2d shrink = (Eigen::Matrix2d::Identity() + s2 * o.info).inverse();
      const Eigen::Matrix2d weight = w * o.info * shrink;
      const Eigen::Vector2d score = w * shrink * o.score;
      o.weight = weight(0, 0);
      mine += weight(0, 0) * o.own.transpose() * o.own;
      right_.segment<4>(me) += score(0) * o.own.transpose();
      if (you < 0) continue;
      Add(you, you, weight(1, 1) * o.other.transpose() * o.other);
      right_.segment<4>(you) += score(1) * o.other.transpose();
      auto found = std::find_if(cross.begin(), cross.end(), [&](const auto& c) { return c.first == you; });
      if (found == cross.end()) found = cross.insert(cross.end(), {you, Eigen::Matrix4d::Zero()});
      found->second += weight(0, 1) * o.own.transpose() * o.other;
    }
    Add(me, me, mine);
    for (const auto& [you, block] : cross) {
      Add(me, you, block);
      Add(you, me, block.transpose());
    }
  }

  const std::vector<Pull>& pulls_;
  std::vector<PullEvidence>& evidence_;
  const std::vector<std::size_t>& use_;
  const PoseSystemOptions& options_;
  std::vector<int> slot_;
  std::vector<double> ragged_;
  std::vector<Eigen::Triplet<double>> entries_;
  Eigen::VectorXd x_, right_;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver_;
};

}  // namespace

void MovePulls(std::vector<Pull>& pulls, std::vector<PullEvidence>& evidence, const std::vector<std::size_t>& use,
               const PoseSystemOptions& options) {
  if (use.empty()) return;
  System system(pulls, evidence, use, options);
  for (int pass = 0; pass < kPasses; ++pass) {
    if (!system.Pass()) return;
  }
  for (const std::size_t i : use) {
    Pull& p = pulls[i];
    const Eigen::Vector4d d = system.Move(i);
    p.moved_mm = std::hypot(d(0), d(1)) + std::abs(d(2)) * p.shape->radius;
    // Far off, the slope at the start says which way but not how far.
    const double share = std::min(1.0, 0.8 / std::max(1e-9, p.moved_mm));
    p.pose.at = p.pose.at + Point{share * d(0), share * d(1)};
    p.pose.turn_rad = WrapTurn(p.pose.turn_rad + share * d(2));
    p.growth_mm = std::clamp(p.growth_mm + share * d(3), -0.6, 0.6);
    p.spread_mm = system.Ragged(i);
    p.repeat = Repeat(evidence[i].seen);
    if (!options.covariance) continue;
    const Eigen::Matrix3d cov = p.repeat * system.Covariance(i);
    for (int a = 0; a < 3; ++a) {
      for (int b = 0; b < 3; ++b) p.covariance[static_cast<std::size_t>(3 * a + b)] = cov(a, b);
    }
  }
}

}  // namespace truepull::detect
