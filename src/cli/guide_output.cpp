// SPDX-License-Identifier: Apache-2.0
// From placements to the guide's files.
#include <fmt/format.h>

#include "cli/guide_flags.h"
#include "truepull/draw.h"
#include "truepull/io.h"
#include "truepull/corrections_text.h"

namespace truepull {

void WriteGuide(const GuideFlags& flags, const OutputOptions& output, const Plan& plan,
                const std::vector<Placement>& placements, const GuideRequest& request,
                const std::filesystem::path& folder, CommandContext& context,
                std::vector<std::pair<std::string, std::string>> more) {
  const Guide guide = BuildGuide(plan, placements, request);
  const std::vector<GuidePage> pages = LayOutPages(guide, flags.paper);
  const std::string title = plan.title.empty() ? "truepull guide" : plan.title;
  const auto pdf = DrawPdf(pages, title);
  if (!pdf) return context.Fail(pdf.error());
  auto out = OutputFolder::Open(folder, output.force);
  if (!out) return context.Fail(out.error());
  std::vector<std::pair<std::string, std::string>> files{
      {"placements.csv", WritePlacementsCsv(placements)},
      {"guide.pdf", *pdf},
      {"guide.svg", DrawSvg(LayOutWholeSheet(guide), title)}};
  std::string also;
  for (auto& file : more) {
    also += ", " + file.first;
    files.push_back(std::move(file));
  }
  for (const auto& [name, bytes] : files) {
    if (const auto staged = out->Stage(name, bytes); !staged) return context.Fail(staged.error());
  }
  if (const auto done = out->Commit(); !done) return context.Fail(done.error());
  const std::string paper = flags.paper == Paper::kSheet ? "one page as large as it needs"
                            : pages.size() == 1          ? std::string("one page of ") + NameOf(flags.paper)
                                                         : fmt::format("{} pages of {}", pages.size(), NameOf(flags.paper));
  context.Say("  wrote {}: placements.csv, guide.pdf ({}; print at 100 %, no fitting), guide.svg{}", folder.string(), paper,
              also);
  context.Say("  the guide is {}{}", guide.mirrored ? "MIRRORED, " : "SEEN FROM THE PRINTED FACE, ", guide.words.state);
}

}  // namespace truepull
