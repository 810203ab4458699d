// SPDX-License-Identifier: Apache-2.0
#include "detect/odd_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr double kWiggleMm = 4.5, kGridMm = 1.5;     // The hand's own error, either way.
constexpr double kTurns[] = {0, -0.05, 0.05};
constexpr double kFurthestSteps = 1.3;
// Nearer than this the ordinary search finds every pull by itself.
constexpr double kLeastSteps = 0.3;
// A line whose mean score is under this share of the usual one is looked into.
constexpr double kPoorLine = 0.9;
// A shift must raise the mean by so much of the usual score; a line of pulls laid on the
// neighbours' edges by half a step gains 0.3 and more, chance on hard sheets under 0.1.
constexpr double kClearGain = 0.17;
// A heart laid half on a neighbour carries less.
constexpr double kFullHeart = 0.4;
constexpr double kGoodLine = 0.6;     // Of the usual score, for a line moved by a whole step.

// The pull beyond the end, by itself: score beside the usual one, and share of inked heart. What
// is no pull reached 0.8 of both on hard sheets.
constexpr double kGoodEnd = 0.9;

double BestNear(const OutlineScore& score, const PlateShape& shape, const Pose& pose) {
  double best = -1e9;
  for (const double t : kTurns) {
    for (double y = -kWiggleMm; y <= kWiggleMm; y += kGridMm) {
      for (double x = -kWiggleMm; x <= kWiggleMm; x += kGridMm) {
        best = std::max(best, score.At(shape, {pose.at + Point{x, y}, pose.turn_rad + t}));
      }
    }
  }
  return best;
}

Pose Moved(const Pose& pose, Point by) { return {pose.at + by, pose.turn_rad}; }

}  // namespace

void OddLine::MeasureFrom(const std::vector<Pull>& pulls, const std::vector<Pose>& ideal, const CommonMove& common) {
  std::vector<double> x, y;
  for (const std::size_t i : sites) {
    if (!pulls[i].present) continue;
    const Point d = pulls[i].pose.at - common.Carry(ideal[i]).at;
    x.push_back(d.x), y.push_back(d.y);
  }
  if (x.empty()) return;
  const double before = Norm(shift);
  shift = {Median(x), Median(y)};
  if (before > 0) steps *= Norm(shift) / before;
}

std::string OddLine::Words() const {
  const bool sideways = std::abs(shift.x) > std::abs(shift.y);
  const char* way = sideways ? (shift.x > 0 ? "too far right" : "too far left") : (shift.y > 0 ? "too far down" : "too far up");
  const double size = std::abs(steps);
  const std::string amount = std::abs(size - 0.5) < 0.1 ? std::string("half a step")
                             : std::abs(size - 1) < 0.1 ? std::string("a whole step")
                                                        : fmt::format("{:.1f} of a step", size);
  const std::string label = SiteLabel({column ? 0 : index, 0});
  return fmt::format("{} {} lies about {} ({:.0f} mm) {}: its pulls keep their order",
                     column ? "column" : "row", column ? std::to_string(index + 1) : label.substr(0, label.size() - 1),
                     amount, Norm(shift), way);
}

