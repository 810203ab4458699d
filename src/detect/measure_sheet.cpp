// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/core/utility.hpp>

#include "detect/coarse_search.h"
#include "detect/edge_fit.h"
#include "detect/explain.h"
#include "detect/ink.h"
#include "detect/inner_picture.h"
#include "detect/joint_fit.h"
#include "detect/left_over.h"
#include "detect/measured_prints.h"
#include "detect/odd_lines.h"
#include "detect/odd_tiles.h"
#include "detect/odd_words.h"
#include "detect/paper_light.h"
#include "detect/photo_doubts.h"
#include "detect/plate_edges.h"
#include "detect/plate_round.h"
#include "detect/plate_shape.h"
#include "detect/regions.h"
#include "detect/second_look.h"
#include "detect/way_up.h"
#include "photo/side_blur.h"
#include "truepull/detect.h"
#include "truepull/photo_faults.h"

namespace truepull {
namespace {

using namespace detect;

// A place whose heart carries ink on less than this share was not printed. A ghost's
// heart is inked to 0.4 or more, pencil lines and finger marks to less than 0.05.
constexpr double kHeartShare = 0.12;
constexpr double kHeartDensity = 0.15;  // Density that counts as ink at all.

// A pull that others cover nearly wholly, or whose own part carries next to no ink, is
// the others' ink and a smudge: nothing was printed there. A ghost covers 0.3 or more.
constexpr double kAloneShare = 0.25;
constexpr double kAloneCoverage = 0.15;

// Beside touching neighbours a side shows three quarters and more of what it is off.
constexpr double kUnshown = 0.25;

constexpr double kDoubtful = 0.7;       // mm; an open choice of places is said beyond it.

constexpr double kUnexplained = -0.5;   // JointFit's misfit.

// Darker than this, bare paper is not told from the table; linear light, 0..1.
constexpr double kDarkestPaper = 0.02;

struct Sites {
  std::vector<Site> site;
  std::vector<Pose> ideal;
  std::vector<PlateShape> shapes;   // One for each member of the cell.
  std::vector<Pull> pulls;
};

Sites Prepare(const Plan& plan) {
  Sites s;
  s.site = AllSites(plan.lattice);
  for (std::size_t m = 0; m < plan.lattice.cell.size(); ++m) {
    s.shapes.push_back(ShapePlate(OutlineAt(plan, {0, static_cast<int>(m)})));
  }
  s.pulls.resize(s.site.size());
  for (std::size_t i = 0; i < s.site.size(); ++i) {
    s.ideal.push_back(IdealPose(plan.lattice, s.site[i]));
    s.pulls[i].shape = &s.shapes[static_cast<std::size_t>(s.site[i].column) % s.shapes.size()];
  }
  return s;
}

template <typename Work>
void ForEach(std::size_t n, const Work& work) {
  cv::parallel_for_(cv::Range(0, static_cast<int>(n)), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) work(static_cast<std::size_t>(i));
  });
}

// The plates that depart from the plan; of several members of a cell the first tells.
std::vector<PlateReading> PlatesOf(const Plan& plan, const Sites& s, const std::vector<PlateFound>& found) {
  std::vector<PlateReading> out;
  for (std::size_t m = 0; m < found.size(); ++m) {
    const CellMember& member = plan.lattice.cell[m];
    const std::string& name = plan.plates[static_cast<std::size_t>(member.plate)].name;
    const bool told = std::any_of(out.begin(), out.end(), [&](const PlateReading& p) { return p.plate == name; });
    if (!found[m].changed() || told) continue;
    PlateReading p;
    p.plate = name;
    p.size = found[m].ratio;
    p.sd_size = p.size != 1 ? found[m].sd_ratio : 0;
    p.outline = s.shapes[m].outline;
    for (const Departure& d : found[m].departures) {
      Departure as_plate = d;
      if (member.mirrored) as_plate.outward.x = -as_plate.outward.x;
      p.sides.push_back({as_plate.Side(), d.mm, std::hypot(d.sd, kUnshown * d.mm), d.length_mm});
    }
    if (member.mirrored) {
      for (Point& q : p.outline) q.x = -q.x;
      std::reverse(p.outline.begin(), p.outline.end());
    }
    out.push_back(p);
  }
  return out;
}

