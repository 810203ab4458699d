// SPDX-License-Identifier: Apache-2.0
#include "placement/balance.h"

#include <Eigen/Dense>
#include <Eigen/SparseCholesky>
#include <algorithm>
#include <cmath>
#include <limits>

namespace truepull {
namespace {

using Block = Eigen::Matrix3d;
using Three = Eigen::Vector3d;

constexpr double kSettledMm = 1e-9;
constexpr int kMostSteps = 60;
constexpr double kMostStiffness = 1e6;
constexpr double kLimitSlackMm = 1e-8;
constexpr double kRoughlyMm = 1e-2;
constexpr double kInexact = 0.1;   // Of how far the limits are broken.

struct State {  // Middle and turn.
  Point middle;
  double turn = 0;
};

State StateOf(const BalanceSite& s, const Pose& pose) { return {Apply(pose, s.middle), pose.turn_rad}; }
Pose PoseOf(const BalanceSite& s, const State& q) {
  return {q.middle - Rotation(q.turn) * s.middle, WrapTurn(q.turn)};
}

struct Weights {
  double reg = 0, fit = 0;
};
Weights WeightsOf(const BalanceProblem& p) {
  if (p.favour <= 0) return {1, 1};
  return {std::max(kLeastRegister, 1 - p.favour), p.favour};
}

// What lies between the outlines beyond the plan, in a's frame, and how it moves.
struct Between {
  double n = 0, t = 0;
  Three n_a, n_b, t_a, t_b;
};
// The turns of a seam's two plates: sines are dear, and one pair serves all its samples.
struct Turns {
  Turns(const State& qa, const State& qb) : ra(qa.turn), back(-qa.turn), rb(qb.turn) {}
  Rotation ra, back, rb;
};
Between Look(const BalanceSample& s, const BalanceSite& a, const BalanceSite& b, const State& qa, const State& qb,
             const Turns& turns, bool slopes) {
  const Rotation &ra = turns.ra, &back = turns.back, &rb = turns.rb;
  const Point arm_a = ra * (s.at_a - a.middle), arm_b = rb * (s.at_b - b.middle);
  const Point world = qb.middle + arm_b - qa.middle - arm_a;
  const Point e = back * world - s.apart;
  const Point n = s.normal_a, t{-n.y, n.x};
  Between out;
  out.n = Dot(n, e), out.t = Dot(t, e);
  if (!slopes) return out;
  const Point wn = ra * n, wt = ra * t;  // Normal and edge on the sheet.
  // A turn dw moves a point by dw (-y, x) of its arm; a's own turn also turns the frame.
  const auto turned = [](Point p) { return Point{-p.y, p.x}; };
  const Point by_a = -1.0 * turned(arm_a) - turned(world), by_b = turned(arm_b);
  out.n_a = {-wn.x, -wn.y, Dot(wn, by_a)}, out.n_b = {wn.x, wn.y, Dot(wn, by_b)};
  out.t_a = {-wt.x, -wt.y, Dot(wt, by_a)}, out.t_b = {wt.x, wt.y, Dot(wt, by_b)};
  return out;
}

// The two ways in which a limit is kept: the reference point, and the outline in the mean.
struct Limit {
  std::size_t site = 0;
  bool reference = false;
  double multiplier = 0;
};
struct LimitLook {
  double size = 0;
  Eigen::Vector3d move;                        // Third is radius * turn, or 0.
  Eigen::Matrix3d slope;
};
LimitLook Look(const Limit& l, const BalanceSite& s, const State& q) {
  LimitLook out;
  out.slope.setZero();
  if (l.reference) {
    const Point arm = Rotation(q.turn) * s.middle;
    const Point d = q.middle - arm - s.impression->at;
    out.move = {d.x, d.y, 0};
    out.slope << 1, 0, arm.y, 0, 1, -arm.x, 0, 0, 0;
  } else {
    const Point d = q.middle - Apply(*s.impression, s.middle);
    out.move = {d.x, d.y, s.radius_mm * WrapTurn(q.turn - s.impression->turn_rad)};
    out.slope.diagonal() << 1, 1, s.radius_mm;
  }
  out.size = out.move.norm();
  return out;
}

class Solver {
 public:
  explicit Solver(const BalanceProblem& p)
      : p_(p), w_(WeightsOf(p)), limit_stiffness_(200 * std::max(1.0, w_.fit * p.white)), q_(p.sites.size()), of_(p.sites.size(), -1) {
    for (std::size_t i = 0; i < p.sites.size(); ++i) {
      q_[i] = StateOf(p.sites[i], p.sites[i].start);
      if (p.sites[i].held) continue;
      of_[i] = count_++;
      if (p.sites[i].limit_mm > 0 && p.sites[i].impression) {
        limits_.push_back({i, false, 0});
        limits_.push_back({i, true, 0});
      }
    }
    Pattern();
  }

