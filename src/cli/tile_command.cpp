// SPDX-License-Identifier: Apache-2.0
// `truepull tile INPUT`: builds, reads or traces tiles, proves that they repeat, draws their
// templates.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <opencv2/core/utils/logger.hpp>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/tile_job.h"
#include "truepull/closing.h"
#include "truepull/io.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

struct TileOptions {
  std::vector<std::string> inputs;
  double tolerance_mm = ClosingOptions{}.tolerance_mm;
  TilePhotoOptions photo;
  bool one_tile = false;
  OutputOptions out;
};

// A hundredth is all that is shown; without the sign of a 0 that rounding left.
double Shown(double mm) { return std::round(100 * mm) / 100 + 0.0; }

Status WriteAll(const FilesToWrite& files, const OutputOptions& out) {
  auto folder = OutputFolder::Open(out.folder, out.force);
  if (!folder) return folder.error();
  for (const auto& [file, bytes] : files) {
    if (const Status ok = folder->Stage(file, bytes); !ok) return ok.error();
  }
  return folder->Commit();
}

// What is known of one tile, line by line.
void SayTile(const std::string& name, const JudgedTile& tile, CommandContext& context) {
  const TileReport& report = tile.report;
  const double area = std::abs(SignedArea(report.outline));
  context.Say("{}: {:.1f} mm2, {:.1f} mm round, {} points", name, area, Perimeter(report.outline), report.outline.size());
  if (report.traced && report.traced->closed) {
    context.Say("  the edge was traced and closed; the cut was off by {:.2f} mm on the whole (RMS), at most:", report.traced->rms_mm);
    for (std::size_t k = 0; k < std::min<std::size_t>(3, report.traced->off.size()); ++k) context.Say("    {}", report.traced->off[k].words);
  }
  context.Say("  repeats by shifts: {}; by shifts and half turns: {}", report.shifts ? "yes" : "no", report.half_turns ? "yes" : "no");
  if (report.repeats) {
    context.Say("  steps: across ({:.2f}, {:.2f}) mm, down ({:.2f}, {:.2f}) mm; {} tile{} a cell, turned {} degrees", Shown(report.steps.across.x),
                Shown(report.steps.across.y), Shown(report.steps.down.x), Shown(report.steps.down.y), report.cell.size(), report.cell.size() == 1 ? "" : "s",
                TurnsInWords(report.cell));
    context.Say("  the cell of the lattice has {:.1f} mm2, {:.3f} tiles", Cross(report.steps.across, report.steps.down),
                Cross(report.steps.across, report.steps.down) / area);
  }
  for (const std::string& edge : tile.edges) context.Say("  {}", edge);
  if (report.traced && report.traced->seen == "printing-face") {
    context.Say("  all is said as the tile prints: left and right are exchanged against the plate's printing face");
  }
  for (const std::string& note : tile.notes) context.Say("  {}", note);
}

void RunOne(const TileOptions& options, const FileTiles& file, CommandContext& context) {
  const FileTiles::One& one = file.tiles.front();
  if (!one.tile) return context.Fail(one.tile.error());
  const auto files = WriteOneTile(one, file.name);
  if (!files) return context.Fail(files.error());
  if (const Status ok = WriteAll(*files, options.out); !ok) return context.Fail(ok.error());
  SayTile(file.name, *one.tile, context);
  for (const std::string& note : file.notes) context.Say("  {}", note);
  std::string wrote;
  for (const auto& [name, bytes] : *files) wrote += (wrote.empty() ? "" : ", ") + name;
  context.Say("wrote {} into {}; print template.pdf at 100 %", wrote, options.out.folder);
  context.Warn(file.name, file.findings);
  context.Warn(file.name, one.tile->report.findings);
}

