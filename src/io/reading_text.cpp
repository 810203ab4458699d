// SPDX-License-Identifier: Apache-2.0
#include "truepull/reading_text.h"

#include <fmt/format.h>

#include <cmath>

#include "io/colours_text.h"
#include "io/plan_reading.h"
#include "io/yaml_cursor.h"

namespace truepull {
namespace {

// Found places may lie off the sheet, but not by more than the largest sheet.
constexpr double kFurthestMm = 2 * kLargestSheetMm;
constexpr NumberRange kPlace{.low = -kFurthestMm, .high = kFurthestMm, .unit = "mm"};
constexpr NumberRange kTurn{.low = -180, .high = 180, .unit = "degrees"};
constexpr NumberRange kSdMm{.low = 0, .high = kFurthestMm, .unit = "mm"};
constexpr NumberRange kShare{.low = 0, .high = 100};  // Strength may pass 1.
constexpr NumberRange kAny{.low = -1e12, .high = 1e12};

SheetCamera ReadCamera(const YamlCursor& at) {
  SheetCamera camera;
  if (!at.ExpectMap({"h", "k1", "k2", "centre", "focal"})) return camera;
  const YamlCursor h = at.Need("h");
  if (h.present() && h.ExpectList(9, 9, "numbers")) {
    for (std::size_t i = 0; i < 9; ++i) camera.h[i] = h.Item(i).Number(kAny);
    const auto& m = camera.h;
    const double det = m[0] * (m[4] * m[8] - m[5] * m[7]) - m[1] * (m[3] * m[8] - m[5] * m[6]) +
                       m[2] * (m[3] * m[7] - m[4] * m[6]);
    if (m[8] != 1 || !(std::abs(det) > 1e-12)) h.Fail("is no camera: it lays the whole sheet onto one line");
  }
  camera.k1 = at.Need("k1").Number({.low = -10, .high = 10});
  camera.k2 = at.Need("k2").Number({.low = -10, .high = 10});
  camera.centre = ReadPoint(at.Need("centre"), 1, 1e6);
  camera.focal_px = at.Need("focal").Number({.low = 0, .high = 1e7, .open_low = true, .unit = "pixels"});
  return camera;
}

std::array<double, 3> ReadThree(const YamlCursor& at, const std::array<NumberRange, 3>& ranges) {
  std::array<double, 3> three{};
  if (!at.present() || !at.ExpectList(3, 3, "numbers")) return three;
  for (std::size_t i = 0; i < 3; ++i) three[i] = at.Item(i).Number(ranges[i]);
  return three;
}

SiteReading ReadSite(const YamlCursor& at, Site expected, const Plan& plan) {
  SiteReading r;
  r.site = expected;
  if (!at.ExpectMap({"site", "row", "column", "state", "x", "y", "turn", "dx", "dy", "dturn", "hand", "cut", "sd",
                     "correlation", "coverage", "strength", "growth", "body_colour", "colour"})) {
    if (!at.IsMap()) at.Fail("must be a site");
    return r;
  }
  const Site site{at.Need("row").Whole(0, kMostSites), at.Need("column").Whole(0, kMostSites)};
  if (site != expected) {
    at.Fail(fmt::format("must be row {}, column {} ({}), not row {}, column {}", expected.row, expected.column,
                        SiteLabel(expected), site.row, site.column),
            "every site of the plan stands here once, row by row");
    return r;
  }
  r.state = static_cast<SiteState>(at.Need("state").Choice({"printed", "weak", "missing"}));
  r.coverage = at.Need("coverage").Number({.low = 0, .high = 1});
  if (r.state == SiteState::kMissing) return r;
  r.found.at = {at.Need("x").Number(kPlace), at.Need("y").Number(kPlace)};
  r.found.turn_rad = RadFromDeg(at.Need("turn").Number(kTurn));
  const auto sd = ReadThree(at.Need("sd"), {kSdMm, kSdMm, NumberRange{.low = 0, .high = 360, .unit = "degrees"}});
  constexpr NumberRange kRho{.low = -1, .high = 1};
  const auto rho = ReadThree(at.Need("correlation"), {kRho, kRho, kRho});
  const double st = RadFromDeg(sd[2]);
  const double xy = rho[0] * sd[0] * sd[1], xt = rho[1] * sd[0] * st, yt = rho[2] * sd[1] * st;
  r.covariance = {sd[0] * sd[0], xy, xt, xy, sd[1] * sd[1], yt, xt, yt, st * st};
  r.strength = at.Need("strength").Number(kShare);
  r.growth_mm = at.Need("growth").Number({.low = -100, .high = 100, .unit = "mm"});
  if (at["body_colour"].present()) r.body_colour = ReadColour(at["body_colour"]);
  if (at["colour"].present()) {
    if (plan.colours.empty()) at["colour"].Fail("has no meaning: the plan names no colours");
    else r.colour = at["colour"].Whole(0, static_cast<int>(plan.colours.size()) - 1);
  }
  return r;
}

std::vector<std::string> ReadWords(const YamlCursor& at) {
  std::vector<std::string> sentences;
  if (!at.present() || !at.ExpectList(0, 10000, "sentences")) return sentences;
  for (std::size_t i = 0; i < at.size(); ++i) sentences.push_back(at.Item(i).Text(2000));
  return sentences;
}

std::vector<PlateEdges> ReadEdges(const YamlCursor& at, const Plan& plan) {
  std::vector<PlateEdges> out;
  if (!at.present() || !at.ExpectList(0, 2 * plan.plates.size(), "plates")) return out;
  const auto numbers = [](const YamlCursor& list, double low) {
    std::vector<double> v;
    if (!list.present() || !list.ExpectList(1, 1000, "numbers")) return v;
    for (std::size_t i = 0; i < list.size(); ++i) v.push_back(list.Item(i).Number({.low = low, .high = 100, .unit = "mm"}));
    return v;
  };
  for (std::size_t i = 0; i < at.size(); ++i) {
    const YamlCursor item = at.Item(i);
    if (!item.ExpectMap({"plate", "mirrored", "out", "sd"})) return out;
    PlateEdges e;
    e.plate = item.Need("plate").Whole(0, static_cast<int>(plan.plates.size()) - 1);
    if (item["mirrored"].present()) e.mirrored = item["mirrored"].TrueOrFalse();
    e.out_mm = numbers(item.Need("out"), -100), e.sd_mm = numbers(item.Need("sd"), 0);
    if (e.out_mm.size() != e.sd_mm.size()) item["sd"].Fail("must have as many numbers as out");
    out.push_back(std::move(e));
  }
  return out;
}

std::vector<LeftOverPull> ReadLeftOver(const YamlCursor& at) {
  std::vector<LeftOverPull> pulls;
  if (!at.present() || !at.ExpectList(0, 10000, "pulls")) return pulls;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const YamlCursor item = at.Item(i);
    if (!item.ExpectMap({"x", "y", "turn", "share"})) continue;
    LeftOverPull p;
    p.found.at = {item.Need("x").Number(kPlace), item.Need("y").Number(kPlace)};
    p.found.turn_rad = RadFromDeg(item.Need("turn").Number(kTurn));
    p.share = item.Need("share").Number({.low = 0, .high = 10000});
    pulls.push_back(p);
  }
  return pulls;
}

PlateReading ReadPlate(const YamlCursor& at, const std::string& name) {
  PlateReading p;
  p.plate = name;
  if (!at.ExpectMap({"size", "sd_size", "sides", "outline"})) return p;
  if (at["size"].present()) p.size = at["size"].Number({.low = 1, .high = 1000, .unit = "%"}) / 100;
  if (at["sd_size"].present()) p.sd_size = at["sd_size"].Number({.low = 0, .high = 1000, .unit = "%"}) / 100;
  const YamlCursor sides = at["sides"], outline = at.Need("outline");
  if (sides.present() && sides.ExpectList(0, 1000, "sides")) {
    for (std::size_t i = 0; i < sides.size(); ++i) {
      const YamlCursor item = sides.Item(i);
      if (!item.ExpectMap({"side", "mm", "sd", "length"})) continue;
      constexpr const char* kSides[] = {"right", "left", "top", "bottom"};
      PlateSide s;
      s.side = kSides[item.Need("side").Choice({"right", "left", "top", "bottom"})];
      s.mm = item.Need("mm").Number({.low = -1000, .high = 1000, .unit = "mm"});
      s.sd_mm = item.Need("sd").Number(kSdMm);
      s.length_mm = item.Need("length").Number({.low = 0, .high = 1e6, .unit = "mm"});
      p.sides.push_back(s);
    }
  }
  if (outline.present() && outline.ExpectList(3, 100000, "points")) {
    for (std::size_t i = 0; i < outline.size(); ++i) p.outline.push_back(ReadPoint(outline.Item(i), 1, kFurthestMm));
  }
  return p;
}

void ReadPlates(const YamlCursor& at, const Plan& plan, std::vector<PlateReading>& plates) {
  std::vector<std::string> names;
  for (const Plate& p : plan.plates) names.push_back(p.name);
  if (!at.ExpectMap(names)) return;
  for (const Plate& p : plan.plates) {
    if (at[p.name].present()) plates.push_back(ReadPlate(at[p.name], p.name));
  }
}

Reading ReadReading(const YamlCursor& root) {
  Reading reading;
  if (!root.ExpectMap({"truepull", "kind", "photo", "photo_key", "pass", "sheet_state", "counts", "findings", "notes", "left_over", "plate", "plates", "sheet_part",
                       "hand", "blocks", "scale_sd", "frame_sd", "blur_sd", "photo_size", "camera", "sites", "seams",
                       "ideal", "plate_edges", "regions", "drawings", "plan"})) {
    return reading;
  }
  if (root.Need("truepull").present() && root["truepull"].Whole(-1000000, 1000000) != 1) {
    root["truepull"].Fail("must be 1, not " + root["truepull"].Found(),
                          "this program reads version 1 of the format");
  }
  if (root.Need("kind").present() && !root["kind"].IsWord("reading")) {
    root["kind"].Fail("must be reading, not " + root["kind"].Found());
  }
  reading.photo_name = root.Need("photo").Text(300);
  if (root["photo_key"].present()) reading.photo_key = root["photo_key"].Text(64);
  if (root["pass"].present()) reading.pass = root["pass"].Text(100);
  SheetReading& sheet = reading.sheet;
  sheet.state = static_cast<SheetState>(root["sheet_state"].Choice({"unknown", "dry", "damp"}));
  sheet.findings = ReadWords(root["findings"]);
  sheet.notes = ReadWords(root["notes"]);
  sheet.left_over = ReadLeftOver(root["left_over"]);
  if (root["plate"].present()) sheet.plates.push_back(ReadPlate(root["plate"], "tile"));
  const Point scale = ReadPoint(root.Need("scale_sd"), 1, 100);
  sheet.sd_scale_x = scale.x / 100, sheet.sd_scale_y = scale.y / 100;
  sheet.sd_frame_mm = root.Need("frame_sd").Number(kSdMm);
  sheet.sd_blur_mm = root.Need("blur_sd").Number(kSdMm);
  const YamlCursor size = root.Need("photo_size");
  if (size.present() && size.ExpectList(2, 2, "numbers")) {
    sheet.photo_width_px = size.Item(0).Whole(1, 1000000);
    sheet.photo_height_px = size.Item(1).Whole(1, 1000000);
  }
  sheet.camera = ReadCamera(root.Need("camera"));
  const YamlCursor plan = root.Need("plan");
  if (!plan.present()) return reading;
  reading.plan = ReadPlan(plan).plan;
  if (root.document().fault()) return reading;
  if (!sheet.plates.empty()) sheet.plates.front().plate = reading.plan.plates.front().name;
  if (root["plates"].present()) ReadPlates(root["plates"], reading.plan, sheet.plates);
  const YamlCursor ideal = root["ideal"];
  if (ideal.present() && ideal.ExpectMap({"lattice", "turn", "rows", "columns"})) {
    Lattice& l = reading.plan.lattice;
    ideal.Need("lattice").Choice({"fit"});
    l.fit_origin = true;
    l.fit_turn = ideal["turn"].IsWord("fit");
    l.fit_rows = ideal["rows"].IsWord("fit");
    l.fit_columns = ideal["columns"].IsWord("fit");
  }
  const std::vector<Site> expected = AllSites(reading.plan.lattice);
  const YamlCursor sites = root.Need("sites");
  if (!sites.present() || !sites.ExpectList(expected.size(), expected.size(), "sites, as many as the plan has")) {
    return reading;
  }
  for (std::size_t i = 0; i < expected.size(); ++i) {
    sheet.sites.push_back(ReadSite(sites.Item(i), expected[i], reading.plan));
  }
  sheet.plate_edges = ReadEdges(root["plate_edges"], reading.plan);
  sheet.colours = ReadPullColours(root["regions"], reading.plan, sheet.sites);
  sheet.drawings = ReadDrawings(root["drawings"], reading.plan);
  return reading;
}

}  // namespace

Result<Reading> ParseReading(std::string_view text, const std::string& name) {
  // 10 000 sites take 6 MB and half a million values.
  YamlLimits limits;
  limits.max_bytes = std::size_t{32} << 20;
  limits.max_nodes = 3000000;
  auto document = YamlDocument::Parse(text, name, limits);
  if (!document) return document.error();
  Reading reading = ReadReading((*document)->Root("reading"));
  if ((*document)->fault()) return *(*document)->fault();
  return reading;
}

}  // namespace truepull
