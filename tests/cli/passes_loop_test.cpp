// SPDX-License-Identifier: Apache-2.0
// Later passes, closed: a sheet is pulled, photographed, read and placed; the next pass is pulled over those
// places by a hand of known spread, photographed by another camera stand, and read against what lies beneath.
// The renderer knows the truth of every pass.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "support/program.h"
#include "support/sheets.h"
#include "truepull/plan_text.h"
#include "truepull/truth_text.h"

namespace truepull::testing {
namespace {

namespace fs = std::filesystem;

constexpr double kHandMm = 0.3;

// One line of register.csv.
struct Row {
  std::string pass, to;
  Site site;
  Point shift, sd;
};

std::vector<Row> RegisterRows(const fs::path& file) {
  std::istringstream lines(ReadFile(file));
  std::vector<Row> out;
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    std::istringstream cells(line);
    std::vector<std::string> c;
    for (std::string cell; std::getline(cells, cell, ',');) c.push_back(cell);
    if (c.size() < 10) throw std::runtime_error("register.csv: " + line);
    out.push_back({c[2], c[3], {std::stoi(c[0]), std::stoi(c[1])}, {std::stod(c[4]), std::stod(c[5])}, {std::stod(c[7]), std::stod(c[8])}});
  }
  return out;
}

Plan LoopPlan(std::vector<Pass> passes) {
  Plan plan = PlanOf({.origin = {30, 36}});
  plan.edge_colour = "#b08a60";
  plan.colours = {"#e8d080"};
  plan.passes = std::move(passes);
  return plan;
}

Pass PassOf(std::string name, std::string colour, Outline outline, std::string registers_to = "first", PassKind kind = PassKind::kLayer) {
  Pass p;
  p.name = std::move(name), p.colour = std::move(colour), p.outline = std::move(outline);
  p.registers_to = std::move(registers_to), p.kind = kind;
  p.opacity = Opacity::kTransparent, p.pulled = SheetState::kDry;
  return p;
}

// The shop: files of one sheet in one folder.
class Shop {
 public:
  Shop(Plan plan, std::string seed, std::vector<std::string> faults) : plan_(std::move(plan)), seed_(std::move(seed)), faults_(std::move(faults)) {
    WriteFile(folder_ / "plan.yaml", WritePlan(plan_));
    Simulate("first", {});
    Run({"read", "--plan", "plan.yaml", "--sheet", "dry", "first.jpg", "--out", "r-first"});
  }

  // Pulls a pass over a placements file, on what was pulled before, and photographs and reads it.
  void Pull(const std::string& pass, const std::string& placements) {
    passes_.push_back(pass);
    places_.insert(places_.end(), {"--pass", pass + "=" + placements});
    Simulate(pass, places_);
    std::vector<std::string> read{"read", "--plan", "plan.yaml", "--sheet", "dry", "--pass", pass, pass + ".jpg", "--out", "r-" + pass, "--before", "r-first/reading.yaml"};
    for (const std::string& p : passes_) {
      if (p != pass) read.push_back("r-" + p + "/reading.yaml");
    }
    said_ = Run(read).out;
  }

  // Places a pass by the reading of the pass that it goes by.
  std::string Next(const std::string& pass, const std::string& by, const std::string& more = "") {
    const std::string out = "n-" + pass;
    std::vector<std::string> next{"next", "r-" + by + "/reading.yaml", "--pass", pass, "--out", out};
    if (!more.empty()) next.push_back(more);
    next_said_ = Run(next).out;
    return out + "/placements.csv";
  }

  ProgramRun Run(std::vector<std::string> arguments) {
    ProgramRun run = RunTruepull(std::move(arguments), folder_.path());
    EXPECT_TRUE(run.exit_code == 0 || run.exit_code == 3) << run.err;
    return run;
  }

  std::vector<TruthRow> Truth(const std::string& pass) const {
    const fs::path file = folder_ / ("s-" + passes_.back()) / (pass == "first" ? "truth.csv" : "truth-" + pass + ".csv");
    return ParseTruth(ReadFile(file), file.filename().string()).value();
  }

