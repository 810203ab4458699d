// SPDX-License-Identifier: Apache-2.0
// `truepull tile INPUT`: builds or reads a tile, proves that it repeats, draws its template.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "truepull/cell_fit.h"
#include "truepull/closing.h"
#include "truepull/draw.h"
#include "truepull/io.h"
#include "truepull/svg_outline.h"
#include "truepull/template_pages.h"
#include "truepull/tile_text.h"
#include "truepull/units.h"

namespace truepull {
namespace {

struct TileOptions {
  std::string input;
  double tolerance_mm = ClosingOptions{}.tolerance_mm;
  OutputOptions out;
};

/// A tile judged: what tile.yaml and the pages are made from.
struct JudgedTile {
  TileReport report;
  std::vector<WeakPlace> weak_places;
  std::vector<Point> faults;
  std::vector<std::string> notes;  // Worth knowing; no reason to look.
};

constexpr const char* kMirroredPlate = "some tiles are its mirror image: a second, mirrored plate is needed";

void Adopt(const Repeat& repeat, TileReport& report) {
  report.repeats = true;
  report.steps = repeat.steps;
  report.cell.clear();
  for (const Pose& pose : repeat.cell) report.cell.push_back({0, pose.at, pose.turn_rad, false});
}

// How a tile that does not repeat exactly can be closed, or what keeps it from repeating.
Status CloseOrName(double tolerance_mm, JudgedTile& tile) {
  ClosingOptions options;
  options.tolerance_mm = tolerance_mm;
  TileReport& report = tile.report;
  const auto closing = CloseOutline(report.outline, options);
  if (!closing) return closing.error();
  if (closing->misfits.empty()) return Done{};
  const Misfit& worst = closing->misfits[0];
  const std::string words = Describe(report.outline, worst);
  const char* how = closing->by_half_turns ? "shifts and half turns" : "shifts";
  if (!closing->near) {
    report.findings.push_back(fmt::format("it repeats neither by shifts nor by shifts and half turns; the nearest way is by {}, and there the worst place is: {}", how, words));
    for (const Misfit& m : closing->misfits) {
      if (std::abs(m.mm) > tolerance_mm) tile.faults.push_back(m.at);
    }
    return Done{};
  }
  report.outline = closing->closed;
  if (std::abs(worst.mm) > 0.02) {  // Less is the rounding of what was typed.
    report.findings.push_back(fmt::format("the outline was closed so that it repeats by {}: it was off by {:.2f} mm on the whole (RMS), most at the {}", how,
                                          closing->rms_mm, words));
  }
  const auto verdict = JudgeOutline(report.outline);
  if (!verdict) return verdict.error();
  report.shifts = verdict->shifts.has_value();
  report.half_turns = verdict->half_turns.has_value();
  if (verdict->shifts) Adopt(*verdict->shifts, report);
  else if (verdict->half_turns) Adopt(*verdict->half_turns, report);
  return Done{};
}

Result<JudgedTile> Judge(const TileInput& input, double tolerance_mm) {
  JudgedTile tile;
  TileReport& report = tile.report;
  report.title = input.title;
  report.outline = input.outline;
  std::optional<BuiltTile> built;
  if (input.base) {
    auto result = BuildTile(*input.base);
    if (!result) return result.error();
    built = *result;
    report.outline = built->outline;
  }
  auto verdict = JudgeOutline(report.outline);
  if (!verdict) return verdict.error();
  report.shifts = verdict->shifts.has_value();
  report.half_turns = verdict->half_turns.has_value();
  if (built) {
    report.repeats = true;
    report.steps = built->steps;
    report.cell = built->cell;
    if (built->needs_mirrored_plate) {
      report.findings.push_back(kMirroredPlate);
    }
  } else if (verdict->shifts) {
    Adopt(*verdict->shifts, report);
  } else if (verdict->half_turns) {
    Adopt(*verdict->half_turns, report);
  } else if (const auto proved = RepeatOf(report.outline, input.claimed); proved) {
    // A tile built before from quarter turns and the like: the file says how, and it fits.
    report.repeats = true;
    report.steps = proved->steps;
    report.cell = proved->cell;
    if (proved->needs_mirrored_plate) report.findings.push_back(kMirroredPlate);
  } else if (const Status ok = CloseOrName(tolerance_mm, tile); !ok) {
    return ok.error();
  }
  tile.weak_places = FindWeakPlaces(report.outline);
  for (const WeakPlace& w : tile.weak_places) {
    const std::string place = PlaceOnOutline(report.outline, w.at);
    report.findings.push_back(
        w.kind == WeakPlace::Kind::kNeck
            ? fmt::format("{}: a neck of {:.1f} mm, thinner than the 4 mm that scissors and plastic stand", place, w.width_mm)
            : fmt::format("{}: a point of {:.0f} degrees, sharper than 25; it will bend or break", place, DegFromRad(w.angle_rad)));
  }
  if (verdict->own_turns > 1) {
    tile.notes.push_back(fmt::format("the tile looks alike in {} turns: a plate or photo that lies turned by {:.0f} degrees cannot be told by the outline",
                                     verdict->own_turns, 360.0 / verdict->own_turns));
  }
  if (verdict->own_mirror) {
    tile.notes.push_back("the tile is its own mirror image: face and back of the plate cannot be told by the outline");
  }
  return tile;
}

// A hundredth is all that is shown; without the sign of a 0 that rounding left.
double Shown(double mm) { return std::round(100 * mm) / 100 + 0.0; }

std::string MovesOf(const std::vector<CellMember>& cell) {
  std::vector<std::string> turns;
  for (const CellMember& m : cell) {
    std::string word = fmt::format("{:.0f}{}", DegFromRad(m.turn_rad), m.mirrored ? " mirrored" : "");
    if (word == "-0") word = "0";
    if (std::find(turns.begin(), turns.end(), word) == turns.end()) turns.push_back(word);
  }
  return fmt::format("{}", fmt::join(turns, ", "));
}

void RunTile(const TileOptions& options, CommandContext& context) {
  const std::filesystem::path path(options.input);
  const std::string name = path.filename().string();
  const auto text = ReadWholeFile(path, std::size_t{16} << 20);
  if (!text) return context.Fail(text.error());
  const bool svg = LooksLikeSvg(*text);
  const auto input = svg ? ParseSvgOutline(*text, name) : ParseTile(*text, name);
  if (!input) return context.Fail(input.error());
  auto tile = Judge(*input, options.tolerance_mm);
  if (!tile) {
    Error error = tile.error();
    if (error.message.rfind(name, 0) != 0) error.message = name + ": " + error.message;
    return context.Fail(error);
  }
  TileReport& report = tile->report;
  TemplateRequest request;
  request.title = report.title.empty() ? "Template of " + name : report.title;
  request.outline = report.outline;
  request.weak_places = tile->weak_places;
  request.faults = tile->faults;
  request.repeats = report.repeats;
  if (report.repeats) {
    request.steps = report.steps;
    request.cell = report.cell;
  }
  const std::vector<GuidePage> pages = LayOutTemplate(request);
  const auto pdf = DrawPdf(pages, request.title);
  if (!pdf) return context.Fail(pdf.error());
  auto folder = OutputFolder::Open(options.out.folder, options.out.force);
  if (!folder) return context.Fail(folder.error());
  std::vector<std::pair<std::string, std::string>> files{{"tile.yaml", WriteTile(report)},
                                                         {"template.pdf", *pdf},
                                                         {"template.svg", DrawSvg(pages[0], request.title)},
                                                         {"template-mirrored.svg", DrawSvg(pages[1], request.title)}};
  if (pages.size() > 2) files.emplace_back("pattern.svg", DrawSvg(pages[2], request.title));
  for (const auto& [file, bytes] : files) {
    if (const Status ok = folder->Stage(file, bytes); !ok) return context.Fail(ok.error());
  }
  if (const Status ok = folder->Commit(); !ok) return context.Fail(ok.error());

  const double area = std::abs(SignedArea(report.outline));
  context.Say("{}: {:.1f} mm2, {:.1f} mm round, {} points", name, area, Perimeter(report.outline), report.outline.size());
  context.Say("  repeats by shifts: {}; by shifts and half turns: {}", report.shifts ? "yes" : "no", report.half_turns ? "yes" : "no");
  if (report.repeats) {
    context.Say("  steps: across ({:.2f}, {:.2f}) mm, down ({:.2f}, {:.2f}) mm; {} tile{} a cell, turned {} degrees", Shown(report.steps.across.x),
                Shown(report.steps.across.y), Shown(report.steps.down.x), Shown(report.steps.down.y), report.cell.size(), report.cell.size() == 1 ? "" : "s",
                MovesOf(report.cell));
    context.Say("  the cell of the lattice has {:.1f} mm2, {:.3f} tiles", Cross(report.steps.across, report.steps.down),
                Cross(report.steps.across, report.steps.down) / area);
  }
  for (const std::string& note : tile->notes) context.Say("  {}", note);
  std::string wrote;
  for (const auto& [file, bytes] : files) wrote += (wrote.empty() ? "" : ", ") + file;
  context.Say("wrote {} into {}; print template.pdf at 100 %", wrote, options.out.folder);
  context.Warn(name, report.findings);
}

}  // namespace

void AddTileCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("tile", "Build a tile or check an outline, prove that it repeats, draw the plate's template");
  const auto options = std::make_shared<TileOptions>();
  command.add_option("INPUT", options->input, "A tile file (outline, or a base shape with drawn sides), or an SVG drawing in mm")
      ->required()
      ->type_name("");
  command.add_option("--tolerance", options->tolerance_mm, "How far a hand-cut outline may be off and still be closed, mm")
      ->type_name("MM")
      ->check(CLI::Range(0.0, 10.0))
      ->capture_default_str();
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull tile gull.yaml --out gull\n"
                 "writes tile.yaml, template.pdf, template.svg, template-mirrored.svg and pattern.svg into gull/\n\n"
                 "Exit status: 0 it repeats, 1 the input could not be used, 3 it does not repeat or needs a look.");
  command.callback([options, &context] { RunTile(*options, context); });
}

}  // namespace truepull
