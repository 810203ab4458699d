// SPDX-License-Identifier: Apache-2.0
#include "guide/blocks.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "guide/make_marks.h"
#include "guide/site_marks.h"
#include "guide/symmetry.h"

namespace truepull {
namespace {

constexpr double kCap = 2.5, kPitch = 4.1;           // Words.
constexpr double kHeadCap = 3.2, kHeadPitch = 5.6;   // Headings.
constexpr double kSentenceGap = 0.8;
constexpr double kBlockGap = 3.2;
constexpr double kColumnGap = 5;
// Each column begins a little lower: where headings of all columns stand on one line, programs
// that read a page aloud or copy its text take them for a table, and read across it.
constexpr double kColumnStepMm = 1.6;
constexpr double kLeastColumn = 86;                  // The frame of a bank card.
constexpr double kNumberMm = 6;                      // Before the words of a step.
constexpr double kMapHeight = 45;
constexpr double kKeyPitch = 5.8;
constexpr double kStepGap = 1.2;
constexpr double kCardWidthMm = 85.60, kCardHeightMm = 53.98;  // ISO/IEC 7810, ID-1.

// Headings shrink a little rather than break.
double HeadingCap(const std::string& heading, double width) {
  return FittingCap(heading, width, kHeadCap, 2.6, true);
}

double Height(const Block& block, double width) {
  double height = 0;
  const auto heading = Wrap(block.heading, width, HeadingCap(block.heading, width), true);
  height += kHeadPitch * static_cast<double>(heading.size());
  for (const auto& s : block.sentences) {
    const double room = block.numbered ? width - kNumberMm : width;
    height += kPitch * static_cast<double>(Wrap(s, room, kCap).size()) + kSentenceGap + (block.numbered ? kStepGap : 0);
  }
  if (block.key) height += (block.grey_found ? 5 : 4) * kKeyPitch;
  if (block.figure_height > 0) height += block.figure_height + 3;
  if (block.map != nullptr) height += kMapHeight + 3;
  return height;
}

// Blocks fill one column after another, in order. The height of the tallest column when
// they are divided best: the least height that lets them fit (tried from all possible
// ones, the heights of runs of blocks).
double LeastTallest(const std::vector<double>& heights, int columns) {
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t from = 0; from < heights.size(); ++from) {
    double run = -kBlockGap;
    for (std::size_t to = from; to < heights.size(); ++to) {
      run += heights[to] + kBlockGap;
      int needed = 1;
      double used = 0;
      bool fits = true;
      for (const double h : heights) {
        if (used > 0 && used + h > run + 1e-9) ++needed, used = 0;
        used += h + kBlockGap;
        fits = fits && h <= run + 1e-9;
      }
      if (fits && needed <= columns) best = std::min(best, run);
    }
  }
  return best;
}

void AddKey(Point at, double width, bool found_too, const UseLook& use, std::vector<Mark>& out) {
  struct Row {
    Action action;
    const char* words;
  };
  constexpr Row kRows[] = {
      {Action::kPull, "pull: put the plate here"},
      {Action::kStrengthen, "strengthen: weak, pull again on top"},
      {Action::kLook, "look first: not found in the photo"},
      {Action::kLeave, "leave alone"},
  };
  double y = at.y + kKeyPitch / 2;
  for (const Row& row : kRows) {
    out.push_back(Line(MarkRole::kSign, {{at.x, y}, {at.x + 16, y}}, TargetStroke(row.action, use)));
    for (Mark& m : SignOf(row.action, {at.x + 21, y})) out.push_back(std::move(m));
    const double cap = FittingCap(row.words, width - 26, kCap, 1.8, false);
    out.push_back(Words(row.words, {at.x + 26, y + kCap / 2}, cap));
    y += kKeyPitch;
  }
  if (!found_too) return;
  out.push_back(Line(MarkRole::kSign, {{at.x, y}, {at.x + 16, y}}, {Ink::kGrey, 0.2, Dash::kShort}));
  const char* found = "thin grey: the first impression, where it differs";
  out.push_back(Words(found, {at.x + 18, y + kCap / 2},
                      FittingCap(found, width - 18, kCap, 1.8, false)));
}

const Block kJoining{"Joining the pages",
                     {"Neighbouring pages overlap by 12 mm. Cut one of them along its grey broken "
                      "line and lay it on the other so that crosses of the same letter meet.",
                      "Then measure the check length across each join: 60 mm. Tape the join."}};

// A heading with the first part's map, and the other parts' maps under their own.
void AddMaps(Block first, const std::vector<PartMap>& split, std::vector<Block>& out) {
  if (split.front().heading.empty()) {
    first.map = &split.front().map;
    out.push_back(std::move(first));
    return;
  }
  out.push_back(std::move(first));
  for (const PartMap& part : split) out.push_back({part.heading, {}, false, &part.map});
}

}  // namespace

