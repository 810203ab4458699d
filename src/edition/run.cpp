// SPDX-License-Identifier: Apache-2.0
#include "edition/run.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

#include "geometry/fixed_text.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr std::size_t kFew = 6;

std::string Way(Point d) {
  constexpr const char* kWays[] = {"to the right", "down and to the right", "down", "down and to the left",
                                   "to the left", "up and to the left", "up", "up and to the right"};
  const int eighth = static_cast<int>(std::lround(std::atan2(d.y, d.x) / (std::numbers::pi / 4)));
  return kWays[(eighth + 8) % 8];
}

std::string ShiftWords(Point d) { return fmt::format("{} mm {}", Fixed(Norm(d), 1), Way(d)); }

}  // namespace

void AddSeries(EditionReview& review, const std::vector<SheetFit>& fits, const std::vector<std::size_t>& which, const std::string& group) {
  constexpr RunRule kRules[] = {RunRule::kBeyond, RunRule::kOneSide, RunRule::kTrend, RunRule::kTwoOfThree};
  const bool too_few = which.size() < kFew;
  const auto put = [&](std::vector<RunSeries>& to, const std::string& name, const char* unit, RunChart chart, std::size_t first, std::span<const RunRule> rules) {
    RunSeries s;
    s.name = name, s.group = group, s.unit = unit, s.paper = review.sheets[which[0]].paper;
    for (std::size_t k = first; k < which.size(); ++k) s.orders.push_back(review.sheets[which[k]].order);
    s.chart = std::move(chart), s.too_few = too_few;
    if (!too_few) s.signals = RunSignals(s.chart, rules);
    to.push_back(std::move(s));
  };
  const auto add = [&](const char* name, const char* unit, auto value) {
    std::vector<double> values;
    for (const std::size_t i : which) values.push_back(value(i));
    put(review.series, name, unit, IndividualsChart(values), 0, kRules);
    // Ranges share a value with their neighbours, so that runs of them mean nothing.
    if (!too_few) put(review.ranges, fmt::format("{}, change from the sheet before", name), unit, MovingRangeChart(values), 1, std::span(kRules, 1));
  };
  add("shift to the right", "mm", [&](std::size_t i) { return fits[i].shift.x; });
  add("shift down", "mm", [&](std::size_t i) { return fits[i].shift.y; });
  add("turn of the sheet, clockwise", "degrees", [&](std::size_t i) {
    return review.reviews[i].drift.sheet_part ? DegFromRad(review.reviews[i].drift.sheet_part->turn_rad) : 0;
  });
  add("spread of the hand", "mm", [&](std::size_t i) { return review.reviews[i].hand_sd_mm; });
  bool dense = true;
  for (const std::size_t i : which) dense = dense && review.reviews[i].density > 0;
  if (dense) add("depth of colour", "density", [&](std::size_t i) { return review.reviews[i].density; });
  if (too_few) return;

  // Mean and range over the sites that every sheet has; up to 25, where tables of the
  // constants end, evenly taken.
  std::vector<std::size_t> sites;
  for (std::size_t k = 0; k < review.reviews[which[0]].drift.sites.size(); ++k) {
    if (std::all_of(which.begin(), which.end(), [&](std::size_t i) { return review.reviews[i].drift.sites[k].state != SiteState::kMissing; })) sites.push_back(k);
  }
  constexpr std::size_t kMostSites = 25;
  std::vector<std::size_t> taken;
  const std::size_t most = std::min(kMostSites, sites.size());
  for (std::size_t k = 0; k < most; ++k) taken.push_back(sites[k * sites.size() / most]);
  if (taken.size() < 2) return;
  for (const bool down : {false, true}) {
    std::vector<std::vector<double>> samples;
    for (const std::size_t i : which) {
      samples.emplace_back();
      for (const std::size_t k : taken) samples.back().push_back(down ? review.reviews[i].drift.sites[k].shift.y : review.reviews[i].drift.sites[k].shift.x);
    }
    MeanRangeCharts charts = MeanAndRange(samples);
    const char* way = down ? "down" : "to the right";
    put(review.ranges, fmt::format("mean of {} sites, {}", taken.size(), way), "mm", std::move(charts.means), 0, std::span(kRules, 1));
    put(review.ranges, fmt::format("range over {} sites, {}", taken.size(), way), "mm", std::move(charts.ranges), 0, std::span(kRules, 1));
  }
}

void FindJumps(EditionReview& review, const std::vector<SheetFit>& fits, const std::vector<std::size_t>& which) {
  if (which.size() < kFew) return;
  review.steps_looked_for = true;
  const ReviewThresholds& t = review.settings.thresholds;
  std::vector<Point> series;
  for (const std::size_t i : which) series.push_back(fits[i].shift);
  StepOptions options;
  options.level = t.level;
  std::vector<Point> level(series.size());   // The run's own level at each sheet.
  Point mean;
  for (const Point p : series) mean = mean + (1.0 / static_cast<double>(series.size())) * p;
  std::fill(level.begin(), level.end(), mean);
  int segments = 1;
  for (StepChange& step : Steps(series, options)) {
    const Point jump = step.behind - step.before;
    if (Norm(jump) <= t.least_mm) continue;
    ++segments;
    // Steps come in order, so that a later one only overwrites what lies behind it.
    for (std::size_t k = 0; k < series.size(); ++k) {
      if (k > step.after) level[k] = step.behind;
      else if (segments == 2) level[k] = step.before;
    }
    EditionStep s;
    s.paper = review.sheets[which[step.after]].paper;
    s.after_order = review.sheets[which[step.after]].order;
    s.next_order = review.sheets[which[step.after + 1]].order;
    s.words = fmt::format("between sheets {} and {} everything jumps {}: a stop or the tape may have moved",
                          review.sheets[which[step.after]].code, review.sheets[which[step.after + 1]].code, ShiftWords(jump));
    if (step.first != step.last) {
      s.words += fmt::format(" (it may also have been anywhere from after {} to after {})", review.sheets[which[step.first]].code,
                             review.sheets[which[step.last]].code);
    }
    s.step = step;
    s.step.after = which[step.after], s.step.first = which[step.first], s.step.last = which[step.last];
    review.findings.push_back(s.words);
    review.steps.push_back(std::move(s));
  }
  // Each sheet against the others, every one less its stretch's level.
  const auto n = static_cast<double>(series.size());
  for (std::size_t k = 0; k < series.size(); ++k) {
    Eigen::Matrix2d scatter = 1e-8 * Eigen::Matrix2d::Identity();
    Point rest;
    for (std::size_t i = 0; i < series.size(); ++i) {
      if (i != k) rest = rest + (1 / (n - 1)) * (series[i] - level[i]);
    }
    for (std::size_t i = 0; i < series.size(); ++i) {
      if (i == k) continue;
      const Point d = series[i] - level[i] - rest;
      scatter += Eigen::Vector2d(d.x, d.y) * Eigen::RowVector2d(d.x, d.y);
    }
    const double freedom = n - 2 - (segments - 1);
    const Point d = series[k] - level[k] - rest;
    const Eigen::Vector2d v(d.x, d.y);
    const double t2 = freedom / (1 + 1 / (n - 1)) * v.dot(scatter.inverse() * v);
    const double p = AmongMany(HotellingTest(t2, 2, freedom).p, n);
    if (p >= t.level || Norm(d) <= std::max(t.least_mm, 0.5 * t.fine_mm)) continue;
    review.reviews[which[k]].look.push_back(fmt::format("it lies {} of the others", ShiftWords(d)));
  }
}

}  // namespace truepull
