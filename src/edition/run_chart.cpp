// SPDX-License-Identifier: Apache-2.0
#include "truepull/run_chart.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <numeric>

namespace truepull {
namespace {

double Mean(std::span<const double> v) {
  return v.empty() ? 0 : std::accumulate(v.begin(), v.end(), 0.0) / static_cast<double>(v.size());
}

std::vector<double> MovingRanges(std::span<const double> values) {
  std::vector<double> ranges;
  for (std::size_t i = 1; i < values.size(); ++i) ranges.push_back(std::abs(values[i] - values[i - 1]));
  return ranges;
}

std::span<const double> Base(std::span<const double> values, std::size_t base) {
  return base == 0 || base > values.size() ? values : values.subspan(0, base);
}

template <typename Spread>
MeanRangeCharts SampleCharts(const std::vector<std::vector<double>>& samples, std::size_t base, Spread spread,
                             double factor, double lower, double upper, double a) {
  MeanRangeCharts out;
  for (const std::vector<double>& s : samples) {
    out.means.values.push_back(Mean(s));
    out.ranges.values.push_back(spread(s));
  }
  const double mean_spread = Mean(Base(out.ranges.values, base));
  RunChart& m = out.means;
  m.centre = Mean(Base(m.values, base));
  m.upper = m.centre + a * mean_spread, m.lower = m.centre - a * mean_spread;
  m.sigma = a * mean_spread / 3;   // Of a mean.
  RunChart& r = out.ranges;
  r.centre = mean_spread;
  r.upper = upper * mean_spread, r.lower = lower * mean_spread;
  r.sigma = mean_spread / factor;  // Of a single value.
  return out;
}

}  // namespace

RunChart IndividualsChart(std::span<const double> values, std::size_t base) {
  RunChart chart;
  chart.values.assign(values.begin(), values.end());
  const std::span<const double> first = Base(values, base);
  chart.centre = Mean(first);
  // d2(2) = 2 / sqrt(pi), exact.
  chart.sigma = Mean(MovingRanges(first)) * std::sqrt(std::numbers::pi) / 2;
  chart.lower = chart.centre - 3 * chart.sigma, chart.upper = chart.centre + 3 * chart.sigma;
  return chart;
}

RunChart MovingRangeChart(std::span<const double> values, std::size_t base) {
  RunChart chart;
  chart.values = MovingRanges(values);
  chart.centre = Mean(MovingRanges(Base(values, base)));
  chart.sigma = chart.centre * std::sqrt(std::numbers::pi) / 2;
  // D4(2) = 1 + 3 d3 / d2 with d3 = sqrt(2 - 4 / pi).
  chart.upper = chart.centre * (1 + 3 * std::sqrt(2 - 4 / std::numbers::pi) * std::sqrt(std::numbers::pi) / 2);
  return chart;
}

MeanRangeCharts MeanAndRange(const std::vector<std::vector<double>>& samples, std::size_t base) {
  if (samples.empty()) return {};
  const ChartConstants c = ChartConstantsFor(static_cast<int>(samples[0].size()));
  return SampleCharts(samples, base, [](const std::vector<double>& s) {
    const auto [low, high] = std::minmax_element(s.begin(), s.end());
    return s.empty() ? 0.0 : *high - *low;
  }, c.d2, c.d_lower, c.d_upper, c.a2);
}

MeanRangeCharts MeanAndSd(const std::vector<std::vector<double>>& samples, std::size_t base) {
  if (samples.empty()) return {};
  const ChartConstants c = ChartConstantsFor(static_cast<int>(samples[0].size()));
  return SampleCharts(samples, base, [](const std::vector<double>& s) {
    const double mean = Mean(s);
    double sum = 0;
    for (const double v : s) sum += (v - mean) * (v - mean);
    return s.size() < 2 ? 0.0 : std::sqrt(sum / static_cast<double>(s.size() - 1));
  }, c.c4, c.b_lower, c.b_upper, c.a3);
}

std::string NameOf(RunRule rule) {
  switch (rule) {
    case RunRule::kBeyond: return "1 beyond the limits";
    case RunRule::kOneSide: return "9 in a row on one side of the middle";
    case RunRule::kTrend: return "6 in a row rising or falling";
    case RunRule::kAlternating: return "14 in a row up and down by turns";
    case RunRule::kTwoOfThree: return "2 of 3 far out on one side";
    case RunRule::kFourOfFive: return "4 of 5 well out on one side";
    case RunRule::kTooCalm: return "15 in a row close to the middle";
    default: return "8 in a row away from the middle";
  }
}

std::vector<RunSignal> RunSignals(const RunChart& chart, std::span<const RunRule> rules) {
  const auto n = static_cast<std::ptrdiff_t>(chart.values.size());
  const auto z = [&](std::ptrdiff_t i) {
    return chart.sigma > 0 ? (chart.values[static_cast<std::size_t>(i)] - chart.centre) / chart.sigma : 0.0;
  };
  const auto count = [&](std::ptrdiff_t end, std::ptrdiff_t window, const std::function<bool(std::ptrdiff_t)>& holds) {
    std::ptrdiff_t k = 0;
    for (std::ptrdiff_t i = end - window + 1; i <= end; ++i) k += i >= 0 && holds(i) ? 1 : 0;
    return k;
  };
  const auto either_side = [&](std::ptrdiff_t end, std::ptrdiff_t window, std::ptrdiff_t need, double beyond) {
    // The value that completes a run is part of it.
    return (z(end) > beyond && count(end, window, [&](std::ptrdiff_t i) { return z(i) > beyond; }) >= need) ||
           (z(end) < -beyond && count(end, window, [&](std::ptrdiff_t i) { return z(i) < -beyond; }) >= need);
  };
  const auto step = [&](std::ptrdiff_t i) {
    return chart.values[static_cast<std::size_t>(i)] - chart.values[static_cast<std::size_t>(i - 1)];
  };
  const auto complete = [&](RunRule rule, std::ptrdiff_t i) {
    switch (rule) {
      case RunRule::kBeyond:
        return chart.values[static_cast<std::size_t>(i)] > chart.upper || chart.values[static_cast<std::size_t>(i)] < chart.lower;
      case RunRule::kOneSide: return either_side(i, 9, 9, 0);
      case RunRule::kTrend:  // Six values have five steps between them.
        return count(i, 5, [&](std::ptrdiff_t k) { return k > 0 && step(k) > 0; }) == 5 ||
               count(i, 5, [&](std::ptrdiff_t k) { return k > 0 && step(k) < 0; }) == 5;
      case RunRule::kAlternating:  // Fourteen values have twelve turns.
        return count(i, 12, [&](std::ptrdiff_t k) { return k > 1 && step(k) * step(k - 1) < 0; }) == 12;
      case RunRule::kTwoOfThree: return either_side(i, 3, 2, 2);
      case RunRule::kFourOfFive: return either_side(i, 5, 4, 1);
      case RunRule::kTooCalm: return chart.sigma > 0 && count(i, 15, [&](std::ptrdiff_t k) { return std::abs(z(k)) < 1; }) == 15;
      default: return count(i, 8, [&](std::ptrdiff_t k) { return std::abs(z(k)) > 1; }) == 8;
    }
  };
  std::vector<RunSignal> signals;
  for (const RunRule rule : rules) {
    bool before = false;
    for (std::ptrdiff_t i = 0; i < n; ++i) {
      const bool now = complete(rule, i);
      if (now && (!before || rule == RunRule::kBeyond)) signals.push_back({rule, static_cast<std::size_t>(i)});
      before = now;
    }
  }
  std::stable_sort(signals.begin(), signals.end(), [](const RunSignal& a, const RunSignal& b) { return a.at < b.at; });
  return signals;
}

}  // namespace truepull
