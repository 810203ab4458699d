// SPDX-License-Identifier: Apache-2.0
#include "edition/habits.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "edition/scatter_trend.h"
#include "geometry/fixed_text.h"
#include "truepull/units.h"

namespace truepull {
namespace {

std::string Mm(double v) { return Fixed(std::abs(v), std::abs(v) < 0.95 ? 2 : 1) + " mm"; }
std::string Deg(double rad) {
  const std::string text = Fixed(std::abs(DegFromRad(rad)), 1);
  return text + (text == "1.0" ? " degree" : " degrees");
}
const char* Clock(double turn) { return turn > 0 ? "clockwise" : "anticlockwise"; }

std::string Way(Point d) {
  constexpr const char* kWays[] = {"to the right", "down and to the right", "down", "down and to the left",
                                   "to the left", "up and to the left", "up", "up and to the right"};
  const int eighth = static_cast<int>(std::lround(std::atan2(d.y, d.x) / (std::numbers::pi / 4)));
  return kWays[(eighth + 8) % 8];
}

// How far a turn moves the rim of a tile.
double RimMm(const Plan& plan) {
  double radius = 0;
  for (const Plate& plate : plan.plates) {
    const Point middle = Centroid(plate.outline);
    for (const Point& p : plate.outline) radius = std::max(radius, Norm(p - middle));
  }
  return radius;
}

void Add(std::vector<Habit>& out, Habit h) { out.push_back(std::move(h)); }

void AddShift(const HabitInput& in, std::vector<Habit>& out) {
  const SheetFit& fit = *in.fit;
  Point shift = fit.shift;
  if (in.from_start) {
    // What piles up from a fixed start is the creep's, not a shift of the whole.
    const auto unexplained = [&](const StepGain& g, Point step) {
      if (!g.has || Norm(step) < 1e-9) return;
      const Point u = (1 / Norm(step)) * step;
      const double end = std::abs(g.first_mm) < std::abs(g.last_mm) ? g.first_mm : g.last_mm;
      const double now = Dot(shift, u);
      if (std::abs(end) < std::abs(now)) shift = shift + (end - now) * u;
    };
    unexplained(in.growth->columns, in.plan->lattice.across);
    unexplained(in.growth->rows, in.plan->lattice.down);
    if (Norm(shift) < 0.5 * Norm(fit.shift)) return;
  }
  if (fit.shift_test.p >= in.level || Norm(shift) < in.thresholds->least_mm) return;
  Add(out, {HabitKind::kShift, Cause::kStop, Norm(shift), fit.shift_test.p,
            fmt::format("all tiles lie {} {} of their places", Mm(Norm(shift)), Way(shift)),
            "check where the sheet and the guide lie against their stops before the first pull"});
}

void AddTurn(const HabitInput& in, std::vector<Habit>& out) {
  const DriftReport& drift = in.review->drift;
  if (!drift.sheet_part || !drift.sheet_part->has_turn || drift.sheet_part->sd_turn_rad <= 0) return;
  const SheetPart& p = *drift.sheet_part;
  double reach = 0;
  for (const Point o : in.fit->offset) reach = std::max(reach, Norm(o));
  const double size = std::abs(p.turn_rad) * reach / 2;
  const double chance = ChanceOfT(p.turn_rad / p.sd_turn_rad, std::max(1.0, 2 * in.fit->freedom));
  if (chance >= in.level || size < in.thresholds->least_mm) return;
  Add(out, {HabitKind::kTurn, Cause::kStop, size, chance,
            fmt::format("the whole pattern is turned {} {} on the sheet", Deg(p.turn_rad), Clock(p.turn_rad)),
            "square the sheet against both stops, and look again after the first row"});
}

// The tiles' own turns: one habit for all, or growing from side to side.
void AddTileTurns(const HabitInput& in, std::vector<Habit>& out) {
  const std::vector<std::size_t>& sites = in.fit->sites;
  const DriftReport& drift = in.review->drift;
  std::vector<double> turn;
  double mean = 0;
  for (const std::size_t i : sites) {
    // A tile put down upside down is a finding of its own, not a habit.
    const double t = drift.sites[i].hand_turn_rad;
    turn.push_back(std::abs(t) < RadFromDeg(20) ? t : 0);
    mean += turn.back() / static_cast<double>(sites.size());
  }
  const auto n = static_cast<double>(sites.size());
  if (n < 4 || in.fit->freedom < 1) return;
  const std::vector<double> left = LeftOver(*in.fit, turn);
  double square = 0;
  for (const double v : left) square += v * v;
  const double variance = square / in.fit->freedom;
  if (variance <= 0) return;
  const double rim = RimMm(*in.plan);
  // Slopes from side to side and from top to bottom.
  std::array<double, 3> sum{}, b{};
  for (std::size_t i = 0; i < turn.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) sum[k] += in.fit->regressors[i][k] * turn[i];
  }
  for (std::size_t j = 0; j < 3; ++j) {
    for (std::size_t k = 0; k < 3; ++k) b[j] += in.fit->inverse[3 * j + k] * sum[k];
  }
  const Box box = BoundingBox(in.fit->offset);
  const double sheet_sd = drift.sheet_part ? drift.sheet_part->sd_turn_rad : 0;
  const double chance_all = ChanceOfT(mean / std::sqrt(variance / n + sheet_sd * sheet_sd), in.fit->freedom);
  if (chance_all < in.level && std::abs(mean) * rim > in.thresholds->least_mm) {
    Add(out, {HabitKind::kTileTurn, Cause::kHand, std::abs(mean) * rim, chance_all,
              fmt::format("each tile is turned about {} {}", Deg(mean), Clock(mean)),
              "sight along one edge of the plate, and set that edge down first"});
  }
  const auto slope = [&](bool has, std::size_t k, double extent, HabitKind kind, const char* low, const char* high) {
    if (!has || extent < 1) return;
    const double at_end = b[k] * extent / 2;  // Beyond the mean, at either side.
    const double chance = ChanceOfT(b[k] / std::sqrt(variance * in.fit->inverse[4 * k]), in.fit->freedom);
    if (chance >= in.level || std::abs(at_end) * rim < in.thresholds->least_mm) return;
    const double a = mean - at_end, c = mean + at_end;
    const bool end = std::abs(c) >= std::abs(a);
    const double worst = end ? c : a;
    Add(out, {kind, Cause::kHand, std::abs(at_end) * rim, chance,
              fmt::format("tiles turn {}, up to {} {}", Clock(worst), Deg(worst), end ? high : low),
              "move your body to stand before the site, not only your wrist"});
  };
  slope(in.fit->has_x, 1, box.Width(), HabitKind::kTurnAcross, "at the left side", "at the right side");
  slope(in.fit->has_y, 2, box.Height(), HabitKind::kTurnDown, "in the top rows", "in the bottom rows");
}

void AddGrowth(const HabitInput& in, std::vector<Habit>& out) {
  if (in.review->growth == Cause::kNone) return;
  const auto add = [&](const StepGain& g, HabitKind kind, Point step, const char* from) {
    if (!g.has || g.p >= in.level || std::abs(g.gain_mm) * g.steps / 2 < in.thresholds->least_mm) return;
    const Point way = (g.gain_mm > 0 ? 1 : -1) * step;
    Habit h{kind, in.review->growth, std::abs(g.gain_mm) * g.steps / 2, g.p, "", ""};
    if (h.cause == Cause::kCreep) {
      h.finding = fmt::format("tiles creep {} {} each step from {}", Mm(g.gain_mm), Way(way), from);
      h.advice = "line up on the guide, not on the neighbour";
    } else if (h.cause == Cause::kPaper) {
      h.finding = fmt::format("the paper {}: tiles stand {} {} each step from {}", g.gain_mm > 0 ? "grew" : "shrank",
                              Mm(g.gain_mm), g.gain_mm > 0 ? "further apart" : "closer", from);
      h.advice = "damp the sheets alike and cover them while you print; tell the plan how much the paper grows";
    } else {
      h.finding = fmt::format("tiles stand {} {} each step from {} (paper or creep, cannot tell)", Mm(g.gain_mm),
                              g.gain_mm > 0 ? "further apart" : "closer", from);
      h.advice = "note the grain, and draw two ticks a known length apart on the next sheet: they tell paper from habit";
    }
    Add(out, std::move(h));
  };
  add(in.growth->columns, HabitKind::kGrowColumns, in.plan->lattice.across, "column to column");
  add(in.growth->rows, HabitKind::kGrowRows, in.plan->lattice.down, "row to row");
}

void AddScatterTrend(const HabitInput& in, std::vector<Habit>& out) {
  const ScatterTrend t = FindScatterTrend(*in.plan, in.review->drift, *in.fit);
  const double more = std::max(t.begins_mm, t.ends_mm), less = std::min(t.begins_mm, t.ends_mm);
  if (t.p >= in.level || more - less < in.thresholds->least_mm) return;
  const bool end = t.ends_mm > t.begins_mm;
  const char* where = t.along == TrendAlong::kAcross ? (end ? "on the right" : "on the left")
                      : t.along == TrendAlong::kDown ? (end ? "in the bottom rows" : "in the top rows")
                      : end                          ? "towards the last pulls"
                                                     : "in the first pulls";
  const char* advice = t.along == TrendAlong::kOrder && end ? "rest your hands half way, and charge the plate as calmly at the end as at the start"
                       : t.along == TrendAlong::kOrder      ? "pull two or three on a spare sheet first"
                                                            : "turn the sheet, or walk round it, so that you stand close to the site you print";
  Add(out, {HabitKind::kScatterTrend, Cause::kHand, more - less, t.p,
            fmt::format("tiles scatter more {}: {} each way, {} at the other end", where, Mm(more), Mm(less)), advice});
}

void AddFaults(const HabitInput& in, std::vector<Habit>& out) {
  for (const PlateFault& f : *in.plates) {
    if (!f.found) continue;
    const double size = std::max(Norm(f.bias), f.sides.empty() ? 0 : std::abs(f.sides[0].out_mm));
    Add(out, {HabitKind::kPlate, Cause::kPlate, size, f.told_apart ? f.test.p : 0, f.words,
              "measure the plate against its template before the next sheet; this is no fault of the placing"});
  }
  for (const BlockFault& f : *in.blocks) {
    Add(out, {HabitKind::kBlock, Cause::kBlock, Norm(f.shift) / 2, f.p,
              fmt::format("{} lies {} {} on every sheet: the block or the guide, not the hand", SiteLabel(f.site),
                          Mm(Norm(f.shift)), Way(f.shift)),
              "check that place on the block or the guide"});
  }
}

}  // namespace

std::vector<Habit> FindHabits(const HabitInput& in) {
  std::vector<Habit> out;
  AddShift(in, out);
  AddTurn(in, out);
  AddTileTurns(in, out);
  AddGrowth(in, out);
  AddScatterTrend(in, out);
  AddFaults(in, out);
  const SheetReview& r = *in.review;
  if (r.has_hand_sd && r.hand_sd_mm - r.sd_hand_sd_mm > in.thresholds->fine_mm) {
    Add(out, {HabitKind::kScatter, Cause::kHand, r.hand_sd_mm, 0.02,
              fmt::format("tiles scatter about {} each way", Mm(r.hand_sd_mm)),
              "lower one edge of the plate first, check it, then let the rest down"});
  }
  std::stable_sort(out.begin(), out.end(), [](const Habit& a, const Habit& b) { return a.size_mm > b.size_mm; });
  return out;
}

}  // namespace truepull