std::vector<Block> BlocksFor(const Guide& guide, const std::vector<PartMap>& split, PagesHow how, bool shows_plate) {
  std::vector<Block> out;
  const GuideWords& words = guide.words;
  const UseLook& use = UseLookOf(guide.use);
  const bool fixed = guide.use == GuideUse::kFixed;
  const bool places_tiles = guide.use != GuideUse::kBoard && guide.use != GuideUse::kFrame && !fixed;
  std::vector<std::string> size{
      "Print at 100 %, with no fitting to the page.",
      "Measure both bars, from middle to middle of the long strokes: 100 mm each. If one is more than 0.3 mm off, do not use "
      "this print: make it again with what 200 mm measure, as in --measured x=198.5,y=199.2."};
  if ((places_tiles && shows_plate) || fixed) size.push_back("Lay the plate on its outline: it must cover it all round.");
  size.insert(size.end(), words.card.begin(), words.card.end());
  out.push_back({"True to size?", size});
  // A board or frame holds for every state of the sheet: a bare heading would say nothing.
  if (places_tiles || !words.state_detail.empty()) out.push_back({words.state, words.state_detail});
  if (!words.steps.empty()) {
    Block steps{words.use.empty() ? "How to use it" : "Step by step: " + words.use, words.steps};
    steps.numbered = true;
    out.push_back(std::move(steps));
  }
  if (!places_tiles) {
    if (fixed && !words.plates.empty()) out.push_back({"Which way round", words.plates});
    if (fixed) out.push_back({"Sites", words.sites});
    if (!split.empty()) {
      AddMaps(kJoining, split, out);
    }
    out.push_back({"Take care", words.cautions});
    return out;
  }
  Block key{"Lines and signs", {}, true};
  key.grey_found = use.shows_found;
  key.use = guide.use;
  if (use.aim == LineAim::kInnerEdge) {
    key.sentences.push_back("Aim at the INNER edge of the thick line.");
  } else if (guide.use == GuideUse::kMask) {
    key.sentences.push_back("Cut along the middle of the line; the opening is a little larger than the plate.");
  } else {
    key.sentences.push_back("Aim at the MIDDLE of the line.");
  }
  if (guide.crowded) {
    key.sentences.push_back("Where tiles touch, only pieces of the outline beside the two ticks are drawn; most ticks have their site's name.");
  }
  const bool moves = std::any_of(guide.marks.begin(), guide.marks.end(), [](const Mark& m) { return m.role == MarkRole::kMove; });
  if (moves) {
    key.sentences.push_back("Figures are for how you see the guide: the move from the first impression, rounded to 0.5 mm and "
                            "0.5 degree, ↻ as a clock's hand; 'as it lies' is less than that.");
  }
  const bool found = std::any_of(guide.marks.begin(), guide.marks.end(), [](const Mark& m) { return m.role == MarkRole::kFound; });
  key.grey_found = key.grey_found && found;
  out.push_back(std::move(key));
  std::vector<std::string> sentences{
      "The guide lies as meant when the large R reads properly and the sheet's top edge is at TOP EDGE."};
  if (words.steps.empty()) {
    sentences.push_back(guide.mirrored
                            ? "It belongs under the plate while its printing face is up, or under a sheet that "
                              "lies face down. Left and right are exchanged."
                            : "It belongs under the sheet on a light table, over the sheet as a clear film, or "
                              "under the plate seen through its back.");
    sentences.push_back("Lay the sheet inside the four brackets. The two heavy ticks of each tile show outside the plate.");
  } else if (guide.mirrored) {
    sentences.push_back("Left and right are exchanged; words read.");
  }
  sentences.insert(sentences.end(), words.plates.begin(), words.plates.end());
  sentences.push_back("Rows have letters, columns have numbers: A1 is row 0, column 0 in the files, and C4 is "
                      "row 2, column 3.");
  out.push_back({words.steps.empty() ? "How to use it" : "Which way round", sentences});
  out.push_back({"Sites", words.sites});
  if (!words.seams.empty()) out.push_back({"Seams that remain", words.seams});
  if (!split.empty() && how == PagesHow::kJoined) {
    AddMaps(kJoining, split, out);
  }
  if (!split.empty() && how == PagesHow::kByFeatures) {
    std::vector<std::string> placing{"Nothing is joined. Each page is placed by itself: its heading names what on your sheet it is placed by, "
                                     "and rings P and Q or the sheet's edges show where that lies on the page.",
                                     "Place one page, pull its sites, take the next."};
    if (!use.laid_on_sheet) placing = {"Nothing is joined, and no page is laid on the sheet: each shows a block of sites."};
    if (guide.use == GuideUse::kMask) {
      placing = {"Nothing is joined. Each page is a mask of its own: its heading names the impressions that show in its openings "
                 "when it lies right, or the edges of the sheet that it is trimmed to.",
                 "Place one mask, pull its sites, take the next."};
    }
    AddMaps({"Placing the pages", placing}, split, out);
  }
  out.push_back({"Take care", words.cautions});
  return out;
}