// How far apart the pulls stand over the plan's steps: the similarity that carries ideal
// to found places best, by least squares; its spread from what is left, the hand's.
LatticeSize SizeOfLattice(const Sites& s) {
  Point ideal, found;
  double n = 0;
  for (std::size_t i = 0; i < s.pulls.size(); ++i) {
    if (!s.pulls[i].present) continue;
    ideal = ideal + s.ideal[i].at, found = found + s.pulls[i].pose.at, n += 1;
  }
  if (n < 3) return {};
  ideal = (1 / n) * ideal, found = (1 / n) * found;
  double along = 0, across = 0, square = 0;
  for (std::size_t i = 0; i < s.pulls.size(); ++i) {
    if (!s.pulls[i].present) continue;
    const Point a = s.ideal[i].at - ideal, b = s.pulls[i].pose.at - found;
    along += Dot(a, b), across += Cross(a, b), square += Dot(a, a);
  }
  if (!(square > 0)) return {};
  const double c = along / square, k = across / square;
  double left = 0;
  for (std::size_t i = 0; i < s.pulls.size(); ++i) {
    if (!s.pulls[i].present) continue;
    const Point a = s.ideal[i].at - ideal, b = s.pulls[i].pose.at - found;
    const Point d = b - Point{c * a.x - k * a.y, k * a.x + c * a.y};
    left += Dot(d, d);
  }
  return {std::hypot(c, k), std::sqrt(left / (2 * n - 4) / square)};
}