  BalanceResult Run() {
    BalanceResult out;
    out.at_limit.assign(p_.sites.size(), false);
    if (count_ > 0) {
      // While the limits' pulls still change, places need not be known better than those are.
      double settled = limits_.empty() ? kSettledMm : kRoughlyMm;
      out.settled = Settle(settled, out.steps);
      double before = std::numeric_limits<double>::infinity();
      for (int i = 0; i < 60 && !limits_.empty(); ++i) {
        const double broken = TightenLimits();
        if (broken < kLimitSlackMm && settled <= kSettledMm) break;
        settled = std::clamp(kInexact * broken, kSettledMm, settled);
        // Two limits of one plate that nearly agree share their pull slowly: press harder.
        if (broken > before / 5 && limit_stiffness_ < kMostStiffness) limit_stiffness_ *= 4;
        before = broken;
        out.settled = Settle(settled, out.steps);
      }
    }
    for (const Limit& l : limits_) {
      if (l.multiplier > 0) out.at_limit[l.site] = true;
    }
    for (std::size_t i = 0; i < p_.sites.size(); ++i) {
      out.places.push_back(p_.sites[i].held ? p_.sites[i].start : PoseOf(p_.sites[i], q_[i]));
    }
    return out;
  }

  double Cost(const std::vector<State>& q) const {
    double cost = 0;
    for (std::size_t i = 0; i < q.size(); ++i) {
      const BalanceSite& s = p_.sites[i];
      if (s.held) continue;
      if (s.impression) cost += w_.reg * Drawn(s, q[i], *s.impression, s.register_weight, s.register_turn_weight);
      if (s.anchor_weight > 0) cost += w_.fit * Drawn(s, q[i], s.anchor, s.anchor_weight, s.anchor_weight);
    }
    for (const BalanceSeam& seam : p_.seams) {
      if ((p_.sites[seam.a].held && p_.sites[seam.b].held) || seam.samples.empty()) continue;
      double sum = 0;
      const Turns turns(q[seam.a], q[seam.b]);
      for (const BalanceSample& s : seam.samples) {
        const Between e = Look(s, p_.sites[seam.a], p_.sites[seam.b], q[seam.a], q[seam.b], turns, false);
        const double white = std::max(0.0, e.n - p_.white_from_mm);
        sum += e.n * e.n + p_.slip * e.t * e.t + p_.white * white * white;
      }
      cost += w_.fit * seam.weight * sum / static_cast<double>(seam.samples.size());
    }
    return cost;
  }

  const std::vector<State>& states() const { return q_; }

 private:
  static double Drawn(const BalanceSite& s, const State& q, const Pose& to, double weight, double turn_weight) {
    const Point d = q.middle - Apply(to, s.middle);
    const double w = s.radius_mm * WrapTurn(q.turn - to.turn_rad);
    return weight * Dot(d, d) + turn_weight * w * w;
  }

  double LimitCost(const std::vector<State>& q) const {
    double cost = 0;
    for (const Limit& l : limits_) {
      const BalanceSite& s = p_.sites[l.site];
      const double over = std::max(0.0, Look(l, s, q[l.site]).size - s.limit_mm + l.multiplier / limit_stiffness_);
      cost += 0.5 * limit_stiffness_ * over * over;
    }
    return cost;
  }

