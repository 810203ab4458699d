// SPDX-License-Identifier: Apache-2.0
// `truepull check FILE`: says what one of the program's files holds, or what is wrong.
#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/file_kind.h"
#include "io/other_table.h"
#include "io/site_table.h"
#include "truepull/corrections_text.h"
#include "truepull/drift.h"
#include "truepull/edition_text.h"
#include "truepull/drawing_file.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"
#include "truepull/tile_text.h"
#include "truepull/guide_text.h"
#include "truepull/printer_text.h"

namespace truepull {
namespace {

// A reading of 10 000 sites takes 6 MB.
constexpr std::size_t kLargestFile = std::size_t{64} << 20;

std::string Plural(std::size_t n, const std::string& one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); }

void SayPlan(const Plan& plan, CommandContext& context) {
  const Lattice& lattice = plan.lattice;
  context.Say("  sheet: {} x {} mm{}", plan.sheet.width_mm, plan.sheet.height_mm,
              plan.sheet.grain == Grain::kX ? ", grain along its width"
              : plan.sheet.grain == Grain::kY ? ", grain along its height" : "");
  for (const Plate& plate : plan.plates) {
    const Box box = BoundingBox(plate.outline);
    context.Say("  {}: {:.1f} x {:.1f} mm, {:.1f} mm2, outline of {} points", plate.name == "tile" ? "tile" : "plate " + plate.name,
                box.Width(), box.Height(), std::abs(SignedArea(plate.outline)), plate.outline.size());
  }
  context.Say("  lattice: {} by {}{}, {}; {} across and {} down", Plural(static_cast<std::size_t>(lattice.rows), "row"),
              Plural(static_cast<std::size_t>(lattice.columns), "column"),
              lattice.cell.size() > 1 ? fmt::format(" of {} tiles", lattice.cell.size()) : "",
              Plural(AllSites(lattice).size(), "site"),
              fmt::format("({:.1f}, {:.1f}) mm", lattice.across.x, lattice.across.y),
              fmt::format("({:.1f}, {:.1f}) mm", lattice.down.x, lattice.down.y));
  context.Say("  sites: {} is row 0, column 0 in files; {} is the last", SiteLabel({0, 0}),
              SiteLabel(AllSites(lattice).back()));
  if (plan.lattice.fit_origin) context.Say("  the lattice is the one that fits the print best; drift is measured from it");
  if (!plan.colours.empty()) context.Say("  first pass: {}", Plural(plan.colours.size(), "colour"));
  for (const Pass& pass : plan.passes) context.Say("  later pass: {}, on {}", pass.name, pass.registers_to);
}

void CheckPlan(const std::string& text, const std::filesystem::path& path, CommandContext& context) {
  const std::string name = path.filename().string();
  auto parsed = ParsePlan(text, name);
  if (!parsed) return context.Fail(parsed.error());
  if (const Status ok = LoadDrawings(path.parent_path(), name, parsed->plan); !ok) parsed->warnings.push_back(ok.error().message);
  const std::string& title = parsed->plan.title;
  context.Say("{}: a plan{}, without fault", name, title.empty() ? "" : ", \"" + title + "\"");
  SayPlan(parsed->plan, context);
  context.Warn(name, parsed->warnings);
}

void CheckReading(const std::string& text, const std::string& name, CommandContext& context) {
  const auto reading = ParseReading(text, name);
  if (!reading) return context.Fail(reading.error());
  const DriftReport drift = MeasureDrift(reading->plan, reading->sheet);
  context.Say("{}: a reading of {}, without fault", name, reading->photo_name);
  context.Say("  {}: {} printed, {} weak, {} missing", Plural(drift.sites.size(), "site"), drift.printed, drift.weak,
              drift.missing);
  for (const SiteDrift& site : drift.sites) {
    if (drift.worst && site.site == *drift.worst) {
      context.Say("  furthest from its place: {}, {:.1f} mm", SiteLabel(site.site), Norm(site.shift));
    }
  }
  SayPlan(reading->plan, context);
  std::vector<std::string> look = reading->sheet.findings;
  if (drift.beyond > 0) look.push_back(fmt::format("{} beyond the plan's tolerance", Plural(static_cast<std::size_t>(drift.beyond), "site")));
  if (drift.weak > 0) look.push_back(fmt::format("{} weak", Plural(static_cast<std::size_t>(drift.weak), "site")));
  if (drift.missing > 0) look.push_back(fmt::format("{} missing", Plural(static_cast<std::size_t>(drift.missing), "site")));
  context.Warn(name, look);
}

// The plan that a corrections file is about: that of the reading beside it, or of the
// plan beside it.
std::optional<Plan> PlanBeside(const std::filesystem::path& file) {
  if (const auto text = ReadWholeFile(file.parent_path() / "reading.yaml", kLargestFile)) {
    if (const auto reading = ParseReading(*text, "reading.yaml")) return reading->plan;
  }
  if (const auto text = ReadWholeFile(file.parent_path() / "plan.yaml", kLargestFile)) {
    if (const auto parsed = ParsePlan(*text, "plan.yaml")) return parsed->plan;
  }
  return std::nullopt;
}

void CheckCorrections(const std::string& text, const std::filesystem::path& path, CommandContext& context) {
  const std::optional<Plan> beside = PlanBeside(path);
  // Without its plan a file can still be read; which sites there are is then not known.
  Plan any;
  any.lattice.rows = any.lattice.columns = 10000;
  const std::string name = path.filename().string();
  const auto corrections = ParseCorrections(text, name, beside ? *beside : any);
  if (!corrections) return context.Fail(corrections.error());
  context.Say("{}: the printer's corrections, without fault", name);
  std::string labels;
  for (const Correction& c : *corrections) labels += (labels.empty() ? ": " : ", ") + SiteLabel(c.site);
  context.Say("  {}{}", Plural(corrections->size(), "site"), labels);
  if (!beside) context.Say("  no reading.yaml or plan.yaml stands beside it: whether it has these sites is not known");
}

void CheckTable(const std::string& text, const std::string& name, CommandContext& context) {
  const auto table = CheckSiteTable(text, name, *RecogniseSiteTable(text));
  if (!table) return context.Fail(table.error());
  const char* what = table->kind == SiteTableKind::kDrift        ? "the drift of every site (drift.csv)"
                     : table->kind == SiteTableKind::kPlacements ? "the placements of the next pass (placements.csv)"
                                                                 : "the truth of a simulated sheet (truth.csv)";
  context.Say("{}: {}, without fault", name, what);
  std::string words;
  for (const auto& [word, count] : table->words) words += fmt::format("{} {} {}", words.empty() ? ":" : ",", count, word);
  context.Say("  {}{}", Plural(static_cast<std::size_t>(table->sites), "site"), words);
  if (table->furthest) {
    context.Say("  furthest from its ideal place: {}, {:.1f} mm", SiteLabel(*table->furthest), table->furthest_mm);
  }
  if (!table->more_columns.empty()) context.Say("  more columns: {}", fmt::join(table->more_columns, ", "));
}

void CheckEdition(const std::string& text, const std::string& name, CommandContext& context) {
  const auto edition = ParseEdition(text, name);
  if (!edition) return context.Fail(edition.error());
  context.Say("{}: an edition{}, without fault", name, edition->settings.title.empty() ? "" : ", \"" + edition->settings.title + "\"");
  context.Say("  {}, {}", Plural(edition->sheets.size(), "sheet"), Plural(edition->settings.papers.size(), "paper"));
}

void CheckOther(const std::string& text, const std::string& name, CommandContext& context) {
  const auto table = CheckOtherTable(text, name);
  if (!table) return context.Fail(table.error());
  context.Say("{}: {}, without fault", name, table->what);
  context.Say("  {}", Plural(table->rows, table->row_name.c_str()));
}

void CheckTile(const std::string& text, const std::string& name, CommandContext& context) {
  const auto tile = ParseTile(text, name);
  if (!tile) return context.Fail(tile.error());
  const Outline& outline = tile->base ? tile->base->corners : tile->outline;
  const Box box = BoundingBox(outline);
  context.Say("{}: a tile, without fault", name);
  context.Say("  {}: {:.1f} x {:.1f} mm, {:.1f} mm2, {} points", tile->base ? "base shape" : "outline", box.Width(), box.Height(),
              std::abs(SignedArea(outline)), outline.size());
}

void CheckGuide(const std::string& text, const std::string& name, CommandContext& context) {
  const auto facts = CheckGuideYaml(text, name);
  if (!facts) return context.Fail(facts.error());
  context.Say("{}: the marks of a guide, without fault", name);
  context.Say("  use {}, {}; {}, {}, {}", facts->use, facts->mirrored ? "mirrored" : "seen from the printed face",
              Plural(facts->sites, "site"), Plural(facts->marks, "mark"), Plural(facts->pages, "page"));
}

void CheckPrinter(const std::string& text, const std::string& name, CommandContext& context) {
  const auto measure = ParsePrinter(text, name);
  if (!measure) return context.Fail(measure.error());
  context.Say("{}: a printer's profile, without fault", name);
  context.Say("  200 mm came out as {:.2f} in width and {:.2f} in height", measure->x_mm, measure->y_mm);
  if (measure->ProbablyFitted()) context.Warn(name, {"that is over 2 %: fitting to the page was probably on"});
}

void Check(const std::string& file, CommandContext& context) {
  const std::filesystem::path path(file);
  const auto text = ReadWholeFile(path, kLargestFile);
  if (!text) return context.Fail(text.error());
  const std::string name = path.filename().string();
  switch (RecogniseFile(*text)) {
    case FileKind::kPlan: return CheckPlan(*text, path, context);
    case FileKind::kReading: return CheckReading(*text, name, context);
    case FileKind::kCorrections: return CheckCorrections(*text, path, context);
    case FileKind::kEdition: return CheckEdition(*text, name, context);
    case FileKind::kTile: return CheckTile(*text, name, context);
    case FileKind::kGuide: return CheckGuide(*text, name, context);
    case FileKind::kPrinter: return CheckPrinter(*text, name, context);
    case FileKind::kOtherTable: return CheckOther(*text, name, context);
    case FileKind::kSiteTable: return CheckTable(*text, name, context);
    default:
      return context.Fail({ErrorCode::kInvalidFile, name + ": is none of the files that truepull reads or writes",
                           "give a plan.yaml, reading.yaml, corrections.yaml, edition.yaml, tile.yaml or one of the program's tables (drift.csv, placements.csv, seams.csv ...)"});
  }
}

}  // namespace

void AddCheckCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("check", "Check one of the program's files and say what is in it");
  const auto file = std::make_shared<std::string>();
  command.add_option("FILE", *file, "plan.yaml, reading.yaml, corrections.yaml, edition.yaml, drift.csv, placements.csv or truth.csv")
      ->required()
      ->type_name("");
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull check plan.yaml\n\n"
                 "Exit status: 0 the file is right, 1 it is not, 3 it is right but something needs a look.");
  command.callback([file, &context] { Check(*file, context); });
}

}  // namespace truepull
