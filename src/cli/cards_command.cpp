// SPDX-License-Identifier: Apache-2.0
// `truepull cards`: numbered cards to lay beside the sheets when they are photographed.
#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "truepull/draw.h"
#include "truepull/io.h"
#include "truepull/marker_cards.h"
#include "truepull/plan_text.h"
#include "truepull/sheet_cards.h"

namespace truepull {
namespace {

struct CardsOptions {
  int first = 1, count = 12, passes = 0;
  std::string plan;
  OutputOptions out;
};

void Cards(const CardsOptions& options, CommandContext& context) {
  if (options.first + options.count - 1 > kSheetNumbers) {
    return context.Fail({ErrorCode::kBadArgument, fmt::format("cards go up to number {}, and these would end with {}", kSheetNumbers, options.first + options.count - 1),
                         "begin with a smaller --first"});
  }
  std::vector<std::string> names{"first"};
  if (!options.plan.empty()) {
    const auto text = ReadWholeFile(options.plan, std::size_t{64} << 20);
    if (!text) return context.Fail(text.error());
    const auto parsed = ParsePlan(*text, std::filesystem::path(options.plan).filename().string());
    if (!parsed) return context.Fail(parsed.error());
    for (const Pass& pass : parsed->plan.passes) names.push_back(pass.name);
  }
  const int passes = options.passes > 0 ? options.passes : static_cast<int>(names.size());
  names.resize(static_cast<std::size_t>(passes));
  if (passes > kPassNumbers) {
    return context.Fail({ErrorCode::kBadArgument, fmt::format("there are cards for {} passes at most", kPassNumbers), ""});
  }
  std::vector<SheetCard> cards;
  for (int pass = 1; pass <= passes; ++pass) {
    for (int k = 0; k < options.count; ++k) {
      const int number = options.first + k;
      SheetCard card{number, pass, fmt::format("{:02}", number), names[static_cast<std::size_t>(pass - 1)], {}, {}};
      card.number_cells = MarkerPattern(kSheetNumberFirstId + number - 1);
      card.pass_cells = MarkerPattern(kPassFirstId + pass - 1);
      cards.push_back(std::move(card));
    }
  }
  const auto pdf = DrawPdf(LayOutSheetCards(cards), "Sheet cards");
  if (!pdf) return context.Fail(pdf.error());
  auto out = OutputFolder::Open(options.out.folder, options.out.force);
  if (!out) return context.Fail(out.error());
  if (const auto done = out->Stage("cards.pdf", *pdf); !done) return context.Fail(done.error());
  if (const auto done = out->Commit(); !done) return context.Fail(done.error());
  context.Say("{} cards, sheets {:02} to {:02}{}", cards.size(), options.first, options.first + options.count - 1,
              passes > 1 ? fmt::format(", for {} passes", passes) : "");
  context.Say("  wrote {}: cards.pdf", options.out.folder);
}

}  // namespace

void AddCardsCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("cards", "Numbered cards to lay beside sheets, so that photos say which sheet they show");
  const auto options = std::make_shared<CardsOptions>();
  command.add_option("--first", options->first, "Number of the first sheet")->type_name("N")->capture_default_str()->check(CLI::Range(1, kSheetNumbers));
  command.add_option("--count", options->count, "How many sheets")->type_name("N")->capture_default_str()->check(CLI::Range(1, kSheetNumbers));
  command.add_option("--passes", options->passes, "Cards for so many passes (default: the plan's, else one)")->type_name("N")->check(CLI::Range(1, kPassNumbers));
  command.add_option("--plan", options->plan, "plan.yaml, for the names of the passes")->type_name("FILE");
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull cards --count 30 --out cards\n"
                 "writes cards.pdf into cards/: four cards to a page of A4. Lay a sheet's card beside it in the photo:\n"
                 "`truepull review` takes the sheet's code and pass from it.");
  command.callback([options, &context] { Cards(*options, context); });
}

}  // namespace truepull
