// SPDX-License-Identifier: Apache-2.0
// The plates' places between register and fit: ends, laws, and a dense solve beside the sparse.
#include "placement/balance.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <numeric>
#include <random>

#include "placement/next_problem.h"
#include "support/made_plans.h"
#include "support/sheets.h"

namespace truepull::testing {
namespace {

Reading Scattered(const Plan& plan, unsigned seed, double sd_mm = 0.5, double sd_rad = 0.006) {
  Reading reading = IdealReading(plan);
  std::mt19937_64 random(seed);
  Scatter(reading.sheet, sd_mm, sd_rad, random);
  return reading;
}

void MoveAsOne(Reading& reading, Point about, double turn_rad, Point shift) {
  for (SiteReading& s : reading.sheet.sites) {
    s.found.at = about + Rotation(turn_rad) * (s.found.at - about) + shift;
    s.found.turn_rad += turn_rad;
  }
}

NextProblem ProblemOf(const Reading& reading) {
  const DriftReport report = MeasureDrift(reading.plan, reading.sheet);
  std::vector<std::optional<Pose>> lie;
  for (const SiteReading& s : reading.sheet.sites) {
    lie.push_back(s.state == SiteState::kMissing ? std::nullopt : std::optional(s.found));
  }
  const SeamNet net(reading.plan, lie);
  return MakeNextProblem(report, net, {});
}

double Furthest(const std::vector<Pose>& a, const std::vector<Pose>& b) {
  double out = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    out = std::max({out, Norm(a[i].at - b[i].at), 50 * std::abs(WrapTurn(a[i].turn_rad - b[i].turn_rad))});
  }
  return out;
}

TEST(Balance, MovesNothingWithoutDrift) {
  for (const auto& [name, plan] : AllMadePlans()) {
    Reading reading;
    reading.plan = plan;
    reading.sheet = ReadingAtIdeal(plan);
    for (const double favour : {0.0, 0.3, 1.0}) {
      NextPassRequest request;
      request.favour = favour;
      for (const Placement& p : PlanNextPass(reading, {}, request).placements) {
        EXPECT_LT(Norm(p.from_ideal), 1e-6) << name << " " << favour << " " << SiteLabel(p.site);
        EXPECT_LT(std::abs(p.from_ideal_turn_rad), 1e-8);
      }
    }
  }
}

// Two tiles side by side, one of them d too far right. With register weights v and one seam of
// weight l, the plates move towards one another by x each:
//   2 (1 - f) v x^2 + f l (1 + white) (d - 2 x)^2  is least at
//   x = f l (1 + white) d / ((1 - f) v + 2 f l (1 + white)).
// For an overlap (d < 0) `white` falls away.
TEST(Balance, TwoTilesMeetWhereTheSumsSay) {
  for (const double d : {0.8, -0.8}) {
    for (const double f : {0.1, 0.5, 0.9}) {
      Reading reading;
      reading.plan = RectanglePlan(1, 2);
      reading.sheet = ReadingAtIdeal(reading.plan);
      reading.sheet.sites[1].found.at.x += d;
      NextProblem problem = ProblemOf(reading);
      problem.free.favour = f;
      // Samples do not lie quite evenly about the middle; turns are barred, for the sum.
      for (BalanceSite& s : problem.free.sites) s.register_turn_weight = 1e9;
      ASSERT_EQ(problem.free.seams.size(), 1u);
      const double v = problem.free.sites[0].register_weight;
      const double l = problem.free.seams[0].weight * (1 + (d > 0 ? problem.free.white : 0));
      const double x = f * l * d / ((1 - f) * v + 2 * f * l);
      const BalanceResult result = Balance(problem.free);
      EXPECT_TRUE(result.settled);
      EXPECT_NEAR(result.places[0].at.x - reading.sheet.sites[0].found.at.x, x, 1e-9) << d << " " << f;
      EXPECT_NEAR(result.places[1].at.x - reading.sheet.sites[1].found.at.x, -x, 1e-9);
      EXPECT_NEAR(result.places[0].at.y, reading.sheet.sites[0].found.at.y, 1e-9);
      EXPECT_NEAR(result.places[0].turn_rad, 0, 1e-9);
    }
  }
}

// At the fit end the plates are the ideal lattice as one piece, laid on the impressions by the
// least squares that has a closed form: the mean shift, and the turn of the middles' and the
// tiles' own turns together (S. Umeyama, IEEE TPAMI 13(4), 1991, scale 1).
TEST(Balance, FitIsTheLatticeLaidOnTheImpressions) {
  for (const Plan& plan : {RectanglePlan(4, 5), HarbourGulls(), HexagonsOn(420, 297, 3, 4, 35)}) {
    Reading reading = Scattered(plan, 5);
    MoveAsOne(reading, {100, 50}, 0.012, {1.5, -0.7});
    const NextProblem problem = ProblemOf(reading);
    const std::vector<Pose> fit = PlanNextPass(reading, {}, {}).fit;
    // Closed form: equal weights, as all sites are known alike.
    const std::size_t n = fit.size();
    std::vector<Point> from, to;
    double cross = 0, dot = 0;
    Point mean_from, mean_to;
    for (std::size_t i = 0; i < n; ++i) {
      const BalanceSite& s = problem.free.sites[i];
      from.push_back(Apply(problem.ideals[i], s.middle));
      to.push_back(Apply(*s.impression, s.middle));
      mean_from = mean_from + (1.0 / static_cast<double>(n)) * from.back();
      mean_to = mean_to + (1.0 / static_cast<double>(n)) * to.back();
    }
    for (std::size_t i = 0; i < n; ++i) {
      const BalanceSite& s = problem.free.sites[i];
      const double share = s.register_turn_weight / s.register_weight * s.radius_mm * s.radius_mm;
      const double turn = s.impression->turn_rad - problem.ideals[i].turn_rad;
      cross += Cross(from[i] - mean_from, to[i] - mean_to) + share * std::sin(turn);
      dot += Dot(from[i] - mean_from, to[i] - mean_to) + share * std::cos(turn);
    }
    const double turn = std::atan2(cross, dot);
    for (std::size_t i = 0; i < n; ++i) {
      const Point middle = mean_to + Rotation(turn) * (from[i] - mean_from);
      EXPECT_LT(Norm(Apply(fit[i], problem.free.sites[i].middle) - middle), 2e-5);
      EXPECT_NEAR(WrapTurn(fit[i].turn_rad - problem.ideals[i].turn_rad), turn, 1e-6);
    }
  }
}

TEST(Balance, RegisterIsWhereTheImpressionsAre) {
  const Reading reading = Scattered(HarbourGulls(), 6);
  const NextPass next = PlanNextPass(reading, {}, {});
  for (std::size_t i = 0; i < next.placements.size(); ++i) {
    EXPECT_EQ(next.placements[i].register_mm, 0.0);
    EXPECT_LT(Norm(next.placements[i].place.at - reading.sheet.sites[i].found.at), 1e-9);
  }
}

TEST(Balance, AWholeSheetsMoveMovesEveryPlateAlike) {
  for (const double favour : {0.0, 0.4, 0.8, 1.0}) {
    Reading reading = Scattered(HarbourGulls(), 7);
    reading.sheet.sites[8].state = SiteState::kMissing;
    NextPassRequest request;
    request.favour = favour;
    const NextPass before = PlanNextPass(reading, {}, request);
    MoveAsOne(reading, {30, 200}, 0.02, {3.1, -2.2});
    const NextPass after = PlanNextPass(reading, {}, request);
    const Rotation turn(0.02);
    for (std::size_t i = 0; i < before.placements.size(); ++i) {
      const Point moved = Point{30, 200} + turn * (before.placements[i].place.at - Point{30, 200}) + Point{3.1, -2.2};
      EXPECT_LT(Norm(after.placements[i].place.at - moved), 1e-5) << favour << " " << i;
    }
  }
}

TEST(Balance, TheOrderOfTheSitesMakesNoDifference) {
  Reading reading = Scattered(HarbourGulls(), 8);
  reading.sheet.sites[3].state = SiteState::kMissing;
  NextProblem problem = ProblemOf(reading);
  problem.free.favour = 0.5;
  for (BalanceSite& s : problem.free.sites) s.limit_mm = 0.4;
  const auto straight = Balance(problem.free).places;
  std::vector<std::size_t> order(problem.free.sites.size());
  std::iota(order.begin(), order.end(), 0);
  std::shuffle(order.begin(), order.end(), std::mt19937(9));
  BalanceProblem mixed = problem.free;
  std::vector<std::size_t> place(order.size());
  for (std::size_t i = 0; i < order.size(); ++i) mixed.sites[i] = problem.free.sites[order[i]], place[order[i]] = i;
  for (BalanceSeam& s : mixed.seams) s.a = place[s.a], s.b = place[s.b];
  std::shuffle(mixed.seams.begin(), mixed.seams.end(), std::mt19937(10));
  const auto other = Balance(mixed).places;
  for (std::size_t i = 0; i < order.size(); ++i) {
    EXPECT_LT(Norm(other[i].at - straight[order[i]].at), 1e-6);
  }
}

// Beside the sparse solver a plain one: all residuals written out, slopes by differences, dense
// QR, steps until nothing moves.
std::vector<Pose> SolveDense(const BalanceProblem& p) {
  const std::size_t n = p.sites.size();
  const double f = p.favour, r = std::max(kLeastRegister, 1 - f);
  const auto poses = [&](const Eigen::VectorXd& x) {
    std::vector<Pose> out;
    for (std::size_t i = 0; i < n; ++i) {
      const auto at = static_cast<Eigen::Index>(3 * i);
      out.push_back({{x[at], x[at + 1]}, x[at + 2]});
    }
    return out;
  };
  // `at`: where it is told which samples gape, so that slopes are those of one side.
  const auto residuals = [&](const Eigen::VectorXd& x, const Eigen::VectorXd& at_x) {
    const std::vector<Pose> q = poses(x), told = poses(at_x);
    std::vector<double> out;
    const auto drawn = [&](const BalanceSite& s, const Pose& to, const Pose& at, double w, double wt) {
      const Point d = Apply(at, s.middle) - Apply(to, s.middle);
      out.push_back(std::sqrt(w) * d.x), out.push_back(std::sqrt(w) * d.y);
      out.push_back(std::sqrt(wt) * s.radius_mm * WrapTurn(at.turn_rad - to.turn_rad));
    };
    for (std::size_t i = 0; i < n; ++i) {
      const BalanceSite& s = p.sites[i];
      if (s.impression) drawn(s, *s.impression, q[i], r * s.register_weight, r * s.register_turn_weight);
      if (s.anchor_weight > 0) drawn(s, s.anchor, q[i], f * s.anchor_weight, f * s.anchor_weight);
    }
    for (const BalanceSeam& seam : p.seams) {
      const double w = std::sqrt(f * seam.weight / static_cast<double>(seam.samples.size()));
      for (const BalanceSample& s : seam.samples) {
        const Point e = ApplyInverse(q[seam.a], Apply(q[seam.b], s.at_b)) - s.at_a - s.apart;
        const double gap = Dot(e, s.normal_a), along = Cross(s.normal_a, e);
        out.push_back(w * gap), out.push_back(w * std::sqrt(p.slip) * along);
        const Point there = ApplyInverse(told[seam.a], Apply(told[seam.b], s.at_b)) - s.at_a - s.apart;
        const bool gapes = Dot(there, s.normal_a) > p.white_from_mm;
        out.push_back(gapes ? w * std::sqrt(p.white) * (gap - p.white_from_mm) : 0.0);
      }
    }
    return Eigen::VectorXd(Eigen::Map<Eigen::VectorXd>(out.data(), static_cast<Eigen::Index>(out.size())));
  };
  Eigen::VectorXd x(static_cast<Eigen::Index>(3 * n));
  for (std::size_t i = 0; i < n; ++i) {
    const Pose& s = p.sites[i].start;
    x.segment<3>(static_cast<Eigen::Index>(3 * i)) << s.at.x, s.at.y, s.turn_rad;
  }
  for (int k = 0; k < 60; ++k) {
    const Eigen::VectorXd e = residuals(x, x);
    Eigen::MatrixXd j(e.size(), x.size());
    for (Eigen::Index c = 0; c < x.size(); ++c) {
      const double h = c % 3 == 2 ? 2e-5 : 1e-3;
      Eigen::VectorXd up = x, down = x;
      up[c] += h, down[c] -= h;
      j.col(c) = (residuals(up, x) - residuals(down, x)) / (2 * h);
    }
    const Eigen::VectorXd step = j.colPivHouseholderQr().solve(-e);
    x += step;
    if (step.cwiseAbs().maxCoeff() < 1e-11) break;
  }
  return poses(x);
}

TEST(Balance, AgreesWithADenseSolveToAMillionthOfAMillimetre) {
  unsigned seed = 20;
  for (const Plan& plan : {RectanglePlan(3, 4), HexagonsOn(300, 250, 3, 3, 30), KnobsOn(300, 250, 2, 4, 60, 50)}) {
    for (const double favour : {0.2, 0.5, 0.9}) {
      Reading reading = Scattered(plan, seed++);
      reading.sheet.sites[5].state = SiteState::kMissing;
      reading.sheet.sites[2].covariance = DiagonalCovariance(0.3, 0.3, 0.01);
      NextProblem problem = ProblemOf(reading);
      problem.free.favour = favour;
      const BalanceResult sparse = Balance(problem.free);
      EXPECT_TRUE(sparse.settled);
      EXPECT_LT(Furthest(sparse.places, SolveDense(problem.free)), 1e-6) << seed << " " << favour;
    }
  }
}

TEST(Balance, KeepsEveryPlateWithinItsLimitAndGivesWayNoMoreThanItMust) {
  for (unsigned seed = 40; seed < 44; ++seed) {
    const Reading reading = Scattered(HarbourGulls(), seed, 0.7);
    NextProblem problem = ProblemOf(reading);
    problem.free.favour = 0.9;
    for (BalanceSite& s : problem.free.sites) s.limit_mm = 0.3;
    const BalanceResult result = Balance(problem.free);
    int held = 0;
    for (std::size_t i = 0; i < result.places.size(); ++i) {
      const BalanceSite& s = problem.free.sites[i];
      EXPECT_LT(Norm(result.places[i].at - s.impression->at), 0.3 + 1e-6);
      EXPECT_LT(Norm(Apply(result.places[i], s.middle) - Apply(*s.impression, s.middle)), 0.3 + 1e-6);
      held += result.at_limit[i];
    }
    EXPECT_GT(held, 0);
    // Least of all places within the limits: no allowed step from there makes it better.
    const double cost = BalanceCost(problem.free, result.places);
    std::mt19937 random(seed);
    std::normal_distribution<> step(0, 0.02);
    for (int k = 0; k < 300; ++k) {
      std::vector<Pose> other = result.places;
      const std::size_t i = random() % other.size();
      other[i].at = other[i].at + Point{step(random), step(random)};
      const BalanceSite& s = problem.free.sites[i];
      const Point moved = Apply(other[i], s.middle) - Apply(*s.impression, s.middle);
      const double turn = s.radius_mm * (other[i].turn_rad - s.impression->turn_rad);
      if (Norm(other[i].at - s.impression->at) > 0.3 || std::hypot(Norm(moved), turn) > 0.3) continue;
      EXPECT_GT(BalanceCost(problem.free, other), cost - 1e-7);
    }
  }
}

TEST(PlanNextPass, TheMiddleLiesBetweenTheEnds) {
  const Reading reading = Scattered(HarbourGulls(), 11);
  double misregister_before = -1, uneven_before = 1e9;
  for (const double favour : {0.0, 0.25, 0.5, 0.75, 1.0}) {
    NextPassRequest request;
    request.favour = favour;
    const NextPass next = PlanNextPass(reading, {}, request);
    double misregister = 0, uneven = 0;
    for (const Placement& p : next.placements) misregister += *p.register_mm * *p.register_mm;
    for (const SeamOutlook& s : next.seams) {
      ASSERT_TRUE(s.found && s.on_register && s.fit && s.chosen);
      EXPECT_NEAR(s.found->mean_mm, s.on_register->mean_mm, 1e-9);
      EXPECT_NEAR(s.fit->mean_mm, 0, 0.01);
      uneven += s.chosen->mean_mm * s.chosen->mean_mm;
    }
    EXPECT_GT(misregister, misregister_before);
    EXPECT_LT(uneven, uneven_before);
    misregister_before = misregister, uneven_before = uneven;
  }
}

TEST(PlanNextPass, KeepsGapsWithinTheTrapAndNamesWhatCannotBe) {
  Reading reading = Scattered(RectanglePlan(3, 4), 12, 0.15, 0);
  reading.sheet.sites[5].found.at.x += 0.7;  // Can be shared out between neighbours.
  NextPassRequest request;
  request.favour = 0.5;
  request.trap_mm = 0.5;
  const NextPass good = PlanNextPass(reading, {}, request);
  EXPECT_TRUE(good.unmet.empty());
  for (const SeamOutlook& s : good.seams) EXPECT_LT(s.chosen->worst_mm, 0.51);
  for (const Placement& p : good.placements) EXPECT_LE(*p.register_mm, 0.5 + 1e-9);
  reading.sheet.sites[5].found.at.x += 2;    // Now 2.7 mm: too much for 0.5 + 0.5 + 0.5.
  const NextPass bad = PlanNextPass(reading, {}, request);
  ASSERT_FALSE(bad.unmet.empty());
  EXPECT_EQ(bad.unmet[0].substr(0, 31), "B1: moved the whole trap of 0.5");
  for (const Placement& p : bad.placements) EXPECT_LE(*p.register_mm, 0.5 + 1e-9);
}

TEST(PlanNextPass, LatticeIsTheIdeal) {
  Reading reading = Scattered(HarbourGulls(), 13);
  reading.sheet.sites[4].state = SiteState::kMissing;
  NextPassRequest request;
  request.lattice = true;
  const NextPass next = PlanNextPass(reading, {}, request);
  for (std::size_t i = 0; i < next.placements.size(); ++i) {
    EXPECT_EQ(next.placements[i].place, IdealPose(reading.plan.lattice, next.placements[i].site));
    if (i == 4) EXPECT_FALSE(next.placements[i].register_mm);
    else EXPECT_NEAR(*next.placements[i].register_mm, Norm(next.placements[i].place.at - reading.sheet.sites[i].found.at), 1e-9);
  }
}

TEST(PlanNextPass, NumbersThePullsAndSkipsWhatIsLeft) {
  Reading reading = Scattered(HarbourGulls(), 14);
  std::vector<Correction> words(1);
  words[0].site = {1, 1}, words[0].action = Action::kLeave;
  NextPass next = PlanNextPass(reading, words, {});
  ASSERT_TRUE(NumberPulls(reading.plan, next.placements, false));
  std::vector<int> numbers;
  for (const Placement& p : next.placements) {
    if (p.site == Site{1, 1}) EXPECT_EQ(p.order, 0);
    else numbers.push_back(p.order);
  }
  std::sort(numbers.begin(), numbers.end());
  for (std::size_t i = 0; i < numbers.size(); ++i) EXPECT_EQ(numbers[i], static_cast<int>(i) + 1);
}

}  // namespace
}  // namespace truepull::testing
