// SPDX-License-Identifier: Apache-2.0
// Every way of use, proved from the finished files: guide.pdf in pixels, guide.svg, the
// words that poppler reads, guide.yaml.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <yaml-cpp/yaml.h>

#include <cstdlib>
#include <opencv2/imgcodecs.hpp>
#include <set>

#include "guide/clearance.h"
#include "support/chromium.h"
#include "support/guide_runs.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

// What issue and trade ask is 0.05 mm.
constexpr double kAgreeMm = 0.05;

TEST(GuideUses, PixelsAgreeWithTheDrawingInEveryUse) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftoppm is not installed";
  for (const bool dense : {false, true}) {
    const Reading reading = dense ? Dense() : Gutter();
    for (const UseCase& use : Uses()) {
      SCOPED_TRACE(fmt::format("{}{}", use.name, dense ? ", dense" : ""));
      std::vector<std::string> flags = use.flags;
      flags.insert(flags.end(), {"--paper", "sheet"});
      const auto w = Next(reading, flags);
      // A mask in several sheets has a drawing for each.
      const bool parts = std::filesystem::exists(w->out() / "guide-part-1.svg");
      const SvgFile svg = ParseSvg(ReadFile(w->out() / (parts ? "guide-part-1.svg" : "guide.svg")));
      const auto pages = Rasterise(w->out() / "guide.pdf", 300, w->folder.path());
      ASSERT_GE(pages.size(), 1u);
      EXPECT_NEAR(pages[0].width * pages[0].mm_per_px, svg.view.Width(), 0.1);
      const auto tallies = LinesInPixels(svg, pages[0], {-svg.view.left, -svg.view.top});
      std::string told;
      for (const auto& [kind, tally] : tallies) {
        EXPECT_LT(tally.worst, kAgreeMm) << kind;
        told += fmt::format(" {} {:.3f} ({}/{})", kind, tally.worst, tally.measured, tally.tried);
      }
      std::printf("%s%s:%s\n", use.name, dense ? ", dense" : "", told.c_str());
      for (const char* kind : {"sheet", "bar", "card"}) {
        ASSERT_EQ(tallies.count(kind), 1u) << kind;
        EXPECT_GT(tallies.at(kind).measured, 0.7 * tallies.at(kind).tried) << kind;
      }
      const char* main = use.use == GuideUse::kMask ? "opening" : dense ? "corner" : "outline";
      ASSERT_EQ(tallies.count(main), 1u);
      EXPECT_GT(tallies.at(main).measured, 0.5 * tallies.at(main).tried);
      EXPECT_GT(tallies.at(main).measured, 100);
      if (use.use != GuideUse::kMask) {
        EXPECT_GT(tallies.at("tick").measured, 0.7 * tallies.at("tick").tried);
      }
    }
  }
}

