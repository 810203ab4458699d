// SPDX-License-Identifier: Apache-2.0
// From placements to the guide's files.
#include <fmt/format.h>

#include "cli/guide_flags.h"
#include "truepull/corrections_text.h"
#include "truepull/draw.h"
#include "truepull/fixed_plate.h"
#include "truepull/io.h"
#include "truepull/marker_cards.h"
#include "truepull/register_pages.h"

namespace truepull {
namespace {

using Files = std::vector<std::pair<std::string, std::string>>;

PageOptions OptionsOf(const GuideFlags& flags) {
  PageOptions options(flags.print.paper, flags.split);
  options.scale_x = flags.measure.ScaleX();
  options.scale_y = flags.measure.ScaleY();
  return options;
}

GuidePage Corrected(GuidePage page, const PageOptions& options) {
  page.width_mm *= options.scale_x;
  page.height_mm *= options.scale_y;
  page.scale_x = options.scale_x;
  page.scale_y = options.scale_y;
  return page;
}

std::string PaperWords(const GuideFlags& flags, std::size_t pages) {
  if (flags.print.paper == Paper::kSheet && flags.use != GuideUse::kChart) {
    return pages == 1 ? "one page as large as it needs" : fmt::format("{} pages as large as they need", pages);
  }
  const char* paper = NameOf(flags.print.paper == Paper::kSheet ? Paper::kA4 : flags.print.paper);
  return pages == 1 ? std::string("one page of ") + paper : fmt::format("{} pages of {}", pages, paper);
}

// Sites that the margin's crosses would stand on.
std::vector<std::string> CoveredMarks(const Guide& guide) {
  std::vector<std::string> out;
  for (const Point p : MarginMarks(guide.width_mm, guide.height_mm)) {
    for (std::size_t i = 0; i < guide.site_boxes.size(); ++i) {
      const Box& b = guide.site_boxes[i];
      const double r = kMarginMarkArmMm;
      if (p.x + r < b.left || p.x - r > b.right || p.y + r < b.top || p.y - r > b.bottom) continue;
      out.push_back("a cross of --marks stands under " + SiteLabel(guide.sites[i]) + "; the margin is too small for it");
      break;
    }
  }
  return out;
}

}  // namespace

void WriteGuide(const GuideFlags& flags, const OutputOptions& output, const Plan& plan,
                const std::vector<Placement>& placements, const GuideRequest& request,
                const std::filesystem::path& folder, CommandContext& context, GuideBook* book, Files more) {
  const PageOptions options = OptionsOf(flags);
  const std::string title = plan.title.empty() ? "truepull guide" : plan.title;
  const std::vector<Guide> parts = BuildGuideParts(plan, placements, request);
  std::vector<GuidePage> pages = flags.use == GuideUse::kChart ? LayOutChart(plan, placements, request, options.paper)
                                                               : LayOutPages(parts, options);
  const auto pdf = DrawPdf(pages, title);
  if (!pdf) return context.Fail(pdf.error());
  // The whole sheet with all its sites, whatever the pages show of it.
  const Guide whole = parts.size() == 1 ? parts[0] : BuildGuide(plan, placements, request);
  const GuidePage sheet = Corrected(LayOutWholeSheet(whole), options);
  Files files{{"placements.csv", WritePlacementsCsv(placements)}, {"guide.pdf", *pdf}};
  files.emplace_back("guide.svg", DrawSvg(sheet, title));
  files.emplace_back("guide.yaml", WriteGuideYaml(sheet, whole, pages, title));
  for (std::size_t k = 0; parts.size() > 1 && k < parts.size(); ++k) {
    files.emplace_back(fmt::format("guide-part-{}.svg", k + 1), DrawSvg(Corrected(LayOutWholeSheet(parts[k]), options), title));
  }
  for (std::size_t k = 0; flags.png_dpi > 0 && k < pages.size(); ++k) {
    const auto png = DrawPng(pages[k], flags.png_dpi / 25.4);
    if (!png) return context.Fail(png.error());
    files.emplace_back(fmt::format("guide-{}.png", k + 1), *png);
  }
  if (flags.use == GuideUse::kBack) {
    PageOptions joined = options;
    joined.split = PageSplit::kJoined;
    for (const FixedPlate& fixed : BuildFixedPlates(plan, placements, request)) {
      const std::string name = fixed.name.empty() ? "fixed-plate" : "fixed-plate-" + fixed.name;
      const auto fixed_pdf = DrawPdf(LayOutPages(fixed.guide, joined), title + ", fixed plate");
      if (!fixed_pdf) return context.Fail(fixed_pdf.error());
      files.emplace_back(name + ".pdf", *fixed_pdf);
      files.emplace_back(name + ".svg", DrawSvg(Corrected(LayOutWholeSheet(fixed.guide), options), title + ", fixed plate"));
    }
  }
  if (flags.board) {
    GuideWords words = parts[0].words;
    words.state_detail.clear();
    words.seams.clear();
    const Guide board = BuildBoard(whole.width_mm, whole.height_mm, words);
    PageOptions joined = options;
    joined.split = PageSplit::kJoined;
    const auto board_pdf = DrawPdf(LayOutPages(board, joined), title + ", registration board");
    if (!board_pdf) return context.Fail(board_pdf.error());
    files.emplace_back("board.pdf", *board_pdf);
  }
  std::string also;
  for (std::size_t i = 3; i < files.size(); ++i) also += ", " + files[i].first;
  for (auto& file : more) {
    also += ", " + file.first;
    files.push_back(std::move(file));
  }
  auto out = OutputFolder::Open(folder, output.force);
  if (!out) return context.Fail(out.error());
  for (const auto& [name, bytes] : files) {
    if (const auto staged = out->Stage(name, bytes); !staged) return context.Fail(staged.error());
  }
  if (const auto done = out->Commit(); !done) return context.Fail(done.error());
  context.Say("  wrote {}: placements.csv, guide.pdf ({}; print at 100 %, no fitting), guide.svg{}", folder.string(),
              PaperWords(flags, pages.size()), also);
  context.Say("  the guide is {}{}{}", whole.mirrored ? "MIRRORED, " : "SEEN FROM THE PRINTED FACE, ",
              whole.words.use.empty() ? "" : whole.words.use + ", ", whole.words.state);
  if (flags.marks) context.Warn(request.sheet_name.empty() ? "guide" : request.sheet_name, CoveredMarks(whole));
  if (book != nullptr) book->insert(book->end(), std::make_move_iterator(pages.begin()), std::make_move_iterator(pages.end()));
}

void WriteGuideBook(const GuideBook& book, const OutputOptions& output, CommandContext& context) {
  if (book.empty()) return;
  const auto pdf = DrawPdf(book, "truepull guides");
  if (!pdf) return context.Fail(pdf.error());
  auto out = OutputFolder::Open(output.folder, output.force);
  if (!out) return context.Fail(out.error());
  if (const auto staged = out->Stage("guides.pdf", *pdf); !staged) return context.Fail(staged.error());
  if (const auto done = out->Commit(); !done) return context.Fail(done.error());
  context.Say("wrote {}: all sheets' pages in one ({} pages)", (std::filesystem::path(output.folder) / "guides.pdf").string(),
              book.size());
}

}  // namespace truepull
