// SPDX-License-Identifier: Apache-2.0
// `truepull layout TILE`: plans the sheet before the first pull.
#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/layout_job.h"
#include "truepull/draw.h"
#include "truepull/drawing_file.h"
#include "truepull/io.h"
#include "truepull/layout_pages.h"
#include "truepull/plan_text.h"

namespace truepull {
namespace {

constexpr double kPreviewPxPerMm = 6;  // 152 dpi: an A4 page 1780 pixels wide.

struct LayoutOptions {
  std::string input;
  LayoutWishes wishes;
  std::string hand = "right";
  double damp_every = 0, lesson = 0;  // 0: not given.
  OutputOptions out;
};

void RunLayout(LayoutOptions options, CommandContext& context) {
  const std::filesystem::path path(options.input);
  const std::string name = path.filename().string();
  const auto text = ReadWholeFile(path, std::size_t{16} << 20);
  if (!text) return context.Fail(text.error());
  LayoutWishes& wishes = options.wishes;
  wishes.order.left_handed = options.hand == "left";
  if (options.damp_every > 0) wishes.order.damp_every_min = options.damp_every;
  if (options.lesson > 0) wishes.order.lesson_min = options.lesson;
  const auto sheet = PlanSheet(*text, name, path.parent_path(), wishes);
  if (!sheet) return context.Fail(sheet.error());
  const std::string plan = WritePlan(sheet->plan);
  // What the plan itself would be warned of is said now, not when it is used.
  const auto parsed = ParsePlan(plan, "plan.yaml");
  if (!parsed) return context.Fail(parsed.error());
  std::vector<std::string> findings = sheet->findings;
  findings.insert(findings.end(), parsed->warnings.begin(), parsed->warnings.end());

  LayoutPagesRequest pages;
  pages.plan = &sheet->plan;
  pages.order = &sheet->order;
  pages.times = wishes.order;
  pages.margin_mm = wishes.margin_mm;
  pages.colour_names = sheet->colour_names;
  pages.summary = sheet->summary;
  const std::string title = sheet->plan.title.empty() ? "Layout of " + name : sheet->plan.title;
  const GuidePage preview = LayOutPreview(pages);
  const auto preview_pdf = DrawPdf({preview}, title);
  const auto preview_png = DrawPng(preview, kPreviewPxPerMm);
  const auto order_pdf = DrawPdf(LayOutPullOrder(pages), title + ", pull order");
  for (const auto* drawn : {&preview_pdf, &preview_png, &order_pdf}) {
    if (!*drawn) return context.Fail(drawn->error());
  }
  auto folder = OutputFolder::Open(options.out.folder, options.out.force);
  if (!folder) return context.Fail(folder.error());
  std::vector<std::pair<std::string, std::string>> files{{"plan.yaml", plan}, {"preview.png", *preview_png}, {"preview.pdf", *preview_pdf}, {"pull-order.pdf", *order_pdf}};
  std::string written = "plan.yaml, preview.png, preview.pdf, pull-order.pdf";
  for (auto& drawing : DrawingFiles(sheet->plan)) {
    // What is laid out in its own folder needs no copy of its drawing.
    std::error_code ignored;
    if (std::filesystem::equivalent(path.parent_path() / drawing.first, folder->folder() / drawing.first, ignored)) continue;
    written += ", " + drawing.first;
    files.push_back(std::move(drawing));
  }
  for (const auto& [file, bytes] : files) {
    if (const Status ok = folder->Stage(file, bytes); !ok) return context.Fail(ok.error());
  }
  if (const Status ok = folder->Commit(); !ok) return context.Fail(ok.error());
  for (const std::string& line : sheet->summary) context.Say("{}", line);
  context.Say("wrote {} into {}", written, options.out.folder);
  context.Warn(name, findings);
}

}  // namespace

void AddLayoutCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("layout", "Plan a sheet: as many whole tiles as it holds, their colours and the pull order");
  const auto o = std::make_shared<LayoutOptions>();
  LayoutWishes& w = o->wishes;
  command.add_option("INPUT", o->input, "A tile file, an SVG outline, or a plan whose sheet is to be laid out anew")->required()->type_name("");
  command.add_option("--sheet", w.sheet, "A3, \"A3 upright\", B2, letter, 22x30 (inches) ..., or WIDTHxHEIGHT in mm")->type_name("SIZE");
  command.add_option("--margin", w.margin_mm, "Kept free along every edge, mm")->type_name("MM")->check(CLI::Range(0.0, 900.0))->capture_default_str();
  command.add_option("--repeat", w.repeat, "How rows and columns stand")->check(CLI::IsMember({"own", "straight", "half-drop", "brick"}))->capture_default_str();
  command.add_option("--turn", w.turn, "Turns the pattern clockwise; best: whichever holds most tiles")->type_name("DEG|best")->capture_default_str();
  command.add_option("--rows", w.rows, "So many, not as many as fit")->type_name("N")->check(CLI::Range(1, 10000));
  command.add_option("--columns", w.columns, "So many, not as many as fit")->type_name("N")->check(CLI::Range(1, 10000));
  command.add_option("--grain", w.grain, "Direction of the paper's fibres")->check(CLI::IsMember({"x", "y"}));
  command.add_option("--stretch", w.stretch_percent, "Growth from dry to damp along and across the grain, per cent")
      ->type_name("ALONG,ACROSS")->delimiter(',')->expected(2)->check(CLI::Range(-10.0, 10.0));
  command.add_option("--colours", w.colours, "Body colours, \"#rrggbb,#rrggbb\": spread so that no two touching tiles match")->type_name("COLOURS")->delimiter(',');
  command.add_option("--colour-map", w.colour_map, "Your own: rows of colour numbers, from 0, parted by slashes: \"0 1 / 1 0\"")->type_name("MAP");
  command.add_option("--edge-colour", w.edge_colour, "The colour drawn round each tile")->type_name("COLOUR");
  command.add_option("--title", w.title, "Shown on pages and guides")->type_name("TEXT");
  command.add_option("--hand", o->hand, "The hand that pulls")->check(CLI::IsMember({"right", "left"}))->capture_default_str();
  command.add_flag("--skip-neighbours", w.order.skip_neighbours, "Pull in rounds in which no tile touches another");
  const auto minutes = [&](const char* flag, double& value, const char* help, double least) {
    return command.add_option(flag, value, help)->type_name("MIN")->check(CLI::Range(least, 1000.0));
  };
  minutes("--minutes", w.order.minutes_per_pull, "Minutes for a pull, with charging the plate", 0.1)->capture_default_str();
  minutes("--wash-minutes", w.order.minutes_per_wash, "Minutes to wash the plate", 0)->capture_default_str();
  minutes("--damp-minutes", w.order.minutes_per_damping, "Minutes to damp the sheet", 0)->capture_default_str();
  minutes("--damp-every", o->damp_every, "Minutes until the sheet wants damping again; not given: it is pulled dry", 0.1);
  minutes("--lesson", o->lesson, "Printing minutes of one lesson; not given: all in one go", 0.1);
  AddOutputOptions(command, o->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull layout gull/tile.yaml --sheet A3 --repeat half-drop --colours \"#3a62a8,#7b4fa0\" --out sheet\n"
                 "writes plan.yaml, preview.png, preview.pdf and pull-order.pdf into sheet/\n\n"
                 "Exit status: 0 done, 1 the input or the wishes cannot be, 3 done, but something needs a look.");
  command.callback([o, &context] { RunLayout(*o, context); });
}

}  // namespace truepull