// The SVG by a browser: the same lines at the same places.
TEST(GuideUses, ABrowserDrawsTheSvgTrueToSizeInEveryUse) {
  if (std::system("chromium --version >/dev/null 2>&1") != 0) GTEST_SKIP() << "no chromium to look at the SVG with";
  for (const UseCase& use : Uses()) {
    SCOPED_TRACE(use.name);
    const auto w = Next(Gutter(), use.flags);
    const bool parts = std::filesystem::exists(w->out() / "guide-part-1.svg");
    const std::filesystem::path file = w->out() / (parts ? "guide-part-1.svg" : "guide.svg");
    const SvgFile svg = ParseSvg(ReadFile(file));
    constexpr double kCssPerMm = 96 / 25.4, kScale = 3;
    const int width = static_cast<int>(std::ceil(svg.width_mm * kCssPerMm)), height = static_cast<int>(std::ceil(svg.height_mm * kCssPerMm));
    const std::string png = (w->folder / "svg.png").string();
    const std::string command = fmt::format(
        "HOME='{0}' {6} --hide-scrollbars --force-device-scale-factor={1:.0f} "
        "--window-size={2},{3} --screenshot='{4}' 'file://{5}' >/dev/null 2>&1",
        w->folder.path().string(), kScale, width, height, png, file.string(), kChromium);
    if (std::system(command.c_str()) != 0 || !std::filesystem::exists(png)) GTEST_SKIP() << "chromium cannot run here";
    const cv::Mat grey = cv::imread(png, cv::IMREAD_GRAYSCALE);
    Raster page;
    page.width = grey.cols, page.height = grey.rows, page.mm_per_px = 1 / (kCssPerMm * kScale);
    page.grey.assign(grey.data, grey.data + grey.total());
    std::string told;
    int all = 0;
    for (const auto& [kind, tally] : LinesInPixels(svg, page, {-svg.view.left, -svg.view.top})) {
      EXPECT_LT(tally.worst, kAgreeMm) << kind;
      EXPECT_GE(tally.measured, 0.5 * tally.tried) << kind;
      for (const std::size_t axis : {0u, 1u}) EXPECT_LT(tally.most[axis] - tally.least[axis], kAgreeMm) << kind;
      told += fmt::format(" {} {:.3f} ({}/{})", kind, tally.worst, tally.measured, tally.tried);
      all += tally.measured;
    }
    EXPECT_GT(all, 1000);
    std::printf("browser, %s:%s\n", use.name, told.c_str());
  }
}

// The line's aim edge lies on the placement: its middle, or its inner edge.
TEST(GuideUses, TheAimOfEveryLineIsThePlacement) {
  const Reading reading = Gutter();
  for (const UseCase& use : Uses()) {
    SCOPED_TRACE(use.name);
    const auto w = Next(reading, use.flags);
    const UseLook& look = UseLookOf(use.use);
    const double out_mm = use.use == GuideUse::kMask ? 0.5 : look.aim == LineAim::kInnerEdge ? look.line_mm / 2 : 0;
    std::istringstream csv(ReadFile(w->out() / "placements.csv"));
    std::string line;
    std::getline(csv, line);
    std::map<std::string, Outline> placed;
    while (std::getline(csv, line)) {
      std::vector<std::string> cells;
      std::istringstream in(line);
      for (std::string cell; std::getline(in, cell, ',');) cells.push_back(cell);
      Outline outline = Apply(Pose{{std::stod(cells[3]), std::stod(cells[4])}, RadFromDeg(std::stod(cells[5]))},
                              reading.plan.plates[0].outline);
      if (look.mirrored) {
        for (Point& p : outline) p.x = reading.plan.sheet.width_mm - p.x;
      }
      placed["site-" + cells[0] + "-" + cells[1]] = outline;
    }
    int seen = 0;
    for (const SvgPath& p : w->svg().paths) {
      if (p.kind != "outline" && p.kind != "opening") continue;
      ASSERT_EQ(placed.count(p.group), 1u);
      ++seen;
      for (std::size_t i = 0; i < p.points.size(); ++i) {
        const Point middle = 0.5 * (p.points[i] + p.points[(i + 1) % p.points.size()]);
        EXPECT_NEAR(-SignedDistance(placed[p.group], middle), out_mm, 0.001);
      }
    }
    EXPECT_EQ(seen, 12);
  }
}

TEST(GuideUses, SaysOnEveryPageWhichWayRoundItIsAndItsSteps) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  for (const char* paper : {"A4", "letter", "A3", "tabloid", "sheet"}) {
    for (const UseCase& use : Uses()) {
      SCOPED_TRACE(fmt::format("{} on {}", use.name, paper));
      std::vector<std::string> flags = use.flags;
      flags.insert(flags.end(), {"--paper", paper});
      const auto w = Next(Gutter(), flags);
      const std::string pdf = (w->out() / "guide.pdf").string();
      const std::string all = Spaced(OutputOf("pdftotext -raw '" + pdf + "' -"));
      for (const std::string& step : StepsOf(use.use)) EXPECT_THAT(all, HasSubstr(step));
      const auto pages = PdfWords(pdf);
      ASSERT_GE(pages.size(), 1u);
      for (const auto& page : pages) {
        std::string words;
        for (const PdfWord& word : page) words += word.text + " ";
        EXPECT_EQ(words.find("MIRRORED: ") != std::string::npos, UseLookOf(use.use).mirrored);
        EXPECT_EQ(words.find("SEEN FROM THE PRINTED FACE ") != std::string::npos, !UseLookOf(use.use).mirrored);
        EXPECT_THAT(words, HasSubstr("100 mm along x"));
      }
      for (int i = 0; i < 12; ++i) EXPECT_THAT(all, HasSubstr(SiteLabel({i / 4, i % 4})));
    }
  }
}

