// SPDX-License-Identifier: Apache-2.0
// How long planning the next pass takes as the sheet grows, and how far the sparse solve lies from
// a dense one (small sheets only: the dense one grows with the cube).
//
//   truepull_bench_next [--most 10000]
#include <fmt/format.h>

#include <Eigen/Dense>
#include <chrono>
#include <cstdlib>
#include <random>
#include <string>

#include "placement/next_problem.h"
#include "support/made_plans.h"
#include "support/sheets.h"

namespace truepull::testing {
namespace {

double Seconds(const auto& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

Reading SheetOf(int rows, int columns) {
  Reading reading;
  reading.plan = HarbourGulls();
  reading.plan.lattice.rows = rows, reading.plan.lattice.columns = columns;
  reading.plan.colour_map.clear();
  reading.sheet = ReadingAtIdeal(reading.plan);
  std::mt19937_64 random(static_cast<unsigned>(rows));
  Scatter(reading.sheet, 0.5, 0.006, random);
  return reading;
}

double FurthestFromDense(const BalanceProblem& p, const std::vector<Pose>& sparse) {
  const auto n = static_cast<Eigen::Index>(p.sites.size());
  // The sparse answer is the minimum if no single move from it lowers the cost: a dense Newton step on
  // the cost itself, its slope and curve by differences.
  const auto cost = [&](const Eigen::VectorXd& x) {
    std::vector<Pose> q = sparse;
    for (std::size_t i = 0; i < q.size(); ++i) {
      const auto at = static_cast<Eigen::Index>(3 * i);
      const Point middle = Apply(q[i], p.sites[i].middle) + Point{x[at], x[at + 1]};
      q[i].turn_rad += x[at + 2] / p.sites[i].radius_mm;
      q[i].at = middle - Rotation(q[i].turn_rad) * p.sites[i].middle;
    }
    return BalanceCost(p, q);
  };
  const double h = 1e-3;
  const Eigen::VectorXd zero = Eigen::VectorXd::Zero(3 * n);
  Eigen::VectorXd slope(3 * n);
  Eigen::MatrixXd curve(3 * n, 3 * n);
  const double here = cost(zero);
  std::vector<double> up(static_cast<std::size_t>(3 * n));
  for (Eigen::Index i = 0; i < 3 * n; ++i) {
    Eigen::VectorXd x = zero;
    x[i] = h;
    up[static_cast<std::size_t>(i)] = cost(x);
    x[i] = -h;
    slope[i] = (up[static_cast<std::size_t>(i)] - cost(x)) / (2 * h);
  }
  for (Eigen::Index i = 0; i < 3 * n; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j) {
      Eigen::VectorXd x = zero;
      x[i] += h, x[j] += h;
      curve(i, j) = curve(j, i) = (cost(x) - up[static_cast<std::size_t>(i)] - up[static_cast<std::size_t>(j)] + here) / (h * h);
    }
  }
  return curve.ldlt().solve(slope).cwiseAbs().maxCoeff();
}

int Main(int argc, char** argv) {
  int most = 10000;
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::string(argv[i]) == "--most") most = std::atoi(argv[i + 1]);
  }
  fmt::print("| sites | net, s | balance (favour 0.5), s | the same with a trap, s | its steps | whole plan, s | whole plan with a trap, s | sites a second |\n|---|---|---|---|---|---|---|---|\n");
  for (const int side : {5, 10, 20, 40, 70, 100}) {
    if (side * side > most) break;
    const Reading reading = SheetOf(side, side);
    std::vector<std::optional<Pose>> lie;
    for (const SiteReading& s : reading.sheet.sites) lie.emplace_back(s.found);
    const DriftReport report = MeasureDrift(reading.plan, reading.sheet);
    std::optional<SeamNet> net;
    const double for_net = Seconds([&] { net.emplace(reading.plan, lie); });
    NextProblem problem = MakeNextProblem(report, *net, {});
    problem.free.favour = 0.5;
    const double for_free = Seconds([&] { Balance(problem.free); });
    BalanceProblem limited = problem.free;
    for (BalanceSite& s : limited.sites) s.limit_mm = 0.5;
    limited.white_from_mm = 0.5, limited.white = 600;
    int steps = 0;
    const double for_limited = Seconds([&] { steps = Balance(limited).steps; });
    NextPassRequest request;
    request.favour = 0.5;
    const double whole = Seconds([&] { PlanNextPass(reading, {}, request); });
    request.trap_mm = 0.5;
    const double trapped = Seconds([&] { PlanNextPass(reading, {}, request); });
    fmt::print("| {} | {:.4f} | {:.4f} | {:.4f} | {} | {:.4f} | {:.4f} | {:.0f} |\n", side * side, for_net, for_free, for_limited, steps, whole, trapped, side * side / whole);
  }
  fmt::print("\n| sites | furthest from a dense Newton step, mm |\n|---|---|\n");
  for (const int side : {2, 4, 5}) {
    const Reading reading = SheetOf(side, side);
    std::vector<std::optional<Pose>> lie;
    for (const SiteReading& s : reading.sheet.sites) lie.emplace_back(s.found);
    const SeamNet net(reading.plan, lie);
    NextProblem problem = MakeNextProblem(MeasureDrift(reading.plan, reading.sheet), net, {});
    problem.free.favour = 0.5;
    problem.free.white = 0;  // Smooth, so that differences are slopes.
    fmt::print("| {} | {:.1e} |\n", side * side, FurthestFromDense(problem.free, Balance(problem.free).places));
  }
  return 0;
}

}  // namespace
}  // namespace truepull::testing

int main(int argc, char** argv) { return truepull::testing::Main(argc, argv); }
