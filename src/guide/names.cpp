// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "truepull/guide.h"

namespace truepull {

const char* NameOf(MarkRole role) {
  switch (role) {
    case MarkRole::kSheet: return "sheet";
    case MarkRole::kBracket: return "bracket";
    case MarkRole::kCentre: return "centre";
    case MarkRole::kOutline: return "outline";
    case MarkRole::kFound: return "found";
    case MarkRole::kTick: return "tick";
    case MarkRole::kLabel: return "label";
    case MarkRole::kSign: return "sign";
    case MarkRole::kBar: return "bar";
    case MarkRole::kLetter: return "letter";
    case MarkRole::kDrawing: return "drawing";
    case MarkRole::kCut: return "cut";
    case MarkRole::kJoinCross: return "join-cross";
    case MarkRole::kJoinLength: return "join-length";
    case MarkRole::kMap: return "map";
    case MarkRole::kCorner: return "corner";
    case MarkRole::kMove: return "move";
    case MarkRole::kStop: return "stop";
    case MarkRole::kBody: return "body";
    case MarkRole::kOpening: return "opening";
    case MarkRole::kCard: return "card";
    case MarkRole::kPlate: return "plate";
    case MarkRole::kLocator: return "locator";
    case MarkRole::kGrain: return "grain";
    case MarkRole::kKento: return "kento";
    case MarkRole::kMargin: return "margin";
    case MarkRole::kMarker: return "marker";
    default: return "words";
  }
}

const char* NameOf(Paper paper) {
  switch (paper) {
    case Paper::kA4: return "A4";
    case Paper::kLetter: return "letter";
    case Paper::kA3: return "A3";
    case Paper::kTabloid: return "tabloid";
    default: return "sheet";
  }
}

Result<Paper> ParsePaper(std::string_view name) {
  std::string lower(name);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (lower == "a4") return Paper::kA4;
  if (lower == "letter") return Paper::kLetter;
  if (lower == "a3") return Paper::kA3;
  if (lower == "tabloid") return Paper::kTabloid;
  if (lower == "sheet") return Paper::kSheet;
  return Error{ErrorCode::kBadArgument, fmt::format("'{}' is no paper known here", name),
               "use A4, letter, A3, tabloid or sheet"};
}

}  // namespace truepull