  // Where in the matrix each seam's block stands: the pattern never changes.
  void Pattern() {
    std::vector<Eigen::Triplet<double>> entries;
    const auto block = [&](int r, int c) {
      for (int i = 0; i < 3; ++i) {
        for (int j = 0; j < 3; ++j) {
          if (3 * r + i >= 3 * c + j) entries.emplace_back(3 * r + i, 3 * c + j, 0.0);
        }
      }
    };
    for (int i = 0; i < count_; ++i) block(i, i);
    for (const BalanceSeam& s : p_.seams) {
      const int a = of_[s.a], b = of_[s.b];
      if (a >= 0 && b >= 0) block(std::max(a, b), std::min(a, b));
    }
    matrix_.resize(3 * count_, 3 * count_);
    matrix_.setFromTriplets(entries.begin(), entries.end());
    if (count_ > 0) factor_.analyzePattern(matrix_);
  }

  void AddBlock(int r, int c, const Block& m) {
    for (int j = 0; j < 3; ++j) {
      const int column = 3 * c + j;
      const int* begin = matrix_.innerIndexPtr() + matrix_.outerIndexPtr()[column];
      const int* end = matrix_.innerIndexPtr() + matrix_.outerIndexPtr()[column + 1];
      const int first = r == c ? j : 0;
      const int* at = std::lower_bound(begin, end, 3 * r + first);
      double* value = matrix_.valuePtr() + (at - matrix_.innerIndexPtr());
      for (int i = first; i < 3; ++i) *value++ += m(i, j);
    }
  }

  // Fills the matrix and the slope of half the cost.
  void Assemble() {
    std::fill(matrix_.valuePtr(), matrix_.valuePtr() + matrix_.nonZeros(), 0.0);
    slope_ = Eigen::VectorXd::Zero(3 * count_);
    for (std::size_t i = 0; i < q_.size(); ++i) {
      const int at = of_[i];
      if (at < 0) continue;
      const BalanceSite& s = p_.sites[i];
      Block m = Block::Zero();
      Three g = Three::Zero();
      const auto draw = [&](const Pose& to, double weight, double turn_weight) {
        const Point d = q_[i].middle - Apply(to, s.middle);
        const double r2 = s.radius_mm * s.radius_mm;
        m.diagonal() += Three(weight, weight, turn_weight * r2);
        g += Three(weight * d.x, weight * d.y, turn_weight * r2 * WrapTurn(q_[i].turn - to.turn_rad));
      };
      if (s.impression) draw(*s.impression, w_.reg * s.register_weight, w_.reg * s.register_turn_weight);
      if (s.anchor_weight > 0) draw(s.anchor, w_.fit * s.anchor_weight, w_.fit * s.anchor_weight);
      AddBlock(at, at, m);
      slope_.segment<3>(3 * at) += g;
    }
    for (const BalanceSeam& seam : p_.seams) AddSeam(seam);
    for (const Limit& l : limits_) AddLimit(l);
  }

  void AddSeam(const BalanceSeam& seam) {
    const int a = of_[seam.a], b = of_[seam.b];
    if ((a < 0 && b < 0) || seam.samples.empty()) return;
    Block aa = Block::Zero(), bb = Block::Zero(), ba = Block::Zero();
    Three ga = Three::Zero(), gb = Three::Zero();
    const double share = w_.fit * seam.weight / static_cast<double>(seam.samples.size());
    const Turns turns(q_[seam.a], q_[seam.b]);
    for (const BalanceSample& s : seam.samples) {
      const Between e = Look(s, p_.sites[seam.a], p_.sites[seam.b], q_[seam.a], q_[seam.b], turns, true);
      const double white = e.n > p_.white_from_mm ? share * p_.white : 0;
      const double stiff = share + white, pull = share * e.n + white * (e.n - p_.white_from_mm);
      const double along = share * p_.slip;
      aa += stiff * e.n_a * e.n_a.transpose() + along * e.t_a * e.t_a.transpose();
      bb += stiff * e.n_b * e.n_b.transpose() + along * e.t_b * e.t_b.transpose();
      ba += stiff * e.n_b * e.n_a.transpose() + along * e.t_b * e.t_a.transpose();
      ga += pull * e.n_a + along * e.t * e.t_a;
      gb += pull * e.n_b + along * e.t * e.t_b;
    }
    if (a >= 0) AddBlock(a, a, aa), slope_.segment<3>(3 * a) += ga;
    if (b >= 0) AddBlock(b, b, bb), slope_.segment<3>(3 * b) += gb;
    if (a >= 0 && b >= 0) {
      if (b > a) AddBlock(b, a, ba);
      else AddBlock(a, b, ba.transpose());
    }
  }