void RunClass(const TileOptions& options, const std::vector<std::pair<std::string, Result<FileTiles>>>& files, CommandContext& context) {
  const auto output = WriteClass(files, "Verdicts on the tiles");
  if (!output) return context.Fail(output.error());
  const auto usable = [](const TileVerdict& v) { return v.state != TileVerdict::State::kUnusable; };
  if (std::none_of(output->verdicts.begin(), output->verdicts.end(), usable)) {
    for (const auto& [name, file] : files) {
      if (!file) context.Fail(file.error());
    }
    return context.Fail({ErrorCode::kInvalidFile, "none of the tiles could be used; nothing was written", ""});
  }
  if (const Status ok = WriteAll(output->files, options.out); !ok) return context.Fail(ok.error());
  std::vector<std::string> bad;
  std::size_t repeat = 0;
  for (const TileVerdict& v : output->verdicts) {
    const std::string what = v.state == TileVerdict::State::kUnusable ? (v.sentences.empty() ? "could not be used" : v.sentences[0])
                             : v.worst.empty() ? v.how
                                               : v.how + (v.how.empty() ? "" : "; ") + v.worst;
    context.Say("{}  {}: {}{}{}", v.code, v.from, NameOf(v.state), what.empty() ? "" : ": ", what);
    if (v.state == TileVerdict::State::kNot || v.state == TileVerdict::State::kUnusable) bad.push_back(fmt::format("{} ({}): {}: {}", v.code, v.from, NameOf(v.state), what));
    else ++repeat;
  }
  context.Say("{} of {} tiles repeat", repeat, output->verdicts.size());
  context.Say("wrote verdicts.html, verdicts.csv, templates.pdf and a tile file for each code into {}; print templates.pdf at 100 %", options.out.folder);
  for (const auto& [name, file] : files) {
    if (file) context.Warn(name, file->findings);
  }
  context.Warn("needs a look", bad);
}

void RunTile(const TileOptions& options, CommandContext& context) {
  // What OpenCV has to say of a bad file is said in our own words.
  cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
  const auto paths = TileFilesIn(options.inputs);
  if (!paths) return context.Fail(paths.error());
  if (options.one_tile) {
    const auto tile = TileOfSeveralPhotos(*paths, options.tolerance_mm, options.photo, context.quiet);
    return tile ? RunOne(options, *tile, context) : context.Fail(tile.error());
  }
  std::error_code ec;
  const bool alone = paths->size() == 1 && !fs::is_directory(options.inputs[0], ec);
  std::vector<std::pair<std::string, Result<FileTiles>>> files;
  for (const fs::path& path : *paths) {
    files.emplace_back(path.filename().string(), TilesOfFile(path, options.tolerance_mm, options.photo, context.quiet));
    // What is missing on the command line is missing for all photos.
    const auto& file = files.back().second;
    if (!file && (alone || file.error().code == ErrorCode::kBadArgument)) return context.Fail(file.error());
  }
  if (alone && files[0].second->tiles.size() == 1) return RunOne(options, *files[0].second, context);
  RunClass(options, files, context);
}

}  // namespace

void AddTileCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("tile", "Build or trace a tile, prove that it repeats, draw the plate's template");
  const auto options = std::make_shared<TileOptions>();
  command.add_option("INPUT", options->inputs, "A tile file (outline, or a base shape with drawn sides), an SVG drawing in mm, or a photo of tiles on a plain sheet; several, or a folder of them")
      ->required()
      ->type_name("");
  command.add_option("--seen", options->photo.seen, "What the photo shows: a paper tile, a plate from the side that takes the colour, or from its back")
      ->type_name("SIDE")
      ->check(CLI::IsMember({"paper", "printing-face", "plate-back"}));
  command.add_option("--sheet", options->photo.sheet, "The plain sheet that the tile lies on in the photo: A4, A3, letter ..., or WIDTHxHEIGHT in mm")->type_name("SIZE");
  command.add_option("--scale", options->photo.scale, "Without a sheet: pixels to the millimetre of a photo taken from straight above")
      ->type_name("PX")
      ->check(CLI::Range(1.0, 200.0));
  command.add_option("--line-width", options->photo.line_width_mm, "Width of a line drawn with its middle on the tile's edge, mm; not given: the outermost edge seen is the tile's")
      ->type_name("MM")
      ->check(CLI::Range(0.0, 5.0));
  command.add_flag("--one-tile", options->one_tile, "All photos show the same tile: the mean of their outlines is taken");
  command.add_option("--tolerance", options->tolerance_mm, "How far a hand-cut outline may be off and still be closed, mm")
      ->type_name("MM")
      ->check(CLI::Range(0.0, 10.0))
      ->capture_default_str();
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull tile gull.yaml --out gull\n"
                 "writes tile.yaml, tile.png, template.pdf, template.svg, template-mirrored.svg and pattern.svg into gull/\n"
                 "  truepull tile gull.jpg --seen paper --sheet A4 --out gull\n"
                 "does the same from a photo of the paper tile on a plain A4 sheet, and writes traced.csv. A photo of\n"
                 "several tiles, or a folder, gives verdicts.html, verdicts.csv and templates.pdf with a code for each.\n\n"
                 "Exit status: 0 it repeats, 1 the input could not be used, 3 it does not repeat or needs a look.");
  command.callback([options, &context] { RunTile(*options, context); });
}

}  // namespace truepull
