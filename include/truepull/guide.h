// SPDX-License-Identifier: Apache-2.0
// The true-size guide: where to put the plate, as plain lists of marks in millimetres.
//
// BuildGuide makes the marks of the whole sheet. LayOutPages puts them, with the words,
// the check bars and the map of pages, on pages of paper. What draws them (draw.h) knows
// no more than lines, filled shapes and words: everything is decided here, once, so that
// PDF and SVG cannot differ.
//
// The guide's frame is the sheet's: mm, origin at the top left, x right, y down; a
// mirrored guide has x -> width - x. Words are never mirrored.
#ifndef TRUEPULL_GUIDE_H_
#define TRUEPULL_GUIDE_H_

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/placement.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

/// Two colours that weak colour vision tells apart, and greys; nothing hangs on them.
enum class Ink { kBlack, kBlue, kOrange, kGrey, kPale };
/// Broken lines carry the meaning that colour repeats.
enum class Dash { kFull, kLong, kShort, kDots };

/// What a mark is for; names the class in SVG, and lets tests find it.
enum class MarkRole {
  kSheet, kBracket, kCentre, kOutline, kFound, kTick, kLabel, kSign, kBar, kLetter,
  kCut, kJoinCross, kJoinLength, kMap, kWords, kDrawing,
};
const char* NameOf(MarkRole role);  // "sheet", "bracket", ...

/// A line through points, or a filled shape.
struct PathMark {
  std::vector<Point> points;
  bool closed = false;
  bool filled = false;      // Filled with `ink`, no line round it.
  Ink ink = Ink::kBlack;
  double width_mm = 0.3;    // The middle of the line is where it is.
  Dash dash = Dash::kFull;
  std::string colour;       // "#rrggbb" instead of the ink: a printing colour shown as it is.
};

enum class Anchor { kStart, kMiddle, kEnd };

/// One line of words.
struct TextMark {
  std::string text;         // UTF-8.
  Point at;                 // The anchor on the base line.
  double cap_mm = 2.6;      // Height of a capital.
  Anchor anchor = Anchor::kStart;
  bool bold = false;
  int quarter_turns = 0;    // Clockwise.
  Ink ink = Ink::kBlack;
};

struct Mark {
  MarkRole role = MarkRole::kWords;
  std::string group;        // Marks of one site share "site-R-C" (file numbers).
  std::variant<PathMark, TextMark> what;
};

/// Width that a line of words takes at most, mm: a bound for the sans faces the drawing
/// asks for (draw's tests hold it against the real ones).
double TextWidth(std::string_view text, double cap_mm, bool bold);

/// The box that a line of words fills at most (capitals and descenders).
Box TextBox(const TextMark& text);

/// One register tick: it begins on the outline and runs straight away from it.
struct SiteTick {
  Site site;
  Point point_in_tile;      // The outline point it belongs to, tile frame, mm.
  Point from;               // That point on the guide.
  Point to;                 // 6.5 mm outside.
};

/// What the guide says about itself besides its marks.
struct GuideWords {
  std::string title;
  std::string pass;                       // "pass: dark; sheet: gulls-07".
  std::string face;                       // "SEEN FROM THE PRINTED FACE" or "MIRRORED:".
  std::string face_detail;                // Where that belongs.
  std::string state;                      // "FOR THE SHEET DAMP", "NOT CORRECTED ...".
  std::vector<std::string> state_detail;  // Sentences.
  std::vector<std::string> sites;         // Sites that are not simply pulled, in words.
  std::vector<std::string> cautions;      // Three lines.
};

struct GuideRequest {
  const Pass* pass = nullptr;             // Null: the first pass, or a plan without one.
  std::string pass_name;                  // For people; empty: "first" or "next".
  PullState state;                        // Sheet size at the pull, and what is known.
  bool mirror = false;                    // x -> sheet width - x.
  bool first_pass = false;                // Places are the plan's own.
  std::string sheet_name;                 // Name of the photo or reading; may be empty.
  std::string date;                       // Only when given.
  /// Where the first impressions are (one per placement; empty, or absent where none):
  /// drawn as thin grey broken lines where they differ from the target.
  std::vector<std::optional<Pose>> first_impressions;
};

struct Guide {
  double width_mm = 0, height_mm = 0;     // The sheet at the pull.
  bool mirrored = false;
  std::vector<Mark> marks;                // Of the whole sheet, in its frame.
  std::vector<SiteTick> ticks;            // Two for each site that is not left alone.
  GuideWords words;
};

/// Draws the sheet's outline, corner brackets and centre marks, and for every site the
/// outline of the plate where it goes, two register ticks, its label and its sign.
///
/// Ticks stand at the two outline points furthest apart (or nearly so: at least 0.9 of
/// it) and run 6.5 mm outside, in whichever of a few directions keeps furthest from
/// other outlines and ticks. Labels stand inside, clear of neighbours' ticks.
Guide BuildGuide(const Plan& plan,
                 const std::vector<Placement>& placements,
                 const GuideRequest& request);

/// The pairs of outline points to carry register ticks, furthest apart first (at most
/// three, each at least 0.9 of the greatest distance). Tile frame.
std::vector<std::array<Point, 2>> TickPoints(std::span<const Point> outline);

enum class Paper { kA4, kLetter, kA3, kTabloid, kSheet };
const char* NameOf(Paper paper);                       // "A4", "letter", ...
Result<Paper> ParsePaper(std::string_view name);       // kBadArgument for others.

/// A picture that lies under a page's marks.
struct PagePicture {
  std::string png;          // The bytes of a PNG, clear where nothing is to be seen.
  Box box;                  // What it fills, page mm.
};

/// A page of paper; marks in page mm, origin at its top left corner.
struct GuidePage {
  std::string label;                      // "page 2 of 5: left top"; empty when alone.
  double width_mm = 0, height_mm = 0;
  Point sheet_at;                         // Where the guide's origin lies on the page.
  Box window;                             // The part of the guide shown, guide frame.
  std::vector<Mark> marks;
  std::vector<PagePicture> pictures;      // Under the marks.
};

inline constexpr double kPageMarginMm = 8;   // Home printers stop 3-6 mm short.
inline constexpr double kJoinOverlapMm = 12; // Wide enough for a match cross and a label.

/// One page with everything: the sheet, the words, the check bars. As large as it needs
/// to be (a print shop's page, and what the SVG holds).
GuidePage LayOutWholeSheet(const Guide& guide);

/// Pages of a paper: one where all fits, else a first page of words and check bars and
/// as many as the sheet needs, joined by overlap, match crosses and check lengths.
std::vector<GuidePage> LayOutPages(const Guide& guide, Paper paper);

/// Clips a mark to a box. Lines are cut (one may become several), shapes are cut, words
/// that do not fit whole are left out: the overlap shows them on the next page.
std::vector<Mark> ClipMark(const Mark& mark, const Box& box);

}  // namespace truepull

#endif  // TRUEPULL_GUIDE_H_