SheetReading Measure(const Photo& photo, const SheetFrame& frame, const Plan& plan, const LitSheet& lit,
                     const DetectOptions& options) {
  Sites s = Prepare(plan);
  const std::size_t n = s.site.size();
  std::vector<Pull>& pulls = s.pulls;
  const double step_mm = plan.lattice.rows * FileColumns(plan.lattice) > 1
                             ? std::min(Norm(plan.lattice.across), Norm(plan.lattice.down))
                             : s.shapes[0].radius;
  const SearchWindow window{options.search_share * step_mm, options.search_turn_rad};

  // Roughly: one look over every site's window, the move that all share, the best peaks.
  const OutlineScore score(lit.map, 0.7);
  std::vector<SiteScan> scans(n);
  ForEach(n, [&](std::size_t i) { scans[i] = score.Scan(*pulls[i].shape, s.ideal[i], window); });
  const CommonMove common = FindCommonMove(scans, window);
  std::vector<Pose> expected(n);
  std::vector<const PlateShape*> shapes(n);
  for (std::size_t i = 0; i < n; ++i) {
    expected[i] = common.Carry(s.ideal[i]);
    shapes[i] = pulls[i].shape;
  }
  const std::vector<OddLine> odd_lines =
      FindOddLines(score, plan.lattice, s.site, shapes, expected, kHeartDensity, kHeartShare);
  for (const OddLine& line : odd_lines) {
    for (const std::size_t i : line.sites) {
      expected[i].at = expected[i].at + line.shift;
      scans[i] = score.Scan(*shapes[i], expected[i], window);
    }
  }
  std::vector<std::vector<Candidate>> candidates(n);
  std::vector<char> usable(n);
  ForEach(n, [&](std::size_t i) {
    candidates[i] = score.Peaks(*pulls[i].shape, scans[i], expected[i], window, 5);
    usable[i] = !candidates[i].empty() &&
                score.HeartCoverage(*pulls[i].shape, expected[i], kHeartDensity) > kHeartShare;
  });
  const std::vector<std::size_t> chosen = ChooseCandidates(candidates, expected, usable);
  for (std::size_t i = 0; i < n; ++i) {
    pulls[i].present = usable[i];
    if (usable[i]) pulls[i].pose = candidates[i][chosen[i]].pose;
  }

  // Finely: edges in the photo, all tiles together, then the doubtful ones again.
  const EdgeFit fit(photo, frame.camera, lit.paper);
  const EdgeFitOptions wide = WideFit(), quick = QuickFit();
  Explain judge(photo, frame.camera, lit.paper);
  JointFit joint(photo, frame.camera, lit.paper);
  for (int sweep = 0; sweep < 3; ++sweep) fit.Sweep(pulls, wide);
  for (int sweep = 0; sweep < 2; ++sweep) fit.Sweep(pulls, quick);
  // What is printed otherwise than planned comes before any second look.
  std::vector<PlateFound> plates(s.shapes.size());
  const double scale = FindPlateScale(score, fit, judge, s.shapes, pulls);
  for (PlateFound& p : plates) p.ratio = scale;
  const OtherWays ways(s.shapes);
  const std::vector<OddTile> odd_tiles = FindOddTiles(score, fit, judge, ways, pulls, expected, candidates);
  if (!odd_tiles.empty()) {
    for (int sweep = 0; sweep < 2; ++sweep) fit.Sweep(pulls, quick);
  }
  std::vector<char> look(n, 1);
  joint.Run(pulls, 2, true);
  for (int round = 0; round < 3; ++round) {
    ForEach(n, [&](std::size_t i) {
      if (pulls[i].present && look[i]) pulls[i].misfit = joint.Misfit(pulls, i);
    });
    if (LookAgain(fit, joint, pulls, expected, candidates, look) == 0) break;
    joint.Run(pulls, 1, true);
  }
  MeasurePlates(fit, s.shapes, pulls, plates);
  joint.Run(pulls, 1, true);
  joint.Run(pulls, 2);

  const auto ink_of = [&] {
    return MeasureInk(photo, frame.camera, lit.paper, pulls, plan.colours, plan.sheet.width_mm,
                      plan.sheet.height_mm);
  };
  std::vector<Ink> inks = ink_of();
  bool dropped = false;
  for (std::size_t i = 0; i < n; ++i) {
    if (pulls[i].present && (inks[i].alone < kAloneShare || inks[i].alone_coverage < kAloneCoverage * std::min(1.0, 2 * PlateAt(plan, s.site[i]).prints) || !inks[i].on_sheet)) {
      pulls[i].present = false;
      dropped = true;
    }
  }
  if (dropped) {
    for (int sweep = 0; sweep < 2; ++sweep) fit.Sweep(pulls, quick);
    joint.Run(pulls, 2);
    inks = ink_of();
  }
  // What is cut or scratched inside the plates is the same on every pull.
  const InnerPictures insides(photo, frame.camera, lit.paper, s.shapes);
  if (insides.MoveStrays(pulls)) joint.Run(pulls, 2);
  if (insides.Join(pulls) > 0) inks = ink_of();
  SheetReading reading;
  reading.camera = frame.camera;
  reading.sd_blur_mm = joint.ink().sigma_mm;
  if (const double blur = SideBlurMm(photo, frame.camera, plan.sheet); blur > 0) reading.sd_blur_mm = blur;
  reading.prints = PrintsOf(plan, s.site, pulls, inks);
  std::vector<std::string> doubtful;
  double frame_variance = 0, counted = 0;
  for (std::size_t i = 0; i < n; ++i) {
    SiteReading r;
    r.site = s.site[i];
    if (pulls[i].present) {
      const Ink& ink = inks[i];
      const double prints = reading.prints[static_cast<std::size_t>(&PlateAt(plan, s.site[i]) - plan.plates.data())];
      r.state = ink.coverage < 0.55 * prints || ink.strength < 0.45 ? SiteState::kWeak : SiteState::kPrinted;
      r.found = pulls[i].pose;
      const std::array<double, 4> place = PlaceCovariance(frame, r.found.at);
      for (std::size_t c = 0; c < r.covariance.size(); ++c) {
        r.covariance[c] = pulls[i].covariance[c] + pulls[i].doubt[c];
      }
      if (pulls[i].doubt[0] + pulls[i].doubt[4] > kDoubtful * kDoubtful) doubtful.push_back(SiteLabel(s.site[i]));
      // What the sheet's own size leaves open grows from the top-left corner.
      const double scale_x = plan.sheet.sd_mm * r.found.at.x / plan.sheet.width_mm;
      const double scale_y = plan.sheet.sd_mm * r.found.at.y / plan.sheet.height_mm;
      const double coarse = CoarsenessVariance(frame.camera.PixelsPerMm(r.found.at), reading.sd_blur_mm);
      r.covariance[0] += place[0] + scale_x * scale_x + coarse;
      r.covariance[1] += place[1];
      r.covariance[3] += place[2];
      r.covariance[4] += place[3] + scale_y * scale_y + coarse;
      frame_variance += 0.5 * (place[0] + place[3]);
      counted += 1;
      r.coverage = ink.coverage;
      r.strength = ink.strength;
      r.body_colour = ink.body_colour;
      r.colour = ink.colour;
      r.growth_mm = pulls[i].growth_mm;
    }
    reading.sites.push_back(r);
  }
  SheetColours colours = MeasureColours(lit.map, plan, s.site, pulls, inks);
  reading.colours = std::move(colours.pulls);
  reading.drawings = std::move(colours.drawings);
  // A site's colour is its body's, told by difference as the eye has it.
  std::size_t told = 0;
  for (SiteReading& r : reading.sites) {
    if (r.state == SiteState::kMissing) continue;
    const PullColours& p = reading.colours[told++];
    if (!p.regions.empty() && p.regions.front().kind == RegionKind::kBody) r.colour = p.regions.front().colour;
  }
  reading.sd_frame_mm = counted > 0 ? std::sqrt(frame_variance / counted) : 0;
  // Where each printed edge lies, one by one: a side that is cut short is thrown out by a
  // robust fit of poses, and wanted here.
  std::vector<Pull> edges = pulls;
  fit.Sweep(edges, FineFit());
  reading.plate_edges = MeasurePlateEdges(plan, s.site, edges);
  // What the sheet has that its plan has not.
  std::size_t printed = 0;
  for (const Pull& p : pulls) printed += p.present;
  const std::string few = FewPrintedWords(printed, n);
  if (!few.empty()) reading.findings.push_back(few);
  for (OddLine line : odd_lines) {
    line.MeasureFrom(pulls, s.ideal, common);
    reading.findings.push_back(line.Words());
  }
  for (const std::string& words : OddTileWords(odd_tiles, s.site)) reading.findings.push_back(words);
  reading.plates = PlatesOf(plan, s, plates);
  for (const PlateReading& p : reading.plates) {
    for (const std::string& words : PlateWords(p, plan, SizeOfLattice(s))) reading.findings.push_back(words);
  }
  const bool other = std::any_of(plates.begin(), plates.end(), [](const PlateFound& p) { return p.other_outline; });
  if (other) reading.findings.push_back(kOtherOutline);
  reading.left_over = FindLeftOver(lit.map, score, pulls);
  for (const LeftOverPull& p : reading.left_over) reading.findings.push_back(LeftOverWords(p));
  std::vector<Pull> looked_for = pulls;   // Where nothing was seen, glare may be why.
  for (std::size_t i = 0; i < n; ++i) {
    if (!looked_for[i].present) looked_for[i].pose = expected[i];
  }
  const PhotoWords photo_words = SayPhotoFaults(reading, plan.sheet, BurntOutShares(photo, frame.camera, looked_for),
                                                BurntOutShare(photo.bgr, frame.camera, plan.sheet));
  reading.findings.insert(reading.findings.end(), photo_words.findings.begin(), photo_words.findings.end());
  reading.notes = photo_words.notes;
  for (std::size_t k = 0; k < plan.plates.size(); ++k) {
    if (plan.plates[k].prints_measured && printed > 0) reading.notes.push_back(PrintsWords(plan, k, reading.prints[k]));
  }
  // Explained no better with it than without: ordinary pulls reach -4, one that nothing fits +1.6.
  std::vector<std::string> unexplained;
  for (std::size_t i = 0; i < n; ++i) {
    if (reading.sites[i].state == SiteState::kPrinted && !other && joint.Misfit(pulls, i) > kUnexplained) unexplained.push_back(SiteLabel(s.site[i]));
  }
  if (!unexplained.empty()) reading.findings.push_back(UnexplainedWords(unexplained));
  if (!doubtful.empty()) {
    std::string list;
    for (const std::string& d : doubtful) list += (list.empty() ? "" : ", ") + d;
    reading.findings.push_back("the picture leaves two places open for " + list +
                               ": its edge and a neighbour's cannot be told apart; look at it yourself");
  }
  return reading;
}

}  // namespace

