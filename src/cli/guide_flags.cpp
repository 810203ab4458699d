// SPDX-License-Identifier: Apache-2.0
#include "cli/guide_flags.h"

#include <CLI/CLI.hpp>

namespace truepull {

void AddGuideFlags(CLI::App& command, const std::shared_ptr<GuideFlags>& flags) {
  command.add_option_function<std::string>("--paper", [flags](const std::string& word) { flags->paper = *ParsePaper(word); },
                     "A4, letter, A3, tabloid, or sheet: one page as large as it needs")
      ->type_name("PAPER")
      ->default_str("A4")
      ->check([](const std::string& word) {
        const auto parsed = ParsePaper(word);
        return parsed ? std::string() : parsed.error().message + "; " + parsed.error().hint;
      });
  command.add_flag("--mirror", flags->mirror,
                   "Mirrored, for the plate's printing face or the back of the sheet; words still read");
  command.add_option("--date", flags->date, "A date to print on the guide; none is printed otherwise")->type_name("TEXT");
}

void ApplyGuideFlags(const GuideFlags& flags, GuideRequest& request) {
  request.mirror = flags.mirror;
  request.date = flags.date;
}

}  // namespace truepull
