// SPDX-License-Identifier: Apache-2.0
#include "fuzz/targets.h"

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <random>
#include <stdexcept>

#include "support/files.h"
#include "support/harbour_plan.h"
#include "support/heif_file.h"
#include "support/made_photos.h"
#include "support/made_plans.h"
#include "support/places.h"
#include "support/sheets.h"
#include "truepull/base_shape.h"
#include "truepull/corrections_text.h"
#include "truepull/drift.h"
#include "truepull/edition_text.h"
#include "truepull/photo_file.h"
#include "truepull/plan_text.h"
#include "truepull/printer_text.h"
#include "truepull/reading_text.h"
#include "truepull/svg_outline.h"
#include "truepull/tile_text.h"
#include "truepull/tiling.h"
#include "truepull/truth_text.h"

namespace truepull::testing {
namespace {

Plan SmallPlan() {
  Plan plan = PlanOf({.sheet_mm = {200, 150}, .tile_mm = {40, 30}, .origin = {40, 30}, .rows = 3, .columns = 3});
  plan.edge_colour = "#3a2a20";
  return plan;
}

std::string ReadingFile(const Plan& plan) {
  Reading reading = IdealReading(plan);
  std::mt19937_64 chance(5);
  Scatter(reading.sheet, 0.5, 0.01, chance);
  reading.photo_name = "proof.jpg";
  reading.sheet.photo_width_px = 4000;
  reading.sheet.photo_height_px = 3000;
  return WriteReading(reading, MeasureDrift(reading.plan, reading.sheet));
}

std::string Packed(const cv::Mat& picture, const char* ending, const std::vector<int>& options = {}) {
  std::vector<unsigned char> bytes;
  if (!cv::imencode(ending, picture, bytes, options)) throw std::runtime_error(std::string("cannot write ") + ending);
  return {bytes.begin(), bytes.end()};
}

// The photo in every format, HEIC and AVIF where they can be written; small enough for thousands of runs.
std::vector<std::string> PhotosOf(const cv::Mat& bgr) {
  cv::Mat small, wide;
  cv::resize(bgr, small, {320, 240}, 0, 0, cv::INTER_AREA);
  small.convertTo(wide, CV_16UC3, 257);
  const std::string turned = EncodePhotoJpeg(small, 85, 6).value();
  std::vector<std::string> files{turned, Packed(small, ".jpg", {cv::IMWRITE_JPEG_PROGRESSIVE, 1}), Packed(small, ".png"), Packed(wide, ".png"),
                                 Packed(small, ".tif"), Packed(wide, ".tif"), Packed(small, ".webp", {cv::IMWRITE_WEBP_QUALITY, 80})};
  for (const heif_compression_format format : {heif_compression_HEVC, heif_compression_AV1}) {
    if (std::string bytes = HeifFile(small, format); !bytes.empty()) files.push_back(std::move(bytes));
  }
  return files;
}

template <typename Parse>
FuzzTarget Text(const std::string& name, std::vector<std::string> files, Parse parse) {
  return {name, true, std::move(files), [parse](const std::string& bytes) { return static_cast<bool>(parse(bytes)); }};
}

// As the program goes on: a tile that was read is built or judged.
bool JudgedTile(const Result<TileInput>& input) {
  if (!input) return false;
  if (input->base) return static_cast<bool>(BuildTile(*input->base));
  return input->outline.empty() || static_cast<bool>(JudgeOutline(input->outline));
}

}  // namespace

std::vector<FuzzTarget> AllFuzzTargets() {
  const Plan plan = SmallPlan();
  const auto sites = AllSites(plan.lattice);
  std::vector<FuzzTarget> all;
  all.push_back(Text("plan", {kHarbourPlan, ReadFile(SourceFolder() + "/samples/harbour/plan.yaml")},
                     [](const std::string& s) { return ParsePlan(s, "plan.yaml"); }));
  all.push_back(Text("reading", {ReadingFile(plan)}, [](const std::string& s) {
    const auto reading = ParseReading(s, "reading.yaml");
    if (reading) WriteReading(*reading, MeasureDrift(reading->plan, reading->sheet));
    return reading.has_value();
  }));
  all.push_back(Text("corrections", {"truepull: 1\nsites:\n  - {site: C1, action: leave, reason: \"the press slipped\"}\n  - {site: A2, action: keep turned}\n"},
                     [plan](const std::string& s) { return ParseCorrections(s, "corrections.yaml", plan); }));
  all.push_back(Text("places", {"row,column,x_mm,y_mm,turn_deg\n0,0,60,45,0\n0,1,100,45,1.5\n"},
                     [sites](const std::string& s) { return ParsePlaces(s, "placements.csv", sites); }));
  all.push_back(Text("edition",
                     {"truepull: 1\nkind: edition\ntitle: Harbour gulls\nproof: \"03\"\nwanted: 12\nthresholds: {fine: 0.4, good: 0.8}\n"
                      "papers:\n  smooth: {grain: y, stretch: {along_grain: 0.2, across_grain: 1.4}}\n  rough: {}\n"
                      "sheets:\n  - {code: \"03\", photo: a.jpg, order: 2, paper: smooth, decision: artist's proof, number: A.P. 1}\n"},
                     [](const std::string& s) { return ParseEdition(s, "edition.yaml"); }));
  all.push_back(Text("tile",
                     {"truepull: 1\ntile: {outline: [[0,0],[30,3],[60,0],[57,22],[60,45],[30,48],[0,45],[-3,22]]}\n",
                      "truepull: 1\ntile: {base: {square: 50}, sides: [{side: 1, line: [[10, 3], [30, -4]], smooth: true, half_turn: true}, "
                      "{side: 2, half_turn: true}, {side: 3, half_turn: true}, {side: 4, half_turn: true}]}\n"},
                     [](const std::string& s) { return JudgedTile(ParseTile(s, "tile.yaml")); }));
  all.push_back(Text("drawing",
                     {"<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"80mm\" viewBox=\"0 0 200 160\">"
                      "<g transform=\"translate(20,10) rotate(5)\"><path id=\"outline\" d=\"M0 0h120c5 10 -5 20 0 30v60h-120q9 -45 0 -90z\"/></g></svg>"},
                     [](const std::string& s) { return JudgedTile(ParseSvgOutline(s, "d.svg")); }));
  all.push_back(Text("printer", {WritePrinter({198.5, 199.25})}, [](const std::string& s) { return ParsePrinter(s, "printer.yaml"); }));

  RenderOptions look = OptionsLike("typical", 5).value();
  look.width_px = 800;
  look.height_px = 600;
  const auto sheet = RenderSheet(plan, look);
  if (!sheet) throw std::runtime_error(sheet.error().message);
  all.push_back({"photo", false, PhotosOf(sheet->bgr), [](const std::string& s) { return DecodePhoto(s, "photo").has_value(); }});
  all.push_back({"sheet", false, {EncodePhotoJpeg(sheet->bgr, 88, 1).value()},
                 [plan](const std::string& s) { return ReadPhoto(s, plan).has_value(); }});
  return all;
}

}  // namespace truepull::testing
