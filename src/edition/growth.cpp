// SPDX-License-Identifier: Apache-2.0
#include "edition/growth.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"

namespace truepull {
namespace {

double Variance(const SheetFit& fit, std::array<double, 3> c) {  // Of c' b, per unit of variance.
  double v = 0;
  for (std::size_t j = 0; j < 3; ++j) {
    for (std::size_t k = 0; k < 3; ++k) v += c[j] * fit.inverse[3 * j + k] * c[k];
  }
  return v;
}

StepGain Gain(const SheetFit& fit, Point step, int steps) {
  StepGain g;
  const double length = Norm(step);
  if (length < 1e-9 || steps < 1 || fit.freedom <= 0) return g;
  const Point u = (1 / length) * step;
  // A step needs the ways that it runs along.
  if ((std::abs(u.x) > 0.02 && !fit.has_x) || (std::abs(u.y) > 0.02 && !fit.has_y)) return g;
  g.has = true;
  g.steps = steps;
  const auto& t = fit.map;
  const auto along = [&](Point at) { return Dot(u, {t[0] * at.x + t[1] * at.y, t[2] * at.x + t[3] * at.y}); };
  // Variance of a drift along u.
  const double v = u.x * u.x * fit.cross[0] + 2 * u.x * u.y * fit.cross[1] + u.y * u.y * fit.cross[3];
  g.gain_mm = along(step);
  g.sd_mm = std::sqrt(v * Variance(fit, {0, step.x, step.y}));
  g.p = g.sd_mm > 0 ? ChanceOfT(g.gain_mm / g.sd_mm, fit.freedom) : 1;
  const Point half = (steps / 2.0) * step;
  g.first_mm = Dot(u, fit.shift) - along(half);
  g.last_mm = Dot(u, fit.shift) + along(half);
  g.sd_end_mm = std::sqrt(v * Variance(fit, {1, half.x, half.y}));
  return g;
}

struct MeanOf {
  double mean = 0, sd = 0, freedom = 0;
};
// Mean over sheets, its sd from their scatter, or from their own where there are few.
MeanOf Pool(const std::vector<double>& values, const std::vector<double>& sds) {
  MeanOf m;
  const auto n = static_cast<double>(values.size());
  if (values.empty()) return m;
  double own = 0;
  for (std::size_t i = 0; i < values.size(); ++i) m.mean += values[i] / n, own += sds[i] * sds[i] / (n * n);
  double scatter = 0;
  for (const double v : values) scatter += (v - m.mean) * (v - m.mean);
  m.sd = std::sqrt(std::max(own, n > 2 ? scatter / (n * (n - 1)) : 0));
  m.freedom = n > 2 ? n - 1 : 30;   // 30: of a sheet's own fit, about.
  return m;
}

// Whether an end lies where it should while the other does not: within a tenth of what the
// rows gain, or within a quarter of it and its own uncertainty (1 in 500 right ones lie beyond).
// Paper that grows from an edge of the sheet moves the first tiles by about a quarter.
bool EndIsFixed(const MeanOf& end, double other) {
  const double span = std::abs(other - end.mean), off = std::abs(end.mean);
  const bool near = off < 0.1 * span || (off < 0.25 * span && ChanceOfT(end.mean / end.sd, end.freedom) > 0.002);
  return end.sd > 0 && near && span > 4 * end.sd;
}

struct Ways {
  std::vector<double> first, last, sd;
};

// Whether the errors of these sheets pile up from a fixed start (either end).
bool PilesUp(const Ways& w, std::size_t least_sheets) {
  if (w.first.size() < least_sheets || w.first.empty()) return false;
  const MeanOf first = Pool(w.first, w.sd), last = Pool(w.last, w.sd);
  return EndIsFixed(first, last.mean) || EndIsFixed(last, first.mean);
}

std::string Percent(double ratio) { return Fixed(100 * ratio, 1) + " %"; }

}  // namespace

SheetGrowth MeasureGrowth(const Plan& plan, const SheetFit& fit) {
  SheetGrowth g;
  g.columns = Gain(fit, plan.lattice.across, plan.lattice.columns - 1);
  g.rows = Gain(fit, plan.lattice.down, plan.lattice.rows - 1);
  if (fit.freedom <= 0) return g;
  g.has_x = fit.has_x, g.has_y = fit.has_y;
  g.x = fit.map[0], g.y = fit.map[3];
  g.sd_x = std::sqrt(fit.cross[0] * Variance(fit, {0, 1, 0}));
  g.sd_y = std::sqrt(fit.cross[3] * Variance(fit, {0, 0, 1}));
  if (g.has_x && g.sd_x > 0) g.p_x = ChanceOfT(g.x / g.sd_x, fit.freedom);
  if (g.has_y && g.sd_y > 0) g.p_y = ChanceOfT(g.y / g.sd_y, fit.freedom);
  return g;
}

Growth JudgeGrowth(const Plan& plan, const EditionPaper& paper, const std::vector<const SheetGrowth*>& sheets,
                   const ReviewThresholds& thresholds, std::vector<Cause>* of_sheets, std::vector<char>* from_start) {
  Growth out;
  out.paper = paper.name;
  std::vector<char> shows(sheets.size(), 0);
  const double level = thresholds.level / (2 * std::max<double>(1, static_cast<double>(sheets.size())));
  std::vector<double> x, y, sx, sy;
  int along_columns = 0, along_rows = 0;
  const auto large = [&](const StepGain& g) {
    return g.has && g.p < level && std::abs(g.gain_mm) * g.steps / 2 > thresholds.least_mm;
  };
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    const SheetGrowth& s = *sheets[k];
    shows[k] = large(s.columns) || large(s.rows);
    if (shows[k] == 0) continue;
    ++out.sheets;
    along_columns += large(s.columns) ? 1 : 0, along_rows += large(s.rows) ? 1 : 0;
    x.push_back(s.x), sx.push_back(s.sd_x), y.push_back(s.y), sy.push_back(s.sd_y);
  }
  if (of_sheets != nullptr) of_sheets->assign(sheets.size(), Cause::kNone);
  if (from_start != nullptr) from_start->assign(sheets.size(), 0);
  if (out.sheets == 0) return out;
  const MeanOf mx = Pool(x, sx), my = Pool(y, sy);
  out.x = mx.mean, out.sd_x = mx.sd, out.y = my.mean, out.sd_y = my.sd;

