// SPDX-License-Identifier: Apache-2.0
// The page of verdicts on the tiles of a class.
#ifndef TRUEPULL_VERDICT_PAGE_H_
#define TRUEPULL_VERDICT_PAGE_H_

#include <string>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// One tile of the page.
struct TileVerdict {
  enum class State { kRepeats, kClosed, kNot, kUnusable };
  std::string code;                    // "T07".
  std::string from;                    // File or photo it came from.
  State state = State::kUnusable;
  std::string how;                     // "by shifts", "by shifts and half turns".
  double worst_mm = 0;                 // Of the cut, where it is not exact.
  std::string worst;                   // And where.
  std::vector<std::string> sentences;  // Why unusable; necks, points and the like.
  Outline outline;                     // As it prints; empty where unusable.
  std::vector<Point> ringed;           // Places to look at.
};

const char* NameOf(TileVerdict::State state);  // "repeats", "closed", "does not repeat", "unusable".

/// One self-contained page of HTML: a line that counts, and a card for each tile with its
/// outline, verdict and the place that is furthest off.
std::string VerdictPage(const std::vector<TileVerdict>& verdicts, const std::string& title);

/// The same as a table: code,from,state,how,worst_mm,worst. Decimal point, quoted where needed.
std::string VerdictTable(const std::vector<TileVerdict>& verdicts);

}  // namespace truepull

#endif  // TRUEPULL_VERDICT_PAGE_H_