  // What one pass truly lies off another at a site, at the middle of the first pass's outline.
  Point TrueShift(const std::vector<TruthRow>& pass, const std::vector<TruthRow>& to, Site site) const {
    const auto i = static_cast<std::size_t>(site.row * plan_.lattice.columns + site.column);
    const Point middle = Centroid(OutlineAt(plan_, site));
    return Apply(pass[i].pose, middle) - Apply(to[i].pose, middle);
  }

  struct Outcome {
    double error_rms = 0, z_rms = 0;      // Of the measured register, per axis.
    double spread = 0, true_spread = 0;   // sd per axis about the mean.
    int sites = 0;
  };
  Outcome Compare(const std::string& pass, const std::string& to) const {
    const auto a = Truth(pass), b = Truth(to);
    Outcome out;
    Point sum, square, true_sum, true_square;
    for (const Row& r : RegisterRows(folder_ / ("r-" + pass) / "register.csv")) {
      if (r.pass != pass || r.to != to) continue;
      const Point t = TrueShift(a, b, r.site), e = r.shift - t;
      out.error_rms += (e.x * e.x + e.y * e.y) / 2;
      out.z_rms += (e.x * e.x / (r.sd.x * r.sd.x) + e.y * e.y / (r.sd.y * r.sd.y)) / 2;
      sum = sum + r.shift, square = square + Point{r.shift.x * r.shift.x, r.shift.y * r.shift.y};
      true_sum = true_sum + t, true_square = true_square + Point{t.x * t.x, t.y * t.y};
      ++out.sites;
    }
    const double n = std::max(1, out.sites);
    const auto sd = [&](Point s, Point q) { return std::sqrt((q.x - s.x * s.x / n + q.y - s.y * s.y / n) / (2 * (n - 1))); };
    out.error_rms = std::sqrt(out.error_rms / n), out.z_rms = std::sqrt(out.z_rms / n);
    out.spread = sd(sum, square), out.true_spread = sd(true_sum, true_square);
    fmt::print("{} on {}: {} sites, measured register off the truth by {:.3f} mm rms (z {:.2f}); spread {:.3f} mm measured, {:.3f} true\n", pass, to, out.sites,
               out.error_rms, out.z_rms, out.spread, out.true_spread);
    return out;
  }

  const std::string& said() const { return said_; }
  const std::string& next_said() const { return next_said_; }
  const Plan& plan() const { return plan_; }
  const TemporaryFolder& folder() const { return folder_; }

 private:
  // `another` stands of the camera: a photo of its own for each state of the sheet.
  void Simulate(const std::string& pass, const std::vector<std::string>& places) {
    std::vector<std::string> arguments{"simulate", "--plan", "plan.yaml", "--seed", seed_, "--photo", "2400x1800", "--out", "s-" + pass, "--quiet"};
    arguments.insert(arguments.end(), faults_.begin(), faults_.end());
    if (!places.empty()) arguments.insert(arguments.end(), {"--another-photo", std::to_string(40 + passes_.size()), "--second-sd", fmt::format("{}", hand_mm), "--second-turn-sd", "0.2"});
    arguments.insert(arguments.end(), places.begin(), places.end());
    Run(arguments);
    fs::copy_file(folder_ / ("s-" + pass) / "photo.jpg", folder_ / (pass + ".jpg"));
  }

 public:
  double hand_mm = kHandMm;