  void AddLimit(const Limit& l) {
    const BalanceSite& s = p_.sites[l.site];
    const LimitLook look = Look(l, s, q_[l.site]);
    const double over = look.size - s.limit_mm + l.multiplier / limit_stiffness_;
    if (over <= 0 || look.size <= 0) return;
    const Eigen::Vector3d u = look.move / look.size;
    const Eigen::Matrix3d curve =
        limit_stiffness_ * (u * u.transpose() +
                           over / look.size * (Eigen::Matrix3d::Identity() - u * u.transpose()));
    // Half the cost has half of the penalty's slope and curve.
    AddBlock(of_[l.site], of_[l.site], 0.5 * look.slope.transpose() * curve * look.slope);
    slope_.segment<3>(3 * of_[l.site]) += 0.5 * limit_stiffness_ * over * look.slope.transpose() * u;
  }

  std::vector<State> Moved(const Eigen::VectorXd& step, double share) const {
    std::vector<State> q = q_;
    for (std::size_t i = 0; i < q.size(); ++i) {
      if (of_[i] < 0) continue;
      const Eigen::Index at = 3 * of_[i];
      q[i].middle = q[i].middle + Point{share * step[at], share * step[at + 1]};
      q[i].turn += share * step[at + 2];
    }
    return q;
  }

  bool Settle(double settled, int& steps) {
    double cost = Cost(q_) + LimitCost(q_);
    for (int k = 0; k < kMostSteps; ++k) {
      Assemble();
      factor_.factorize(matrix_);
      ++steps;
      if (factor_.info() != Eigen::Success) return false;
      const Eigen::VectorXd step = -factor_.solve(slope_);
      double largest = 0;
      for (std::size_t i = 0; i < q_.size(); ++i) {
        if (of_[i] < 0) continue;
        const Eigen::Index at = 3 * of_[i];
        largest = std::max({largest, std::abs(step[at]), std::abs(step[at + 1]),
                            p_.sites[i].radius_mm * std::abs(step[at + 2])});
      }
      double share = 1;
      std::vector<State> next = Moved(step, share);
      double next_cost = Cost(next) + LimitCost(next);
      // A whole step is right unless samples or limits change sides on the way. Costs are sums of
      // many terms: a rise within rounding is none.
      while (next_cost > cost * (1 + 1e-12) + 1e-15 && share > 1e-3) {
        share /= 2;
        next = Moved(step, share);
        next_cost = Cost(next) + LimitCost(next);
      }
      q_ = std::move(next);
      cost = next_cost;
      if (largest < settled) return true;
    }
    return false;
  }

  // Raises the multipliers; returns how far the limits are still broken.
  double TightenLimits() {
    double worst = 0;
    for (Limit& l : limits_) {
      const BalanceSite& s = p_.sites[l.site];
      const double over = Look(l, s, q_[l.site]).size - s.limit_mm;
      const double before = l.multiplier;
      l.multiplier = std::max(0.0, before + limit_stiffness_ * over);
      // Also a limit that holds, but with a pull that is still changing, is not settled.
      worst = std::max({worst, over, std::abs(l.multiplier - before) / limit_stiffness_});
    }
    return worst;
  }

  const BalanceProblem& p_;
  const Weights w_;
  double limit_stiffness_;  // Well above what a site's seams and register pull with.
  std::vector<State> q_;
  std::vector<int> of_;  // Site -> unknown, -1 when held.
  int count_ = 0;
  std::vector<Limit> limits_;
  Eigen::SparseMatrix<double> matrix_;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factor_;
  Eigen::VectorXd slope_;
};

}  // namespace

BalanceResult Balance(const BalanceProblem& problem) { return Solver(problem).Run(); }

double BalanceCost(const BalanceProblem& problem, const std::vector<Pose>& places) {
  std::vector<State> q;
  for (std::size_t i = 0; i < places.size(); ++i) q.push_back(StateOf(problem.sites[i], places[i]));
  return Solver(problem).Cost(q);
}

}  // namespace truepull
