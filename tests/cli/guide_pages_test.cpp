// SPDX-License-Identifier: Apache-2.0
// Every page of every use on every paper, proved from the finished guide.pdf: where its
// lines lie in the pixels.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <yaml-cpp/yaml.h>

#include <set>

#include "guide/clearance.h"
#include "support/guide_runs.h"
#include "support/pdf_pages.h"

namespace truepull::testing {
namespace {

constexpr double kAgreeMm = 0.05;

// 56 tiles with a gutter on A2: no paper takes it whole.
Reading Large() {
  Plan plan = RectanglePlan(7, 8);
  plan.sheet.width_mm = 594;
  plan.sheet.height_mm = 420;
  plan.lattice.origin = {36, 32};
  plan.lattice.across = {66, 0};
  plan.lattice.down = {0, 52};
  return ReadingOf(plan);
}

// 120 tiles that touch on A2: where several lines run together only pieces are drawn.
Reading LargeTouching() {
  Plan plan = RectanglePlan(10, 12);
  plan.sheet.width_mm = 594;
  plan.sheet.height_mm = 420;
  plan.plates[0].outline = {{-22, -18}, {22, -18}, {22, 18}, {-22, 18}};
  plan.lattice.origin = {55, 48};
  plan.lattice.across = {44, 0};
  plan.lattice.down = {0, 36};
  return ReadingOf(plan);
}

struct PageFacts {
  std::string label;
  Box window;
  Point sheet_at;
  double width = 0, height = 0;
};

std::vector<PageFacts> PagesOf(const std::filesystem::path& out) {
  std::vector<PageFacts> pages;
  const YAML::Node yaml = YAML::LoadFile((out / "guide.yaml").string());
  for (const YAML::Node& p : yaml["pages"]) {
    const auto number = [&](const char* key, int i) { return p[key][i].as<double>(); };
    pages.push_back({p["label"].as<std::string>(),
                     {number("window", 0), number("window", 1), number("window", 2), number("window", 3)},
                     {number("sheet_at", 0), number("sheet_at", 1)},
                     p["width"].as<double>(),
                     p["height"].as<double>()});
  }
  return pages;
}

bool IsLabel(const std::string& text) {
  return text.size() >= 2 && text.size() <= 3 && text[0] >= 'A' && text[0] <= 'Z' && text.find_first_not_of("0123456789", 1) == std::string::npos;
}

// Groups of the sites whose large labels stand on a page.
std::set<std::string> SitesOn(const std::vector<PdfWord>& words) {
  std::set<std::string> out;
  for (const PdfWord& w : words) {
    if (w.box.Height() > 7 && IsLabel(w.text)) out.insert(fmt::format("site-{}-{}", w.text[0] - 'A', std::stoi(w.text.substr(1)) - 1));
  }
  return out;
}

// Whether another line of the page crosses what would be measured at a place of a line: a
// ring or a match cross may stand there, and the pixels are of both.
struct Inked {
  Segment line;
  double half_mm;
};

bool Crossed(const std::vector<Inked>& lines, const Segment& own, Point p, double width_mm) {
  const Point along = (1 / Norm(own.b - own.a)) * (own.b - own.a), normal{-along.y, along.x};
  const double reach = width_mm / 2 + 0.55;
  const Segment across{p - reach * normal, p + reach * normal};
  for (const auto& [s, half] : lines) {
    if (std::min(s.a.x, s.b.x) > p.x + 2 || std::max(s.a.x, s.b.x) < p.x - 2 || std::min(s.a.y, s.b.y) > p.y + 2 || std::max(s.a.y, s.b.y) < p.y - 2) continue;
    const bool itself = Distance(p, s) < 0.03 && std::abs(Cross(along, s.b - s.a)) < 0.01 * Norm(s.b - s.a);
    if (!itself && Distance(across, s) < 1.5 * half + 0.05) return true;  // Sharp corners reach that far.
  }
  return false;
}

// The two bars of a page: 100 mm between the middles of long strokes in the pixels.
void ExpectBars(const std::vector<PdfLine>& lines, const Raster& page, double& worst) {
  int bars = 0;
  for (const PdfLine& l : lines) {
    if (l.filled || l.points.size() != 2 || std::abs(l.width_mm - 0.25) > 0.01 || std::abs(Norm(l.points[1] - l.points[0]) - 100) > 0.01) continue;
    const Point along = (1 / Norm(l.points[1] - l.points[0])) * (l.points[1] - l.points[0]), normal{-along.y, along.x};
    const auto first = page.LineOffset(l.points[0] + 1.7 * normal, along, 0.25), last = page.LineOffset(l.points[1] + 1.7 * normal, along, 0.25);
    // The sheet's edge may be cut to just this length; it has no strokes at its ends.
    if (!first || !last) continue;
    ++bars;
    const double length = Norm(l.points[1] - l.points[0]) + *last - *first;
    worst = std::max(worst, std::abs(length - 100));
  }
  EXPECT_EQ(bars, 2);
  EXPECT_LT(worst, kAgreeMm);
}

void ExpectPagesAgree(const Reading& reading, const UseCase& use, const std::string& paper, bool joined, bool touching = false) {
  SCOPED_TRACE(fmt::format("{} on {}{}", use.name, paper, joined ? ", joined" : ""));
  std::vector<std::string> flags = use.flags;
  flags.insert(flags.end(), {"--paper", paper});
  if (joined) flags.insert(flags.end(), {"--pages", "joined"});
  const auto w = Next(reading, flags);
  const auto facts = PagesOf(w->out());
  const auto pixels = RasterisePrecisely(w->out() / "guide.pdf", 300, w->folder.path());
  const auto words = PdfWords(w->out() / "guide.pdf");
  ASSERT_EQ(facts.size(), pixels.size());
  ASSERT_EQ(facts.size(), words.size());
  std::map<std::string, Tally> all;
  double bars = 0;
  int sheets = 0;
  std::multiset<std::string> seen;
  std::map<std::string, SvgFile> drawings;
  for (std::size_t i = 0; i < facts.size(); ++i) {
    const PageFacts& f = facts[i];
    SCOPED_TRACE(fmt::format("page {}, {}", i + 1, f.label));
    const Raster& page = pixels[i];
    EXPECT_NEAR(page.width * page.mm_per_px, f.width, 0.1);
    EXPECT_NEAR(page.height * page.mm_per_px, f.height, 0.1);
    EXPECT_TRUE(LetterReads(page));
    const auto drawn = PdfLines(w->out() / "guide.pdf", static_cast<int>(i) + 1, w->folder.path());
    ExpectBars(drawn, page, bars);
    std::vector<Inked> inked;
    for (const PdfWord& word : words[i]) {
      const Box& b = word.box;
      for (double y = b.top; y <= b.bottom; y += 0.4) inked.push_back({{{b.left, y}, {b.right, y}}, 0.2});
    }
    for (const PdfLine& l : drawn) {
      for (std::size_t k = 0; k + (l.closed ? 0 : 1) < l.points.size(); ++k) inked.push_back({{l.points[k], l.points[(k + 1) % l.points.size()]}, l.width_mm / 2});
    }
    if (f.window.Width() == 0) continue;  // Words only.
    ++sheets;
    std::string file = "guide.svg";
    for (const char* part : {"mask ", "part "}) {
      if (const auto at = f.label.find(part); at != std::string::npos) file = fmt::format("guide-part-{}.svg", std::stoi(f.label.substr(at + 5)));
    }
    if (drawings.count(file) == 0) drawings[file] = ParseSvg(ReadFile(w->out() / file));
    const std::set<std::string> sites = SitesOn(words[i]);
    seen.insert(sites.begin(), sites.end());
    const auto tallies = LinesInPixels(drawings[file], page, f.sheet_at, [&](const SvgPath& p, const Segment& own, Point q) {
      // These stand elsewhere on a split page.
      if (p.kind == "bar" || p.kind == "card" || p.kind == "plate") return false;
      if (!p.group.empty() && !joined && sites.count(p.group) == 0) return false;
      const double keep = 1.2;
      if (q.x < f.window.left + keep || q.x > f.window.right - keep || q.y < f.window.top + keep || q.y > f.window.bottom - keep) return false;
      return !Crossed(inked, {own.a + f.sheet_at, own.b + f.sheet_at}, q + f.sheet_at, p.width_mm);
    });
    // Of each other: all upright lines of a page against each other, and all level ones.
    Tally one;
    for (const auto& [kind, t] : tallies) {
      EXPECT_LT(t.worst, kAgreeMm) << kind;
      for (const std::size_t axis : {0u, 1u}) one.Spread(axis, t.least[axis]), one.Spread(axis, t.most[axis]);
      Tally& sum = all[kind];
      sum.worst = std::max(sum.worst, t.worst);
      sum.tried += t.tried;
      sum.measured += t.measured;
    }
    Tally& page_spread = all["between"];
    for (const std::size_t axis : {0u, 1u}) {
      EXPECT_LT(one.most[axis] - one.least[axis], kAgreeMm);
      page_spread.worst = std::max(page_spread.worst, one.most[axis] - one.least[axis]);
    }
  }
  const char* main = use.use == GuideUse::kMask ? "opening" : touching ? "corner" : "outline";
  std::string told;
  for (const auto& [kind, t] : all) told += fmt::format(" {} {:.3f} ({}/{})", kind, t.worst, t.measured, t.tried);
  std::printf("%s, %s%s, %d of %zu pages: bars %.3f%s\n", use.name, paper.c_str(), joined ? " joined" : "", sheets, facts.size(), bars, told.c_str());
  EXPECT_GT(sheets, 1);
  EXPECT_GT(all.at(main).measured, 0.85 * all.at(main).tried);
  EXPECT_GT(all.at(main).measured, touching ? 400 : 1500);
  EXPECT_GT(all.at("sheet").measured, 0.7 * all.at("sheet").tried);
  // Every site is somewhere, and in blocks on one page only.
  EXPECT_EQ((std::set<std::string>(seen.begin(), seen.end()).size()), reading.sheet.sites.size());
  if (!joined) {
    EXPECT_EQ(seen.size(), reading.sheet.sites.size());
  }
}

class GuidePages : public ::testing::TestWithParam<const char*> {};

TEST_P(GuidePages, EveryPageOfEveryUseLiesWhereItSays) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler is not installed";
  const Reading reading = Large();
  std::vector<UseCase> uses = Uses();
  uses.push_back({"general", {}, GuideUse::kGeneral});
  uses.push_back({"general, mirrored", {"--mirror"}, GuideUse::kGeneral});
  for (const UseCase& use : uses) ExpectPagesAgree(reading, use, GetParam(), false);
  for (const UseCase& use : {uses[1], uses[4]}) ExpectPagesAgree(reading, use, GetParam(), true);
}

TEST_P(GuidePages, PagesOfTouchingTilesLieWhereTheySay) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler is not installed";
  const std::string paper = GetParam();
  if (paper != "A4" && paper != "A3") GTEST_SKIP() << "as A4 and A3";
  for (const UseCase& use : Uses()) {
    if (use.use == GuideUse::kUnder || use.use == GuideUse::kOver || use.use == GuideUse::kBack || (use.use == GuideUse::kMask && paper == "A3")) {
      ExpectPagesAgree(LargeTouching(), use, paper, false, true);
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Papers, GuidePages, ::testing::Values("A4", "letter", "A3", "tabloid"),
                         [](const auto& paper) { return std::string(paper.param); });

}  // namespace
}  // namespace truepull::testing