  Ways columns, rows;
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    if (shows[k] == 0) continue;
    const SheetGrowth& s = *sheets[k];
    if (large(s.columns)) {
      columns.first.push_back(s.columns.first_mm), columns.last.push_back(s.columns.last_mm), columns.sd.push_back(s.columns.sd_end_mm);
    }
    if (large(s.rows)) {
      rows.first.push_back(s.rows.first_mm), rows.last.push_back(s.rows.last_mm), rows.sd.push_back(s.rows.sd_end_mm);
    }
  }
  // Both ways when half of the sheets show each: a single one may be chance.
  const bool both_ways = 2 * along_columns >= out.sheets && 2 * along_rows >= out.sheets;
  const auto piles = [&](std::size_t least) {
    const bool c = PilesUp(columns, least), r = PilesUp(rows, least);
    return both_ways ? c && r : c || r;
  };
  bool for_paper = false, for_creep = false;
  const bool hint = piles(1);
  if (piles(3)) {
    for_creep = true;
    out.evidence.push_back(fmt::format("on {} sheets error piles up from a fixed start: one end lies where it should", out.sheets));
  }
  const Grain grain = paper.grain != Grain::kUnknown ? paper.grain : plan.sheet.grain;
  if (grain != Grain::kUnknown && sheets[0]->has_x && sheets[0]->has_y) {
    const MeanOf along = grain == Grain::kX ? mx : my, across = grain == Grain::kX ? my : mx;
    // Paper swells several times as much across its fibres as along them.
    if (std::abs(across.mean) - 2 * std::abs(along.mean) > 2 * std::hypot(across.sd, 2 * along.sd)) {
      for_paper = true;
      out.evidence.push_back(fmt::format("{} across the grain, {} along it: paper does that", Percent(across.mean), Percent(along.mean)));
    } else if (std::abs(along.mean) - std::abs(across.mean) > 3 * std::hypot(across.sd, along.sd)) {
      for_creep = true;
      out.evidence.push_back(fmt::format("{} along the grain, {} across it: no paper does that", Percent(along.mean), Percent(across.mean)));
    }
    const auto& known_along = paper.stretch_along_percent ? paper.stretch_along_percent : plan.sheet.stretch_along_percent;
    const auto& known_across = paper.stretch_across_percent ? paper.stretch_across_percent : plan.sheet.stretch_across_percent;
    if (!for_paper && known_along && known_across) {
      // Nobody damps a sheet twice alike: a third of the figure either way.
      const auto like = [](const MeanOf& m, double percent) {
        return std::abs(m.mean - percent / 100) < 2 * m.sd + std::abs(percent) / 300;
      };
      if (like(across, *known_across) && like(along, *known_along)) {
        for_paper = true;
        out.evidence.push_back("it grew as this paper is said to");
      }
    }
  }
  out.cause = for_creep && !for_paper ? Cause::kCreep : for_paper && !for_creep && !hint ? Cause::kPaper : Cause::kPaperOrCreep;
  if (for_paper && !for_creep && hint) out.evidence.push_back("but one end lies where it should, as with a creeping hand");
  if (!for_paper && !for_creep) out.evidence.push_back("nothing tells paper that grew from a hand that creeps");
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    if (shows[k] == 0) continue;
    if (of_sheets != nullptr) (*of_sheets)[k] = out.cause;
    if (from_start != nullptr) (*from_start)[k] = hint ? 1 : 0;
  }
  return out;
}

}  // namespace truepull
