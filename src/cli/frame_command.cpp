// SPDX-License-Identifier: Apache-2.0
// `truepull frame`: marker cards to lay round a sheet, and a frame of markers for one sheet.
#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/guide_flags.h"
#include "truepull/draw.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"
#include "truepull/register_pages.h"

namespace truepull {
namespace {

struct FrameOptions {
  std::string plan;
  PrinterFlags print;
  OutputOptions out;
};

void Frame(const FrameOptions& o, CommandContext& context) {
  const auto measure = MeasureOf(o.print, context);
  if (!measure) return context.Fail(measure.error());
  PageOptions options(o.print.paper, PageSplit::kJoined);
  options.scale_x = measure->ScaleX();
  options.scale_y = measure->ScaleY();
  std::vector<std::pair<std::string, std::string>> files;
  const auto add = [&](const std::string& name, const std::vector<GuidePage>& pages, const std::string& title) {
    const auto pdf = DrawPdf(pages, title);
    if (!pdf) return context.Fail(pdf.error());
    files.emplace_back(name, *pdf);
  };
  add("cards.pdf", LayOutFrameCards(options, MarkerPattern), "Marker cards");
  if (!o.plan.empty()) {
    const auto text = ReadWholeFile(o.plan, std::size_t{64} << 20);
    if (!text) return context.Fail(text.error());
    const auto parsed = ParsePlan(*text, std::filesystem::path(o.plan).filename().string());
    if (!parsed) return context.Fail(parsed.error());
    const Sheet& sheet = parsed->plan.sheet;
    const std::string title = parsed->plan.title.empty() ? "Frame" : parsed->plan.title;
    const auto frame = BuildSheetFrame(sheet.width_mm, sheet.height_mm, title, MarkerPattern);
    if (!frame) return context.Fail(frame.error());
    add("frame.pdf", LayOutPages(*frame, options), title + ", frame");
    GuidePage whole = LayOutWholeSheet(*frame);
    files.emplace_back("frame.svg", DrawSvg(whole, title + ", frame"));
  }
  if (context.exit_code == kExitUnusable) return;
  auto out = OutputFolder::Open(o.out.folder, o.out.force);
  if (!out) return context.Fail(out.error());
  std::string names;
  for (const auto& [name, bytes] : files) {
    if (const auto staged = out->Stage(name, bytes); !staged) return context.Fail(staged.error());
    names += (names.empty() ? "" : ", ") + name;
  }
  if (const auto done = out->Commit(); !done) return context.Fail(done.error());
  context.Say("wrote {}: {} (print at 100 %, no fitting; on the printer that prints the guide)", o.out.folder, names);
}

}  // namespace

void AddFrameCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("frame", "Print markers to lay round a sheet whose edges cannot be trusted");
  const auto options = std::make_shared<FrameOptions>();
  command.add_option("--plan", options->plan, "plan.yaml: also a frame for one sheet of its size")->type_name("FILE");
  AddPrinterFlags(command, options->print);
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull frame --plan plan.yaml --paper A3 --out frame\n"
                 "writes cards.pdf, frame.pdf and frame.svg into frame/");
  command.callback([options, &context] { Frame(*options, context); });
}

}  // namespace truepull