Result<SheetReading> MeasureSheet(const Photo& photo, const SheetFrame& as_found, const Plan& plan,
                                  const DetectOptions& options) {
  try {
    SheetFrame frame = as_found;
    LitSheet lit = LightSheet(photo, frame.camera, plan);
    if (lit.paper_level < kDarkestPaper) {
      return Error{ErrorCode::kPhotoUnusable, photo.name + ": the sheet is too dark to measure",
                   "take the photo in daylight without direct sun (docs/photo.md)"};
    }
    const WayUp way_up = options.way_up_known ? WayUp{} : FindWayUp(lit, plan, Prepare(plan).shapes);
    if (way_up.quarters != 0) {
      frame = TurnFrame(as_found, plan.sheet, way_up.quarters);
      // What the sides' ratio had to guess is known now.
      std::erase_if(frame.findings, [](const std::string& f) { return f.starts_with(kGuessedTop); });
      const Point top{0.5 * plan.sheet.width_mm, 0}, bottom{top.x, plan.sheet.height_mm};
      frame.findings.push_back(WayUpWords(way_up, frame.camera.PhotoFromSheet(top) - frame.camera.PhotoFromSheet(bottom)));
      lit = LightSheet(photo, frame.camera, plan);
    }
    if (way_up.assumed) frame.notes.push_back(kWayUpAssumed);
    SheetReading reading = Measure(photo, frame, plan, lit, options);
    reading.photo_width_px = photo.bgr.cols;
    reading.photo_height_px = photo.bgr.rows;
    reading.findings.insert(reading.findings.begin(), frame.findings.begin(), frame.findings.end());
    reading.notes.insert(reading.notes.begin(), frame.notes.begin(), frame.notes.end());
    reading.sd_scale_x = plan.sheet.sd_mm / plan.sheet.width_mm;
    reading.sd_scale_y = plan.sheet.sd_mm / plan.sheet.height_mm;
    return reading;
  } catch (const cv::Exception& e) {
    return Error{ErrorCode::kPhotoUnusable, photo.name + ": could not be measured (" + e.err + ")", ""};
  }
}

}  // namespace truepull
