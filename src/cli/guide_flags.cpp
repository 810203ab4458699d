// SPDX-License-Identifier: Apache-2.0
#include "cli/guide_flags.h"

#include <CLI/CLI.hpp>
#include <map>

#include "truepull/pages.h"

namespace truepull {

void AddGuideFlags(CLI::App& command, const std::shared_ptr<GuideFlags>& flags) {
  AddPrinterFlags(command, flags->print);
  const auto seen = std::make_shared<std::string>();
  const std::map<std::string, GuideUse> uses{{"under", GuideUse::kUnder}, {"over", GuideUse::kOver},   {"plate", GuideUse::kPlateBack},
                                             {"back", GuideUse::kBack},   {"chart", GuideUse::kChart}, {"mask", GuideUse::kMask},
                                             {"stops", GuideUse::kStops}};
  auto* mirror = command.add_flag("--mirror", flags->mirror,
                                  "Mirrored, for the plate's printing face or the back of the sheet; words still read");
  auto* use = command
                  .add_option_function<std::string>(
                      "--use", [flags, uses, seen](const std::string& word) {
                        flags->use = uses.at(word);
                        if (word == "plate" && *seen == "face") flags->use = GuideUse::kPlateFace;
                      },
                      "How the guide is used; fixes which way round it is, its lines and its steps:\n"
                      "under the sheet on a light table, over it as a hinged clear film, beneath the clear plate,\n"
                      "for the back of the sheet, a chart beside the work, a mask to cut, stops for a block")
                  ->type_name("under|over|plate|back|chart|mask|stops")
                  ->check(CLI::IsMember({"under", "over", "plate", "back", "chart", "mask", "stops"}))
                  ->excludes(mirror);
  command.add_option_function<std::string>(
             "--seen", [flags, seen](const std::string& word) {
               *seen = word;
               if (flags->use == GuideUse::kPlateBack && word == "face") flags->use = GuideUse::kPlateFace;
             },
             "For --use plate: its printing face is up, or it is seen through its back")
      ->type_name("face|back")
      ->default_str("back")
      ->check(CLI::IsMember({"face", "back"}))
      ->needs(use);
  command.add_option_function<std::string>(
             "--touching", [flags](const std::string& word) { flags->touching = word == "pages" ? Touching::kPages : Touching::kCorners; },
             "Where lines would be nearer than 1.5 mm: corner pieces only, or whole outlines on different pages")
      ->type_name("corners|pages")
      ->default_str("corners")
      ->check(CLI::IsMember({"corners", "pages"}));
  command.add_option_function<std::string>(
             "--pages", [flags](const std::string& word) { flags->split = word == "joined" ? PageSplit::kJoined : PageSplit::kFeatures; },
             "A sheet larger than the paper: blocks placed by what is on the sheet, or overlapping pages joined by crosses")
      ->type_name("features|joined")
      ->default_str("features")
      ->check(CLI::IsMember({"features", "joined"}));
  command.add_option("--clearance", flags->clearance_mm, "Of a mask's opening round the plate, mm")
      ->type_name("MM")
      ->check(CLI::Range(0.0, 5.0))
      ->capture_default_str();
  command.add_flag("--marks", flags->marks, "Four small crosses in the sheet's margin: to be made with the first pass; with a reading, the sheet has them");
  command.add_flag("--board", flags->board, "Also board.pdf: notches, stops, pins and crosses round the sheet, for a registration board");
  command.add_option("--png", flags->png_dpi, "Also every page as a picture of so many dots per inch")
      ->type_name("DPI")
      ->check(CLI::Range(20, 1200));
  command.add_option("--date", flags->date, "A date to print on the guide; none is printed otherwise")->type_name("TEXT");
}

Status SettleGuideFlags(GuideFlags& flags, CommandContext& context) {
  const auto measure = MeasureOf(flags.print, context);
  if (!measure) return measure.error();
  flags.measure = *measure;
  return Done{};
}

void ApplyGuideFlags(const GuideFlags& flags, const Plan& plan, GuideRequest& request) {
  request.mirror = flags.mirror;
  request.date = flags.date;
  request.use = flags.use;
  request.touching = flags.touching;
  request.mask_clearance_mm = flags.clearance_mm;
  request.margin_marks = flags.marks;
  request.margin_marks_there = flags.marks && !request.first_pass;
  request.printer_note = PrinterNote(flags.print, flags.measure);
  if (request.first_pass) {
    request.pass_number = 1;
  } else if (request.pass != nullptr) {
    request.pass_number = static_cast<int>(request.pass - plan.passes.data()) + 2;
    if (!request.pass->colour.empty()) request.colour_word = ColourWords(request.pass->colour);
  }
}

}  // namespace truepull