// Lines of different sites keep 1.5 mm apart from edge to edge; labels keep off ticks, outlines
// of others and each other. From guide.svg and the words' boxes in guide.pdf.
TEST(GuideUses, NothingRunsTogetherOnADenseSheet) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  for (const UseCase& use : Uses()) {
    if (use.use == GuideUse::kMask) continue;
    SCOPED_TRACE(use.name);
    std::vector<std::string> flags = use.flags;
    flags.insert(flags.end(), {"--paper", "sheet"});
    const auto w = Next(Dense(), flags);
    const SvgFile svg = w->svg();
    struct Drawn {
      std::string group;
      Segment line;
      double half;
    };
    std::vector<Drawn> lines;
    int corners = 0, sites_with_ticks = 0;
    std::set<std::string> ticked;
    for (const SvgPath& p : svg.paths) {
      if (p.group.empty() || p.hidden || p.filled) continue;
      if (p.kind != "outline" && p.kind != "corner" && p.kind != "tick" && p.kind != "stop" && p.kind != "body" && p.kind != "found") continue;
      corners += p.kind == "corner" ? 1 : 0;
      if (p.kind == "tick" && ticked.insert(p.group).second) ++sites_with_ticks;
      for (std::size_t i = 0; i + (p.closed ? 0 : 1) < p.points.size(); ++i) {
        lines.push_back({p.group, {p.points[i], p.points[(i + 1) % p.points.size()]}, p.width_mm / 2});
      }
    }
    EXPECT_GT(corners, 54);
    EXPECT_EQ(sites_with_ticks, 54);
    double least = 100;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      for (std::size_t j = i + 1; j < lines.size(); ++j) {
        if (lines[i].group == lines[j].group) continue;
        least = std::min(least, Distance(lines[i].line, lines[j].line) - lines[i].half - lines[j].half);
      }
    }
    EXPECT_GE(least, 1.49);
    double from_lines = 100, from_labels = 100;
    std::vector<PdfWord> labels;
    const auto pages = PdfWords(w->out() / "guide.pdf");
    for (PdfWord word : pages.at(0)) {
      const bool label = word.box.Height() > 7 && word.text.size() <= 3 && word.text[0] >= 'A' && word.text[0] <= 'Z' &&
                         word.text.find_first_of("0123456789") != std::string::npos;
      if (!label) continue;
      // The face's box has room for accents above and descenders below its capitals.
      word.box = {word.box.left + svg.view.left, word.box.top + 1.3 + svg.view.top, word.box.right + svg.view.left,
                  word.box.bottom - 1.6 + svg.view.top};
      labels.push_back(word);
    }
    EXPECT_EQ(labels.size(), 54u);
    for (const PdfWord& label : labels) {
      for (const Drawn& d : lines) from_lines = std::min(from_lines, Distance(label.box, d.line) - d.half);
      for (const PdfWord& other : labels) {
        if (&other == &label) continue;
        const Box& b = other.box;
        for (const Segment& s : {Segment{{b.left, b.top}, {b.right, b.top}}, Segment{{b.left, b.bottom}, {b.right, b.bottom}},
                                 Segment{{b.left, b.top}, {b.left, b.bottom}}}) {
          from_labels = std::min(from_labels, Distance(label.box, s));
        }
      }
    }
    EXPECT_GE(from_lines, 0.5);
    EXPECT_GE(from_labels, 3.0);
    std::printf("%s, dense: lines of different sites %.2f mm apart, labels %.2f from lines, %.2f from each other\n", use.name, least,
                from_lines, from_labels);
  }
}