std::vector<OddLine> FindOddLines(const OutlineScore& score, const Lattice& lattice, const std::vector<Site>& sites,
                                  const std::vector<const PlateShape*>& shapes, const std::vector<Pose>& expected,
                                  double heart_density, double heart_share) {
  const std::size_t n = sites.size();
  const int members = static_cast<int>(lattice.cell.size());
  std::vector<double> own(n);
  std::vector<char> inked(n);
  cv::parallel_for_(cv::Range(0, static_cast<int>(n)), [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      const auto i = static_cast<std::size_t>(k);
      own[i] = BestNear(score, *shapes[i], expected[i]);
      inked[i] = score.HeartCoverage(*shapes[i], expected[i], heart_density) > heart_share;
    }
  });
  std::vector<double> printed;
  for (std::size_t i = 0; i < n; ++i) {
    if (inked[i]) printed.push_back(own[i]);
  }
  const double usual = Median(printed);
  if (printed.size() < 4 || usual <= 0) return {};
  const auto worth = [&](double s) { return std::clamp(s / usual, -0.3, 1.2); };

  std::vector<OddLine> lines;
  for (const bool column : {false, true}) {
    const int count = column ? lattice.columns : lattice.rows;
    const Point step = column ? lattice.down : lattice.across;
    if (count < 2) continue;   // The only line there is moved with the sheet.
    for (int index = 0; index < count; ++index) {
      OddLine line{column, index, {}, 0, {}};
      for (std::size_t i = 0; i < n; ++i) {
        if ((column ? sites[i].column / members : sites[i].row) == index) line.sites.push_back(i);
      }
      double mean = 0, there = 0;
      for (const std::size_t i : line.sites) {
        if (inked[i]) mean += worth(own[i]);
        there += inked[i];
      }
      mean /= std::max(1.0, there);
      const auto heart = [&](std::size_t i, double by) {
        return score.HeartCoverage(*shapes[i], Moved(expected[i], by * step), heart_density) > kFullHeart;
      };
      const std::size_t first = line.sites.front(), last = line.sites.back();
      const bool off_end = (!inked[first] && heart(last, 1)) || (!inked[last] && heart(first, -1));
      if (line.sites.size() < 2 || there < 2 || (mean > kPoorLine && !off_end)) continue;
      // Every whole grid step along the line, for every site.
      const double length = Norm(step);
      const int reach = static_cast<int>(kFurthestSteps * length / 3.0);
      std::vector<double> total(static_cast<std::size_t>(2 * reach + 1));
      std::vector<double> hearts(total.size());
      cv::parallel_for_(cv::Range(0, 2 * reach + 1), [&](const cv::Range& range) {
        for (int k = range.start; k < range.end; ++k) {
          const Point by = ((k - reach) * 3.0 / length) * step;
          double sum = 0, full = 0;
          for (const std::size_t i : line.sites) {
            const bool inked_there = score.HeartCoverage(*shapes[i], Moved(expected[i], by), heart_density) > kFullHeart;
            full += inked_there;
            if (inked_there) sum += worth(BestNear(score, *shapes[i], Moved(expected[i], by)));
          }
          total[static_cast<std::size_t>(k)] = 2 * full > there ? sum / full : 0;  // Mean over what is there.
          hearts[static_cast<std::size_t>(k)] = full;
        }
      });
      // The best mean over at least as many pulls as lie where they are expected.
      std::size_t best = static_cast<std::size_t>(reach);
      const auto value = [&](std::size_t k) { return total[k] * std::min(hearts[k], there + 1); };
      for (std::size_t k = 0; k < total.size(); ++k) {
        if (value(k) > value(best)) best = k;
      }
      // The hand's room makes a plateau: its middle is the shift.
      std::size_t low = best, high = best;
      while (low > 0 && value(low - 1) > 0.95 * value(best)) --low;
      while (high + 1 < total.size() && value(high + 1) > 0.95 * value(best)) ++high;
      const double steps = (0.5 * static_cast<double>(low + high) - reach) * 3.0 / length;
      const double here = *std::max_element(total.begin() + reach - 1, total.begin() + reach + 2);
      if (std::abs(steps) < kLeastSteps) continue;
      // A whole step gains only the pull that had fallen off the end.
      const bool whole = std::abs(std::abs(steps) - 1) < 0.2;
      bool more = off_end && hearts[best] > there && total[best] > kGoodLine;
      if (whole && more) {
        // The pull beyond the end decides: a shadow or another sheet's rim is none.
        const std::size_t decides = steps > 0 ? last : first;
        const Pose there_now = Moved(expected[decides], steps * step);
        more = worth(BestNear(score, *shapes[decides], there_now)) > kGoodEnd &&
               score.HeartCoverage(*shapes[decides], there_now, heart_density) > kGoodEnd;
      }
      if (whole ? !more : total[best] < here + kClearGain) continue;
      line.steps = steps;
      line.shift = steps * step;
      lines.push_back(line);
    }
  }
  // Where a row and a column both seem off, they share pulls; the better row wins.
  if (lines.size() > 1 && static_cast<int>(lines.size()) * 2 > lattice.rows + lattice.columns) return {};
  return lines;
}

}  // namespace truepull::detect
