// SPDX-License-Identifier: Apache-2.0
// The whole job, closed: pass one is pulled and photographed, read and placed; pass two is
// pulled exactly where the guide says. How far apart do the two passes lie, against a
// second pass pulled at the ideal places?
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "support/made_plans.h"
#include "support/program.h"
#include "truepull/plan_text.h"
#include "truepull/truth_text.h"

namespace truepull::testing {
namespace {

namespace fs = std::filesystem;

std::vector<TruthRow> Truth(const fs::path& file) {
  auto rows = ParseTruth(ReadFile(file), file.filename().string());
  if (!rows) throw std::runtime_error(rows.error().message);
  return *rows;
}

void RunWell(const std::vector<std::string>& arguments, const fs::path& in) {
  const ProgramRun run = RunTruepull(arguments, in);
  ASSERT_TRUE(run.exit_code == 0 || run.exit_code == 3) << arguments[0] << ": " << run.err;
}

// Root mean square distance between corresponding points of the outlines as pulled in
// pass one and as placed for pass two, over all sites that pass one printed.
template <typename PoseOf>
double Misregister(const Plan& plan, const std::vector<TruthRow>& first, const PoseOf& second) {
  double squares = 0, points = 0;
  for (std::size_t i = 0; i < first.size(); ++i) {
    if (first[i].state == SiteState::kMissing) continue;
    const std::optional<Pose> pose = second(i);
    if (!pose) {
      ADD_FAILURE() << SiteLabel(first[i].site) << " was not pulled";
      continue;
    }
    for (const Point& p : OutlineAt(plan, first[i].site)) {
      const Point d = Apply(*pose, p) - Apply(first[i].pose, p);
      squares += Dot(d, d);
      points += 1;
    }
  }
  return std::sqrt(squares / points);
}

std::optional<Pose> PoseOf(const TruthRow& row) {
  if (row.state == SiteState::kMissing) return std::nullopt;
  return row.pose;
}

TEST(ClosedLoop, TheGuideBringsTheSecondPassDownToTheReadingError) {
  const TemporaryFolder folder;
  const fs::path in = folder.path();
  const Plan plan = HarbourGulls();
  WriteFile(folder / "plan.yaml", WritePlan(plan));
  const std::vector<std::string> sheet{"simulate", "--plan", "plan.yaml", "--seed", "5", "--like", "typical",
                                       "--photo", "2400x1800", "--quiet"};
  const auto simulate = [&](std::vector<std::string> more) {
    std::vector<std::string> arguments = sheet;
    arguments.insert(arguments.end(), more.begin(), more.end());
    RunWell(arguments, in);
  };
  simulate({"--out", "one"});
  RunWell({"read", "--plan", "plan.yaml", "one/photo.jpg", "--out", "reading", "--quiet"}, in);
  RunWell({"next", "reading/reading.yaml", "--out", "guide", "--quiet"}, in);
  simulate({"--second", "guide/placements.csv", "--out", "two"});
  RunWell({"next", "--plan", "plan.yaml", "--out", "ideal", "--quiet"}, in);
  simulate({"--second", "ideal/placements.csv", "--out", "two-ideal"});

  const std::vector<TruthRow> first = Truth(folder / "one/truth.csv");
  // The second pass is on the very same sheet.
  ASSERT_EQ(first, Truth(folder / "two/truth.csv"));
  const std::vector<TruthRow> guided = Truth(folder / "two/truth-second.csv");
  const std::vector<TruthRow> unguided = Truth(folder / "two-ideal/truth-second.csv");
  const auto table = ReadFile(folder / "reading/drift.csv");
  const auto found = ParsePlaces(table, "drift.csv", AllSites(plan.lattice));
  ASSERT_TRUE(found.has_value()) << found.error().message;

  const double by_guide = Misregister(plan, first, [&](std::size_t i) { return PoseOf(guided[i]); });
  const double by_ideal = Misregister(plan, first, [&](std::size_t i) { return PoseOf(unguided[i]); });
  const double reading_error = Misregister(plan, first, [&](std::size_t i) { return (*found)[i]; });
  const double drift = Misregister(plan, first, [&](std::size_t i) -> std::optional<Pose> {
    return IdealPose(plan.lattice, first[i].site);
  });
  fmt::print("misregister between the passes, rms over the outlines: {:.3f} mm by the guide (reading error {:.3f} mm), "
             "{:.3f} mm by the ideal lattice (drift {:.3f} mm)\n",
             by_guide, reading_error, by_ideal, drift);
  // Files hold 0.0001 mm; nothing else may come between reading and pulling.
  EXPECT_NEAR(by_guide, reading_error, 0.001);
  EXPECT_NEAR(by_ideal, drift, 0.001);
  EXPECT_GT(by_ideal, 1.0);            // The hand of `typical` strays by over 1 mm.
  EXPECT_LT(by_guide, by_ideal / 6);
}

}  // namespace
}  // namespace truepull::testing