TEST(GuideUses, TouchingTilesGoOntoDifferentPagesWhenAsked) {
  const auto w = Next(Dense(), {"--touching", "pages", "--paper", "sheet"});
  int parts = 0, sites = 0;
  for (int k = 1; std::filesystem::exists(w->out() / fmt::format("guide-part-{}.svg", k)); ++k) {
    ++parts;
    const SvgFile svg = ParseSvg(ReadFile(w->out() / fmt::format("guide-part-{}.svg", k)));
    std::vector<std::pair<std::string, Segment>> lines;
    for (const SvgPath& p : svg.paths) {
      if (p.group.empty() || p.hidden || p.filled || (p.kind != "outline" && p.kind != "tick")) continue;
      if (p.kind == "outline") {
        ++sites;
        EXPECT_FALSE(p.hidden);
      }
      for (std::size_t i = 0; i + (p.closed ? 0 : 1) < p.points.size(); ++i) {
        lines.emplace_back(p.group, Segment{p.points[i], p.points[(i + 1) % p.points.size()]});
      }
    }
    double least = 100;
    for (const auto& a : lines) {
      for (const auto& b : lines) {
        if (a.first != b.first) least = std::min(least, Distance(a.second, b.second));
      }
    }
    EXPECT_GT(least, 1.5);
  }
  EXPECT_EQ(parts, 4);   // Squares that meet at corners need four.
  EXPECT_EQ(sites, 54);  // Every site is whole on one of them.
}

TEST(GuideUses, MasksLeaveBridgesOfEightMillimetres) {
  const auto w = Next(Dense(), {"--use", "mask", "--clearance", "0.8", "--paper", "sheet"});
  int openings = 0, parts = 0;
  double least = 100;
  for (int k = 1; std::filesystem::exists(w->out() / fmt::format("guide-part-{}.svg", k)); ++k, ++parts) {
    std::vector<SvgPath> cut;
    for (SvgPath& p : ParseSvg(ReadFile(w->out() / fmt::format("guide-part-{}.svg", k))).paths) {
      if (p.kind == "opening") cut.push_back(std::move(p));
    }
    openings += static_cast<int>(cut.size());
    for (const SvgPath& a : cut) {
      for (const SvgPath& b : cut) {
        if (a.group == b.group) continue;
        for (std::size_t i = 0; i < a.points.size(); ++i) {
          for (std::size_t j = 0; j < b.points.size(); ++j) {
            least = std::min(least, Distance(Segment{a.points[i], a.points[(i + 1) % a.points.size()]},
                                             Segment{b.points[j], b.points[(j + 1) % b.points.size()]}));
          }
        }
      }
    }
  }
  EXPECT_EQ(openings, 54);
  EXPECT_EQ(parts, 4);
  EXPECT_GE(least, 8.0);
}

TEST(GuideUses, StopPointsLieOnTheBlocksRectangle) {
  Reading reading = Gutter();
  reading.plan.plates[0].body = Box{-8, -6, 68, 51};
  const auto w = Next(reading, {"--use", "stops"});
  std::map<std::string, std::vector<Point>> stops;
  std::map<std::string, std::vector<Point>> bodies;
  for (const SvgPath& p : w->svg().paths) {
    if (p.kind == "stop" && p.filled) {
      const Box box = BoundingBox(p.points);
      stops[p.group].push_back({(box.left + box.right) / 2, (box.top + box.bottom) / 2});
    }
    if (p.kind == "body") bodies[p.group] = p.points;
  }
  EXPECT_EQ(stops.size(), 12u);
  for (const auto& [group, points] : stops) {
    ASSERT_EQ(points.size(), 2u);
    const auto& body = bodies.at(group);
    EXPECT_NEAR(Norm(body[1] - body[0]), 76, 0.001);
    EXPECT_NEAR(Norm(body[2] - body[1]), 57, 0.001);
    EXPECT_NEAR(Norm(points[0] - body[2]), 0, 0.01);        // The lower right corner ...
    EXPECT_NEAR(SignedDistance(body, points[1]), 0, 0.01);  // ... and a point on its long side,
    EXPECT_NEAR(Norm(points[1] - points[0]), 0.8 * 76, 0.01);
  }
}

