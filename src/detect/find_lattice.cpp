// SPDX-License-Identifier: Apache-2.0
#include "detect/find_lattice.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>

#include "detect/coarse_search.h"
#include "detect/plate_shape.h"
#include "truepull/units.h"

namespace truepull::detect {
namespace {

constexpr double kGridMm = 2;                 // Of the scores laid over the sheet.
constexpr double kStrayMm = 4;                // The hand's own error, either way.
constexpr double kMostTurnRad = 0.21;         // 12 degrees.
constexpr double kHeartDensity = 0.15, kHeartShare = 0.3;
constexpr double kPrinted = 0.25;             // Of the best site: a pull, pale ones too.
constexpr double kSurelyPrinted = 0.4;        // A row or column more asks for it.
constexpr double kWorthATry = 0.85;           // Of the best origin's score.
constexpr std::size_t kMostTries = 200;

// Scores of one outline at one turn over the whole sheet; ink tells where hearts are full.
struct Field {
  cv::Mat score;                              // Best within kStrayMm; CV_32F on the grid.
  cv::Mat inked;                              // CV_8U.
  float At(Point p) const {
    const int i = static_cast<int>(std::lround(p.x / kGridMm)), j = static_cast<int>(std::lround(p.y / kGridMm));
    if (i < 0 || j < 0 || i >= score.cols || j >= score.rows || !inked.at<uchar>(j, i)) return 0;
    return std::max(0.0f, score.at<float>(j, i));
  }
};

// Share of inked area round every point of the map, over a disc that a heart holds.
cv::Mat InkShare(const SheetMap& map, double radius_mm) {
  cv::Mat ink, share;
  // Where only the rim tells the paper's light, bare paper further in may seem a little
  // darker than it is: ink is what has a third of the darkest twentieth's density.
  std::vector<float> densities;
  for (int j = 0; j < map.density.rows; j += 4) {
    for (int i = 0; i < map.density.cols; i += 4) densities.push_back(map.density.at<float>(j, i));
  }
  const auto dark = densities.begin() + static_cast<std::ptrdiff_t>(0.95 * static_cast<double>(densities.size()));
  std::nth_element(densities.begin(), dark, densities.end());
  const double ink_density = std::max(kHeartDensity, 0.33 * static_cast<double>(*dark));
  cv::Mat(map.density > ink_density).convertTo(ink, CV_32F, 1.0 / 255);
  const int size = 2 * static_cast<int>(radius_mm * map.px_per_mm) + 1;
  cv::blur(ink, share, {size, size}, {-1, -1}, cv::BORDER_CONSTANT);
  return share;
}

Field LayOut(const OutlineScore& score, const PlateShape& shape, const SheetMap& map, const cv::Mat& ink_share, const Plan& plan, double turn_rad) {
  const auto deepest = std::max_element(shape.inside_depth.begin(), shape.inside_depth.end()) - shape.inside_depth.begin();
  const Point heart = shape.inside.empty() ? Centroid(shape.outline) : shape.inside[static_cast<std::size_t>(deepest)];

  const cv::Size size(static_cast<int>(plan.sheet.width_mm / kGridMm) + 1, static_cast<int>(plan.sheet.height_mm / kGridMm) + 1);
  Field field;
  field.score = cv::Mat(size, CV_32F, cv::Scalar(0));
  field.inked = cv::Mat(size, CV_8U, cv::Scalar(0));
  cv::parallel_for_(cv::Range(0, size.height), [&](const cv::Range& range) {
    for (int j = range.start; j < range.end; ++j) {
      for (int i = 0; i < size.width; ++i) {
        const Pose pose{{i * kGridMm, j * kGridMm}, turn_rad};
        const Point middle = map.px_per_mm * Apply(pose, heart);
        const int u = static_cast<int>(middle.x), v = static_cast<int>(middle.y);
        if (u < 0 || v < 0 || u >= ink_share.cols || v >= ink_share.rows ||
            static_cast<double>(ink_share.at<float>(v, u)) < kHeartShare) {
          continue;
        }
        const Box box = BoundingBox(Apply(pose, shape.outline));
        // Half off the sheet is no place to look for a lattice by.
        if (box.left < -0.3 * box.Width() || box.top < -0.3 * box.Height() ||
            box.right > plan.sheet.width_mm + 0.3 * box.Width() || box.bottom > plan.sheet.height_mm + 0.3 * box.Height()) {
          continue;
        }
        field.score.at<float>(j, i) = static_cast<float>(score.At(shape, pose));
        field.inked.at<uchar>(j, i) = 1;
      }
    }
  });
  const int reach = static_cast<int>(kStrayMm / kGridMm);
  cv::dilate(field.score, field.score, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  return field;
}

// One lattice with its sites' numbers free: rows and columns from -n to n.
struct Comb {
  Lattice lattice;            // Origin somewhere on the sheet.
  int row_period = 1, column_period = 1;
};

Site SiteOf(const Lattice& lattice, int row, int column, int member) {
  return {row, column * static_cast<int>(lattice.cell.size()) + member};
}

// IdealPose for numbers below 0 too; odd and even, and turns, go on as they do above.
Pose PoseOf(const Comb& comb, int row, int column, int member) {
  const int lift_r = 2 * comb.row_period * 1000, lift_c = comb.column_period * 1000;
  const Lattice& l = comb.lattice;
  Pose p = IdealPose(l, SiteOf(l, row + lift_r, column + lift_c, member));
  p.at = p.at - static_cast<double>(lift_r) * l.down - static_cast<double>(lift_c) * l.across;
  return p;
}

struct Window {
  double worth = 0;
  int row = 0, column = 0, rows = 1, columns = 1;
  int printed = 0;
};

}  // namespace

Lattice TurnLattice(Lattice lattice, double turn_rad) {
  const Rotation turn(turn_rad);
  lattice.across = turn * lattice.across;
  lattice.down = turn * lattice.down;
  for (double& t : lattice.turns_rad) t = WrapTurn(t + turn_rad);
  for (CellMember& m : lattice.cell) m.at = turn * m.at;
  return lattice;
}

Plan RimOnly(const Plan& plan) {
  Plan rim = plan;
  constexpr double kRimMm = 14;
  const double w = std::max(1.0, plan.sheet.width_mm - 2 * kRimMm), h = std::max(1.0, plan.sheet.height_mm - 2 * kRimMm);
  Plate plate;
  plate.outline = {{0, 0}, {w, 0}, {w, h}, {0, h}};
  rim.plates = {plate};
  rim.lattice = {};
  rim.lattice.origin = {kRimMm, kRimMm};
  return rim;
}

std::optional<Lattice> FindLattice(const SheetMap& map, const Plan& plan) {
  const Lattice& planned = plan.lattice;
  const OutlineScore score(map, 0.7);
  const int members = static_cast<int>(planned.cell.size());
  std::vector<PlateShape> shapes;
  std::vector<cv::Mat> ink_shares;
  for (int m = 0; m < members; ++m) {
    shapes.push_back(ShapePlate(OutlineAt(plan, {0, m})));
    const auto& depth = shapes.back().inside_depth;
    const double deepest = depth.empty() ? 1 : static_cast<double>(*std::max_element(depth.begin(), depth.end()));
    ink_shares.push_back(InkShare(map, 0.6 * std::max(2.0, deepest)));
  }
  const int row_period = planned.stagger_rows != 0 ? 2 : 1;
  const int column_period = std::lcm(static_cast<int>(planned.turns_rad.size()), planned.stagger_columns != 0 ? 2 : 1);

  const double turn_grid = std::clamp(kGridMm / std::max(5.0, shapes[0].radius), 0.02, 0.07);
  const int turns = planned.fit_turn ? static_cast<int>(kMostTurnRad / turn_grid) : 0;
  struct Try {
    double worth = 0;
    int turn = 0;
    Point origin;
  };
  std::vector<Try> tries;
  // Fields for each turn and each way a tile stands; kept, since windows need them again.
  std::vector<std::vector<Field>> fields(static_cast<std::size_t>(2 * turns + 1));
  const auto field_at = [&](int turn, int column, int member) -> const Field& {
    const auto c = static_cast<std::size_t>(((column % column_period) + column_period) % column_period);
    return fields[static_cast<std::size_t>(turn + turns)][c * static_cast<std::size_t>(members) + static_cast<std::size_t>(member)];
  };
  const double w = plan.sheet.width_mm, h = plan.sheet.height_mm;
  for (int t = -turns; t <= turns; ++t) {
    Comb comb{TurnLattice(planned, t * turn_grid), row_period, column_period};
    auto& of_turn = fields[static_cast<std::size_t>(t + turns)];
    std::vector<std::pair<const PlateShape*, double>> known;
    for (int c = 0; c < column_period; ++c) {
      for (int m = 0; m < members; ++m) {
        const double turn = PoseOf(comb, 0, c, m).turn_rad;
        const PlateShape* shape = &shapes[static_cast<std::size_t>(m)];
        const auto same = std::find_if(known.begin(), known.end(), [&](const auto& k) {
          return k.first == shape && std::abs(WrapTurn(k.second - turn)) < 1e-6;
        });
        const auto at = static_cast<std::size_t>(same - known.begin());
        of_turn.push_back(same != known.end() ? of_turn[at] : LayOut(score, *shape, map, ink_shares[static_cast<std::size_t>(m)], plan, turn));
        known.emplace_back(shape, turn);
      }
    }
    // Every origin in one repeat of the lattice, begun at the sheet's middle.
    const Point across = comb.lattice.across, down = comb.lattice.down;
    const int nu = std::max(1, static_cast<int>(column_period * Norm(across) / kGridMm));
    const int nv = std::max(1, static_cast<int>(row_period * Norm(down) / kGridMm));
    const double diagonal = std::hypot(w, h);
    const int most_c = static_cast<int>(diagonal / Norm(across)) + 2, most_r = static_cast<int>(diagonal / Norm(down)) + 2;
    std::vector<Try> all(static_cast<std::size_t>(nu * nv));
    cv::parallel_for_(cv::Range(0, nu * nv), [&](const cv::Range& range) {
      for (int k = range.start; k < range.end; ++k) {
        Comb one = comb;
        one.lattice.origin = Point{0.5 * w, 0.5 * h} + (static_cast<double>(k % nu) * column_period / nu) * across +
                             (static_cast<double>(k / nu) * row_period / nv) * down;
        double worth = 0;
        for (int r = -most_r; r <= most_r; ++r) {
          for (int c = -most_c; c <= most_c; ++c) {
            for (int m = 0; m < members; ++m) {
              const Point at = PoseOf(one, r, c, m).at;
              if (at.x < -w || at.y < -h || at.x > 2 * w || at.y > 2 * h) continue;
              worth += static_cast<double>(field_at(t, c, m).At(at));
            }
          }
        }
        all[static_cast<std::size_t>(k)] = {worth, t, one.lattice.origin};
      }
    });
    tries.insert(tries.end(), all.begin(), all.end());
  }
  std::stable_sort(tries.begin(), tries.end(), [](const Try& a, const Try& b) { return a.worth > b.worth; });
  if (tries.empty() || tries.front().worth <= 0) return std::nullopt;
  const double least = kWorthATry * tries.front().worth;
  std::erase_if(tries, [&](const Try& a) { return a.worth < least; });
  if (tries.size() > kMostTries) tries.resize(kMostTries);

  // Which sites are meant: the window of rows and columns that holds most print. Odd and
  // even rows, and the turns along a row, begin where the plan has them begin.
  Window best;
  Lattice found;
  for (const Try& one : tries) {
    Comb comb{TurnLattice(planned, one.turn * turn_grid), row_period, column_period};
    comb.lattice.origin = one.origin;
    const int half_r = static_cast<int>(std::hypot(w, h) / Norm(planned.down)) + 2;
    const int half_c = static_cast<int>(std::hypot(w, h) / Norm(planned.across)) + 2;
    const int side_r = 2 * half_r + 1, side_c = 2 * half_c + 1;
    std::vector<double> worth(static_cast<std::size_t>(side_r * side_c), 0);
    std::vector<int> count(worth.size(), 0);
    double most = 0;
    const auto cell = [&](int r, int c) { return static_cast<std::size_t>((r + half_r) * side_c + c + half_c); };
    for (int r = -half_r; r <= half_r; ++r) {
      for (int c = -half_c; c <= half_c; ++c) {
        for (int m = 0; m < members; ++m) worth[cell(r, c)] += static_cast<double>(field_at(one.turn, c, m).At(PoseOf(comb, r, c, m).at));
        most = std::max(most, worth[cell(r, c)]);
      }
    }
    for (std::size_t k = 0; k < worth.size(); ++k) count[k] = worth[k] > kPrinted * most;
    // Bounds of what is printed, for rows or columns that are to be found.
    int top = half_r, bottom = -half_r, left = half_c, right = -half_c;
    for (int r = -half_r; r <= half_r; ++r) {
      for (int c = -half_c; c <= half_c; ++c) {
        if (worth[cell(r, c)] < kSurelyPrinted * most) continue;
        top = std::min(top, r), bottom = std::max(bottom, r), left = std::min(left, c), right = std::max(right, c);
      }
    }
    if (top > bottom) continue;
    const auto before = [](int v, int period) { return v - ((v % period) + period) % period; };
    int from_r = -half_r, to_r = half_r, from_c = -half_c, to_c = half_c;
    int rows = planned.rows, columns = planned.columns;
    if (planned.fit_rows) from_r = to_r = before(top, row_period), rows = bottom - from_r + 1;
    if (planned.fit_columns) from_c = to_c = before(left, column_period), columns = right - from_c + 1;
    for (int r0 = before(from_r + row_period - 1, row_period); r0 <= to_r; r0 += row_period) {
      for (int c0 = before(from_c + column_period - 1, column_period); c0 <= to_c; c0 += column_period) {
        Window window{0, r0, c0, rows, columns, 0};
        for (int r = r0; r < std::min(r0 + rows, half_r + 1); ++r) {
          for (int c = c0; c < std::min(c0 + columns, half_c + 1); ++c) {
            if (r < -half_r || c < -half_c || !count[cell(r, c)]) continue;
            window.worth += worth[cell(r, c)];
            window.printed += 1;
          }
        }
        // Among windows that hold the same, the one whose middle is nearest the sheet's.
        Lattice as = comb.lattice;
        as.origin = as.origin + static_cast<double>(r0) * as.down + static_cast<double>(c0) * as.across;
        as.rows = rows, as.columns = columns;
        const Point off = LatticeCentre(as) - Point{0.5 * w, 0.5 * h};
        window.worth *= 1 - 0.02 * Norm(off) / std::hypot(w, h);
        if (window.worth > best.worth) best = window, found = as;
      }
    }
  }
  if (best.printed < 3) return std::nullopt;
  return found;
}

}  // namespace truepull::detect
