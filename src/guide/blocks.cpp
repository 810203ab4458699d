// SPDX-License-Identifier: Apache-2.0
#include "guide/blocks.h"

#include <algorithm>
#include <limits>

#include "guide/make_marks.h"
#include "guide/site_marks.h"

namespace truepull {
namespace {

constexpr double kCap = 2.5, kPitch = 4.1;           // Words.
constexpr double kHeadCap = 3.2, kHeadPitch = 5.6;   // Headings.
constexpr double kSentenceGap = 0.8;
constexpr double kBlockGap = 3.2;
constexpr double kColumnGap = 7;
constexpr double kLeastColumn = 76;                  // About 45 letters.
constexpr double kMapHeight = 45;
constexpr double kKeyPitch = 5.8;

// Headings shrink a little rather than break.
double HeadingCap(const std::string& heading, double width) {
  return FittingCap(heading, width, kHeadCap, 2.6, true);
}

double Height(const Block& block, double width) {
  double height = 0;
  const auto heading = Wrap(block.heading, width, HeadingCap(block.heading, width), true);
  height += kHeadPitch * static_cast<double>(heading.size());
  for (const auto& s : block.sentences) {
    height += kPitch * static_cast<double>(Wrap(s, width, kCap).size()) + kSentenceGap;
  }
  if (block.key) height += 5 * kKeyPitch;
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

void AddKey(Point at, double width, std::vector<Mark>& out) {
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
    const ActionLook look = LookOf(row.action);
    out.push_back(Line(MarkRole::kSign, {{at.x, y}, {at.x + 16, y}}, {look.ink, 0.3, look.dash}));
    for (Mark& m : SignOf(row.action, {at.x + 21, y})) out.push_back(std::move(m));
    const double cap = FittingCap(row.words, width - 26, kCap, 1.8, false);
    out.push_back(Words(row.words, {at.x + 26, y + kCap / 2}, cap));
    y += kKeyPitch;
  }
  out.push_back(Line(MarkRole::kSign, {{at.x, y}, {at.x + 16, y}}, {Ink::kGrey, 0.2, Dash::kShort}));
  const char* found = "thin grey: the first impression, where it differs";
  out.push_back(Words(found, {at.x + 18, y + kCap / 2},
                      FittingCap(found, width - 18, kCap, 1.8, false)));
}

}  // namespace

std::vector<Block> BlocksFor(const Guide& guide, const PageMap* split) {
  std::vector<Block> out;
  const GuideWords& words = guide.words;
  out.push_back({"True to size?",
                 {"Print at 100 %, with no fitting to the page.",
                  "Measure both bars, from the middle of one end stroke to the middle of the "
                  "other: 100 mm each. If one is more than 0.3 mm off, do not use this print.",
                  "Lay the plate on an outline: it must cover it all round."}});
  out.push_back({words.state, words.state_detail});
  std::vector<std::string> use{
      "The guide lies as meant when the large R reads properly and the sheet's top edge is "
      "at TOP EDGE.",
      guide.mirrored
          ? "It belongs under the plate while its printing face is up, or under a sheet that "
            "lies face down. Left and right are exchanged."
          : "It belongs under the sheet on a light table, over the sheet as a clear film, or "
            "under the plate seen through its back.",
      "Lay the sheet inside the four brackets. Aim at the middle of the line. The two heavy "
      "ticks of each tile begin on its outline and show outside the plate.",
      "Rows have letters, columns have numbers: A1 is row 0, column 0 in the files, and C4 is "
      "row 2, column 3."};
  out.push_back({"Lines and signs", {}, true});
  out.push_back({"How to use it", use});
  out.push_back({"Sites", words.sites});
  if (split != nullptr) {
    out.push_back({"Joining the pages",
                   {"Neighbouring pages overlap by 12 mm. Cut one of them along its grey broken "
                    "line and lay it on the other so that crosses of the same letter meet.",
                    "Then measure the check length across each join: 60 mm. Tape the join."},
                   false, split});
  }
  out.push_back({"Take care", words.cautions});
  return out;
}

double AddBlocks(const std::vector<Block>& blocks, Point top_left, double width_mm,
                 std::vector<Mark>& out) {
  const int columns = std::clamp(static_cast<int>((width_mm + kColumnGap) / (kLeastColumn + kColumnGap)), 1, 4);
  const double width = (width_mm - kColumnGap * (columns - 1)) / columns;
  std::vector<double> heights;
  for (const Block& block : blocks) heights.push_back(Height(block, width));
  const double tallest = LeastTallest(heights, columns);
  double column = 0, used = 0;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const Block& block = blocks[i];
    if (used > 0 && used + heights[i] > tallest + 1e-9) column += 1, used = 0;
    const Point at{top_left.x + column * (width + kColumnGap), top_left.y + used};
    used += heights[i] + kBlockGap;
    double y = at.y;
    const double cap = HeadingCap(block.heading, width);
    for (const auto& line : Wrap(block.heading, width, cap, true)) {
      out.push_back(Words(line, {at.x, y + kHeadCap}, cap, Anchor::kStart, true));
      y += kHeadPitch;
    }
    for (const auto& sentence : block.sentences) {
      for (const auto& line : Wrap(sentence, width, kCap)) {
        out.push_back(Words(line, {at.x, y + kCap}, kCap));
        y += kPitch;
      }
      y += kSentenceGap;
    }
    if (block.key) AddKey({at.x, y}, width, out);
    if (block.map != nullptr) {
      AddMap({at.x, y + 2, at.x + std::min(width, 70.0), y + 2 + kMapHeight}, *block.map, out);
    }
  }
  return tallest;
}

}  // namespace truepull
