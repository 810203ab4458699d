// SPDX-License-Identifier: Apache-2.0
// Colours measured in rendered photos beside the colours that they were rendered with, under
// warm light, fall-off and a soft shadow. Differences are CIEDE2000 (include/truepull/colour.h;
// checked against its published pairs in tests/colour).
#include <cstdio>
#include <ctime>

#include "detect/small_sheets.h"

namespace truepull::testing {
namespace {

constexpr double kAgreed = 3;   // CIEDE2000, median.

struct Lamp {
  const char* name;
  LightFaults light;
};
const std::vector<Lamp>& Lamps() {
  static const std::vector<Lamp> lamps = [] {
    std::vector<Lamp> all(4);
    all[0].name = "warm light", all[0].light.warmth = 1;
    all[1].name = "fall-off", all[1].light.uneven = 0.35;
    all[2].name = "soft shadow", all[2].light.shadow = 0.35;
    all[3].name = "all three", all[3].light = {.uneven = 0.35, .shadow = 0.35, .warmth = 1, .sheet_shadow = 0};
    return all;
  }();
  return lamps;
}

SheetReading Read(const Plan& plan, const RenderOptions& options, std::vector<TruthRow>* truth = nullptr) {
  const MadePhoto photo = MakePhoto(plan, options);
  if (truth) *truth = photo.truth;
  const auto reading = ReadPhoto(photo.jpeg, plan);
  if (!reading) {
    ADD_FAILURE() << reading.error().message;
    return {};
  }
  EXPECT_EQ(reading->colours.size(), plan.lattice.rows * static_cast<std::size_t>(plan.lattice.columns));
  return *reading;
}

const ColourRegion* Find(const PullColours& p, RegionKind kind) {
  for (const ColourRegion& r : p.regions) {
    if (r.kind == kind) return &r;
  }
  return nullptr;
}

// Inks multiply: the band lies on 0.55 of the body's own deposit (src/render/ink.cpp).
Lab BandOn(const LinearColour& body, const LinearColour& ring) {
  const auto one = [](double b, double r) { return r * std::pow(b, 0.55); };
  return LabOf({one(body.r, ring.r), one(body.g, ring.g), one(body.b, ring.b)});
}

TEST(ColoursInPhotos, FlatColoursAgreeWithTheTruthUnderEveryLamp) {
  for (const auto& [kind, plan] : {std::pair("waves", SmallWaves()), std::pair("rectangles", SmallRectangles())}) {
    for (const Lamp& lamp : Lamps()) {
      std::vector<double> body_off, band_off;
      int named = 0, pulls = 0;
      for (const std::uint64_t seed : {5U, 6U}) {
        RenderOptions options = CleanSmall(seed);
        options.light = lamp.light;
        std::vector<TruthRow> truth;
        const SheetReading reading = Read(plan, options, &truth);
        for (std::size_t k = 0; k < reading.colours.size(); ++k) {
          const PullColours& p = reading.colours[k];
          const LinearColour ink = *ColourOfHex(truth[k].colour_hex);
          const ColourRegion* body = Find(p, RegionKind::kBody);
          const ColourRegion* band = Find(p, RegionKind::kEdge);
          ASSERT_TRUE(body && band) << lamp.name << " " << SiteLabel(p.site);
          body_off.push_back(ColourDifference(body->lab, LabOf(ink)));
          band_off.push_back(ColourDifference(band->lab, BandOn(ink, *ColourOfHex(plan.edge_colour))));
          EXPECT_EQ(p.charge, Charge::kFull);
          named += body->colour == truth[k].colour;
          ++pulls;
        }
      }
      std::printf("%s, %s: body median %.2f worst %.2f, band median %.2f worst %.2f; %d of %d named\n", kind, lamp.name, Quantile(body_off, 0.5),
                  Quantile(body_off, 1), Quantile(band_off, 0.5), Quantile(band_off, 1), named, pulls);
      EXPECT_LT(Quantile(body_off, 0.5), kAgreed) << lamp.name;
      EXPECT_LT(Quantile(band_off, 0.5), kAgreed) << lamp.name;
      EXPECT_EQ(named, pulls) << lamp.name;
    }
  }
}

// Mottled crayon is no flat tone: the truth is the same sheet rendered in even white light with
// a sharp camera, its true light averaged over the region that was measured.
TEST(ColoursInPhotos, MottledColoursAgreeWithTheSameSheetInEvenWhiteLight) {
  const Plan plan = SmallWaves();
  for (const Lamp& lamp : Lamps()) {
    RenderOptions options = EasySmall(9);
    options.light = lamp.light;
    const SheetReading reading = Read(plan, options);
    RenderOptions even = EasySmall(9);
    even.camera.noise = 0;
    const RenderedSheet flat = *RenderSheet(plan, even);
    // Even light has no gradient: the paper's white is the mean of its margin, here 3 to 8 mm in.
    const auto light = [&](Point mm) {
      const Point px = flat.camera.PhotoFromSheet(mm);
      const cv::Vec3b code = flat.bgr.at<cv::Vec3b>(static_cast<int>(std::lround(px.y)), static_cast<int>(std::lround(px.x)));
      return LinearColour{LinearOfCoded(code[2] / 255.0), LinearOfCoded(code[1] / 255.0), LinearOfCoded(code[0] / 255.0)};
    };
    LinearColour white;
    int n = 0;
    for (double x = 3; x < 197; x += 0.5) {
      for (double y = 3; y < 8; y += 0.5, ++n) {
        const LinearColour l = light({x, y});
        white = {white.r + l.r, white.g + l.g, white.b + l.b};
      }
    }
    white = {white.r / n, white.g / n, white.b / n};
    std::vector<double> off;
    double lighter = 0;
    for (const PullColours& p : reading.colours) {
      const ColourRegion* body = Find(p, RegionKind::kBody);
      ASSERT_TRUE(body);
      // The middle of the region: away from its borders and from the lines of the drawing.
      std::vector<Point> all;
      for (const Outline& o : body->outlines) all.insert(all.end(), o.begin(), o.end());
      const Box box = BoundingBox(all);
      std::vector<Outline> drawn;
      for (const PlateDrawing& d : reading.drawings) drawn.insert(drawn.end(), d.outlines.begin(), d.outlines.end());
      const Pose pose = reading.sites[off.size()].found;   // Every site is printed.
      LinearColour sum;
      int m = 0;
      for (double x = box.left; x < box.right; x += 0.3) {
        for (double y = box.top; y < box.bottom; y += 0.3) {
          int around = 0;
          double depth = 1e9;
          for (const Outline& o : body->outlines) {
            around += Contains(o, {x, y});
            depth = std::min(depth, std::abs(SignedDistance(o, {x, y})));
          }
          for (const Outline& o : drawn) {
            const double inside = SignedDistance(o, ApplyInverse(pose, {x, y}));
            if (inside > -0.5) depth = 0;
          }
          if (around % 2 == 0 || depth < 0.5) continue;
          const LinearColour l = ReflectanceOn(white, light({x, y}));
          sum = {sum.r + l.r, sum.g + l.g, sum.b + l.b};
          ++m;
        }
      }
      ASSERT_GT(m, 100);
      const Lab truth = LabOf({sum.r / m, sum.g / m, sum.b / m});
      off.push_back(ColourDifference(body->lab, truth));
      lighter += body->lab.L - truth.L;
    }
    std::printf("mottled, %s: %.2f lighter; median %.2f, worst %.2f\n", lamp.name, lighter / static_cast<double>(off.size()), Quantile(off, 0.5), Quantile(off, 1));
    EXPECT_LT(Quantile(off, 0.5), kAgreed) << lamp.name;
  }
}

TEST(ColoursInPhotos, TheDrawingIsFoundScratchedBareAndDark) {
  for (const double dark : {0.0, 1.0}) {
    RenderOptions options = EasySmall(12);
    options.ink.dark_lines_share = dark;
    const SheetReading reading = Read(SmallWaves(), options);
    ASSERT_EQ(reading.drawings.size(), 1U) << dark;
    std::size_t shows = 0;
    for (const PullColours& p : reading.colours) {
      const ColourRegion* drawing = Find(p, RegionKind::kDrawing);
      const ColourRegion* body = Find(p, RegionKind::kBody);
      if (!drawing || !body) continue;
      shows += dark > 0 ? drawing->lab.L < body->lab.L - 10 : drawing->lab.L > body->lab.L + 10;
    }
    std::printf("drawing, %s: shows on %zu of %zu\n", dark > 0 ? "dark" : "bare", shows, reading.colours.size());
    EXPECT_GE(shows, reading.colours.size() - 1);
  }
  RenderOptions without = EasySmall(12);
  without.ink.motif = Motif::kNone;
  EXPECT_TRUE(Read(SmallWaves(), without).drawings.empty());
}

TEST(ColoursInPhotos, GhostsAndWeakPullsAreToldFromFullOnes) {
  int right = 0, all = 0;
  for (const std::uint64_t seed : {31U, 32U}) {
    RenderOptions options = EasySmall(seed);
    for (const Site site : {Site{0, 1}, Site{1, 2}}) {
      SiteFault ghost;
      ghost.site = site, ghost.ghost = true;
      options.site_faults.push_back(ghost);
    }
    const SheetReading reading = Read(SmallWaves(), options);
    for (const PullColours& p : reading.colours) {
      const bool ghost = p.site == Site{0, 1} || p.site == Site{1, 2};
      std::printf("%s %s%s\n", SiteLabel(p.site).c_str(), NameOf(p.charge), ghost ? " (ghost)" : "");
      right += (p.charge == Charge::kFull) == !ghost;
      ++all;
    }
  }
  EXPECT_EQ(right, all);
}

}  // namespace
}  // namespace truepull::testing