 private:
  TemporaryFolder folder_;
  Plan plan_;
  std::string seed_;
  std::vector<std::string> faults_, passes_, places_;
  std::string said_, next_said_;
};

// 30 sites, two axes: sd of an sd is 1 / sqrt(2 * 58) of it; three of them, and what measuring adds.
constexpr double kSpreadLatitude = 3 * kHandMm / 10.8 + 0.02;

void ExpectTheHand(const Shop::Outcome& o, double spread) {
  EXPECT_EQ(o.sites, 30);
  EXPECT_LT(o.error_rms, 0.08);
  EXPECT_LT(o.z_rms, 1.6);
  EXPECT_NEAR(o.spread, o.true_spread, 0.03);
  EXPECT_NEAR(o.spread, spread, kSpreadLatitude * spread / kHandMm);
}

const Outline kDrawing{{12, 8}, {48, 8}, {54, 22}, {48, 37}, {12, 37}};
const Outline kSky{{4, 4}, {56, 4}, {56, 30}, {30, 24}, {4, 30}};
const Outline kRust{{10, 12}, {50, 12}, {44, 40}, {14, 36}};

TEST(PassesLoop, WithTheGuideRegisterIsTheHandsSpreadAndWithoutItTheWholeDrift) {
  const Plan plan = LoopPlan({PassOf("dark", "#203050", kDrawing)});
  Shop guided(plan, "5", {"--like", "typical", "--missing", "0"});
  guided.Pull("dark", guided.Next("dark", "first"));
  EXPECT_NE(guided.said().find("held against first.jpg"), std::string::npos) << guided.said();
  ExpectTheHand(guided.Compare("dark", "first"), kHandMm);

  // Put down by the plan's places instead, without the hand's chance: off by the first pass's drift.
  Shop unguided(plan, "5", {"--like", "typical", "--missing", "0"});
  unguided.hand_mm = 0;
  unguided.Run({"next", "--plan", "plan.yaml", "--out", "ideal", "--quiet"});
  unguided.Pull("dark", "ideal/placements.csv");
  const auto o = unguided.Compare("dark", "first");
  EXPECT_LT(o.error_rms, 0.08);
  EXPECT_GT(o.spread, 3 * kHandMm);
  const auto first = unguided.Truth("first");
  for (const Row& r : RegisterRows(unguided.folder() / "r-dark/register.csv")) {
    const Point middle = Centroid(OutlineAt(plan, r.site));
    const auto i = static_cast<std::size_t>(r.site.row * 6 + r.site.column);
    const Point drift = Apply(first[i].pose, middle) - Apply(IdealPose(plan.lattice, r.site), middle);
    EXPECT_LT(Norm(r.shift + drift), 0.5) << SiteLabel(r.site);  // The hand's turn of 0.2 degrees counts too.
  }
}

TEST(PassesLoop, FourPassesSetToOneKeyDoNotWander) {
  Shop shop(LoopPlan({PassOf("sky", "#8fc0d8", kSky), PassOf("rust", "#c07050", kRust), PassOf("key", "#203050", kDrawing, "first", PassKind::kKey)}), "3",
            {"--like", "easy"});
  for (const char* pass : {"sky", "rust", "key"}) {
    shop.Pull(pass, shop.Next(pass, "first"));
    ExpectTheHand(shop.Compare(pass, "first"), kHandMm);
  }
  // Between two passes that were set by one: both hands.
  ExpectTheHand(shop.Compare("key", "sky"), kHandMm * std::sqrt(2.0));
}

TEST(PassesLoop, FourPassesSetEachToTheOneBeforeWanderBySqrtThree) {
  Shop shop(LoopPlan({PassOf("sky", "#8fc0d8", kSky), PassOf("rust", "#c07050", kRust, "sky"), PassOf("key", "#203050", kDrawing, "rust", PassKind::kKey)}), "3",
            {"--like", "easy"});
  shop.Pull("sky", shop.Next("sky", "first"));
  shop.Pull("rust", shop.Next("rust", "sky"));
  shop.Pull("key", shop.Next("key", "rust"));
  EXPECT_NE(shop.next_said().find("1.7 times the spread of one placement"), std::string::npos) << shop.next_said();
  ExpectTheHand(shop.Compare("key", "rust"), kHandMm);
  ExpectTheHand(shop.Compare("key", "first"), kHandMm * std::sqrt(3.0));
}

}  // namespace
}  // namespace truepull::testing