TEST(GuideUses, TheChartSaysEveryMoveInWords) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  const Reading reading = Gutter();
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", WriteReading(reading, MeasureDrift(reading.plan, reading.sheet)));
  WriteFile(folder / "corrections.yaml", "truepull: 1\nsites:\n  - {site: B2, nudge: [1.1, -0.6]}\n  - {site: B3, nudge_turn: 0.9}\n");
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--use", "chart", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 3) << run.err;
  const std::string words = Spaced(OutputOf("pdftotext -raw '" + (folder / "out/guide.pdf").string() + "' -"));
  EXPECT_THAT(words, HasSubstr("CHART, beside the work: not to size"));
  EXPECT_THAT(words, HasSubstr("THIS EDGE NEAREST YOU"));
  EXPECT_THAT(words, HasSubstr("A1 as it lies"));
  EXPECT_THAT(words, HasSubstr("A3 no impression: fit to the neighbours"));
  EXPECT_THAT(words, HasSubstr("turn 1.0° ↻"));
  EXPECT_THAT(words, HasSubstr("B2 1.0 right 0.5 up"));
}

TEST(GuideUses, YamlHoldsEveryMarkOfTheSvg) {
  const auto w = Next(Dense(), {"--use", "over"});
  const YAML::Node yaml = YAML::LoadFile((w->out() / "guide.yaml").string());
  EXPECT_EQ(yaml["truepull"].as<int>(), 1);
  EXPECT_EQ(yaml["kind"].as<std::string>(), "guide");
  EXPECT_EQ(yaml["use"].as<std::string>(), "over");
  EXPECT_EQ(yaml["sheet"]["width"].as<double>(), 297);
  const SvgFile svg = w->svg();
  std::size_t k = 0;
  int hidden = 0;
  for (const YAML::Node& mark : yaml["marks"]) {
    if (mark["text"]) continue;
    ASSERT_LT(k, svg.paths.size());
    const SvgPath& p = svg.paths[k++];
    EXPECT_EQ(mark["role"].as<std::string>(), p.kind);
    EXPECT_EQ(mark["group"] ? mark["group"].as<std::string>() : "", p.group);
    ASSERT_EQ(mark["points"].size(), p.points.size());
    for (std::size_t i = 0; i < p.points.size(); ++i) {
      EXPECT_NEAR(mark["points"][i][0].as<double>(), p.points[i].x, 1e-9);
      EXPECT_NEAR(mark["points"][i][1].as<double>(), p.points[i].y, 1e-9);
    }
    hidden += mark["drawn"] ? 1 : 0;
  }
  EXPECT_EQ(k, svg.paths.size());
  EXPECT_EQ(hidden, 54);  // The outlines that corner pieces stand for.
  EXPECT_GE(yaml["pages"].size(), 1u);
}

TEST(GuideUses, RefusesWhatDoesNotGoTogether) {
  for (const std::vector<std::string>& more : std::vector<std::vector<std::string>>{
           {"--use", "under", "--mirror"}, {"--use", "window"}, {"--seen", "face"}, {"--use", "plate", "--seen", "side"},
           {"--measured", "198"}, {"--measured", "x=90"}, {"--clearance", "9"}, {"--png", "5"}, {"--printer", "../x"}}) {
    std::vector<std::string> arguments{"next", "reading.yaml", "--out", "out"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    EXPECT_EQ(RunTruepull(arguments).exit_code, 2) << more[0] << " " << more.back();
  }
}

}  // namespace
}  // namespace truepull::testing