Block CardBlock() {
  Block block{"A bank card fits this frame", {"For those without a ruler: good to half a per cent."}};
  block.figure = {Closed(MarkRole::kCard, Rectangle({0, 0, kCardWidthMm, kCardHeightMm}), {Ink::kBlack, 0.2, Dash::kFull})};
  Mark words = Words("85.60 x 53.98 mm", {kCardWidthMm / 2, kCardHeightMm / 2 + 1.2}, 2.4, Anchor::kMiddle);
  words.role = MarkRole::kCard;
  block.figure.push_back(words);
  block.figure_width = kCardWidthMm;
  block.figure_height = kCardHeightMm;
  return block;
}

std::optional<Block> PlateBlock(const Guide& guide, double width_mm, double height_mm) {
  if (guide.plate.size() < 3) return std::nullopt;
  const Box box = BoundingBox(guide.plate);
  if (box.Width() > width_mm || box.Height() > height_mm) return std::nullopt;
  const bool either = SymmetryOf(guide.plate).mirror;
  Block block{"Lay the plate here", {either ? "Either face: the outline is its own mirror image." : guide.mirrored ? "Its printing face up." : "Its printing face down."}};
  Outline outline = guide.plate;
  for (Point& p : outline) p = p - Point{box.left, box.top};
  block.figure = {Closed(MarkRole::kPlate, outline, {Ink::kBlack, 0.3, Dash::kFull})};
  block.figure_width = box.Width();
  block.figure_height = box.Height();
  return block;
}

namespace {

int ColumnsIn(double width_mm) {
  return std::clamp(static_cast<int>((width_mm + kColumnGap) / (kLeastColumn + kColumnGap)), 1, 4);
}

std::vector<double> HeightsOf(const std::vector<Block>& blocks, double width) {
  std::vector<double> heights;
  for (const Block& block : blocks) heights.push_back(Height(block, width));
  return heights;
}

}  // namespace

double ColumnWidth(double width_mm) {
  const int columns = ColumnsIn(width_mm);
  return (width_mm - kColumnGap * (columns - 1)) / columns;
}

double BlocksHeight(const std::vector<Block>& blocks, double width_mm) {
  return LeastTallest(HeightsOf(blocks, ColumnWidth(width_mm)), ColumnsIn(width_mm)) + kColumnStepMm * (ColumnsIn(width_mm) - 1);
}

std::vector<std::vector<Block>> BlocksOnPages(const std::vector<Block>& blocks, double width_mm, double height_mm) {
  std::vector<std::vector<Block>> pages(1);
  for (const Block& block : blocks) {
    pages.back().push_back(block);
    if (pages.back().size() > 1 && BlocksHeight(pages.back(), width_mm) > height_mm) {
      pages.back().pop_back();
      pages.push_back({block});
    }
  }
  return pages;
}

double AddBlocks(const std::vector<Block>& blocks, Point top_left, double width_mm,
                 std::vector<Mark>& out) {
  const int columns = ColumnsIn(width_mm);
  const double width = ColumnWidth(width_mm);
  const std::vector<double> heights = HeightsOf(blocks, width);
  const double tallest = LeastTallest(heights, columns);
  double column = 0, used = 0;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const Block& block = blocks[i];
    if (used > 0 && used + heights[i] > tallest + 1e-9) column += 1, used = 0;
    const Point at{top_left.x + column * (width + kColumnGap), top_left.y + used + column * kColumnStepMm};
    used += heights[i] + kBlockGap;
    double y = at.y;
    const double cap = HeadingCap(block.heading, width);
    for (const auto& line : Wrap(block.heading, width, cap, true)) {
      out.push_back(Words(line, {at.x, y + kHeadCap}, cap, Anchor::kStart, true));
      y += kHeadPitch;
    }
    int number = 0;
    for (const auto& sentence : block.sentences) {
      const double indent = block.numbered ? kNumberMm : 0;
      if (block.numbered) {
        out.push_back(Words(fmt::format("{}", ++number), {at.x, y + kCap}, kCap, Anchor::kStart, true));
      }
      for (const auto& line : Wrap(sentence, width - indent, kCap)) {
        out.push_back(Words(line, {at.x + indent, y + kCap}, kCap));
        y += kPitch;
      }
      y += kSentenceGap + (block.numbered ? kStepGap : 0);
    }
    if (block.key) {
      AddKey({at.x, y}, width, block.grey_found, UseLookOf(block.use), out);
      y += (block.grey_found ? 5 : 4) * kKeyPitch;
    }
    for (const Mark& m : block.figure) out.push_back(Moved(m, {at.x, y + 1}));
    if (block.map != nullptr) {
      AddMap({at.x, y + 2, at.x + std::min(width, 70.0), y + 2 + kMapHeight}, *block.map, out);
    }
  }
  return tallest + kColumnStepMm * (columns - 1);
}

}  // namespace truepull
